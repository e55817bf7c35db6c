//! Friction heat of the two faces.

use crate::rig::Rig;
use crate::rig::rad_s;
use std::f64::consts::TAU;
use twinplate_sim::model::Deviations;

/// Source: `q = mu p v` per face: 0.1, 10 kPa, 0.5 m/s give 500 W/m²; 0.2, 20 kPa, 1 m/s give 4000 W/m² (from the definition
/// of work). The plant is driven near those points and its answer scaled to them.
///
/// The heat is read back from the temperatures of the plates: stored plus carried away, over the share that the slurry leaves
/// them. Friction works along the sliding path, so by the mean speed over the parts' faces: while nothing but the plate turns, that of
/// their mean distance from the machine's centre, summed here over a part's area all around its carrier.
#[test]
fn heat_per_face_is_friction_times_pressure_times_speed() {
    for (mu, kpa, v, watts) in [(0.1, 10.0, 0.5, 500.0), (0.2, 20.0, 1.0, 4000.0)] {
        let mut rig = Rig::plain(&Deviations::NOMINAL, |m, b, c| {
            c.friction = mu;
            b.spread = 0.0;
            m.drives.iter_mut().for_each(|d| d.torque = 1e4);
        })
        .seated();
        rig.out.pump = 1000;
        rig.run(45_000);
        let (a, t) = (rig.machine.actuator.clone(), rig.machine.thermal.clone());
        let load = kpa * 1e3 * rig.batch.area();
        rig.press((load - a.resting_load()) / a.line_gain());
        // Rings and carriers still: both faces slide at the plate's own speed.
        let orbit = rig.machine.geometry.radius_orbit();
        let half = 0.025_f64;
        let turn = v / mean_distance(orbit, rig.batch.outermost(), half) / rad_s(1.0);
        rig.turn([0.0, 0.0, turn, -turn]).run(10_000);
        let (mut carried, mut pressure) = ([0.0; 2], 0.0);
        let start = rig.plant.truth();
        let seconds = 120.0;
        for _ in 0..120_000 {
            rig.tick();
            let truth = rig.plant.truth();
            pressure += truth.load_without_runout / rig.batch.area() * 1e-3 / seconds;
            for (sum, plate) in carried.iter_mut().zip(truth.temperatures) {
                *sum += t.cooling * (plate - t.ambient) * 1e-3;
            }
        }
        let end = rig.plant.truth();
        let own = rig.batch.density * rig.batch.thickness * twinplate_sim::model::G;
        for (face, carried) in carried.into_iter().enumerate() {
            let stored = t.capacity * (end.temperatures[face] - start.temperatures[face]);
            let heat = (stored + carried) / (1.0 - t.slurry_share) / seconds;
            let flux = heat / rig.batch.area();
            let pressed = pressure + if face == 0 { own } else { 0.0 };
            let at_point = flux * (kpa * 1e3) / pressed;
            // Speeds to a count of 0.01 rpm of some 25 or more; friction at its wet value to a part in a thousand.
            assert!(
                (at_point / watts - 1.0).abs() < 2e-3,
                "face {face}: {at_point} W/m² against {watts}"
            );
        }
    }
}

/// Mean distance from the machine's centre over a disc of radius `half` whose pocket goes around its carrier, m.
fn mean_distance(orbit: f64, pocket: f64, half: f64) -> f64 {
    const N: u32 = 40;
    let turn = |i: u32| (TAU * (f64::from(i) + 0.5) / f64::from(N)).sin_cos();
    let mut sum = 0.0;
    for ring in 0..N {
        let r = half * ((f64::from(ring) + 0.5) / f64::from(N)).sqrt();
        for (sin, cos) in (0..N).map(turn) {
            let rho = (pocket + r * cos).hypot(r * sin);
            for (sin, cos) in (0..N).map(turn) {
                sum += (orbit + rho * cos).hypot(rho * sin);
            }
        }
    }
    sum / f64::from(N).powi(3)
}

//! Removal: Preston, Journal of the Society of Glass Technology 11 (1927) 214, `dh/dt = k_p p v` (from memory), and its closed
//! form for parts of unequal thickness, in the real plant under hand-set outputs.

use crate::rig::Rig;
use crate::rig::rad_s;
use twinplate_sim::model::{Deviations, G};
use twinplate_sim::plant::kinematics::{Slide, carrier_motion};

const SPEEDS: [f64; 4] = [14.0, 5.0, 28.0, -14.0];

/// Wet, charged and turning under load, with grains that do not break down: every factor of removal but `k_p p v` is one.
fn lapping(spread: f64) -> Rig {
    let mut rig = Rig::plain(&Deviations::NOMINAL, |m, b, c| {
        b.spread = spread;
        // Plates that stay flat: their form has a closed form of its own (`plates`).
        m.thermal.slurry_share = 1.0;
        m.plates.wear = 0.0;
        c.breakdown_work = 1e30;
    })
    .seated();
    rig.out.pump = 1000;
    rig.run(45_000);
    rig.press(0.24).turn(SPEEDS).run(6000);
    let truth = rig.plant.truth();
    assert!(
        truth.charge > 0.9999 && truth.film == 1.0 && truth.sharpness > 0.999_999,
        "{truth:?}"
    );
    // Begin at the edge of a window of a hundred ticks.
    while !rig.plant.truth().tick.is_multiple_of(100) {
        rig.tick();
    }
    rig
}

/// Mean sliding speeds (lower, upper) by the closed form that `kinematics` checks, m/s.
fn sliding(rig: &Rig) -> [f64; 2] {
    let geometry = &rig.machine.geometry;
    let speeds = SPEEDS.map(rad_s);
    let motion = carrier_motion(geometry, &speeds);
    [2, 3].map(|plate| Slide::new(geometry, motion, speeds[plate], rig.batch.pocket_radius).mean())
}

#[test]
fn mean_removal_is_pressure_times_path() {
    let mut rig = lapping(0.0);
    let start = rig.plant.truth();
    let mut impulse = 0.0;
    for _ in 0..60_000 {
        rig.tick();
        impulse += rig.plant.load()[1] * 1e-3;
    }
    let end = rig.plant.truth();
    let k_p = rig.consumables.removal;
    let own = rig.batch.density * rig.batch.thickness * G * 60.0;
    for (face, v) in sliding(&rig).into_iter().enumerate() {
        let weight = if face == 0 { own } else { 0.0 };
        let expected = k_p * v * (impulse / rig.batch.area() + weight);
        let removed = end.removed[face] - start.removed[face];
        // Drives hold their speeds to a count of 0.01 rpm in 14: two parts in ten thousand.
        assert!(
            (removed / expected - 1.0).abs() < 3e-4,
            "face {face}: {removed} against {expected}"
        );
    }
    assert!(
        (start.thickness
            - end.thickness
            - (end.removed[0] + end.removed[1] - start.removed[0] - start.removed[1]))
            .abs()
            < 1e-15
    );
}

/// Source: linear load sharing with all parts touching turns Preston into `d' = -k_p (v_u + v_l) k_i/A d` for every part's
/// deviation `d` from the mean: it decays as `exp(-k_p (v_u + v_l) (k/A) t)`.
///
/// The plant takes removal off every 0.1 s, an explicit step of that equation: with rate r, n steps of h decay faster than the
/// exponential by `n (r h)^2/2` in the exponent. Half of it again for speeds and the wetting's last part in ten thousand.
#[test]
fn thickness_spread_decays_as_the_closed_form() {
    let mut rig = lapping(0.12e-6);
    let deviations = |rig: &Rig| -> Vec<f64> {
        let all: Vec<f64> = rig.plant.parts().map(|p| p.thickness).collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        all.iter().map(|t| t - mean).collect()
    };
    let start = deviations(&rig);
    let most = start.iter().fold(0.0_f64, |m, d| m.max(d.abs()));
    let squeeze = rig.plant.load()[1] / rig.batch.stiffness();
    assert!(
        most < squeeze,
        "all parts touch: {most} m of spread under {squeeze} m of compression"
    );
    let [lower, upper] = sliding(&rig);
    let rate = rig.consumables.removal * (lower + upper) * rig.batch.stiffness_per_area;
    let (seconds, window) = (30.0, 0.1);
    rig.run(30_000);
    let exponent = rate * seconds;
    let allowed = 1.5 * exponent * rate * window / 2.0;
    for (before, after) in start.iter().zip(deviations(&rig)) {
        let ratio = after / before;
        assert!(
            ((ratio.ln() + exponent) / allowed).abs() < 1.0,
            "decayed to {ratio}, not {} ± {allowed}",
            (-exponent).exp()
        );
    }
    assert!(exponent > 1.5, "long enough to tell: {exponent}");
}

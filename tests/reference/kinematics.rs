//! Planetary kinematics against computed cases, brute-force differentiation, and exact invariants.
//!
//! Source of `kinematics_cases.csv`: closed form and brute force computed with numpy/scipy from the standard relations of an
//! epicyclic train, for an invented geometry (60/150/45 teeth, module 6 mm); printed to six decimals.

use crate::rig::rad_s;
use std::f64::consts::PI;
use twinplate_sim::model::Geometry;
use twinplate_sim::plant::kinematics::{
    CarrierMotion, Slide, carrier_motion, equally_spaced, tip_gap, tooth_relation_holds,
};

const CASES: &str = include_str!("data/kinematics_cases.csv");
/// Half a unit of the sixth decimal, and a little for the rounding of our own arithmetic.
const PRINTED: f64 = 0.51e-6;

fn worked_example() -> Geometry {
    Geometry {
        plate_outer: 0.9,
        plate_inner: 0.36,
        plate_thickness: 0.05,
        module: 0.006,
        teeth_inner: 60,
        teeth_outer: 150,
        teeth_carrier: 45,
        carriers: 5,
        runout_ripple: 0.0,
    }
}

#[test]
fn every_row_of_the_computed_cases() {
    let geometry = worked_example();
    let mut rows = 0;
    for line in CASES.lines().skip(1) {
        let cells: Vec<&str> = line.split(',').collect();
        let number = |i: usize| -> f64 { cells[i].parse().expect("a number") };
        let speeds = [rad_s(number(1)), rad_s(number(2)), 0.0, 0.0];
        let motion = carrier_motion(&geometry, &speeds);
        let rpm = 30.0 / PI;
        assert!((motion.orbit * rpm - number(3)).abs() < PRINTED, "{line}");
        assert!((motion.spin * rpm - number(4)).abs() < PRINTED, "{line}");
        assert!(
            (motion.relative() * rpm - number(5)).abs() < PRINTED,
            "{line}"
        );
        let slide = Slide::new(&geometry, motion, rad_s(number(7)), number(8) / 1000.0);
        assert!((slide.min() - number(9)).abs() < PRINTED, "{line}");
        assert!((slide.mean() - number(10)).abs() < PRINTED, "{line}");
        assert!((slide.rms() - number(11)).abs() < PRINTED, "{line}");
        assert!((slide.max() - number(12)).abs() < PRINTED, "{line}");
        // Path of ten minutes, printed to a millimetre.
        assert!(
            (slide.mean() * 600.0 - number(14)).abs() < 0.51e-3,
            "{line}"
        );
        if motion.relative().abs() > 1e-9 {
            assert!((slide.mean() - number(13)).abs() < 2.0 * PRINTED, "{line}");
        }
        rows += 1;
    }
    assert_eq!(rows, 24);
}

/// Position of a carrier point in the frame of a plate: `z(t) = e exp(i orbit t) + rho exp(i (spin t + phi))`, turned back by
/// the plate's own angle. Speed by central differences, mean over one turn of the carrier in its orbit.
fn brute_force_mean(geometry: &Geometry, motion: CarrierMotion, plate: f64, rho: f64) -> f64 {
    let position = |t: f64| {
        let (orbit, spin) = ((motion.orbit - plate) * t, (motion.spin - plate) * t + 0.7);
        (
            geometry.radius_orbit() * orbit.cos() + rho * spin.cos(),
            geometry.radius_orbit() * orbit.sin() + rho * spin.sin(),
        )
    };
    let turn = 2.0 * PI / motion.relative().abs();
    let samples = 4096;
    let h = 1e-5;
    (0..samples)
        .map(|i| {
            let t = turn * f64::from(i) / f64::from(samples);
            let (x0, y0) = position(t - h);
            let (x1, y1) = position(t + h);
            ((x1 - x0).powi(2) + (y1 - y0).powi(2)).sqrt() / (2.0 * h)
        })
        .sum::<f64>()
        / f64::from(samples)
}

#[test]
fn closed_form_equals_brute_force_differentiation() {
    let geometry = worked_example();
    for speeds in [
        [12.0, -4.0, 30.0, -20.0],
        [14.0, 0.0, 30.0, -20.0],
        [10.0, 4.0, 30.0, -20.0],
        [-7.0, 3.0, -5.0, 55.0],
    ] {
        let speeds = speeds.map(rad_s);
        let motion = carrier_motion(&geometry, &speeds);
        for plate in [speeds[2], speeds[3]] {
            for rho in [0.0, 0.03, 0.06, 0.12] {
                let closed = Slide::new(&geometry, motion, plate, rho).mean();
                let brute = brute_force_mean(&geometry, motion, plate, rho);
                assert!((closed - brute).abs() < 1e-8, "{closed} against {brute}");
            }
        }
    }
}

#[test]
fn exact_invariants() {
    let g = worked_example();
    // (i) A carrier that turns with the plate: one speed for every point.
    for rho in [0.0, 0.05, 0.12] {
        let motion = CarrierMotion {
            orbit: 1.0,
            spin: 2.5,
        };
        let slide = Slide::new(&g, motion, 2.5, rho);
        let expected = (1.0f64 - 2.5).abs() * g.radius_orbit();
        assert!((slide.mean() - expected).abs() < 1e-12);
        assert!((slide.min() - slide.max()).abs() < 1e-15);
    }
    // (ii) Equal ring speeds: orbit = spin, frozen phase.
    let m = carrier_motion(&g, &[0.7, 0.7, 0.0, 0.0]);
    assert!((m.orbit - 0.7).abs() < 1e-14 && m.relative().abs() < 1e-14);
    // (iii) z_i n_i = -z_o n_o: no orbit. (iv) z_i n_i = z_o n_o: no spin.
    let m = carrier_motion(&g, &[1.5, -0.6, 0.0, 0.0]);
    assert!(m.orbit.abs() < 1e-14);
    let m = carrier_motion(&g, &[1.5, 0.6, 0.0, 0.0]);
    assert!(m.spin.abs() < 1e-14);
    // (v) Both faces equal everywhere only without relative spin at the mean plate speed.
    let m = CarrierMotion {
        orbit: 0.5,
        spin: 0.5,
    };
    for rho in [0.0, 0.05, 0.12] {
        let (l, u) = (Slide::new(&g, m, 3.0, rho), Slide::new(&g, m, -2.0, rho));
        assert!((l.mean() - u.mean()).abs() < 1e-12);
    }
    let m = CarrierMotion {
        orbit: 0.5,
        spin: 0.9,
    };
    let (l, u) = (Slide::new(&g, m, 3.0, 0.12), Slide::new(&g, m, -2.0, 0.12));
    assert!((l.mean() - u.mean()).abs() > 1e-3);
}

#[test]
fn tooth_spacing_and_tip_gap_of_the_worked_example() {
    let mut g = worked_example();
    assert!(tooth_relation_holds(&g));
    for (q, spaced, gap_mm) in [
        (0, false, None),
        (2, true, None),
        (3, true, None),
        (4, false, None),
        (5, true, Some(88.30)),
        (6, true, Some(33.00)),
        (7, true, Some(-8.65)),
        (8, false, None),
    ] {
        g.carriers = q;
        assert_eq!(equally_spaced(&g), spaced, "{q} carriers");
        if let Some(gap) = gap_mm {
            assert!((tip_gap(&g) * 1000.0 - gap).abs() < 0.005, "{q} carriers");
        }
    }
    g.teeth_carrier = 44;
    assert!(!tooth_relation_holds(&g));
}

/// Plate radius, orbit radius and carrier radius to the sliding speed: `v^2 = x y r^2 + (x - y)(x R^2 - y rho^2)` with
/// `x = orbit - plate`, `y = spin - plate` (derived for the reference rows below; no phase in it).
fn square_at(motion: CarrierMotion, plate: f64, [r, orbit_radius, rho]: [f64; 3]) -> f64 {
    let (x, y) = (motion.orbit - plate, motion.spin - plate);
    x * y * r * r + (x - y) * (x * orbit_radius * orbit_radius - y * rho * rho)
}

#[test]
fn sliding_speed_depends_on_the_plate_radius_alone_and_grows_with_it_as_the_sign_says() {
    let geometry = worked_example();
    let orbit_radius = geometry.radius_orbit();
    // Steps that share no factor walk over speeds, radii and phases.
    for case in 0..2000 {
        let walk =
            |step: f64, low: f64, high: f64| low + (high - low) * (step * f64::from(case)).fract();
        let speeds = [
            walk(0.618_034, -7.0, 7.0),
            walk(0.414_214, -7.0, 7.0),
            walk(0.732_051, -7.0, 7.0),
            0.0,
        ];
        let (rho, phase) = (walk(0.236_068, 0.0, 0.2), walk(0.302_776, 0.0, PI));
        let motion = carrier_motion(&geometry, &speeds);
        let plate = speeds[2];
        let slide = Slide::new(&geometry, motion, plate, rho);
        let at = |phase: f64| {
            let square =
                orbit_radius * orbit_radius + rho * rho + 2.0 * orbit_radius * rho * phase.cos();
            square_at(motion, plate, [square.sqrt(), orbit_radius, rho])
        };
        let direct = slide.at(phase.cos()).powi(2);
        let largest = slide.max().powi(2);
        assert!(
            (at(phase) - direct).abs() <= 1e-12 * largest.max(1.0),
            "case {case}"
        );
        let (inside, outside) = (slide.at(-1.0), slide.at(1.0));
        let sign = (motion.orbit - plate) * (motion.spin - plate);
        assert_eq!(
            outside > inside,
            sign * rho > 0.0,
            "case {case}: {inside} and {outside}"
        );
    }
}

/// Rows computed for plates of 98 to 240 mm with rings of 40 and 130 teeth of module 4 mm and points at 50 mm of a carrier (derived,
/// checked by brute force by those who computed them): ring speeds, plate speed, orbit and spin in rev/min, product of the relative
/// turnings in 1/s², sliding speed at the inside, the middle and the outside of the path in m/s.
const ROWS: [[f64; 9]; 6] = [
    [14.0, 5.0, 28.0, 7.118, 1.000, 6.183, 0.2304, 0.3778, 0.5131],
    [
        14.0, 5.0, -14.0, 7.118, 1.000, 3.474, 0.2974, 0.3726, 0.4545,
    ],
    [
        -14.0, -5.0, 28.0, -7.118, -1.000, 11.168, 0.4733, 0.6213, 0.7770,
    ],
    [
        -14.0, -5.0, -14.0, -7.118, -1.000, 0.981, 0.0545, 0.1311, 0.1906,
    ],
    [
        14.0, -5.0, 28.0, -0.529, -13.444, 12.966, 0.2909, 0.5221, 0.7249,
    ],
    [
        14.0, -5.0, -14.0, -0.529, -13.444, 0.082, 0.2369, 0.2394, 0.2427,
    ],
];

#[test]
fn sliding_speed_over_the_plate_has_the_computed_rows() {
    let mut geometry = worked_example();
    (geometry.module, geometry.teeth_inner, geometry.teeth_outer) = (4e-3, 40, 130);
    geometry.teeth_carrier = 45;
    let (orbit_radius, rho) = (geometry.radius_orbit(), 0.05);
    assert!((orbit_radius - 0.170).abs() < 1e-12);
    for row in ROWS {
        let [inner, outer, plate, orbit, spin, product, speeds @ ..] = row;
        let motion = carrier_motion(&geometry, &[rad_s(inner), rad_s(outer), 0.0, 0.0]);
        let rpm = 30.0 / PI;
        assert!((motion.orbit * rpm - orbit).abs() < 0.51e-3, "{row:?}");
        assert!((motion.spin * rpm - spin).abs() < 0.51e-3, "{row:?}");
        let plate = rad_s(plate);
        let found = (motion.orbit - plate) * (motion.spin - plate);
        assert!((found - product).abs() < 0.51e-3, "{row:?}: {found}");
        for (r, speed) in [orbit_radius - rho, orbit_radius, orbit_radius + rho]
            .into_iter()
            .zip(speeds)
        {
            let found = square_at(motion, plate, [r, orbit_radius, rho]).sqrt();
            assert!((found - speed).abs() < 0.51e-4, "{row:?} at {r}: {found}");
        }
    }
}

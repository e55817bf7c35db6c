//! Paths over a plate, wear, bow and sag against closed forms, brute force and computed rows.
//!
//! Source of `wear_rows.csv`: a table of planetary paths computed outside this project (algebra checked by brute force; wear by
//! quadrature, 0.9 % against brute force) for a plate band of 98 to 240 mm, carriers on 170 mm, a disc of 50 mm at 50 mm, rings of 40
//! and 130 teeth of module 4 mm.

use crate::rig::rad_s;
use proptest::prelude::*;
use std::f64::consts::{PI, TAU};
use twinplate_sim::model::{Batch, Deviations, Geometry, Outline, Process};
use twinplate_sim::plant::bow::Conduction;
use twinplate_sim::plant::kinematics::{CarrierMotion, Slide, carrier_motion};
use twinplate_sim::plant::part_form::{
    HELIUM, Lapped, PartForms, Reading, bands, edge_excess, read, rigidity,
};
use twinplate_sim::plant::paths::{Footprint, Path, RINGS, Rings, Rub, Turning, filled};
use twinplate_sim::plant::places::dealt;
use twinplate_sim::plant::plate_form::pressure_shares;

const ROWS: &str = include_str!("data/wear_rows.csv");
const DISC: Outline = Outline::Disc { diameter: 0.05 };
const POCKET: f64 = 0.05;

fn of_the_rows() -> Geometry {
    Geometry {
        plate_outer: 0.48,
        plate_inner: 0.196,
        plate_thickness: 0.05,
        module: 0.004,
        teeth_inner: 40,
        teeth_outer: 130,
        teeth_carrier: 45,
        carriers: 5,
        runout_ripple: 0.0,
    }
}

/// Radius and speed against the plate of a point at `rho` and phase `psi`, by its position and velocity.
pub fn brute(path: Path, turning: Turning, psi: f64) -> (f64, f64) {
    let place = [path.orbit + path.rho * psi.cos(), path.rho * psi.sin()];
    // Seen from the plate: the centre turns with the orbit, the point about it with the carrier.
    let velocity = [
        -turning.spin * path.rho * psi.sin(),
        turning.orbit * path.orbit + turning.spin * path.rho * psi.cos(),
    ];
    (place[0].hypot(place[1]), velocity[0].hypot(velocity[1]))
}

/// Points that fill a disc evenly, as distances from the carrier's centre.
pub fn points(outline: Outline, pocket: f64) -> Vec<f64> {
    let (a, n) = (outline.outer_radius(), 60);
    let mut rho = Vec::new();
    for i in 0..n {
        let s = a * ((f64::from(i) + 0.5) / f64::from(n)).sqrt();
        for j in 0..n {
            let angle = TAU * (f64::from(j) + 0.37) / f64::from(n);
            rho.push((pocket + s * angle.cos()).hypot(s * angle.sin()));
        }
    }
    rho
}

/// Share of its time that a point spends on a metre of plate radius at `r`, as printed:
/// `f(r) = 2 r/(pi sqrt((r^2 - (R - rho)^2)((R + rho)^2 - r^2)))`, 1/m.
fn density(path: Path, r: f64) -> f64 {
    let [near, far] = path.ends();
    2.0 * r / (PI * ((r * r - near * near) * (far * far - r * r)).sqrt())
}

/// The largest deviation of a point's share of time on a ring, followed for many turns, from the density.
pub fn followed_deviation() -> f64 {
    let mut worst = 0.0_f64;
    let path = Path {
        orbit: 0.17,
        rho: 0.05,
    };
    let steps = 400_000;
    let [near, far] = path.ends();
    for (from, to) in [(0.125, 0.13), (0.15, 0.155), (0.168, 0.17), (0.2, 0.21)] {
        let closed = path.within(to) - path.within(from);
        // The density as printed, by the midpoint rule.
        let printed: f64 = (0..1000)
            .map(|i| density(path, from + (to - from) * (f64::from(i) + 0.5) / 1000.0))
            .sum::<f64>()
            * (to - from)
            / 1000.0;
        assert!((printed / closed - 1.0).abs() < 1e-5, "{printed} {closed}");
        // A point that is followed for many turns: 0.5 %.
        let still = Turning::default();
        let followed = (0..steps)
            .filter(|i| {
                let (r, _) = brute(path, still, TAU * 0.618_033_988_75 * f64::from(*i));
                (from..to).contains(&r)
            })
            .count() as f64
            / f64::from(steps);
        worst = worst.max((followed / closed - 1.0).abs());
    }
    assert!(path.within(near).abs() < 1e-7 && (path.within(far) - 1.0).abs() < 1e-7);
    worst
}

/// Parts whose middles run on the orbit: the share of a circle that one disc covers is `C(r) = arccos((r² + R² - a²)/(2 R r))/pi`
/// (closed form from the same source), and brute force finds it.
#[test]
fn time_on_a_ring_is_the_density_and_what_a_point_does_that_is_followed() {
    assert!(followed_deviation() < 0.005);
}

/// The largest deviation of the share of a circle that a disc covers from brute force.
pub fn coverage_deviation() -> f64 {
    let geometry = of_the_rows();
    let (orbit, a): (f64, f64) = (0.17, 0.025);
    let rub = Rub::new(&geometry, &Footprint::of_part(DISC, 0.0));
    let n = 100_000;
    let mut worst = 0.0_f64;
    for r in [0.15, 0.16, 0.17, 0.185, 0.19] {
        let ring = rub.rings().holding(r);
        let r = rub.rings().middle(ring);
        let brute = (0..n)
            .filter(|i| {
                let angle = TAU * (f64::from(*i) + 0.5) / f64::from(n);
                (r * angle.cos() - orbit).hypot(r * angle.sin()) <= a
            })
            .count() as f64
            / f64::from(n);
        let closed = ((r * r + orbit * orbit - a * a) / (2.0 * orbit * r)).acos() / PI;
        worst = worst.max((brute / closed - 1.0).abs());
        // A ring is 3.55 mm wide, and its middle stands for its mean.
        let covered = rub.covered[ring];
        assert!((covered / closed - 1.0).abs() < 0.015, "{covered} {closed}");
    }
    worst
}

/// How unevenly a plate wears, as the rows count it: its largest value over the mean of the plate's area, and the slope of the relative
/// wear over the band (+: more outside), least squares over the rings.
fn unevenness(rings: Rings, wear: &[f64; RINGS]) -> [f64; 2] {
    let area: f64 = (0..RINGS).map(|j| rings.area(j)).sum();
    let whole: f64 = (0..RINGS).map(|j| wear[j] * rings.area(j)).sum();
    let mean = whole / area;
    let place = |j: usize| (j as f64 + 0.5) / RINGS as f64 - 0.5;
    let above: f64 = (0..RINGS).map(|j| place(j) * wear[j] / mean).sum();
    let square: f64 = (0..RINGS).map(|j| place(j) * place(j)).sum();
    let most = wear.iter().copied().fold(0.0, f64::max);
    [most / mean, above / square]
}

#[test]
fn a_disc_covers_the_share_of_a_circle_that_brute_force_finds() {
    assert!(coverage_deviation() < 0.005);
}

/// Every row of the table of speeds and wear; the largest deviations: of a ring's wear from points that are followed (root mean square,
/// share of the mean), of the row's largest over mean (share), and of its tilt.
pub fn row_deviations() -> [f64; 3] {
    let mut worst = [0.0_f64; 3];
    let geometry = of_the_rows();
    let rings = Rings::new(&geometry);
    let rub = Rub::new(&geometry, &Footprint::of_part(DISC, POCKET).times(15.0));
    let points = points(DISC, POCKET);
    let mut rows = 0;
    for line in ROWS.lines().skip(1) {
        let cells: Vec<f64> = line
            .split(',')
            .map(|cell| cell.parse().expect("a number"))
            .collect();
        let motion = carrier_motion(&geometry, &[rad_s(cells[0]), rad_s(cells[1]), 0.0, 0.0]);
        let rpm = 30.0 / PI;
        assert!((motion.orbit * rpm - cells[3]).abs() < 0.6e-3, "{line}");
        assert!((motion.spin * rpm - cells[4]).abs() < 0.6e-3, "{line}");
        let turning = Turning::new(motion, rad_s(cells[2]));
        assert!((turning.slope() - cells[5]).abs() < 1e-3, "{line}");
        let path = Path {
            orbit: geometry.radius_orbit(),
            rho: POCKET,
        };
        let [near, far] = path.ends();
        for (r, printed) in [near, path.orbit, far].into_iter().zip(&cells[6..9]) {
            assert!((turning.speed(path, r) - printed).abs() < 0.6e-4, "{line}");
        }
        let mut wear = [0.0; RINGS];
        rub.sliding(turning, &mut wear);
        let [most, tilt] = unevenness(rings, &wear);
        // Their quadrature is 0.9 % off brute force.
        assert!((most / cells[9] - 1.0).abs() < 0.01, "{line}: {most}");
        assert!((tilt - cells[10]).abs() < 0.01, "{line}: {tilt}");
        // The wear of each ring against points that are followed: 1 % root mean square.
        let mut brute_force = [0.0; RINGS];
        let phases = 720;
        for rho in &points {
            for phase in 0..phases {
                let psi = TAU * (f64::from(phase) + 0.5) / f64::from(phases);
                let (r, v) = brute(Path { rho: *rho, ..path }, turning, psi);
                if (rings.edge(0)..rings.edge(RINGS)).contains(&r) {
                    brute_force[rings.holding(r)] += v;
                }
            }
        }
        let area = 15.0 * DISC.area() / (points.len() as f64 * f64::from(phases));
        let mean = wear.iter().sum::<f64>() / RINGS as f64;
        let mut squares = 0.0;
        for (j, (wear, sum)) in wear.iter().zip(brute_force).enumerate() {
            let off = (wear - sum * area / rings.area(j)) / mean;
            assert!(off.abs() < 0.02, "{line} ring {j}: {off}");
            squares += off * off / RINGS as f64;
        }
        assert!(squares.sqrt() < 0.01, "{line}: {}", squares.sqrt());
        let off = [
            squares.sqrt(),
            (most / cells[9] - 1.0).abs(),
            (tilt - cells[10]).abs(),
        ];
        for (worst, off) in worst.iter_mut().zip(off) {
            *worst = worst.max(off);
        }
        rows += 1;
    }
    assert_eq!(rows, 7);
    worst
}

#[test]
fn every_row_of_speeds_and_of_wear() {
    let [rms, most, tilt] = row_deviations();
    assert!(rms < 0.01 && most < 0.01 && tilt < 0.01);
}

#[test]
fn a_footprint_has_the_area_of_its_part_and_a_circle_is_filled_as_counted() {
    let outlines = [
        DISC,
        Outline::Ring {
            outer: 0.07,
            inner: 0.04,
        },
        Outline::Rectangle {
            length: 0.03,
            width: 0.02,
        },
    ];
    for outline in outlines {
        for pocket in [0.0, 0.01, 0.112] {
            let area = Footprint::of_part(outline, pocket).area();
            assert!((area / outline.area() - 1.0).abs() < 1e-12);
        }
        // The share filled of each circle adds up to the area.
        let (a, n) = (outline.outer_radius(), 200_000);
        let sum: f64 = (0..n)
            .map(|i| {
                let s = a * (f64::from(i) + 0.5) / f64::from(n);
                TAU * s * filled(outline, s) * a / f64::from(n)
            })
            .sum();
        assert!((sum / outline.area() - 1.0).abs() < 1e-5, "{outline:?}");
    }
}

#[test]
fn a_light_band_is_half_a_wavelength() {
    // Half of 587.5618 nm is 293.78 nm, 11.566 µin; the trade says 11.6 µin (0.29 % more).
    let band = 293.780_9e-9;
    assert!((bands(band, HELIUM) - 1.0).abs() < 1e-6);
    assert!((band / 0.0254e-6 - 11.566).abs() < 0.001);
    assert!((bands(1e-6, 632.8e-9) - 2.0 / 0.6328).abs() < 1e-9);
}

/// How far the bow of a plate cooled at its back is off the worked one, share of it; cooled in its body it is held against a sum.
pub fn bow_deviation() -> f64 {
    // Handbook form, `alpha dT D^2/(8 t)`, worked: 11e-6 1/K, 1 K, 0.9 m, 60 mm.
    let printed = 18.5625e-6;
    let plate = Conduction {
        expansion: 11e-6,
        conductivity: 48.0,
        thickness: 0.06,
        depth: 0.06,
    };
    let flux = 48.0 / 0.06;
    assert!((plate.difference(flux) - 1.0).abs() < 1e-12);
    let bow = plate.curvature(flux) * 0.81 / 8.0;
    // Cooled in its body: against the moment of the temperature, summed over the thickness.
    let depth = 0.015;
    let cooled = Conduction { depth, ..plate };
    let n = 60_000;
    let moment: f64 = (0..n)
        .map(|i| {
            let below = 0.06 * (f64::from(i) + 0.5) / f64::from(n);
            let warm = (flux / 48.0 * (depth - below)).max(0.0);
            warm * (0.03 - below) * 0.06 / f64::from(n)
        })
        .sum();
    let curvature = 12.0 * 11e-6 * moment / 0.06f64.powi(3);
    assert!((cooled.curvature(flux) / curvature - 1.0).abs() < 1e-6);
    bow / printed - 1.0
}

#[test]
fn a_plate_bows_as_the_closed_form_says() {
    assert!(bow_deviation().abs() < 1e-6);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    /// Speed over a plate by its radius alone is the speed of the point, and the sign of the slope says where it is faster.
    #[test]
    fn speed_by_radius_is_the_speed_of_the_point(
        orbit in -6.0..6.0f64, spin in -6.0..6.0f64, plate in -6.0..6.0f64,
        rho in 0.001..0.16f64, psi in 0.0..TAU,
    ) {
        let motion = CarrierMotion { orbit, spin };
        let turning = Turning::new(motion, plate);
        let path = Path { orbit: 0.17, rho };
        let (r, v) = brute(path, turning, psi);
        let found = turning.speed(path, r);
        let scale = turning.orbit.abs() * 0.17 + turning.spin.abs() * rho;
        prop_assert!((found * found - v * v).abs() <= 1e-12 * scale * scale);
        let slide = Slide { a: 0.17 * turning.orbit, b: rho * turning.spin };
        prop_assert!((slide.at(psi.cos()).powi(2) - v * v).abs() <= 1e-12 * scale * scale);
        let [near, far] = path.ends();
        let (inside, outside) = (turning.speed(path, near), turning.speed(path, far));
        if turning.slope() > 1e-6 {
            prop_assert!(outside > inside);
        } else if turning.slope() < -1e-6 {
            prop_assert!(outside < inside);
        }
    }
}

fn of_a_batch(file: &str) -> Batch {
    twinplate_sim::demo::batch(file)
}

/// Heights of both plates, edge over middle, that a part reads off plates of this form.
fn read_off(
    geometry: &Geometry,
    outline: Outline,
    pocket: f64,
    height: impl Fn(f64) -> f64,
) -> f64 {
    let reading = Reading::new(geometry, outline, pocket);
    let rings = Rings::new(geometry);
    read(&reading.sag, (0..RINGS).map(|j| height(rings.middle(j))))
}

/// Same source as the rows: the mean of the plate's curvature over the part's turning, `(h'' + h'/r) a^2/4`; worked for 10 µm over 0.48 m
/// on a 50 mm part, 10 µm over 1.21 m on 150 mm, and a cone of 10 µm over 142 mm at 170 mm.
pub fn sag_deviation() -> f64 {
    let geometry = of_the_rows();
    let mut worst = 0.0_f64;
    let large = Outline::Disc { diameter: 0.15 };
    for (plate, part, pocket, printed) in [
        (0.48, DISC, POCKET, 0.1085e-6),
        (1.21, large, 0.0, 0.1537e-6),
    ] {
        let curvature = 8.0 * 10e-6 / (plate * plate);
        let sphere = read_off(&geometry, part, pocket, |r| 0.5 * curvature * r * r);
        worst = worst.max((sphere / printed - 1.0).abs());
    }
    // On the orbit alone the cone has the printed value; over the path it is that times the mean of R/r.
    let slope = 10e-6 / 0.142;
    let cone = read_off(&geometry, DISC, 0.0, |r| slope * r);
    worst = worst.max((cone / 0.0647e-6 - 1.0).abs());
    let flat = read_off(&geometry, DISC, POCKET, |_| 3e-6);
    let tilted_alike = read_off(&geometry, DISC, POCKET, |_| 0.0);
    assert!(flat.abs() < 1e-18 && tilted_alike == 0.0);
    worst
}

#[test]
fn a_part_reads_off_a_plate_what_the_closed_forms_say() {
    assert!(sag_deviation() < 0.01);
}

/// Fresh parts on five carriers.
fn loaded(batch: &Batch) -> PartForms {
    let dealt = dealt(&of_the_rows(), batch);
    PartForms::new(
        batch,
        Process::LooseAbrasive,
        &dealt,
        &Deviations::NOMINAL,
        1,
    )
}

/// Lapped for `seconds` a second at a time at 9 kPa, 8e-12 1/Pa and 0.38 m/s a face, on plates that offer these sags.
fn lapped(batch: &Batch, seconds: u32, offered: [f64; 2]) -> PartForms {
    let mut forms = loaded(batch);
    for _ in 0..seconds {
        forms.lap(&[Lapped {
            work: [8e-12 * 0.38; 2],
            pressure: 9e3,
            offered,
        }]);
    }
    forms
}

#[test]
fn a_stiff_part_takes_the_plates_form_with_depth_over_the_sink_and_a_limp_one_keeps_its_bow() {
    let mut batch = of_a_batch("glass-discs");
    (batch.bow, batch.taper) = (0.4e-6, 0.0);
    batch.thickness = 0.04;
    assert!(rigidity(&batch, batch.stiffness_per_area) > 0.98);
    let before = loaded(&batch);
    // Rate 2 k_A k_p v of a face: the depth removed over half the elastic sink.
    let rate = 2.0 * batch.stiffness_per_area * 8e-12 * 0.38;
    let after = lapped(&batch, 20, [0.0; 2]);
    for i in 0..batch.pieces() as usize {
        let expected = before.sags(i)[0] * (-rate * 20.0).exp();
        // Implicit steps of a second lag by half a step.
        let found = after.sags(i)[0];
        assert!(
            (found - expected).abs() < 0.05 * before.sags(i)[0].abs(),
            "{found} {expected}"
        );
    }
    // Long on plates that are both convex by 0.1 µm under a part: both faces hollow.
    let after = lapped(&batch, 4000, [-0.1e-6, 0.1e-6]);
    let [lower, upper] = after.sags(3);
    assert!((lower + 0.1e-6).abs() < 1e-9 && (upper - 0.1e-6).abs() < 1e-9);
    let flat = lapped(&batch, 4000, [0.0; 2]);
    let pad = edge_excess(Process::PadPolishing);
    assert!((pad * pad * 6.0 - 1.0).abs() < 1e-5);
    let edge = edge_excess(Process::LooseAbrasive);
    let roll = edge * 9e3 / (2.0 * batch.stiffness_per_area);
    assert!(
        (flat.flatness(3)[0] - roll).abs() < 1e-12,
        "only the roll-off is left"
    );
    assert!((flat.variation(3) - 2.0 * roll).abs() < 1e-12);

    batch.thickness = 0.55e-3;
    assert!(rigidity(&batch, batch.stiffness_per_area) < 2e-3);
    let before = loaded(&batch);
    let kept = lapped(&batch, 100, [0.0; 2]);
    for i in 0..15 {
        let [lower, upper] = kept.sags(i);
        assert!((lower / before.sags(i)[0] - 1.0).abs() < 0.01 && (lower - upper).abs() < 1e-12);
    }
}

#[test]
fn a_taper_goes_with_the_spread_and_no_stiffness_makes_the_steps_unstable() {
    let mut batch = of_a_batch("glass-discs");
    (batch.bow, batch.taper) = (0.0, 0.2e-6);
    let before = loaded(&batch);
    let after = lapped(&batch, 20, [0.0; 2]);
    let roll = after.roll(0);
    let expected = (-batch.stiffness_per_area * 8e-12 * 0.76 * 20.0).exp();
    for i in 0..15 {
        let left = (after.variation(i) - roll[0] - roll[1]) / before.variation(i);
        assert!((left - expected).abs() < 0.05, "{left} {expected}");
    }
    batch.stiffness_per_area = 1e13;
    batch.bow = 1e-6;
    let after = lapped(&batch, 500, [-0.1e-6, 0.1e-6]);
    for i in 0..15 {
        assert!(
            (after.sags(i)[1] - after.sags(i)[0] - 0.2e-6).abs() < 1e-9,
            "{:?}",
            after.sags(i)
        );
    }
}

#[test]
fn pressure_follows_how_the_plates_come_together_and_never_pulls() {
    let mut together = [0.0; RINGS];
    for (j, height) in together.iter_mut().enumerate() {
        *height = 1e-7 * j as f64;
    }
    let weight = [1.0; RINGS];
    let mean = |shares: &[f64; RINGS]| shares.iter().sum::<f64>() / RINGS as f64;
    // A sink of 4 µm: all touch, and the line is the closed form's.
    let shares = pressure_shares(&together, &weight, 4e4, 1e10);
    assert!((mean(&shares) - 1.0).abs() < 1e-12);
    assert!((shares[39] - shares[0] - 3.9e-6 / 4e-6).abs() < 1e-12);
    // A sink of 0.5 µm: contact on a wedge only, whose pressure is a triangle: depth d with d^2/2 = sink times width.
    let shares = pressure_shares(&together, &weight, 5e3, 1e10);
    assert!((mean(&shares) - 1.0).abs() < 1e-12 && shares[0] == 0.0);
    let depth = (2.0 * 0.5e-6 * 4e-6f64).sqrt();
    assert!(
        (shares[39] * 0.5e-6 / depth - 1.0).abs() < 0.05,
        "{}",
        shares[39]
    );
}

//! The demonstration set must close: every number that follows from others is recomputed here from the files.
//!
//! Nothing here uses the project's own kinematics or checks: sliding speeds come from differentiating positions
//! numerically, the rest from the formulas beside each test. Loads are the demonstration table's.

use std::f64::consts::{PI, TAU};
use std::path::{Path, PathBuf};
use twinplate_sim::files::{Overrides, Set, load_set};
use twinplate_sim::model::{End, Step};

const GOOD: [&str; 6] = [
    "glass-f800",
    "alumina-diamond",
    "steel-f400",
    "zirconia-fixed",
    "silicon-f1000",
    "glass-polish",
];

fn recipes() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes")
}

fn set(path: &str) -> Set {
    load_set(&recipes().join(path), &Overrides::default())
        .unwrap_or_else(|errors| panic!("{}", twinplate_sim::files::render_errors(&errors, false)))
}

fn good_sets() -> impl Iterator<Item = Set> {
    GOOD.iter().map(|name| set(&format!("recipes/{name}.toml")))
}

/// Mean sliding speed (lower, upper) of a part's centre, m/s: positions in the turning frame of each plate, differentiated
/// numerically over many turns of the carrier.
fn sliding_speeds(set: &Set, step: &Step) -> [f64; 2] {
    let g = &set.machine.value.geometry;
    let (inner, outer) = (f64::from(g.teeth_inner), f64::from(g.teeth_outer));
    // Orbit and spin from tooth counts (reference values A2, A3).
    let orbit = (inner * step.speeds[0] + outer * step.speeds[1]) / (inner + outer);
    let spin = (outer * step.speeds[1] - inner * step.speeds[0]) / (outer - inner);
    let radius = g.module * (inner + outer) / 4.0;
    let rho = set.batch.value.outermost();
    [2, 3].map(|plate| {
        let at = |t: f64| {
            let (a, b) = (
                (orbit - step.speeds[plate]) * t,
                (spin - step.speeds[plate]) * t,
            );
            (
                radius * a.cos() + rho * b.cos(),
                radius * a.sin() + rho * b.sin(),
            )
        };
        let turn = TAU / (spin - orbit).abs();
        let n = 20_000;
        let path: f64 = (0..n)
            .map(|i| {
                let (from, to) = (
                    at(turn * f64::from(i) / f64::from(n)),
                    at(turn * f64::from(i + 1) / f64::from(n)),
                );
                (to.0 - from.0).hypot(to.1 - from.1)
            })
            .sum();
        path / turn
    })
}

/// Thickness removed per second by both faces, m/s (Preston).
fn thinning(set: &Set, step: &Step) -> f64 {
    let [lower, upper] = sliding_speeds(set, step);
    let removal = set.recipe.value.consumables.removal.expect("measured");
    removal * step.pressure * (lower + upper)
}

/// Resting load, nominal and on the worst machine of the envelope (heavier, less counterbalance), N.
fn resting(set: &Set) -> [f64; 2] {
    let m = &set.machine.value;
    let a = &m.actuator;
    let annulus = PI / 4.0 * (a.bore * a.bore - a.rod * a.rod);
    let (weight, lifted) = (a.mass * 9.806_65, annulus * a.counterbalance);
    [
        weight - lifted,
        weight * (1.0 + m.envelope.weight) - lifted * (1.0 - m.envelope.counterbalance),
    ]
}

#[test]
fn loads_are_those_of_the_table() {
    // Newtons by step, and the limit: the demonstration table (invented).
    let table = [
        ([177.0, 265.0], 350.0),
        ([241.0, 563.0], 670.0),
        ([778.0, 1361.0], 1700.0),
        ([1080.0, 2880.0], 3350.0),
        ([1856.0, 3711.0], 4550.0),
        ([1847.0, 2771.0], 3550.0),
    ];
    for (set, (loads, limit)) in good_sets().zip(table) {
        let area = set.batch.value.area();
        assert_eq!(set.recipe.value.steps.len(), 2);
        for (step, load) in set.recipe.value.steps.iter().zip(loads) {
            assert!(
                (step.pressure * area - load).abs() < 0.6,
                "{} {}",
                set.recipe.value.id,
                step.name
            );
            assert_eq!(step.load_limit, limit);
        }
    }
}

#[test]
fn teeth_mesh_and_carriers_and_parts_fit() {
    for set in good_sets() {
        let (g, b) = (&set.machine.value.geometry, &set.batch.value);
        // Reference values A1, A8, A9.
        assert_eq!(g.teeth_outer, g.teeth_inner + 2 * g.teeth_carrier);
        assert_eq!((g.teeth_inner + g.teeth_outer) % g.carriers, 0);
        let tip = g.module * (f64::from(g.teeth_carrier) + 2.0) / 2.0;
        let orbit = g.module * f64::from(g.teeth_inner + g.teeth_outer) / 4.0;
        assert!(2.0 * orbit * (PI / f64::from(g.carriers)).sin() > 2.0 * tip);
        assert!(b.pieces() <= b.pockets() * g.carriers);
        // A pocket stays inside the tooth roots (1.25 modules deep, ISO 53) and clear of its neighbours.
        let part = b.outline.outer_radius();
        let root = g.module * (f64::from(g.teeth_carrier) - 2.5) / 2.0;
        assert!(b.outermost() + part < root, "{}", b.id);
        assert!(
            b.outermost() * (PI / f64::from(b.pockets())).sin() > part,
            "{}",
            b.id
        );
        // Carrier no thicker than 80 % of the finished part (common practice, no source).
        assert!(b.carrier_thickness <= 0.8 * b.target, "{}", b.id);
        // Overrun of the plate edges up to a third of a part (common practice, no source).
        let over = (orbit + b.outermost() + part - g.plate_outer / 2.0)
            .max(g.plate_inner / 2.0 - (orbit - b.outermost() - part));
        assert!(over > 0.0 && over < 2.0 * part / 3.0, "{} {over}", b.id);
    }
}

#[test]
fn the_load_line_leaves_every_margin() {
    for set in good_sets() {
        let m = &set.machine.value;
        let (a, c, e) = (&m.actuator, &m.control, &m.envelope);
        let [rest, rest_worst] = resting(&set);
        let breakaway_worst = a.seal_breakaway * (1.0 + e.seal_friction);
        let full = PI / 4.0 * a.bore * a.bore * a.relief_pressure;
        assert!(rest >= 2.0 * a.seal_breakaway, "the plate hangs");
        assert!(c.initial_load >= 2.0 * (rest + a.seal_breakaway));
        // The mechanical relief caps the pressure, whatever the regulator's gain.
        assert!(rest_worst + full + breakaway_worst <= c.rated_load);
        // Hanging and pressing, the rod force stays inside the cell.
        assert!(m.cell.range > a.mass * 9.806_65 * (1.0 + e.weight));
        assert!(m.cell.range > c.rated_load - a.mass * 9.806_65);
        for step in &set.recipe.value.steps {
            let load = step.pressure * set.batch.value.area();
            let half = e.regulator_gain * (step.load_limit - c.initial_load)
                + a.seal_friction * (1.0 + e.seal_friction);
            assert!(
                step.load_limit - load >= 2.0 * half,
                "{}",
                set.recipe.value.id
            );
            assert!(step.load_limit < c.rated_load);
            assert!(step.ramp <= c.ramp_max);
            // Reached on the weakest machine, at the lowest supply too.
            let weakest =
                2.0 * rest - rest_worst + full * (1.0 - e.regulator_gain - e.regulator_offset);
            assert!(load < weakest - a.seal_friction * (1.0 + e.seal_friction));
            assert!(a.supply_pressure * (1.0 - e.supply) > a.relief_pressure.max(a.supply_minimum));
        }
    }
}

#[test]
fn first_contact_stays_under_the_initial_load_and_the_parts_strength() {
    for set in good_sets() {
        let (m, b) = (&set.machine.value, &set.batch.value);
        let (a, c) = (&m.actuator, &m.control);
        let [_, rest] = resting(&set);
        // Resting load + creep × √(k m), with the stiffest parts of the envelope.
        let stiffness = b.stiffness_per_area * b.area() * m.envelope.stiffness_factor;
        let peak = rest + a.speed_creep * (stiffness * a.mass).sqrt();
        assert!(peak < c.initial_load, "{}: {peak}", set.recipe.value.id);
        assert!(
            c.initial_load < c.first_contact_limit && c.first_contact_limit < 0.5 * c.rated_load
        );
        // The load can rest on three parts around the centre: at touch-down and still at the first step's load. One of them may have
        let first = set.recipe.value.steps[0].pressure * b.area();
        // most of it: by moments, the nearest to the centre against the outline of the pockets opposite, between two of five carriers.
        let (inner, outer) = (
            f64::from(m.geometry.teeth_inner),
            f64::from(m.geometry.teeth_outer),
        );
        let orbit = m.geometry.module * (inner + outer) / 4.0;
        assert_eq!(m.geometry.carriers, 5);
        let far = orbit * (PI / 5.0).cos() + b.outermost();
        let most = first * far / (far + orbit - b.outermost());
        let band = c.band_newtons.max(c.band_share * first) / first;
        assert!(most * (1.0 + band) < b.strength, "{}: {most} N", b.id);
        // A doubled part is noticed.
        assert!(c.contact_tolerance < b.target / 2.0);
    }
}

#[test]
fn drives_slurry_and_film_are_enough() {
    for set in good_sets() {
        let (m, r) = (&set.machine.value, &set.recipe.value);
        let [rest, rest_worst] = resting(&set);
        let rest_least = 2.0 * rest - rest_worst;
        // Friction acts at the mean radius of the plate: a rough figure, enough for a margin.
        let radius = (m.geometry.plate_outer + m.geometry.plate_inner) / 4.0;
        let friction = r.consumables.friction;
        for step in &r.steps {
            let load = step.pressure * set.batch.value.area();
            let torque = friction * (1.0 + m.envelope.friction) * load * radius;
            for (drive, speed) in m.drives.iter().zip(step.speeds) {
                assert!(speed.abs() <= drive.speed);
            }
            for plate in [2, 3] {
                assert!(
                    torque + m.drives[plate].drag <= m.drives[plate].torque,
                    "{}: {torque}",
                    r.id
                );
            }
            assert!(step.flow <= m.slurry.flow_max && step.flow >= 1.5 * m.slurry.flow_min);
        }
        for plate in [2, 3] {
            let drive = &m.drives[plate];
            let least = friction * (1.0 - m.envelope.friction) * rest_least * radius + drive.drag;
            let coast = drive.inertia * drive.speed / least;
            assert!(coast < m.slurry.film_life, "{}: {coast}", m.id);
            assert!(drive.speed / m.control.drive_ramp < m.control.stop_time);
        }
        // Pre-start: line filled with time to wet the gap.
        let fill = m.slurry.line_volume / r.prestart_flow;
        assert!(
            r.prestart >= 1.5 * fill && r.prestart >= 20.0,
            "{}: {fill}",
            r.id
        );
    }
}

#[test]
fn stock_time_and_size_agree() {
    for set in good_sets() {
        let (r, b, m) = (&set.recipe.value, &set.batch.value, &set.machine.value);
        let slow = 1.0 - m.envelope.removal;
        let (mut removed, mut removed_least, mut cycle) = (0.0, 0.0, 0.0);
        for step in &r.steps {
            let rate = thinning(&set, step);
            let (depth, least) = match step.end {
                End::Time { seconds } => (rate * seconds, rate * seconds * slow),
                End::Stock { depth } => (depth, depth),
                End::Size { thickness } => (
                    b.thickness - thickness - removed,
                    b.thickness - thickness - removed_least,
                ),
            };
            let ramp = step.pressure * b.area() / step.ramp;
            assert!(
                least / (rate * slow) + ramp < step.longest,
                "{} {}",
                r.id,
                step.name
            );
            removed += depth;
            removed_least += least;
            cycle += depth / rate + ramp;
        }
        let wanted = b.thickness - b.target;
        // What load release and run-down still take off is left over for them: at most 2 µm.
        let rest = wanted - removed;
        assert!(rest > -1e-7 && rest < 2e-6, "{}: {rest:e}", r.id);
        assert!(wanted - removed_least < b.tolerance, "{}", r.id);
        assert!(removed_least / 2.0 > b.damage, "{}: damage left", r.id);
        assert!(
            removed_least / 2.0 > 2.0 * b.spread,
            "{}: low parts not reached",
            r.id
        );
        let settles_at = r.consumables.roughness.expect("measured");
        let roughness = settles_at
            + (b.roughness - settles_at)
                * (-removed_least / 2.0 / r.consumables.settle_depth).exp();
        assert!(roughness < b.finish, "{}: {roughness:e}", r.id);
        // Descent, touch-down, run-up, release, run-down, lift: about 90 s besides.
        assert!(
            cycle + r.prestart + r.rinse + 90.0 < 480.0,
            "{}: {cycle}",
            r.id
        );
    }
}

/// The three lines that name a file, and the comments above them, may differ; beside them exactly one line.
#[test]
fn each_bad_case_differs_in_exactly_one_respect() {
    let text = |path: PathBuf| {
        std::fs::read_to_string(&path).unwrap_or_else(|_| panic!("{}", path.display()))
    };
    let lines = |text: &str| -> Vec<String> {
        let named = ["#", "id =", "title =", "machine =", "batch ="];
        text.lines()
            .filter(|line| !named.iter().any(|start| line.starts_with(start)))
            .map(str::to_owned)
            .collect()
    };
    let differences = |bad: &str, good: &str| {
        let (bad, good) = (lines(bad), lines(good));
        assert_eq!(bad.len(), good.len());
        bad.iter().zip(&good).filter(|(a, b)| a != b).count()
    };
    let readme = text(recipes().join("README.md"));
    let mut cases = 0;
    for entry in std::fs::read_dir(recipes().join("bad")).expect("bad") {
        let path = entry.expect("entry").path();
        if path.extension().is_none_or(|e| e != "toml") {
            continue;
        }
        let name = path
            .file_name()
            .expect("name")
            .to_string_lossy()
            .into_owned();
        let row = readme
            .lines()
            .find(|line| line.starts_with(&format!("| `bad/{name}`")))
            .unwrap_or_else(|| panic!("{name} is not in the README"));
        let base = row.split('`').nth(3).expect("base");
        let (bad, good) = (
            set(&format!("bad/{name}")),
            set(&format!("recipes/{base}.toml")),
        );
        let count = differences(&bad.recipe.text, &good.recipe.text)
            + differences(&bad.machine.text, &good.machine.text)
            + differences(&bad.batch.text, &good.batch.text);
        assert_eq!(count, 1, "{name}");
        // The README quotes the changed line.
        let changed = row.split('`').nth(5).expect("changed");
        let all = [&bad.recipe.text, &bad.machine.text, &bad.batch.text];
        assert!(
            all.iter()
                .any(|text| text.lines().any(|line| line == changed)),
            "{name}: {changed}"
        );
        cases += 1;
    }
    assert!(cases >= 10, "{cases}");
}

//! Known actuators from logs made elsewhere: how often the intervals hold the truth; what cannot be told is not told.

use std::fmt::Write as _;
use twinplate_calibrate::actuator::{ActuatorReport, calibrate};
use twinplate_calibrate::least_squares::Estimate;
use twinplate_sim::demo;
use twinplate_sim::files::ActuatorKey;
use twinplate_sim::model::{G, Machine};
use twinplate_sim::plant::seed::substream;

/// Made by `scipy/actuator.py`; format there.
const KNOWN: &str = include_str!("data/actuator.csv");
const HEAD: &str = "test, run, time [s], command [%], load [N], rod [Pa], speed [mm/s]\n";
/// Noisy logs of each of the twelve actuators.
const REPEATS: u64 = 17;
/// Commands of the steps, %, and rows of each.
const STEPS: [f64; 7] = [20.0, 30.0, 60.0, 40.0, 25.0, 55.0, 20.0];
const DWELL: usize = 180;
/// Speeds of the motions, mm/s.
const SPEEDS: [f64; 4] = [0.25, 4.0, 10.0, 20.0];

/// Machine A with a cell that adds nothing of its own: scipy's has none but its filter.
fn machine() -> Machine {
    let mut machine = demo::machine("machine-a");
    machine.geometry.runout_ripple = 0.0;
    machine.cell.creep = [0.0; 2];
    machine.cell.nonlinearity = 0.0;
    machine.cell.lash = 0.0;
    machine
}

/// One known actuator: its truth, and loads of sweep, steps, dump and forces of motions.
struct Known {
    truth: Vec<f64>,
    series: [Vec<f64>; 4],
}

fn known() -> Vec<Known> {
    let numbers = |line: &str| -> Vec<f64> {
        line.split(',')
            .map(|n| n.parse().expect("a number"))
            .collect()
    };
    KNOWN
        .split("\n=")
        .skip(1)
        .map(|text| {
            let mut lines = text.lines();
            let truth = numbers(lines.next().expect("truth"));
            let series = std::array::from_fn(|_| numbers(lines.next().expect("a series")));
            Known {
                truth: truth[1..].to_vec(),
                series,
            }
        })
        .collect()
}

/// Normal numbers (Box and Muller) from a named stream of bits.
struct Noise(u64, u64);

impl Noise {
    fn next(&mut self) -> f64 {
        let mut uniform = || {
            self.1 += 1;
            let bits = substream(self.0, "calibrate", "noise", self.1) >> 11;
            (bits as f64 + 0.5) / (1_u64 << 53) as f64
        };
        let (a, b) = (uniform(), uniform());
        (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

/// The sheet of an actuator with noise of so many newtons.
fn sheet(known: &Known, seed: u64, newtons: f64) -> String {
    let mut noise = Noise(seed, 0);
    let mut text = HEAD.to_owned();
    let [sweep, steps, dump, motions] = &known.series;
    for (n, load) in sweep.iter().enumerate() {
        let time = 0.1 * n as f64;
        let up = 10.0 + 0.5 * time;
        let command = if up < 60.0 { up } else { 120.0 - up };
        let _ = writeln!(
            text,
            "sweep, , {time:.1}, {command:.4}, {:.3}, ,",
            load + newtons * noise.next()
        );
    }
    for (n, load) in steps.iter().enumerate() {
        let (time, command) = (300.0 + 5e-3 * n as f64, STEPS[n / DWELL]);
        let _ = writeln!(
            text,
            "step, , {time:.3}, {command}, {:.3}, ,",
            load + newtons * noise.next()
        );
    }
    for (n, load) in dump.iter().enumerate() {
        let time = 400.0 + 1e-2 * n as f64;
        let _ = writeln!(
            text,
            "dump, , {time:.2}, , {:.3}, ,",
            load + newtons * noise.next()
        );
    }
    let area = machine().actuator.area_rod();
    for (n, force) in motions.iter().enumerate() {
        let word = if n < SPEEDS.len() { "lower" } else { "lift" };
        for _ in 0..8 {
            // The gauge scatters by some 60 Pa.
            let rod = force / area + 200.0 * newtons * noise.next();
            let _ = writeln!(
                text,
                "{word}, {n}, , , , {rod:.2}, {}",
                SPEEDS[n % SPEEDS.len()]
            );
        }
    }
    text
}

fn read(text: &str) -> ActuatorReport {
    calibrate("log.csv", text.as_bytes(), &machine()).unwrap_or_else(|errors| panic!("{errors:#?}"))
}

fn found(report: &ActuatorReport, key: ActuatorKey) -> Result<Estimate, String> {
    report
        .keys
        .iter()
        .find(|told| told.key == key)
        .expect("every key")
        .found
        .clone()
}

#[test]
fn ninety_five_per_cent_intervals_hold_the_truth_as_often() {
    let mut held: std::collections::BTreeMap<&str, (u32, u32)> = std::collections::BTreeMap::new();
    let area = machine().actuator.area_cap();
    for (number, known) in known().iter().enumerate() {
        let t = &known.truth;
        let truths = [
            (ActuatorKey::ReliefPressure, t[0] / area),
            (ActuatorKey::Play, t[3]),
            (ActuatorKey::Resolution, t[4]),
            (ActuatorKey::DeadTime, t[5]),
            (ActuatorKey::Lag, t[6]),
            (ActuatorKey::Slew, t[7]),
            (ActuatorKey::DumpLag, t[8]),
            (ActuatorKey::Mass, t[9] / G),
            (ActuatorKey::SealBreakaway, t[10]),
            (ActuatorKey::SealFriction, t[11]),
        ];
        for repeat in 0..REPEATS {
            let seed = 1000 * number as u64 + repeat;
            let report = read(&sheet(known, seed, 0.1 + 0.02 * repeat as f64));
            assert!(report.holds, "{number}: {:?}", report.breaks);
            let mut note = |name, found: Estimate, truth: f64| {
                let (some, all) = held.entry(name).or_default();
                *some += u32::from(found.low <= truth && truth <= found.high);
                *all += 1;
            };
            for (key, truth) in truths {
                if let Ok(found) = found(&report, key) {
                    note(key.name(), found, truth);
                }
            }
            note("offset", report.offset.expect("told"), t[1]);
            let swept = report.swept.as_ref().expect("told");
            note("hysteresis", swept.hysteresis, t[3] + t[4]);
        }
    }
    for (name, (some, all)) in &held {
        assert!(*all >= 195, "{name} was told {all} times");
        let share = f64::from(*some) / f64::from(*all);
        // A count of the command is known to be uniform, and its interval is wider than all of it: those may hold always.
        let most = if *name == "resolution" { 1.0 } else { 0.99 };
        assert!(
            (0.90..=most).contains(&share),
            "{name}: {some} of {all}; all: {held:?}"
        );
    }
}

/// Every test by itself tells its own keys and says of the others why it does not.
#[test]
fn a_test_tells_its_own_keys_and_no_others() {
    let known = &known()[0];
    let whole = sheet(known, 1, 0.2);
    let only = |tests: &[&str]| {
        let rows = whole
            .lines()
            .filter(|line| tests.iter().any(|test| line.starts_with(test)));
        read(&rows.fold(HEAD.to_owned(), |text, line| text + line + "\n"))
    };
    let told = |report: &ActuatorReport| -> Vec<&'static str> {
        let told = report.keys.iter().filter(|told| told.found.is_ok());
        told.map(|told| told.key.name()).collect()
    };
    assert_eq!(
        told(&only(&["sweep"])),
        ["relief-pressure", "play", "resolution"]
    );
    assert_eq!(told(&only(&["step"])), ["dead-time", "lag", "slew"]);
    assert_eq!(told(&only(&["dump"])), ["dump-lag"]);
    assert_eq!(
        told(&only(&["lower", "lift"])),
        ["mass", "seal-friction", "seal-breakaway"]
    );
    // One slow motion down and up, twice: friction at standstill's edge alone.
    let slow: String = whole
        .lines()
        .filter(|line| line.ends_with(" 0.25"))
        .fold(HEAD.to_owned(), |text, line| {
            text + line + "\n" + &line.replacen(", ", ", again", 1) + "\n"
        });
    let slow = slow.replace("lower, again0,", "lower, x,");
    let report = read(&slow);
    assert!(found(&report, ActuatorKey::SealFriction).is_err());
    assert!(found(&report, ActuatorKey::SealBreakaway).is_ok() || !told(&report).is_empty());
    let why = found(&only(&["sweep"]), ActuatorKey::Lag).expect_err("no steps");
    assert!(why.contains("`step`"), "{why}");
}

/// A line that bends by more than the file's can, and an answer of another kind, are said and not taken for the model.
#[test]
fn another_regulator_is_no_such_model() {
    let mut bent = known().remove(0);
    for load in &mut bent.series[0] {
        *load += 2e-4 * *load * *load;
    }
    let report = read(&sheet(&bent, 1, 0.2));
    assert!(
        !report.holds && report.breaks[0].contains("bends"),
        "{:?}",
        report.breaks
    );
    let mut other = known().remove(0);
    // It rings.
    for (n, load) in other.series[1].iter_mut().enumerate() {
        let t = 5e-3 * (n % DWELL) as f64;
        *load += 60.0 * (-4.0 * t).exp() * (40.0 * t).sin();
    }
    let report = read(&sheet(&other, 1, 0.2));
    assert!(
        !report.holds && report.breaks[0].contains("leave"),
        "{:?}",
        report.breaks
    );
}

/// Steps of one size, all alike, tell slew and dead time apart by the form of the answer alone: the interval is wider, not wrong.
#[test]
fn without_noise_the_truth_comes_back() {
    let known = &known()[0];
    let report = read(&sheet(known, 1, 1e-4));
    let near = |key: ActuatorKey, truth: f64, share: f64| {
        let found = found(&report, key).expect("told").value;
        assert!(
            (found / truth - 1.0).abs() < share,
            "{}: {found}, {truth}",
            key.name()
        );
    };
    near(ActuatorKey::Lag, known.truth[6], 1e-3);
    near(ActuatorKey::Slew, known.truth[7], 2e-3);
    near(ActuatorKey::DumpLag, known.truth[8], 1e-3);
    near(
        ActuatorKey::ReliefPressure,
        known.truth[0] / machine().actuator.area_cap(),
        1e-3,
    );
    near(ActuatorKey::SealFriction, known.truth[11], 1e-3);
}

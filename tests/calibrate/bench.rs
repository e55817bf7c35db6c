//! Logs of the project's own drawn machines, read as a shop would read them: the draw's values come back within their intervals.

use crate::rig::Rig;
use crate::shop::{holds, windows};
use std::fmt::Write as _;
use std::sync::Mutex;
use twinplate_calibrate::keys::KeysReport;
use twinplate_calibrate::{heat, plates, removal, slurry};
use twinplate_sim::bench::{Drawn, Ended, Job, Outcome, TraceRecorder, run_batches, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::files::{FileError, Overrides, load_set};
use twinplate_sim::math::{exp, log};
use twinplate_sim::model::{Deviations, End, Machine};
use twinplate_sim::plant::envelope::draw;

/// Numbers in 0..1 and normal ones from a counter: what people misread is no part of the simulation.
struct Random(u64);

impl Random {
    fn uniform(&mut self, low: f64, high: f64) -> f64 {
        // SplitMix64 (Steele, Lea and Flood 2014, from memory).
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        low + (high - low) * (z >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self, deviation: f64) -> f64 {
        let (a, b) = (self.uniform(1e-12, 1.0), self.uniform(0.0, 1.0));
        deviation * (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }

    fn share(&mut self, deviation: f64) -> f64 {
        exp(self.normal(deviation))
    }
}

fn read(found: Result<KeysReport, Vec<FileError>>, sheet: &str) -> KeysReport {
    match found {
        Ok(report) => report,
        Err(errors) => panic!("{errors:#?}\n{sheet}"),
    }
}

/// Does a thing for each number on two threads, and gives what came of it in order.
fn each<T: Send>(count: u64, of: impl Fn(u64) -> T + Sync) -> Vec<T> {
    let all = Mutex::new(Vec::new());
    std::thread::scope(|scope| {
        for half in 0..2 {
            let (all, of) = (&all, &of);
            scope.spawn(move || {
                for number in (0..count).filter(|n| n % 2 == half) {
                    let found = of(number);
                    all.lock().expect("no panic").push((number, found));
                }
            });
        }
    });
    let mut all = all.into_inner().expect("no panic");
    all.sort_by_key(|(number, _)| *number);
    all.into_iter().map(|(_, found)| found).collect()
}

/// Fewest of so many 95 % intervals that may hold the truth: fewer come by chance once in a thousand (binomial tail, scipy 1.17.1,
/// `stats.binom.ppf(0.001, n, 0.95)`).
fn enough(what: &str, held: &[bool]) {
    let least = match held.len() {
        40 => 33,
        48 => 40,
        12 => 9,
        16 => 12,
        n => panic!("no bound for {n}"),
    };
    let kept = held.iter().filter(|held| **held).count();
    println!("{what}: {kept} of {}", held.len());
    assert!(
        kept >= least,
        "{what}: {kept} of {} hold the draw's value",
        held.len()
    );
}

/// The glass recipe with so much pressure for so long.
fn trial(pressure: f64, seconds: f64) -> Job {
    let (machine, batch, mut recipe) = demo::set("glass-f800");
    recipe.steps[0].end = End::Time { seconds: 10.0 };
    recipe.steps[1].pressure = pressure;
    recipe.steps[1].end = End::Time { seconds };
    Job::new(machine, batch, recipe).expect("like the demonstration job")
}

fn thickness(outcome: &Outcome) -> [f64; 2] {
    let count = outcome.parts.len() as f64;
    let mean = |of: &dyn Fn(&twinplate_sim::plant::PartTruth) -> f64| {
        outcome.parts.iter().map(of).sum::<f64>() / count
    };
    [
        mean(&|part| part.thickness + part.removed_lower + part.removed_upper),
        mean(&|part| part.thickness),
    ]
}

/// Forty machines drawn from the envelope, removal among what differs; on each, trials at several pressures with `run --trace`, thicknesses
/// measured to 0.1 µm. The recipe's `removal` times the draw's factor is what must come back.
#[test]
fn traces_and_thicknesses_give_back_the_drawn_removal() {
    const MACHINES: u64 = 40;
    let jobs =
        [(6.5e3, 150.0), (9e3, 120.0), (10e3, 100.0), (9e3, 160.0)].map(|(p, t)| trial(p, t));
    let recipe = demo::folder().join("recipes/glass-f800.toml");
    let set = load_set(&recipe, &Overrides::default()).expect("the demonstration set");
    let stated = set.recipe.value.consumables.removal.expect("given");
    let found = each(MACHINES, |number| {
        let dev = draw(&jobs[0].machine.envelope, 71, number + 1);
        let mut random = Random(number);
        let mut sheet = "before [mm], after [mm], trace\n".to_owned();
        let mut traces = Vec::new();
        for (n, job) in jobs.iter().enumerate() {
            let setup = job.setup(dev, 1000 * number + n as u64);
            let outcome = run_cycle(&setup, None, TraceRecorder::new(900_000, 200)).expect("a run");
            assert_eq!(outcome.ended, Ended::Complete);
            let [before, after] = thickness(&outcome).map(|t| t * 1e3 + random.normal(1e-4));
            let mut trace = Vec::new();
            let rows = outcome.trace.expect("recorded");
            rows.write_csv(&mut trace).expect("written");
            let _ = writeln!(sheet, "{before:.6}, {after:.6}, {n}");
            traces.push(trace);
        }
        let open = |name: &str| {
            let n = name.parse::<usize>().map_err(|error| error.to_string())?;
            traces
                .get(n)
                .cloned()
                .ok_or_else(|| "no such trace".to_owned())
        };
        let report = removal::calibrate_with("trials.csv", sheet.as_bytes(), Some(&set), &open);
        let report = report.unwrap_or_else(|errors| panic!("{errors:#?}"));
        let told = report.coefficients[0].fresh;
        let truth = stated * dev.removal;
        [
            log(told.low / truth),
            log(told.value / truth),
            log(told.high / truth),
        ]
    });
    let held: Vec<bool> = found
        .iter()
        .map(|[low, _, high]| *low <= 0.0 && *high >= 0.0)
        .collect();
    let mean = found.iter().map(|[_, off, _]| off).sum::<f64>() / MACHINES as f64;
    let scatter = (found
        .iter()
        .map(|[_, off, _]| (off - mean).powi(2))
        .sum::<f64>()
        / (MACHINES - 1) as f64)
        .sqrt();
    println!(
        "off by {:.3} % in the mean, {:.3} % scatter",
        100.0 * mean,
        100.0 * scatter
    );
    enough("removal", &held);
    // No bias that the intervals only hide: the mean of all is off by less than what a single one scatters.
    assert!(mean.abs() < scatter, "{mean} {scatter}");
}

/// Twelve pairs of plates that wear otherwise, on machines drawn from the envelope, ten batches each; a straightedge that is read to
/// 0.1 µm before the first and after each.
#[test]
fn forms_over_batches_give_back_the_drawn_wear() {
    let set = windows();
    let found = each(12, |number| {
        let mut random = Random(100 + number);
        let mut machine = set.machine.value.clone();
        let wear = random.uniform(0.05, 0.3);
        machine.plates.wear = wear;
        machine.plates.form = [random.uniform(-2e-6, 2e-6), random.uniform(-2e-6, 2e-6)];
        machine.conditioning = None;
        let mut recipe = set.recipe.value.clone();
        recipe.flatness = None;
        let begin = machine.plates.form;
        let job = Job::new(machine, set.batch.value.clone(), recipe).expect("a job");
        let mut sheet = "removed [µm], lower [µm], upper [µm]".to_owned();
        let mut row = |removed: f64, form: [f64; 2]| {
            let [a, b] = form.map(|form| form * 1e6 + random.normal(0.1));
            let _ = write!(sheet, "\n{removed:.4}, {a:.4}, {b:.4}");
        };
        row(0.0, begin);
        let (mut removed, mut last) = (0.0, begin);
        let drawn = Drawn {
            seed: 72,
            index: number + 1,
        };
        run_batches(&job, drawn, 10, |one| {
            let [before, after] = thickness(&one.outcome);
            removed += (before - after) * 1e6;
            last = one.outcome.summary.form.cold;
            row(removed, last);
        })
        .expect("runs");
        let report = read(
            plates::calibrate(
                "forms.csv",
                sheet.as_bytes(),
                &set.machine.value,
                Some(&set),
            ),
            &sheet,
        );
        let told = report.keys[0].told().map(|e| e.value / wear);
        println!("wear {wear:.3}: {told:?} of it; {:?}", report.findings);
        [
            holds(&report, "wear", 100.0 * wear).expect("told"),
            holds(&report, "form-lower", last[0] * 1e6).expect("told"),
            holds(&report, "form-upper", last[1] * 1e6).expect("told"),
        ]
    });
    for (n, name) in ["wear", "form-lower", "form-upper"].into_iter().enumerate() {
        let held: Vec<bool> = found.iter().map(|held| held[n]).collect();
        enough(name, &held);
    }
}

/// A rig of the small machine with its tables changed.
fn rig(dev: &Deviations, change: &dyn Fn(&mut Machine)) -> Rig {
    Rig::plain(dev, |machine, _, consumables| {
        (consumables.friction, consumables.friction_dry) = (0.3, 0.35);
        change(machine);
    })
}

/// Seconds until something is so.
fn until(rig: &mut Rig, done: impl Fn(&Rig) -> bool) -> f64 {
    for n in 0..3_000_000_u32 {
        if done(rig) {
            return f64::from(n) * 1e-3;
        }
        rig.tick();
    }
    panic!("never: {:?}", rig.plant.truth());
}

fn reading(rig: &Rig) -> f64 {
    f64::from(rig.plant.inputs().slurry_flow)
}

/// What somebody with a stopwatch and a bucket writes down of a slurry system.
struct Sheet(String);

impl Sheet {
    fn row(&mut self, cells: std::fmt::Arguments<'_>) {
        let _ = write!(self.0, "\n{cells}");
    }

    /// The pump at a setting, in per mille: the line, the flow, the wetting, the rinse water.
    fn pump(&mut self, mut one: Rig, pump: u16, random: &mut Random) {
        one.out.pump = pump;
        let filled = until(&mut one, |rig| reading(rig) > 0.0) + 0.3 + random.normal(0.1);
        let mut later = one.plant.clone();
        for _ in 0..12_000 {
            later.step(&one.out);
        }
        let full = f64::from(later.inputs().slurry_flow);
        let risen = until(&mut one, |rig| reading(rig) > 0.632 * full);
        let wet = until(&mut one, |rig| rig.plant.truth().film >= 1.0);
        let setting = f64::from(pump) / 10.0;
        self.row(format_args!("fill,,{full},,{filled:.2},,,"));
        self.row(format_args!("rise,,,,{:.3},,,", risen * random.share(0.05)));
        let wet = (risen + wet) * random.share(0.03);
        self.row(format_args!("wet,{setting},,,{wet:.3},,,"));
        let volume = later.truth().flow * 1e6 * 30.0 * random.share(0.015);
        self.row(format_args!("flow,{setting},,{volume:.1},30,,,"));
        one.out.rinse = true;
        one.run(8000);
        let volume = one.plant.truth().rinse_flow * 1e6 * 30.0 * random.share(0.015);
        self.row(format_args!("rinse,,,{volume:.1},30,,,"));
    }

    /// A wetted gap that laps on without slurry.
    fn film(&mut self, one: Rig, (press, turns): (f64, f64), random: &mut Random) {
        let mut one = one.seated();
        one.out.pump = 1000;
        one.run(60_000);
        let speeds = [14.0, 5.0, 28.0, -14.0].map(|n| n * turns);
        one.press(press).turn(speeds).run(10_000);
        let least = one.machine.slurry.flow_min;
        one.out.pump = 0;
        until(&mut one, |rig| rig.plant.truth().flow < least);
        let lived = until(&mut one, |rig| rig.plant.truth().film < 1.0) * random.share(0.03);
        let truth = one.plant.truth();
        let drives = &one.machine.drives;
        let full = one.machine.geometry.radius_orbit() * drives[2].speed.max(drives[3].speed);
        let speed = 100.0 * 0.5 * (truth.sliding[0] + truth.sliding[1]) / full;
        let load = 100.0 * truth.load_without_runout / one.machine.actuator.resting_load();
        self.row(format_args!("film,,,,{lived:.2},,{speed:.2},{load:.2}"));
    }

    /// Samples of the tank while it settles, and once it has settled while it is stirred.
    fn tank(&mut self, mut one: Rig, random: &mut Random) {
        one.out.agitator = false;
        for seconds in [50, 90, 130] {
            one.run(if seconds == 50 { 50_000 } else { 40_000 });
            let left = 100.0 * one.plant.truth().suspended * random.share(0.02);
            self.row(format_args!("settle,,,,{seconds},{left:.3},,"));
        }
        one.run(1_100_000);
        one.out.agitator = true;
        for seconds in [8, 14, 20] {
            one.run(if seconds == 8 { 8000 } else { 6000 });
            let gone = 100.0 * (1.0 - one.plant.truth().suspended) * random.share(0.02);
            self.row(format_args!("stir,,,,{seconds},{:.3},,", 100.0 - gone));
        }
    }
}

const SLURRY: [&str; 8] = [
    "flow-max",
    "line-volume",
    "line-lag",
    "film-life",
    "wet-time",
    "settle-time",
    "stir-time",
    "rinse-flow",
];

/// How far off the estimate is, as a share of the truth, and whether the interval holds it.
fn told(report: &KeysReport, name: &str, truth: f64) -> (bool, f64) {
    let key = report.keys.iter().find(|key| key.name == name).expect(name);
    let found = key
        .told()
        .unwrap_or_else(|| panic!("{name}: {:?}", report.findings));
    (
        holds(report, name, truth).expect("told"),
        key.typed(found.value) / truth,
    )
}

fn count<const N: usize>(names: [&str; N], found: &[[(bool, f64); N]]) {
    for (n, name) in names.into_iter().enumerate() {
        let off = found.iter().map(|all| all[n].1).sum::<f64>() / found.len() as f64;
        println!("{name}: {off:.4} of the truth in the mean");
    }
    for (n, name) in names.into_iter().enumerate() {
        let held: Vec<bool> = found.iter().map(|all| all[n].0).collect();
        enough(name, &held);
    }
}

/// Twelve slurry systems drawn, on machines drawn from the envelope.
#[test]
fn stopwatch_and_bucket_give_back_the_drawn_slurry_system() {
    let envelope = demo::machine("machine-a").envelope;
    let found = each(12, |number| {
        let mut random = Random(200 + number);
        let mut drawn = |low: f64, high: f64| random.uniform(low, high);
        let truth = [
            drawn(0.2, 0.5),
            drawn(0.03, 0.08),
            drawn(0.3, 1.0),
            drawn(20.0, 60.0),
            drawn(2.0, 6.0),
            drawn(80.0, 160.0),
            drawn(8.0, 20.0),
            drawn(0.3, 0.8),
        ];
        let [pump, line, lag, film, wet, settle, stir, rinse] = truth;
        let change = move |machine: &mut Machine| {
            let s = &mut machine.slurry;
            (s.flow_max, s.line_volume, s.line_lag) = (pump / 60e3, line * 1e-3, lag);
            (s.film_life, s.wet_time, s.settle_time) = (film, wet, settle);
            (s.stir_time, s.rinse_flow, s.flow_min) = (stir, rinse / 60e3, 0.3 * pump / 60e3);
        };
        let dev = draw(&envelope, 73, number + 1);
        let heads =
            "what, pump [%], flow [mL/min], volume [mL], time [s], share [%], speed [%], load [%]";
        let mut sheet = Sheet(heads.to_owned());
        for pump in [1000, 700, 500, 1000, 600] {
            sheet.pump(rig(&dev, &change), pump, &mut random);
        }
        for how in [(0.1, 1.0), (0.2, 1.5), (0.15, 2.0), (0.1, 2.0)] {
            sheet.film(rig(&dev, &change), how, &mut random);
        }
        sheet.tank(rig(&dev, &change), &mut random);
        let report = read(slurry::calibrate("sheet.csv", sheet.0.as_bytes()), &sheet.0);
        assert!(report.fits(), "{:?}", report.contradicted);
        // In mL and mL/min, as the sheet has them.
        std::array::from_fn(|n| {
            let size = if [0, 1, 7].contains(&n) { 1e3 } else { 1.0 };
            told(&report, SLURRY[n], truth[n] * size)
        })
    });
    count(SLURRY, &found);
}

/// A row of a log of temperatures as somebody reads it.
fn temperatures(one: &Rig, random: &mut Random) -> String {
    let truth = one.plant.truth();
    let thermal = &one.machine.thermal;
    let [lower, upper] = [0, 1].map(|face| {
        let read = one.plant.inputs().plate_temperature[face].value;
        f64::from(read) / 100.0 + random.normal(0.03)
    });
    let drives = truth
        .torques
        .iter()
        .zip(&truth.speeds)
        .zip(&one.machine.drives);
    let power: f64 = drives
        .map(|((torque, speed), drive)| torque * speed - drive.drag * speed.abs())
        .sum();
    let warm = truth.temperatures.iter().sum::<f64>() - 2.0 * thermal.ambient;
    let carried = (thermal.cooling * warm * random.share(0.03)).max(0.0);
    let power = power.max(0.0) * random.share(0.005);
    let time = truth.tick as f64 * 1e-3;
    format!("\n{time:.1}, {lower:.3}, {upper:.3}, {power:.2}, {carried:.3}")
}

/// Twelve pairs of plates that warm otherwise: pressed and turned, left to cool, and again.
#[test]
fn a_log_of_temperatures_gives_back_the_drawn_heat() {
    let envelope = demo::machine("machine-a").envelope;
    let found = each(12, |number| {
        let mut random = Random(300 + number);
        let [capacity, cooling] = [(6e3, 15e3), (40.0, 90.0)].map(|(a, b)| random.uniform(a, b));
        let [share, room] = [(0.2, 0.7), (18.0, 26.0)].map(|(a, b)| random.uniform(a, b));
        let change = move |machine: &mut Machine| {
            let t = &mut machine.thermal;
            (t.capacity, t.cooling, t.slurry_share, t.ambient) = (capacity, cooling, share, room);
        };
        let lag = capacity / cooling;
        let mut one = rig(&draw(&envelope, 74, number + 1), &change).seated();
        one.out.pump = 1000;
        one.run(60_000);
        let mut sheet = "time [s], lower [°C], upper [°C], power [W], carried [W]".to_owned();
        for (turns, lasts) in [(0.0, 0.1), (1.0, 1.2), (0.0, 1.0), (0.7, 0.8)] {
            let speeds = [28.0, 10.0, 56.0, -28.0].map(|n| n * turns);
            one.press(if turns > 0.0 { 0.7 } else { 0.05 }).turn(speeds);
            let end = one.plant.truth().tick + (lasts * lag * 1e3) as u64;
            // Speeds and loads change within seconds.
            let mut dense = 30;
            while one.plant.truth().tick < end {
                one.run(if dense > 0 { 500 } else { (lag * 50.0) as u32 });
                dense -= 1;
                sheet += &temperatures(&one, &mut random);
            }
        }
        let report = read(heat::calibrate("sheet.csv", sheet.as_bytes(), None), &sheet);
        [
            told(&report, "capacity", capacity / 1e3),
            told(&report, "cooling", cooling),
            told(&report, "slurry-share", 100.0 * share),
            told(&report, "ambient", room),
        ]
    });
    count(["capacity", "cooling", "slurry-share", "ambient"], &found);
}

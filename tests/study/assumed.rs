//! Machines from what stands on their plates: how little that is, that a verdict on it is no bolder than on the full file, and that the
//! measuring list agrees with runs made here.

use std::path::{Path, PathBuf};
use twinplate_check::assumed::{AssumedReport, FIRST};
use twinplate_check::check::{Checked, Request, check};
use twinplate_check::predict::predict;
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::Verdict;
use twinplate_check::{Case, Severity, static_check};
use twinplate_sim::assumed::{Width, assumed, rules};
use twinplate_sim::bench::{Drawn, Job, NoRecorder, run_cycle};
use twinplate_sim::demo;
use twinplate_sim::files::{Overrides, Set, load_machine, load_set, parse_machine};
use twinplate_sim::model::{Deviations, Machine};
use twinplate_sim::requirements::{RunJudgement, judge};

/// Draws in the quick check of a short file; the long one makes the 200 of `check`.
const DRAWS: usize = 16;

fn recipes() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes")
}

fn short_path(machine: &str) -> PathBuf {
    recipes().join(format!("variants/machines/{machine}-short.toml"))
}

fn short(machine: &str) -> Machine {
    load_machine(&short_path(machine)).expect("reads").value
}

fn checked(case: &Case, draws: usize) -> Checked {
    let request = Request {
        trials: TrialPlan {
            draws,
            threads: 2,
            seed: 1,
        },
        locate: &|_| None,
        waivers: &[],
        replay: &|run| run.to_string(),
        progress: &|_| (),
    };
    check(case, &request).expect("a controller in this process")
}

fn short_check(recipe: &str, draws: usize) -> (Checked, Machine) {
    let (full, batch, recipe) = demo::set(recipe);
    let machine = short(&full.id);
    let case = Case {
        machine: &machine,
        batch: &batch,
        recipe: &recipe,
    };
    (checked(&case, draws), machine)
}

/// What is typed into a short file: every value but its format, name and title.
#[test]
fn twenty_five_values_make_a_machine() {
    for machine in demo::machines() {
        let text = std::fs::read_to_string(short_path(&machine)).expect("text");
        let values: usize = text
            .lines()
            .filter(|line| !line.trim_start().starts_with('#'))
            .map(|line| line.matches(" = ").count() - usize::from(line.contains(" = {")))
            .sum();
        let named = 3;
        assert_eq!(values - named, 25, "{machine}");
        assert!(text.contains("Invented"), "{machine}");
    }
}

/// A file that gives everything assumes nothing, and is drawn as ever; a short one assumes every key that has a rule.
#[test]
fn a_full_file_assumes_nothing_and_a_short_one_all() {
    for id in demo::machines() {
        assert!(demo::machine(&id).assumed.is_empty(), "{id}");
        assert!(AssumedReport::listed(&demo::machine(&id)).is_none());
        let short = short(&id);
        let keys: Vec<&str> = rules().map(|rule| rule.key).collect();
        assert_eq!(short.assumed, keys, "{id}");
        let case = AssumedReport::listed(&short).expect("a list");
        assert_eq!(case.keys.len(), keys.len());
    }
}

/// The three machines of the demonstration set lie within what their short files count with; of settings only the order of magnitude
/// is asked.
#[test]
fn the_full_machines_lie_within_the_assumed_envelopes() {
    for id in demo::machines() {
        let (full, short) = (demo::machine(&id), short(&id));
        for rule in assumed(&short) {
            let (true_value, value) = (rule.value(&full), rule.value(&short));
            let inside = match rule.width {
                Width::Factor(factor) => (value / factor..=value * factor).contains(&true_value),
                Width::Share(share) => (true_value / value - 1.0).abs() <= share,
                Width::Plus(half) => (true_value - value).abs() <= half,
                Width::Setting | Width::Declared(..) => {
                    (0.25..=4.0).contains(&(true_value / value))
                }
            };
            assert!(
                inside,
                "{id}: {} is {true_value}, assumed {value}",
                rule.key
            );
        }
        let (wide, given) = (&short.envelope, &full.envelope);
        for (wide, given) in [
            (wide.counterbalance, given.counterbalance),
            (wide.seal_friction, given.seal_friction),
            (wide.lag, given.lag),
            (wide.dead_time, given.dead_time),
            (wide.supply, given.supply),
            (wide.noise_factor, given.noise_factor),
        ] {
            assert!(wide > given, "{id}: {wide} is no wider than {given}");
        }
    }
}

/// Machine C from its plate holds no load as light as its recipes ask where both its regulator is coarse and its plates run out: there the
/// short file is more cautious than the full one.
const MORE_CAUTIOUS: [&str; 2] = ["glass-polish", "silicon-f1000"];

/// At its wider envelope a short file gives the verdict of the full one or a more cautious one. The full files of all six pass, as the
/// demonstration set's own test shows; four pass from the plate alone.
#[test]
fn short_files_are_no_bolder_and_still_of_use() {
    for recipe in demo::recipes() {
        let (checked, _) = short_check(&recipe, DRAWS);
        let report = checked.report;
        let told: Vec<&str> = report.findings.iter().map(|f| f.message.as_str()).collect();
        if MORE_CAUTIOUS.contains(&recipe.as_str()) {
            assert_eq!(report.verdict, Verdict::Fail, "{recipe}");
            assert!(
                report
                    .findings
                    .iter()
                    .all(|found| found.code == "assumed-decides"),
                "{recipe}: {told:#?}"
            );
            assert!(
                told.iter()
                    .any(|told| told.contains("`actuator.resolution` at 0.3 %")
                        && told.contains("`geometry.runout-ripple` at 0.35 %")),
                "{told:#?}"
            );
        } else {
            assert_eq!(report.verdict, Verdict::Pass, "{recipe}: {told:#?}");
        }
        let list = report.assumed.expect("a list");
        assert_eq!(list.first().count(), FIRST, "{recipe}");
    }
}

/// The text of a short file in which keys are given after all.
fn with_keys(text: &str, keys: &[(String, String)]) -> String {
    let mut text = text.to_owned();
    for (path, value) in keys {
        let (table, key) = path.split_once('.').expect("a table");
        let header = format!("[{table}]\n");
        if !text.contains(&header) {
            text.push_str(&format!("\n{header}"));
        }
        text = text.replace(&header, &format!("{header}{key} = {value}\n"));
    }
    text
}

/// What is wrong with a bad recipe's machine stands in its short file too, and is found there as well: for the same fault no short file
/// passes where the full one fails.
#[test]
fn bad_recipes_fail_on_short_files_too() {
    let mut seen = 0;
    for entry in std::fs::read_dir(recipes().join("bad")).expect("bad recipes") {
        let path = entry.expect("entry").path();
        if path.extension().is_none_or(|end| end != "toml") {
            continue;
        }
        let Set {
            recipe,
            machine,
            batch,
        } = load_set(&path, &Overrides::default()).expect("reads");
        // The good machine that it was made from: the one whose plate it has.
        let of_plate = |id: &String| {
            demo::machine(id).geometry.plate_outer == machine.value.geometry.plate_outer
        };
        let id = demo::machines()
            .into_iter()
            .find(of_plate)
            .expect("a machine");
        let good =
            std::fs::read_to_string(recipes().join(format!("machines/{id}.toml"))).expect("text");
        let mut text = std::fs::read_to_string(short_path(&id)).expect("text");
        text = text.replace(&format!("\"{id}\""), &format!("\"{}\"", machine.value.id));
        let (mut table, mut given) = (String::new(), Vec::new());
        for (bad, good) in machine
            .text
            .lines()
            .filter(|l| !l.starts_with('#'))
            .zip(good.lines().filter(|l| !l.starts_with('#')))
        {
            if bad.starts_with('[') {
                table = bad.trim_matches(['[', ']']).to_owned();
            }
            let Some((key, value)) = bad
                .split_once(" = ")
                .filter(|_| bad != good && !table.is_empty())
            else {
                continue;
            };
            let old = good.split_once(" = ").expect("a key").1;
            let typed = format!("{key} = {old}");
            if let Some(drive) = table.strip_prefix("drives.") {
                let line = format!("{drive} = {{ {typed}");
                assert!(text.contains(&line), "{line}");
                text = text.replace(&line, &format!("{drive} = {{ {key} = {value}"));
            } else if text.contains(&typed) {
                text = text.replace(&typed, &format!("{key} = {value}"));
            } else {
                given.push((format!("{table}.{key}"), value.to_owned()));
            }
        }
        let text = with_keys(&text, &given);
        let short = parse_machine(Path::new("short.toml"), &text)
            .expect("reads")
            .value;
        let case = Case {
            machine: &short,
            batch: &batch.value,
            recipe: &recipe.value,
        };
        let report = checked(&case, 2).report;
        assert_eq!(report.verdict, Verdict::Fail, "{}", path.display());
        seen += 1;
    }
    assert!(seen >= 14, "{seen}");
}

/// How far a key goes, said a second time.
#[derive(Clone, Copy)]
enum By {
    Factor(f64),
    Share(f64),
    Plus(f64),
}

impl By {
    fn end(self, value: f64, upper: bool) -> f64 {
        let sign = if upper { 1.0 } else { -1.0 };
        match self {
            Self::Factor(factor) if upper => value * factor,
            Self::Factor(factor) => value / factor,
            Self::Share(share) => value * (1.0 + sign * share),
            Self::Plus(half) => value + sign * half,
        }
    }
}

type Key = (&'static str, fn(&mut Machine) -> &mut f64, By);

/// Every assumed key with an envelope of its own.
const OWN: &[Key] = &[
    (
        "actuator.stribeck-speed",
        |m| &mut m.actuator.stribeck_speed,
        By::Factor(2.0),
    ),
    (
        "actuator.presliding",
        |m| &mut m.actuator.presliding,
        By::Factor(2.0),
    ),
    ("actuator.slew", |m| &mut m.actuator.slew, By::Factor(2.0)),
    ("actuator.play", |m| &mut m.actuator.play, By::Factor(3.0)),
    (
        "actuator.resolution",
        |m| &mut m.actuator.resolution,
        By::Factor(1.5),
    ),
    (
        "actuator.dump-lag",
        |m| &mut m.actuator.dump_lag,
        By::Factor(1.5),
    ),
    (
        "actuator.speed-fast",
        |m| &mut m.actuator.speed_fast,
        By::Share(0.25),
    ),
    (
        "actuator.speed-creep",
        |m| &mut m.actuator.speed_creep,
        By::Share(0.3),
    ),
    (
        "actuator.speed-lift",
        |m| &mut m.actuator.speed_lift,
        By::Share(0.2),
    ),
    (
        "actuator.guide-drag",
        |m| &mut m.actuator.guide_drag,
        By::Factor(1.7),
    ),
    (
        "actuator.dog-friction",
        |m| &mut m.actuator.dog_friction,
        By::Factor(3.0),
    ),
    (
        "actuator.dog-radius",
        |m| &mut m.actuator.dog_radius,
        By::Share(0.1),
    ),
    (
        "geometry.runout-ripple",
        |m| &mut m.geometry.runout_ripple,
        By::Factor(1.75),
    ),
    ("cell.bandwidth", |m| &mut m.cell.bandwidth, By::Factor(1.5)),
    ("cell.creep-fast", |m| &mut m.cell.creep[0], By::Factor(3.0)),
    ("cell.creep-slow", |m| &mut m.cell.creep[1], By::Factor(3.0)),
    (
        "cell.creep-time-fast",
        |m| &mut m.cell.creep_time[0],
        By::Factor(2.0),
    ),
    (
        "cell.creep-time-slow",
        |m| &mut m.cell.creep_time[1],
        By::Factor(2.0),
    ),
    (
        "cell.zero-drift",
        |m| &mut m.cell.zero_drift,
        By::Factor(3.0),
    ),
    (
        "cell.nonlinearity",
        |m| &mut m.cell.nonlinearity,
        By::Plus(5e-4),
    ),
    ("cell.lash", |m| &mut m.cell.lash, By::Factor(3.0)),
    (
        "drives.outer.inertia",
        |m| &mut m.drives[1].inertia,
        By::Factor(2.0),
    ),
    (
        "drives.inner.inertia",
        |m| &mut m.drives[0].inertia,
        By::Factor(1.5),
    ),
    (
        "drives.lower.inertia",
        |m| &mut m.drives[2].inertia,
        By::Share(0.25),
    ),
    (
        "drives.upper.inertia",
        |m| &mut m.drives[3].inertia,
        By::Share(0.25),
    ),
    (
        "drives.inner.drag",
        |m| &mut m.drives[0].drag,
        By::Factor(2.0),
    ),
    (
        "drives.outer.drag",
        |m| &mut m.drives[1].drag,
        By::Factor(2.0),
    ),
    (
        "drives.lower.drag",
        |m| &mut m.drives[2].drag,
        By::Factor(3.0),
    ),
    (
        "drives.upper.drag",
        |m| &mut m.drives[3].drag,
        By::Factor(3.0),
    ),
    (
        "slurry.line-volume",
        |m| &mut m.slurry.line_volume,
        By::Factor(2.0),
    ),
    (
        "slurry.line-lag",
        |m| &mut m.slurry.line_lag,
        By::Factor(2.0),
    ),
    (
        "slurry.film-life",
        |m| &mut m.slurry.film_life,
        By::Factor(1.5),
    ),
    (
        "slurry.wet-time",
        |m| &mut m.slurry.wet_time,
        By::Factor(1.5),
    ),
    (
        "slurry.settle-time",
        |m| &mut m.slurry.settle_time,
        By::Factor(2.0),
    ),
    (
        "slurry.stir-time",
        |m| &mut m.slurry.stir_time,
        By::Factor(2.0),
    ),
    ("slurry.tank", |m| &mut m.slurry.tank, By::Factor(1.5)),
    ("thermal.ambient", |m| &mut m.thermal.ambient, By::Plus(5.0)),
    (
        "thermal.capacity",
        |m| &mut m.thermal.capacity,
        By::Share(0.2),
    ),
    (
        "thermal.cooling",
        |m| &mut m.thermal.cooling,
        By::Factor(2.0),
    ),
    (
        "thermal.slurry-share",
        |m| &mut m.thermal.slurry_share,
        By::Plus(0.25),
    ),
];

type Spread = (&'static str, [Deviations; 2]);

/// Keys whose envelope is one of the declared widths, at both of its ends.
fn declared() -> Vec<Spread> {
    let at = |set: fn(&mut Deviations, f64), ends: [f64; 2]| {
        ends.map(|end| {
            let mut deviations = Deviations::NOMINAL;
            set(&mut deviations, end);
            deviations
        })
    };
    vec![
        (
            "actuator.supply-pressure",
            at(|d, v| d.supply = v, [0.8, 1.0]),
        ),
        (
            "actuator.counterbalance",
            at(|d, v| d.counterbalance = v, [0.97, 1.03]),
        ),
        (
            "actuator.seal-friction",
            at(|d, v| d.seal_friction = v, [0.25, 1.75]),
        ),
        (
            "actuator.seal-breakaway",
            at(|d, v| d.seal_friction = v, [0.25, 1.75]),
        ),
        ("actuator.lag", at(|d, v| d.lag = v, [0.5, 1.5])),
        ("actuator.dead-time", at(|d, v| d.dead_time = v, [0.5, 1.5])),
        ("cell.noise", at(|d, v| d.noise = v, [1.0, 2.5])),
    ]
}

/// Smallest share of its bound that any requirement of a run leaves, percent; a broken count is worth -100.
fn smallest(run: &RunJudgement) -> f64 {
    let left = |item: &twinplate_sim::requirements::Judged| {
        if item.limit > 0.0 {
            (100.0 * (1.0 - item.value / item.limit)).max(-100.0)
        } else if item.value > item.limit {
            -100.0
        } else {
            100.0
        }
    };
    run.items.iter().map(left).fold(100.0, f64::min)
}

/// The ranking of `check` agrees with runs in which one key at a time is changed here, in the plant alone.
#[test]
fn the_measuring_list_agrees_with_one_at_a_time_runs() {
    for recipe in ["glass-f800", "steel-f400"] {
        let (checked, machine) = short_check(recipe, 1);
        let list = checked.report.assumed.expect("a list");
        let (_, batch, recipe) = demo::set(recipe);
        let job = Job::new(machine, batch, recipe).expect("compiles");
        let first = job.drawn(Drawn { seed: 1, index: 0 });
        let run = |job: &Job, deviations: Deviations| {
            let outcome = run_cycle(&job.setup(deviations, first.seed), None, NoRecorder);
            smallest(&judge(job, &outcome.expect("a run")))
        };
        let nominal = run(&job, Deviations::NOMINAL);
        assert!((list.margin_pct.expect("runs") - nominal).abs() < 0.01);
        let mut moves: Vec<(&str, f64)> = Vec::new();
        let spread = |ends: [f64; 2]| {
            let (low, high) = ends.iter().fold((nominal, nominal), |(low, high), end| {
                (low.min(*end), high.max(*end))
            });
            high - low
        };
        for (key, field, by) in OWN {
            let ends = [false, true].map(|upper| {
                // The controller keeps the parameters of the file.
                let mut changed = job.clone();
                let value = field(&mut changed.machine);
                *value = by.end(*value, upper);
                run(&changed, Deviations::NOMINAL)
            });
            moves.push((key, spread(ends)));
        }
        for (key, ends) in declared() {
            moves.push((key, spread(ends.map(|deviations| run(&job, deviations)))));
        }
        assert_eq!(
            moves.len(),
            list.keys.iter().filter(|key| key.rank.is_some()).count()
        );
        for (key, moved) in &moves {
            let told = list
                .keys
                .iter()
                .find(|told| told.key == *key)
                .expect("listed");
            let told = told.decides_pct.expect("ranked");
            assert!((told - moved).abs() < 0.02, "{key}: {told}, here {moved}");
        }
        // The order is that of the moves, those that make the check fail before all others.
        let ranked: Vec<f64> = list
            .keys
            .iter()
            .filter(|key| key.fails.is_none())
            .filter_map(|key| key.decides_pct)
            .collect();
        assert!(
            ranked.windows(2).all(|pair| pair[0] >= pair[1]),
            "{ranked:?}"
        );
    }
}

/// Machines that a short file may stand for, each written down in full: none has a static error where the short file has none.
#[test]
fn no_machine_that_is_assumed_fails_a_rule_that_the_short_file_passes() {
    for recipe in demo::recipes() {
        if MORE_CAUTIOUS.contains(&recipe.as_str()) {
            continue;
        }
        let (full, batch, recipe) = demo::set(&recipe);
        let machine = short(&full.id);
        for index in 0..60 {
            // Each key at a corner of its own, by the digits of a count.
            let mut drawn = machine.clone();
            for (place, rule) in assumed(&machine).enumerate() {
                let bits =
                    twinplate_sim::plant::seed::substream(index, "corner", "key", place as u64);
                drawn = rule.end(&drawn, if bits & 1 == 0 { -1.0 } else { 1.0 });
            }
            let case = Case {
                machine: &drawn,
                batch: &batch,
                recipe: &recipe,
            };
            let errors: Vec<String> = static_check::check(&case, &predict(&case, 1.0))
                .into_iter()
                .filter(|finding| finding.severity == Severity::Error)
                .map(|finding| format!("{}: {}", finding.name(), finding.message))
                .collect();
            assert!(errors.is_empty(), "{} {index}: {errors:#?}", recipe.id);
        }
    }
}

//! Machines from what stands on their plates: how little that is, that a verdict on it is no bolder than on the full file, and that the
//! measuring list agrees with runs made here.

mod one_at_a_time;
mod published;
mod verdicts;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, OnceLock};
use twinplate_check::assumed::AssumedReport;
use twinplate_check::check::{Checked, Request, check, check_unranked};
use twinplate_check::predict::predict;
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::Verdict;
use twinplate_check::{Case, Severity, static_check};
use twinplate_sim::assumed::{Width, assumed, rules};
use twinplate_sim::compile::gains;
use twinplate_sim::demo;
use twinplate_sim::files::{Overrides, Set, load_machine, load_set, parse_machine};
use twinplate_sim::model::Machine;

fn recipes() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes")
}

fn short_path(machine: &str) -> PathBuf {
    recipes().join(format!("variants/machines/{machine}-short.toml"))
}

fn short(machine: &str) -> Machine {
    load_machine(&short_path(machine)).expect("reads").value
}

/// Draws of the sample that every run of the tests makes.
const SAMPLE: usize = 4;

fn request(draws: usize) -> Request<'static> {
    Request::plain(TrialPlan {
        draws,
        threads: 2,
        seed: 1,
    })
}

fn checked(case: &Case, draws: usize) -> Checked {
    check(case, &request(draws)).expect("a controller in this process")
}

/// The verdict without trying the assumed keys one by one.
fn unranked(case: &Case, draws: usize) -> Verdict {
    let checked = check_unranked(case, &request(draws));
    checked
        .expect("a controller in this process")
        .report
        .verdict
}

/// The check of a demonstration recipe on its short machine file: hundreds of runs, made once.
fn short_check(recipe: &str, draws: usize) -> &'static Checked {
    type Made = BTreeMap<(String, usize), &'static OnceLock<Checked>>;
    static MADE: Mutex<Made> = Mutex::new(BTreeMap::new());
    let place = *MADE
        .lock()
        .expect("not poisoned")
        .entry((recipe.to_owned(), draws))
        .or_insert_with(|| Box::leak(Box::default()));
    place.get_or_init(|| {
        let (full, batch, recipe) = demo::set(recipe);
        let case = Case {
            machine: &short(&full.id),
            batch: &batch,
            recipe: &recipe,
        };
        checked(&case, draws)
    })
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
                Width::Declared(_, share) | Width::Stretched(_, share, _) => {
                    (true_value / value - 1.0).abs() <= share
                }
                Width::Setting => (0.25..=4.0).contains(&(true_value / value)),
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
        // Without trying the assumed keys one by one, which can only add errors.
        assert_eq!(unranked(&case, 2), Verdict::Fail, "{}", path.display());
        seen += 1;
    }
    assert!(seen >= 14, "{seen}");
}

/// Machines that a short file may stand for, each with its controller set as the short file has it: none has a static error that the
/// check of the short file does not tell of.
#[test]
fn no_machine_that_is_assumed_fails_a_rule_that_the_short_file_passes() {
    for recipe in demo::recipes() {
        let (full, batch, recipe) = demo::set(&recipe);
        let machine = short(&full.id);
        // What a check says of the keys' ends, for those that it does.
        let said = &short_check(&recipe.id, SAMPLE).report.findings;
        for index in 0..60 {
            // Each key at a corner of its own, by the digits of a count.
            let mut drawn = machine.clone();
            drawn.gains = Some(gains(&machine));
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
                .filter(|finding| {
                    let name = format!(": {}: ", finding.name());
                    !said.iter().any(|said| said.message.contains(&name))
                })
                .map(|finding| format!("{}: {}", finding.name(), finding.message))
                .collect();
            assert!(errors.is_empty(), "{} {index}: {errors:#?}", recipe.id);
        }
    }
}

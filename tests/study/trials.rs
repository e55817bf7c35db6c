//! The closed-loop trials on the demonstration set: they pass what is good, they are the same on any number of threads, and they
//! catch what no static rule can see.

use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use twinplate_check::Case;
use twinplate_check::Severity;
use twinplate_check::check::{Checked, Request, check};
use twinplate_check::finding::Place;
use twinplate_check::trials::{NOMINAL_RUNS, Results, TrialPlan};
use twinplate_check::verdict::Verdict;
use twinplate_sim::demo;
use twinplate_sim::files::{Overrides, load_set};
use twinplate_sim::model::{Batch, Machine, Recipe};

pub type Set = (Machine, Batch, Recipe);

pub fn checked((machine, batch, recipe): &Set, draws: usize, threads: usize) -> Checked {
    let case = Case {
        machine,
        batch,
        recipe,
    };
    let heard = AtomicUsize::new(0);
    let judged = Mutex::new(Vec::new());
    let result = check(
        &case,
        &Request {
            trials: TrialPlan {
                draws,
                threads,
                seed: 1,
            },
            locate: &|_: &Place| None,
            waivers: &[],
            replay: &|run| format!("replay {run}"),
            progress: &|_| {
                heard.fetch_add(1, Ordering::Relaxed);
            },
            judged: &|run| judged.lock().expect("no panic").push(run.clone()),
        },
    )
    .expect("a controller in this process answers");
    if result.run.is_some() {
        assert_eq!(heard.load(Ordering::Relaxed), draws + NOMINAL_RUNS);
        let runs = judged.into_inner().expect("no panic");
        assert_eq!(
            (runs[0].index, runs[0].warm),
            (0, false),
            "the nominal run is heard first"
        );
        assert_eq!(runs.len(), draws + NOMINAL_RUNS);
        let heard = Results::of(1, runs);
        assert_eq!(
            heard.worst, result.report.envelope.cases,
            "what was heard is what is told"
        );
    }
    result
}

pub fn told(checked: &Checked) -> Vec<&str> {
    checked
        .report
        .findings
        .iter()
        .map(|finding| finding.code)
        .collect()
}

#[test]
fn every_good_recipe_passes_its_proof() {
    for name in &demo::recipes() {
        let result = checked(&demo::set(name), 6, 2);
        assert!(
            result.report.findings.is_empty(),
            "{name}: {:#?}",
            result.report.findings
        );
        assert_eq!(result.report.verdict, Verdict::Pass, "{name}");
        assert_eq!(result.report.envelope.runs, 6 + NOMINAL_RUNS);
        // The closed form and the simulated machine must agree on what the recipe is for.
        let (said, ran) = (result.prediction.cycle, result.report.prediction.cycle_s);
        assert!(
            (said / ran - 1.0).abs() < 0.1,
            "{name}: cycle {said} s said, {ran} s run"
        );
        let said = result.prediction.thickness * 1e6;
        let ran = result.report.prediction.thickness_um.mean;
        let tolerance = result.report.subject.size_um[1];
        assert!(
            (said - ran).abs() < 0.5 * tolerance,
            "{name}: {said} µm said, {ran} µm run"
        );
    }
}

/// The trade's way to finish: the last step at a load under the initial load, from which the load is not pressed again.
#[test]
fn a_recipe_that_ends_with_a_spark_out_passes() {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes/variants/glass-spark-out.toml");
    let files = load_set(&path, &Overrides::default()).expect("the variant reads");
    let set = (files.machine.value, files.batch.value, files.recipe.value);
    let last = set.2.steps.last().expect("steps");
    assert!(last.pressure * set.1.area() < set.0.control.initial_load);
    let result = checked(&set, 12, 2);
    assert!(
        result.report.findings.is_empty(),
        "{:#?}",
        result.report.findings
    );
    assert_eq!(result.report.verdict, Verdict::Pass);
}

/// Flatness control by the bands of the parts, on a machine of its own.
#[test]
fn a_recipe_that_keeps_its_plates_flat_passes() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes/variants/glass-flat.toml");
    let files = load_set(&path, &Overrides::default()).expect("the variant reads");
    let set = (files.machine.value, files.batch.value, files.recipe.value);
    assert!(set.2.flatness.is_some());
    let result = checked(&set, 12, 2);
    assert!(
        result.report.findings.is_empty(),
        "{:#?}",
        result.report.findings
    );
    assert_eq!(result.report.verdict, Verdict::Pass);
    let wear = &result.report.prediction.wear;
    let rings: Vec<&str> = wear.iter().map(|one| one.rings.as_str()).collect();
    assert_eq!(
        rings,
        ["as programmed", "reversed", "reversed, trimmed by +20 %"]
    );
    // What one way does to a plate, the other undoes, and both plates are told.
    for face in [0, 1] {
        assert!(wear[0].change_um[face] * wear[1].change_um[face] < 0.0);
    }
    assert!(wear[0].change_um[0] * wear[0].change_um[1] < 0.0);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let set = demo::set("steel-f400");
    let (one, two) = (checked(&set, 5, 1), checked(&set, 5, 3));
    assert_eq!(one.report.json(), two.report.json());
    assert_eq!(one.report.results, two.report.results);
}

#[test]
fn the_proof_catches_a_plate_that_cannot_brake_before_the_parts() {
    let mut set = demo::set("glass-f800");
    // Only a warning to the static rules, which know the braking distance from a table.
    set.0.actuator.approach = 0.000_8;
    let result = checked(&set, 0, 1);
    assert!(
        told(&result).contains(&"proof-first-contact"),
        "{:?}",
        told(&result)
    );
    assert_eq!(result.report.verdict, Verdict::Fail);
    let finding = &result.report.findings[0];
    assert_eq!(finding.severity, Severity::Error);
    assert!(
        finding.cure.ends_with("Replay: replay 0"),
        "{}",
        finding.cure
    );
}

#[test]
fn an_error_keeps_the_proof_from_running_and_says_so() {
    let mut set = demo::set("glass-f800");
    set.0.slurry.wet_time = 60.0;
    let result = checked(&set, 3, 1);
    assert!(result.run.is_none());
    assert_eq!(told(&result), ["prestart-short", "proof-skipped"]);
    assert_eq!(result.report.envelope.runs, 0);
}

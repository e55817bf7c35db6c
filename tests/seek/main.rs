//! Falsification: a weakened machine is found out, a shipped one is not, and what is found replays.

mod comparison;
mod page;
mod weakened;

use std::path::Path;
use twinplate_falsify::seek::{Found, Question, SearchPlan, Target, draw_beside, seek};
use twinplate_sim::bench::{self, Job, Journal, NoRecorder};
use twinplate_sim::files::{Overrides, load_set};

/// A demo recipe with its machine and batch.
fn job(name: &str) -> Job {
    job_with(name, |_| ())
}

fn job_with(name: &str, change: impl FnOnce(&mut twinplate_sim::files::Set)) -> Job {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../recipes/recipes")
        .join(format!("{name}.toml"));
    let mut set = load_set(&path, &Overrides::default()).unwrap_or_else(|e| panic!("{e:?}"));
    change(&mut set);
    Job::new(set.machine.value, set.batch.value, set.recipe.value).expect("compiles")
}

/// One recipe for each demo machine.
const MACHINES: [&str; 3] = ["glass-f800", "zirconia-fixed", "silicon-f1000"];

/// Evaluations within which a weakened machine must be found out, and within which a shipped one must not.
const BUDGET: usize = 96;

fn sought(job: Job, target: Target, evaluations: usize) -> (Question, Found) {
    let question = Question::new(job).expect("the shortened recipe compiles");
    let found = seek(
        &question,
        target,
        &options(evaluations, 1, true),
        &|| true,
        &|_| (),
    );
    (question, found.expect("in process"))
}

fn options(evaluations: usize, seed: u64, stop_at_violation: bool) -> SearchPlan {
    SearchPlan {
        evaluations,
        threads: 2,
        seed,
        stop_at_violation,
    }
}

/// The search to its end, and as many random draws as it made evaluations.
fn beside_draws(job: Job, target: Target, evaluations: usize, seed: u64) -> Found {
    let question = Question::new(job).expect("the shortened recipe compiles");
    let options = options(evaluations, seed, false);
    let mut found = [seek(&question, target, &options, &|| true, &|_| ()).expect("in process")];
    let draws = found[0].evaluations;
    draw_beside(&question, &mut found, draws, &options, &|_, _| ()).expect("in process");
    let [found] = found;
    found
}

fn told(found: &Found) -> String {
    let margin = |case: &Option<twinplate_falsify::seek::Case>| {
        case.as_ref().map(|case| {
            (
                case.number,
                case.measured.margin,
                case.trial.disturbance.kind,
                case.measured.ending.clone(),
            )
        })
    };
    format!(
        "{:?}: search {:?} of {}, draws {:?} of {}",
        found.target,
        margin(&found.worst),
        found.evaluations,
        margin(&found.drawn),
        found.draws
    )
}

#[test]
fn a_shipped_machine_is_not_found_out_in_the_same_budget() {
    for name in MACHINES {
        for target in [Target::LoadLimit, Target::FirstContact, Target::PartContact] {
            let (_, found) = sought(job(name), target, BUDGET);
            println!("{name}: {}", told(&found));
            assert!(!found.violated(), "{name}: {}", told(&found));
        }
    }
}

#[test]
fn what_is_found_replays_from_its_text_with_the_whole_recipe() {
    let (question, found) = sought(job("glass-f800"), Target::LoadLimit, 24);
    let case = found.least().expect("evaluated");
    let text = case.measured.journal.to_text().expect("written");
    let journal = Journal::from_text(&text).expect("read");
    assert_eq!(journal, case.measured.journal);
    // Whoever replays it has the files only: the shortened recipe comes out of the journal.
    let whole = question.job(Target::Size);
    let setup = whole.setup(journal.deviations.expect("noted"), journal.seed);
    let end = journal.end.expect("ended");
    let replayed = bench::replay(setup.controller(), &setup, &journal, end.ticks, NoRecorder)
        .expect("in process");
    assert_eq!(replayed.control_hash(), end.control_hash);
    assert_ne!(setup.deviations, twinplate_sim::model::Deviations::NOMINAL);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let question = Question::new(job("glass-f800")).expect("compiles");
    let with = |threads| {
        let options = SearchPlan {
            evaluations: 60,
            threads,
            seed: 7,
            stop_at_violation: false,
        };
        let seek = |target| seek(&question, target, &options, &|| true, &|_| ());
        let mut found = [
            seek(Target::FirstContact).expect("in process"),
            seek(Target::PartContact).expect("in process"),
        ];
        draw_beside(&question, &mut found, 70, &options, &|_, _| ()).expect("in process");
        assert!(found.iter().all(|found| found.draws == 70));
        found
    };
    assert_eq!(with(1), with(3));
}

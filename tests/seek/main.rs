//! Falsification: a weakened machine is found out, a shipped one is not, and what is found replays.

mod comparison;

use firmware_core::units::{Newtons, Ratio};
use sim_host::bench::{self, Job, Journal, NoRecorder};
use sim_host::compile;
use sim_host::files::{Overrides, load_set};
use sim_host::study::Case;
use sim_host::study::seek::{Found, Options, Question, Target, seek};
use std::path::Path;

/// A demo recipe with its machine and batch.
fn job(name: &str) -> Job {
    job_with(name, |_| ())
}

fn job_with(name: &str, change: impl FnOnce(&mut sim_host::files::Set)) -> Job {
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
    sought_for(job, target, evaluations, true)
}

fn sought_for(
    job: Job,
    target: Target,
    evaluations: usize,
    stop_at_violation: bool,
) -> (Question, Found) {
    let question = Question::new(job).expect("the shortened recipe compiles");
    let options = Options {
        evaluations,
        // As many as the search evaluates.
        random: usize::MAX,
        threads: 2,
        seed: 1,
        stop_at_violation,
    };
    let found = seek(&question, target, &options, &|| true, &|_| ()).expect("in process");
    (question, found)
}

fn told(found: &Found) -> String {
    let margin = |case: &Option<sim_host::study::seek::Case>| {
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

/// The governor weakened until the declared line at its highest gain settles 2 % above the step's limit:
/// `seat + 1.05/g (limit - seat) = 1.02 limit`, nothing kept back for the seals.
fn governor_weakened(name: &str) -> Job {
    let mut job = job(name);
    let limit = job
        .recipe
        .steps
        .iter()
        .map(|step| step.load_limit)
        .fold(0.0, f64::max);
    let seat = job.machine.control.initial_load;
    let high = 1.0 + job.machine.envelope.regulator_gain;
    let gain = high * (limit - seat) / (1.02 * limit - seat);
    let mut wire = compile::params_wire(&job.machine);
    wire.governor_margin = Newtons::ZERO;
    #[allow(clippy::cast_possible_truncation)] // the controller's precision
    {
        wire.governor_gain = Ratio::new(gain as f32);
    }
    job.params = wire.check().expect("weak, but within the rules");
    job.compiled = compile::recipe(&job.recipe, &job.batch, &job.params)
        .expect("compiles")
        .get()
        .clone();
    job
}

/// Creep 30 % above the speed at which the closed form of first contact on three pieces (`N_rest + v sqrt(k m)`, process model,
/// section 2) reaches the first-contact limit or three times a part's strength on the stiffest parts of the envelope.
fn creep_too_fast(name: &str) -> Job {
    job_with(name, |set| {
        let (batch, recipe) = (set.batch.value.clone(), set.recipe.value.clone());
        let machine = &mut set.machine.value;
        let stiffness = 3.0
            * Case {
                machine,
                batch: &batch,
                recipe: &recipe,
            }
            .piece_stiffness()
            * machine.envelope.stiffness_factor;
        let bears = machine
            .control
            .first_contact_limit
            .min(3.0 * batch.strength);
        let bound =
            (bears - machine.actuator.resting_load()) / (stiffness * machine.actuator.mass).sqrt();
        machine.actuator.speed_creep = 1.3 * bound;
    })
}

#[test]
fn a_weakened_governor_is_found_out_on_each_machine() {
    for name in MACHINES {
        let (_, found) = sought(governor_weakened(name), Target::LoadLimit, BUDGET);
        println!("{name}: {}", told(&found));
        assert!(
            found
                .worst
                .as_ref()
                .is_some_and(|case| case.measured.margin < 0.0),
            "{name}: {}",
            told(&found)
        );
    }
}

#[test]
fn a_creep_too_fast_is_found_out_on_each_machine() {
    for name in MACHINES {
        let (_, found) = sought(creep_too_fast(name), Target::FirstContact, BUDGET);
        println!("{name}: {}", told(&found));
        assert!(
            found
                .worst
                .as_ref()
                .is_some_and(|case| case.measured.margin < 0.0),
            "{name}: {}",
            told(&found)
        );
    }
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
    assert_ne!(setup.deviations, sim_host::model::Deviations::NOMINAL);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let question = Question::new(job("glass-f800")).expect("compiles");
    let with = |threads| {
        let options = Options {
            evaluations: 30,
            random: 30,
            threads,
            seed: 7,
            stop_at_violation: false,
        };
        seek(&question, Target::PartContact, &options, &|| true, &|_| ()).expect("in process")
    };
    assert_eq!(with(1), with(3));
}

//! What a run is held to, by what it was.

use super::*;
use crate::bench::{Drawn, NoRecorder, again, run_cycle};
use crate::demo;
use crate::model::{Deviations, End, Scenario, ScenarioEvent, What, When};
use firmware_core::sequence::Command;

/// Demo job `glass-f800`, its steps cut to a few seconds.
fn job() -> Job {
    let (machine, batch, mut recipe) = demo::set("glass-f800");
    for step in &mut recipe.steps {
        step.end = End::Time { seconds: 5.0 };
        step.longest = 60.0;
    }
    Job::new(machine, batch, recipe).unwrap()
}

fn asked(judged: &RunJudgement) -> Vec<Requirement> {
    judged.items.iter().map(|item| item.requirement).collect()
}

/// A cycle by the book is held to everything: cut so short, it is a good cycle that leaves the parts too thick.
#[test]
fn a_cycle_by_the_book_is_held_to_every_requirement() {
    let job = job();
    let drawn = Drawn { seed: 5, index: 3 };
    let outcome = run_cycle(&job.drawn(drawn), None, NoRecorder).unwrap();
    let judged = judge(&job, &outcome);
    assert_eq!(asked(&judged), REQUIREMENTS);
    assert_eq!((judged.index, outcome.journal.drawn), (3, Some(drawn)));
    assert_eq!(judged.control_hash, outcome.control_hash);
    let broken: Vec<_> = judged.items.iter().filter(|item| !item.holds()).collect();
    assert!(
        broken
            .iter()
            .any(|item| item.requirement == Requirement::Size)
    );
    assert_eq!(judged.verdict(), Verdict::Fail);
    // The same run as a case that was looked for may end anywhere, but what it made of its batch counts.
    let mut sought = outcome;
    sought.journal.deviations = Some(Deviations::NOMINAL);
    let judged = judge(&job, &sought);
    let left = |r: &Requirement| r.always() || matches!(r, Requirement::Size | Requirement::Spread);
    let expected: Vec<_> = REQUIREMENTS.into_iter().filter(left).collect();
    assert_eq!(asked(&judged), expected);
    assert_eq!(judged.verdict(), Verdict::Fail);
}

/// A scenario that stops the cycle on purpose fails nothing by it, whether or not a file's hash says that there was one.
#[test]
fn a_disturbed_cycle_is_held_to_load_and_harm_alone() {
    let job = job();
    let scenario = Scenario {
        id: "invented".into(),
        title: "invented for a test".into(),
        operator: true,
        longest: 400.0,
        events: vec![ScenarioEvent {
            when: When::At(20.0),
            what: What::Command(Command::Stop),
        }],
        training: None,
        assessment: None,
    };
    let outcome = run_cycle(&job.nominal(1), Some(&scenario), NoRecorder).unwrap();
    assert_eq!(outcome.ended, Ended::Stopped);
    let judged = judge(&job, &outcome);
    assert!(
        asked(&judged)
            .iter()
            .all(|requirement| requirement.always())
    );
    assert_eq!(judged.verdict(), Verdict::Pass);
    // Without the scenario the same stop is a cycle that did not complete.
    let journal = &outcome.journal;
    let repeated = again(&job.setup_of_journal(journal), journal, |_| ()).unwrap();
    let judged = judge(&job, &repeated);
    assert!(asked(&judged).contains(&Requirement::Completes));
    assert_eq!(judged.verdict(), Verdict::Fail);
}

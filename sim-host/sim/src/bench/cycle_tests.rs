//! Whole cycles of the real controller on the simulated machine.

use super::run::AFTER_STOP;
use super::scenario::START_TICK;
use super::*;
use crate::demo;
use crate::model::{Deviations, End, Scenario, ScenarioEvent, StationAct, What, When};
use firmware_core::events::EventKind;
use firmware_core::sequence::{Phase, State};
use firmware_core::status::Response;

/// Demo job `glass-f800`, its steps cut to a few seconds.
fn job() -> Job {
    let (machine, batch, mut recipe) = demo::set("glass-f800");
    for step in &mut recipe.steps {
        step.end = End::Time { seconds: 5.0 };
        step.longest = 60.0;
    }
    Job::new(machine, batch, recipe).unwrap()
}

fn scenario(events: Vec<ScenarioEvent>) -> Scenario {
    Scenario {
        id: "invented".into(),
        title: "invented for a test".into(),
        operator: true,
        longest: 400.0,
        events,
        training: None,
        assessment: None,
    }
}

/// The emergency stop is pressed two seconds into the second step's dwell.
fn estop_in_dwell() -> Scenario {
    scenario(vec![ScenarioEvent {
        when: When::After {
            phase: Phase::Dwell,
            step: Some(1),
            delay: 2.0,
        },
        what: What::Station(StationAct::PressEstop),
    }])
}

#[test]
fn a_cycle_climbs_the_ladder_and_completes() {
    let job = job();
    let outcome = run_cycle(&job.nominal(1), None, NoRecorder).unwrap();
    assert_eq!(outcome.ended, Ended::Complete);
    assert_eq!(outcome.refused, []);
    let summary = &outcome.summary;
    let ladder: Vec<_> = summary
        .intervals
        .iter()
        .filter(|interval| interval.state == State::Running)
        .map(|interval| (interval.phase, interval.step))
        .collect();
    let expected = [
        (Phase::Precheck, 0),
        (Phase::Lower, 0),
        (Phase::TouchDown, 0),
        (Phase::SlurryPrestart, 0),
        (Phase::RunUp, 0),
        (Phase::LoadRamp, 0),
        (Phase::Dwell, 0),
        (Phase::LoadRamp, 1),
        (Phase::Dwell, 1),
        (Phase::LoadRelease, 1),
        (Phase::Rinse, 1),
        (Phase::RunDown, 1),
        (Phase::SlurryStop, 1),
        (Phase::Lift, 1),
    ];
    assert_eq!(ladder, expected);
    // Intervals leave no gap, and the whole run is in them.
    for pair in summary.intervals.windows(2) {
        assert_eq!(pair[0].end, pair[1].start);
    }
    assert_eq!(summary.intervals[0].start, 0);
    assert_eq!(summary.intervals.last().unwrap().end, summary.ticks);
    let start = summary
        .intervals
        .iter()
        .find(|interval| interval.state == State::Running)
        .unwrap();
    assert_eq!(start.start, START_TICK);
    assert_eq!(summary.cause, None);
    // Both dwells last what the recipe says and hold what it says.
    for step in &summary.steps {
        assert!((step.dwell - 5.0).abs() < 0.01, "{step:?}");
        assert!((step.mean_load - step.setpoint).abs() < 5.0, "{step:?}");
    }
    assert_eq!(summary.parts.count, 15);
    assert!(summary.slurry_used > 0.0);
    // A read of the ring every 64 ticks loses nothing.
    assert_eq!(outcome.events.missed, 0);
    let batches = outcome
        .events
        .list
        .iter()
        .filter(|event| event.kind == EventKind::Batch);
    assert_eq!(batches.count(), 1);
}

#[test]
fn a_stop_is_told_with_its_cause_and_ends_the_run() {
    let job = job();
    let scenario = estop_in_dwell();
    let outcome = run_cycle(&job.nominal(1), Some(&scenario), NoRecorder).unwrap();
    assert_eq!(outcome.ended, Ended::Stopped);
    let summary = &outcome.summary;
    let stopped = summary.responses[Response::ControlledStop as usize].unwrap();
    let dwell = summary
        .intervals
        .iter()
        .find(|interval| (interval.phase, interval.step) == (Phase::Dwell, 1))
        .unwrap();
    // Two seconds after the dwell was seen, without a debounce.
    assert!((2000..2005).contains(&(stopped - dwell.start)), "{dwell:?}");
    let (cause, at) = summary.cause.unwrap();
    assert!(cause != 0 && (stopped..stopped + 2).contains(&at));
    let last = summary.intervals.last().unwrap();
    assert_eq!(
        (last.state, last.end - last.start),
        (State::Stopped, AFTER_STOP + 1)
    );
}

#[test]
fn recording_changes_nothing_and_the_same_seed_gives_the_same_run() {
    let job = job();
    let setup = job.nominal(7);
    let plain = run_cycle(&setup, None, NoRecorder).unwrap();
    let first = run_cycle(&setup, None, setup.recorder(None)).unwrap();
    let second = run_cycle(&setup, None, setup.recorder(None)).unwrap();
    assert_eq!(plain.control_hash, first.control_hash);
    assert_eq!(plain.summary, first.summary);
    assert_eq!(first.control_hash, second.control_hash);
    assert_eq!(first.trace_hash, second.trace_hash);
    let trace = first.trace.unwrap();
    assert_eq!(Some(trace.hash()), first.trace_hash);
    assert_eq!(trace.dropped(), 0);
    assert_eq!(trace.ticks().last(), Some(&(first.summary.ticks - 1)));
    // The trace kept the peak that the summary found, though it has a row only every 50 ticks.
    let peak = trace.column("true_load_max").unwrap().fold(0.0, f64::max);
    assert_eq!(peak.to_bits(), first.summary.peak_load.value.to_bits());
    let other = run_cycle(&job.nominal(8), None, NoRecorder).unwrap();
    assert_ne!(plain.control_hash, other.control_hash);
}

#[test]
fn an_ensemble_gives_the_same_runs_on_any_number_of_threads() {
    let job = job();
    let run = |index: usize| {
        let seed = index as u64;
        let deviations = Deviations {
            friction: 1.0 + 0.02 * index as f64,
            ..Deviations::NOMINAL
        };
        let outcome = run_cycle(&job.setup(deviations, seed), None, NoRecorder);
        outcome.unwrap().control_hash
    };
    let one = ensemble(4, 1, &|_| (), run);
    assert_eq!(one, ensemble(4, 3, &|_| (), run));
}

#[test]
fn seed_and_journal_give_the_run_again() {
    let job = job();
    let setup = job.nominal(3);
    let scenario = estop_in_dwell();
    let outcome = run_cycle(&setup, Some(&scenario), NoRecorder).unwrap();
    let text = outcome.journal.to_text().unwrap();
    let journal = Journal::from_text(&text).unwrap();
    assert_eq!(journal.seed, 3);
    let mut seen = 0;
    let repeated = again(&job.setup_of_journal(&journal), &journal, |_| seen += 1).unwrap();
    assert_eq!(seen, outcome.summary.ticks);
    assert_eq!(same_run(&journal, &repeated), Some(true));
    assert_eq!(repeated.journal, outcome.journal);
    assert_eq!(repeated.ended, outcome.ended);
    // Another noise is another run.
    let other = again(&job.nominal(4), &journal, |_| ()).unwrap();
    assert_eq!(same_run(&journal, &other), Some(false));
}

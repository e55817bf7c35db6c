//! Every exercise has a script that loses nothing, and every mistake that it lists has a script that makes it and loses exactly that.

use crate::{exercise, folder};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;
use twinplate_sim::bench::ensemble;
use twinplate_sim::files::render_errors;
use twinplate_train::attempt::{Attempt, ReplayError, replay};
use twinplate_train::exercise::{Exercise, list};
use twinplate_train::headless::{Ran, Script, lost, run};
use twinplate_train::protocol::Pace;

/// Every script: its name, what it says, and how it came out. Run once for all tests that look at it.
fn all() -> Vec<(String, Script, Ran)> {
    let mut names: Vec<String> = std::fs::read_dir(folder().join("scripts"))
        .expect("scripts")
        .map(|entry| entry.expect("entry").file_name().to_string_lossy().into())
        .filter(|name: &String| name.ends_with(".txt"))
        .collect();
    names.sort();
    let work = |index: usize| {
        let name = names[index].clone();
        let text = std::fs::read_to_string(folder().join("scripts").join(&name)).expect("text");
        let script = Script::read(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        let ran = run(&script, exercise(&script.exercise))
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        (name, script, ran)
    };
    ensemble(names.len(), 2, &|_| (), work)
}

fn exercises() -> Vec<Exercise> {
    list(&folder())
        .expect("folder")
        .into_iter()
        .map(|(path, loaded)| {
            let exercise =
                loaded.unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
            let stem = path.file_stem().and_then(|stem| stem.to_str());
            assert_eq!(
                stem,
                Some(exercise.id()),
                "the identifier is the file's name"
            );
            exercise
        })
        .collect()
}

#[test]
fn every_script_comes_out_as_it_says_and_every_listed_mistake_is_made_by_one() {
    let mut made: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut perfect = BTreeSet::new();
    let mut wrong = Vec::new();
    for (name, script, ran) in all() {
        wrong.extend(ran.unmet.iter().map(|unmet| format!("{name}: {unmet}")));
        let score = ran.session.score();
        let ids = lost(&ran.session);
        if ids.is_empty() {
            assert!(score.passed(), "{name} loses nothing and does not pass");
            assert_eq!(score.points, score.of, "{name}");
            perfect.insert(script.exercise.clone());
        }
        made.entry(script.exercise.clone()).or_default().extend(ids);

        // What was recorded comes out again, by way of its text.
        let attempt = ran.session.attempt();
        let text = serde_json::to_string(&attempt).expect("JSON");
        let back: Attempt = serde_json::from_str(&text).expect("an attempt");
        assert_eq!(back, attempt, "{name}");
        let again = replay(exercise(&script.exercise), &back)
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(again.debrief(), ran.session.debrief(), "{name}");
    }
    for exercise in exercises() {
        let id = exercise.id();
        if !perfect.contains(id) {
            wrong.push(format!("{id}: no script loses nothing"));
        }
        for rule in &exercise.training.forbidden {
            if rule.loss > 0 && !made.get(id).is_some_and(|made| made.contains(&rule.id)) {
                wrong.push(format!("{id}: no script makes the mistake `{}`", rule.id));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

fn ran(text: &str) -> Ran {
    let script = Script::read(text).expect("a script");
    run(&script, exercise(&script.exercise)).expect("runs")
}

#[test]
fn what_a_script_expects_wrongly_is_told() {
    let right = "exercise first-cycle\n+1 s\nreset\n+1 s\n";
    assert!(ran(right).unmet.is_empty());
    for wrong in [
        "expect points 11",
        "expect passed yes",
        "expect lost nothing",
        "expect lost reset",
    ] {
        assert_eq!(ran(&format!("{right}{wrong}\n")).unmet.len(), 1, "{wrong}");
    }
    assert!(ran(&format!("{right}expect points 10\n")).unmet.is_empty());
}

/// Stopped with the plate on the parts, Setup, the movement up selected, the guard open and the control held; then the guard is shut
/// and locked.
const HELD_AT_THE_GUARD: &str = "exercise setup-home
2 s
confirm-parts 15
+2 s
start
wait state stopped
+3 s
setup-key on
+1 s
set-mode setup
+1 s
select-move raise
+1 s
unlock-guard
+1 s
open-guard
+1 s
hold-to-run on
+1 s
close-guard
+1 s
lock-guard
+1 s
";

/// Guards: the plate moved two ticks after the guard was locked, with the control held since before. The control must be let go first.
#[test]
fn a_control_held_at_the_open_guard_moves_nothing_when_the_guard_is_shut() {
    let at_end = |more: &str| {
        let ran = ran(&format!("{HELD_AT_THE_GUARD}{more}"));
        assert!(ran.refused.is_empty(), "{:?}", ran.refused);
        let frame = ran.session.clone().frame(Pace::Fastest, 1.0);
        (frame.phase, frame.plate)
    };
    let there = |phase: &str, plate: &str| (phase.to_owned(), plate.to_owned());
    assert_eq!(at_end(""), there("rest", "contact"));
    let again = "hold-to-run off\n+1 s\nhold-to-run on\n+1 s\n";
    assert_eq!(at_end(again), there("manual", "air"));
}

#[test]
fn what_never_comes_is_an_error_of_the_script_with_its_line() {
    for text in [
        "exercise first-cycle\nwait dwell",
        "exercise first-cycle\n9999 s",
        "exercise first-cycle\n0.1 s",
    ] {
        let script = Script::read(text).expect("a script");
        let error = run(&script, exercise("first-cycle")).expect_err(text);
        assert_eq!(error.line, 2, "{error}");
    }
}

/// A short attempt with something done in it.
fn short() -> Attempt {
    ran("exercise first-cycle\n2 s\nreset\n+1 s\nunlock-guard\n+1 s\nopen-guard\n+1 s\nload-carriers\n+1 s\n")
        .session
        .attempt()
}

/// An attempt is changed in one way, and the replay must tell.
#[test]
fn a_changed_record_is_found_out() {
    let exercise = exercise("first-cycle");
    let try_it = |change: &dyn Fn(&mut Attempt)| {
        let mut attempt = short();
        change(&mut attempt);
        replay(Arc::clone(&exercise), &attempt).map(|_| ())
    };
    assert_eq!(try_it(&|_| ()), Ok(()));
    let different =
        |result: Result<(), ReplayError>| matches!(result, Err(ReplayError::Different { .. }));
    assert!(different(try_it(&|a| a.deeds[0].tick += 1)));
    assert!(different(try_it(&|a| drop(a.deeds.remove(2)))));
    assert!(different(try_it(&|a| a.points += 1)));
    assert!(different(try_it(&|a| a.passed = true)));
    assert!(different(try_it(&|a| a.seed += 1)));
    assert!(different(try_it(&|a| a.control_hash ^= 1)));
    assert!(different(try_it(&|a| a.trace_hash ^= 1)));
    assert!(different(try_it(&|a| a.end_tick += 1)));
    assert!(matches!(
        try_it(&|a| a.deeds.reverse()),
        Err(ReplayError::Order(_))
    ));
    assert!(matches!(
        try_it(&|a| a.end_tick = u32::MAX),
        Err(ReplayError::Order(_))
    ));
    assert!(matches!(
        try_it(&|a| a.attempt = 99),
        Err(ReplayError::Version(99))
    ));
    assert!(matches!(
        try_it(&|a| a.exercise = "another".into()),
        Err(ReplayError::Exercise { .. })
    ));
    assert!(matches!(
        try_it(&|a| a.files[0].hash ^= 1),
        Err(ReplayError::File { .. })
    ));
}

/// A load is what presses on parts: where the plate is raised, pinned and weighed, none is drawn.
#[test]
fn no_load_is_drawn_when_the_plate_has_left_the_parts() {
    let text = std::fs::read_to_string(folder().join("scripts/plain-cycle.txt")).expect("text");
    let script = Script::read(&text).expect("a script");
    let debrief = run(&script, exercise(&script.exercise))
        .expect("runs")
        .session
        .debrief();
    let lift = debrief.bands.iter().rposition(|band| band.phase == "lift");
    let lift = &debrief.bands[lift.expect("is lifted")];
    let largest = |from: f64| {
        let points = debrief.curve.time_s.iter().zip(&debrief.curve.load_n);
        points
            .filter(|(time, _)| **time > from)
            .fold(0.0, |most: f64, (_, load)| most.max(*load))
    };
    assert!(largest(0.0) > 200.0, "a cycle pressed");
    let after = largest(lift.end_s - 1.0);
    assert!(after < 20.0, "{after} N are drawn on nothing");
}

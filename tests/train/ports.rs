//! A session is the same on any controller port: what is done, shown, told, scored and recorded. And where the port fails, the attempt
//! ends in order, with its reason.

use crate::wire::{Board, Far, Line, Thread, Wire};
use crate::{exercise, folder};
use firmware_core::events::Event;
use firmware_core::process_image::Inputs;
use firmware_core::sequence::{Command, Request};
use std::sync::Arc;
use twinplate_sim::bench::{Answer, ControllerPort, InProcess, PortError};
use twinplate_sim::model::{ScenarioEvent, What, When};
use twinplate_sim::training::act::Act;
use twinplate_train::attempt::replay;
use twinplate_train::exercise::Exercise;
use twinplate_train::headless::{Ran, Script, run, run_on};
use twinplate_train::log::FIRST_TICK;
use twinplate_train::protocol::{NewsKind, Pace};
use twinplate_train::session::Session;

/// The controller of an exercise, just powered up.
fn controller(exercise: &Exercise, seed: u64) -> InProcess {
    exercise.job.nominal(seed).controller()
}

fn script(name: &str) -> Script {
    let path = folder().join("scripts").join(name).with_extension("txt");
    let text = std::fs::read_to_string(path).expect("a script of the set");
    Script::read(&text).expect("a script")
}

/// Everything that a session leaves, in one text.
fn left<C: ControllerPort>(session: &Session<C>) -> String {
    let kept = (
        session.attempt(),
        session.debrief(),
        session.news(0),
        session.picture(Pace::Fastest, 1.0),
        session.trace_hash(),
    );
    serde_json::to_string_pretty(&kept).expect("JSON")
}

fn same<C: ControllerPort>(on: &Session<C>, in_process: &Session) {
    let (on, here) = (left(on), left(in_process));
    for (number, (on, here)) in on.lines().zip(here.lines()).enumerate() {
        assert_eq!(on, here, "line {number} of what is left");
    }
    assert_eq!(on.len(), here.len());
}

/// Runs a script on a port and in this process.
fn both<L: Line>(
    script: &Script,
    exercise: &Arc<Exercise>,
    line: impl Fn(Far) -> L,
) -> (Ran<Wire<L>>, Ran) {
    let far = Far::new(&controller(exercise, script.seed));
    let on = run_on(Wire::new(line(far)), script, Arc::clone(exercise)).expect("runs");
    (on, run(script, Arc::clone(exercise)).expect("runs"))
}

#[test]
fn exercises_of_the_set_come_out_the_same_over_a_wire_that_carries_bytes() {
    for name in ["stop-wire-breaks", "drive-trips", "power-returns"] {
        let script = script(name);
        let exercise = exercise(&script.exercise);
        let (on, here) = both(&script, &exercise, |far| far);
        assert_eq!(on.unmet, Vec::<String>::new(), "{name}");
        assert_eq!(on.refused, here.refused, "{name}");
        same(&on.session, &here.session);
        // What was recorded over the wire is done again in this process.
        let again = replay(exercise, &on.session.attempt()).expect("comes out again");
        assert_eq!(again.debrief(), on.session.debrief(), "{name}");
    }
}

/// Alarms that come, are acknowledged, return and are reset, a refusal, a way back, and the power away at 16 s.
const SHORT: &str = "exercise power-returns
2 s
press-emergency-stop
wait row emergency-stop
+1 s
acknowledge
+1 s
release-emergency-stop
start
+2 s
reset
7 s
press-emergency-stop
+1 s
back 6 s
press-emergency-stop
+1 s
release-emergency-stop
+2 s
acknowledge
reset
17 s
acknowledge
+1 s
reset
+1 s
";

fn short() -> (Script, Arc<Exercise>) {
    let mut exercise = (*exercise("power-returns")).clone();
    exercise.scenario.events = vec![ScenarioEvent {
        when: When::At(16.0),
        what: What::PowerReturns,
    }];
    (Script::read(SHORT).expect("a script"), Arc::new(exercise))
}

#[test]
fn a_controller_on_its_own_thread_gives_the_same_attempt_ways_back_and_power_failures_included() {
    let (script, exercise) = short();
    let (on, here) = both(&script, &exercise, Thread::new);
    assert_eq!(on.refused, []);
    same(&on.session, &here.session);
    let told = |what: &str| {
        let news = on.session.news(0);
        assert!(
            news.iter().any(|news| news.text.contains(what)),
            "{what}: {news:#?}"
        );
    };
    told("Start: refused");
    told("Reset: no latch is left");
    told("Went back to");
    told("The power was away");
}

/// The panel is looked at all the time, not only when all is over.
#[test]
fn alarms_stand_on_the_panel_alike_from_coming_to_reset() {
    let exercise = short().1;
    let wire = Wire::new(Far::new(&controller(&exercise, 1)));
    let mut on = Session::on(wire, Arc::clone(&exercise), 1);
    let mut here = Session::new(exercise, 1);
    let mut seen = Vec::new();
    for second in 0..20 {
        let act = match second {
            2 | 9 => Act::PressEmergencyStop,
            3 | 14 => Act::Acknowledge,
            5 | 10 => Act::ReleaseEmergencyStop,
            7 | 11 | 18 => Act::Reset,
            _ => Act::Understood,
        };
        assert_eq!(on.operate(&act), here.operate(&act));
        for _ in 0..10 {
            assert_eq!((on.advance(100), here.advance(100)), (100, 100));
            let frame = here.frame(Pace::Fastest, 1.0);
            assert_eq!(on.frame(Pace::Fastest, 1.0), frame, "{second} s");
            let states = frame.alarms.into_iter().map(|alarm| alarm.state);
            seen.extend(states);
        }
    }
    seen.sort();
    seen.dedup();
    let all = [
        "acknowledged",
        "latched",
        "returned-unacknowledged",
        "unacknowledged",
    ];
    assert_eq!(seen, all, "alarms in every state were compared");
}

#[test]
fn on_a_board_nothing_goes_back_and_all_else_is_as_ever() {
    let (script, exercise) = short();
    let (on, _) = both(&script, &exercise, Board);
    let [(line, why)] = on.refused.as_slice() else {
        panic!("{:?}", on.refused);
    };
    assert_eq!(SHORT.lines().nth(line - 1), Some("back 6 s"));
    assert!(why.contains("cannot be taken back in time"), "{why}");

    // A refused way back changes nothing.
    let wire = Wire::new(Board(Far::new(&controller(&exercise, 1))));
    let mut session = Session::on(wire, exercise, 1);
    session.advance(5_000);
    let before = left(&session);
    let refused = session.go_back(2_000).expect_err("refused");
    assert_eq!(refused.code, "cannot-go-back");
    assert_eq!(left(&session), before);
    assert_eq!(session.advance(5_000), 5_000);
}

/// Where a port fails.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Fails {
    Exchange,
    Events,
    Power,
    Fork,
}

/// A controller in this process behind a port that fails for good from one tick on.
struct Failing {
    inner: InProcess,
    fails: Fails,
    ticks_left: u32,
    error: PortError,
}

impl Failing {
    fn at(&self, fails: Fails) -> Result<(), PortError> {
        if self.fails == fails && self.ticks_left == 0 {
            return Err(self.error.clone());
        }
        Ok(())
    }
}

impl ControllerPort for Failing {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        self.at(Fails::Exchange)?;
        self.ticks_left = self.ticks_left.saturating_sub(1);
        self.inner.exchange(inputs, command, request)
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.inner.answer()
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.at(Fails::Events)?;
        self.inner.events(take)
    }

    fn power_returns(&mut self) -> Result<(), PortError> {
        self.at(Fails::Power)?;
        self.inner.power_returns()
    }

    fn fork(&mut self) -> Result<Option<Self>, PortError> {
        self.at(Fails::Fork)?;
        Ok(Some(Self {
            inner: self.inner.clone(),
            fails: self.fails,
            ticks_left: self.ticks_left,
            error: self.error.clone(),
        }))
    }
}

fn errors() -> [PortError; 3] {
    let at = || "a test".to_owned();
    [
        PortError::Lost { at: at() },
        PortError::Timeout {
            at: at(),
            waited_ms: 20,
        },
        PortError::Protocol {
            at: at(),
            what: "noise".into(),
        },
    ]
}

fn failing(exercise: &Arc<Exercise>, fails: Fails, ticks: u32, error: &PortError) -> Failing {
    Failing {
        inner: controller(exercise, 1),
        fails,
        ticks_left: ticks,
        error: error.clone(),
    }
}

/// Ticks that a session makes on a port that fails after so many.
fn made(fails: Fails, ticks: u32) -> u32 {
    match fails {
        // Events are asked for after their tick was made.
        Fails::Exchange | Fails::Events => ticks,
        // The power is away at 16 s.
        Fails::Power => ticks.max(16_000),
        // A moment is kept before the first tick, when the trainee comes, and then every five seconds.
        Fails::Fork if ticks == 0 => 0,
        Fails::Fork if ticks <= FIRST_TICK => FIRST_TICK,
        Fails::Fork => ticks.next_multiple_of(5_000),
    }
}

#[test]
fn a_port_that_fails_ends_the_attempt_in_order_and_says_why() {
    let exercise = short().1;
    for error in errors() {
        for fails in [Fails::Exchange, Fails::Events, Fails::Power, Fails::Fork] {
            for ticks in [0, 1, FIRST_TICK - 1, FIRST_TICK, 6_400, 12_345] {
                let what = format!("{fails:?} after {ticks} ticks: {error:?}");
                let port = failing(&exercise, fails, ticks, &error);
                let mut session = Session::on(port, Arc::clone(&exercise), 1);
                let _ = session.operate(&Act::PressEmergencyStop);
                let _ = session.operate(&Act::Acknowledge);
                session.advance(30_000);
                broken_off(&mut session, &error, made(fails, ticks), &what);

                // It is an attempt like any other: done again in this process, the same comes out.
                let attempt = session.attempt();
                let again = replay(Arc::clone(&exercise), &attempt);
                if attempt.end_tick >= FIRST_TICK {
                    let again = again.unwrap_or_else(|error| panic!("{what}: {error}"));
                    assert_eq!(again.score(), session.score(), "{what}");
                }
            }
        }
    }
}

/// What must hold of an attempt that was broken off.
fn broken_off(session: &mut Session<Failing>, error: &PortError, made: u32, what: &str) {
    assert!(session.finished(), "{what}");
    assert_eq!(session.failure(), Some(error), "{what}");
    assert_eq!(session.tick(), made, "{what}");
    // Told once, while it lasts and afterwards, with what would help.
    let told: Vec<&str> = session
        .news(0)
        .iter()
        .filter(|news| news.kind == NewsKind::Exercise && news.text.contains("broken off"))
        .map(|news| news.text.as_str())
        .collect();
    let line = format!("The attempt is broken off here: {error}.");
    assert_eq!(told, [line.as_str()], "{what}");
    let debrief = session.debrief();
    let events: Vec<&str> = debrief
        .events
        .iter()
        .filter(|event| event.text == line)
        .map(|event| event.text.as_str())
        .collect();
    assert_eq!(events.len(), 1, "{what}");
    assert!(debrief.finished, "{what}");
    // Nothing moves any more, and nothing is taken.
    let before = left(session);
    assert_eq!(session.advance(100), 0, "{what}");
    session.finish();
    assert_eq!(left(session), before, "{what}");
    let refused = session.operate(&Act::Reset).expect_err(what);
    assert_eq!(refused.code, "finished", "{what}");
    let _ = session.frame(Pace::Fastest, 1.0);
}

#[test]
fn a_script_on_a_port_that_fails_ends_at_the_line_that_waits_and_says_why() {
    let (script, exercise) = short();
    for error in errors() {
        let port = failing(&exercise, Fails::Exchange, 5_500, &error);
        let Err(told) = run_on(port, &script, Arc::clone(&exercise)) else {
            panic!("{error:?}: it ran to the end");
        };
        assert_eq!(SHORT.lines().nth(told.line - 1), Some("+2 s"), "{told}");
        assert!(told.what.contains("broken off at 5.5 s"), "{told}");
        assert!(told.what.contains(&error.to_string()), "{told}");
    }
}

/// Whoever mends the line goes back to a moment before it failed.
#[test]
fn an_attempt_that_was_broken_off_goes_on_from_a_moment_before() {
    let exercise = short().1;
    let [error, ..] = errors();
    let port = failing(&exercise, Fails::Exchange, 12_000, &error);
    let mut session = Session::on(port, exercise, 1);
    session.advance(20_000);
    assert_eq!(session.failure(), Some(&error));
    assert_eq!(session.go_back(11_000), Ok(10_000));
    assert!(!session.finished() && session.failure().is_none());
    assert_eq!(session.advance(2_000), 2_000);
    // The moment that was kept has the line of then: it fails as it did.
    assert_eq!(session.advance(2_000), 0);
    assert_eq!(session.failure(), Some(&error));
}

//! Tests of the session itself, on the first exercise of the set.

use super::exercise::{self, Exercise};
use super::protocol::{NewsKind, Pace};
use super::session::Session;
use firmware_core::units::TICKS_PER_SECOND;
use std::path::Path;
use std::sync::Arc;
use twinplate_sim::training::act::Act;

fn first_cycle() -> Arc<Exercise> {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes/exercises/first-cycle.toml");
    Arc::new(
        exercise::load(&path)
            .unwrap_or_else(|e| panic!("{}", twinplate_sim::files::render_errors(&e, false))),
    )
}

/// Does an act and lets half a second pass.
fn act(session: &mut Session, act: &Act) {
    session
        .operate(act)
        .unwrap_or_else(|refused| panic!("{act:?}: {refused:?}"));
    session.advance(500);
}

/// What has come of a script's line is what a page would see.
#[test]
fn news_go_on_counting_after_going_back_and_a_snapshot_is_bounded() {
    let mut session = Session::new(first_cycle(), 3);
    session.advance(600_000);
    let before = session.news(0).len();
    let back = session.go_back(30_000).expect("back");
    assert!((1_000..=30_000).contains(&back), "{back}");
    assert_eq!(session.news(0).len(), before + 1);
    let newest = session.news(before as u64);
    assert_eq!(newest.len(), 1);
    assert_eq!(newest[0].number, before as u64 + 1);
    assert_eq!(newest[0].kind, NewsKind::Instructor);
    // Before the first snapshot there is nothing to go back to but the beginning.
    assert_eq!(session.go_back(0), Ok(1_000));
}

#[test]
fn power_that_returns_leaves_a_stopped_controller_that_knows_nothing() {
    use twinplate_sim::model::{ScenarioEvent, What, When};
    let mut exercise = (*first_cycle()).clone();
    exercise.scenario.events = vec![ScenarioEvent {
        when: When::After {
            phase: firmware_core::sequence::Phase::Dwell,
            step: None,
            delay: 5.0,
        },
        what: What::PowerReturns,
    }];
    let mut session = Session::new(Arc::new(exercise), 1);
    prepare(&mut session);
    act(&mut session, &Act::Start);
    for _ in 0..90 {
        session.advance(1000);
    }
    let frame = session.picture(Pace::Real, 1.0);
    assert_eq!(
        (frame.state.as_str(), frame.recipe, frame.confirmed),
        ("stopped", 0, 0)
    );
    assert_eq!(frame.plate, "contact");
    assert!(frame.switches.standstill && !frame.switches.drives);
    let attempt = session.attempt();
    let text = serde_json::to_string(&attempt).expect("JSON");
    assert_eq!(
        serde_json::from_str::<super::attempt::Attempt>(&text).ok(),
        Some(attempt)
    );
    // The way home: release what the boot latched, raise, then reset.
    act(&mut session, &Act::Reset);
    act(&mut session, &Act::Raise);
    session.advance(40_000);
    act(&mut session, &Act::Reset);
    let idle = session.picture(Pace::Real, 1.0).state;
    assert_eq!(idle, "idle", "{:#?}", session.news(0));
}

#[test]
fn doubled_parts_are_felt_and_put_right_before_the_guard_is_closed() {
    let mut session = Session::new(first_cycle(), 1);
    session.inject("parts", "wrong", None).expect("taken");
    for step in [
        Act::Reset,
        Act::UnlockGuard,
        Act::OpenGuard,
        Act::LoadCarriers,
    ] {
        act(&mut session, &step);
    }
    act(&mut session, &Act::CountParts);
    let seen = |session: &Session| {
        let news = session.news(0);
        news.iter()
            .rfind(|news| news.kind == NewsKind::Seen)
            .map(|news| news.text.clone())
            .unwrap_or_default()
    };
    assert!(
        seen(&session).starts_with("16 parts in 15 pockets"),
        "{}",
        seen(&session)
    );
    act(
        &mut session,
        &Act::Remedy {
            component: "parts".into(),
        },
    );
    session.advance(2 * 60 * TICKS_PER_SECOND);
    act(&mut session, &Act::CountParts);
    assert!(
        seen(&session).starts_with("15 of 15 pockets filled"),
        "{}",
        seen(&session)
    );
}

/// Time until a state is there; panics after ten minutes.
fn wait(session: &mut Session, state: &str) {
    for _ in 0..6000 {
        if session.frame(Pace::Fastest, 0.0).state == state {
            return;
        }
        session.advance(100);
    }
    panic!("never {state}: {:?}", session.news(0));
}

fn prepare(session: &mut Session) {
    for step in [
        Act::Reset,
        Act::UnlockGuard,
        Act::OpenGuard,
        Act::LoadCarriers,
        Act::CountParts,
        Act::CloseGuard,
        Act::LockGuard,
        Act::CheckSlurry,
        Act::RecallRecipe { slot: 1 },
        Act::ConfirmParts { pieces: 15 },
    ] {
        act(session, &step);
    }
}

#[test]
fn a_session_can_be_shared_between_threads() {
    fn shared<T: Send + Sync + Clone>() {}
    shared::<Session>();
    shared::<Arc<Exercise>>();
}

#[test]
fn a_cycle_runs_through_every_step_of_the_guide_to_measured_parts() {
    let mut session = Session::new(first_cycle(), 1);
    assert_eq!(
        session.picture(Pace::Real, 1.0).guide.map(|g| g.number),
        Some(1)
    );
    prepare(&mut session);
    act(&mut session, &Act::Start);
    wait(&mut session, "complete");
    for step in [
        Act::UnlockGuard,
        Act::OpenGuard,
        Act::UnloadCarriers,
        Act::CloseGuard,
    ] {
        act(&mut session, &step);
    }
    assert_eq!(
        session.picture(Pace::Real, 1.0).guide,
        None,
        "{:#?}",
        session.news(0)
    );
    let found: Vec<&str> = session
        .news(0)
        .iter()
        .filter(|news| news.kind == NewsKind::Found)
        .map(|news| news.text.as_str())
        .collect();
    assert!(
        found.iter().any(|text| text.starts_with("15 whole parts")),
        "{found:?}"
    );
    assert!(
        found.iter().any(|text| text.starts_with("No cracks")),
        "{found:?}"
    );
    // The optical flat shows both faces of the worst part, once, and says what the eye reads.
    let looked = session.news(0).iter().filter_map(|news| news.seen.as_ref());
    let [seen] = looked.collect::<Vec<_>>()[..] else {
        panic!("one look: {found:?}");
    };
    let told = found
        .iter()
        .find(|text| text.starts_with("Under the optical flat"));
    let told = told.expect("it is told");
    assert!(told.contains(&seen.part), "{told}");
    for face in &seen.faces {
        assert!(face.words.contains("helium light"), "{}", face.words);
        assert!(
            told.contains(&format!("{} {}", face.face, face.words)),
            "{told}"
        );
        for (laid, picture) in &face.pictures {
            assert!(
                laid.starts_with("flat ") && picture.shades.len() > 1,
                "{laid}"
            );
        }
    }
    let numbers: Vec<u64> = session.news(0).iter().map(|n| n.number).collect();
    assert_eq!(numbers, (1..=numbers.len() as u64).collect::<Vec<_>>());
}

#[test]
fn an_emergency_stop_overtakes_everything_that_waits() {
    let mut session = Session::new(first_cycle(), 1);
    for _ in 0..50 {
        session.operate(&Act::Acknowledge).expect("taken");
    }
    session.operate(&Act::PressEmergencyStop).expect("taken");
    session.advance(2);
    // One tick for the hand, and its circuit is open in the very inputs of that tick.
    let frame = session.picture(Pace::Real, 1.0);
    assert!(frame.switches.estop);
    assert_eq!(frame.response, "controlled-stop");
}

#[test]
fn an_emergency_stop_is_taken_where_nothing_else_is_any_more() {
    let mut session = Session::new(first_cycle(), 1);
    let full = (0..30_000).find_map(|_| session.operate(&Act::CheckSlurry).err());
    assert_eq!(full.map(|refused| refused.code), Some("too-many"));
    session.operate(&Act::PressEmergencyStop).expect("taken");
    session.advance(2);
    assert!(session.picture(Pace::Real, 1.0).switches.estop);
}

#[test]
fn what_hands_cannot_reach_is_refused_at_once_and_logged() {
    let mut session = Session::new(first_cycle(), 1);
    for (wrong, code) in [
        (Act::LoadCarriers, "guard-closed"),
        (Act::CountParts, "guard-closed"),
        (Act::RecallRecipe { slot: 9 }, "empty-slot"),
        (Act::RecallRecipe { slot: 0 }, "empty-slot"),
        (
            Act::SetMode {
                mode: "manual".into(),
            },
            "unknown-mode",
        ),
        (
            Act::SelectMove {
                movement: "up".into(),
            },
            "unknown-movement",
        ),
        (
            Act::Remedy {
                component: "engine".into(),
            },
            "unknown-component",
        ),
        (
            Act::Remedy {
                component: "parts".into(),
            },
            "guard-closed",
        ),
    ] {
        let refused = session.operate(&wrong).expect_err("refused");
        assert_eq!(refused.code, code, "{wrong:?}");
    }
    // By the controller: in the next tick, as news.
    session.operate(&Act::Start).expect("sent");
    session.advance(1);
    let newest = session
        .news(0)
        .iter()
        .rfind(|news| news.kind == NewsKind::Refused);
    let text = newest.map_or("", |news| news.text.as_str());
    assert!(text.starts_with("Start: refused"), "{text}");
}

#[test]
fn going_back_and_doing_the_same_gives_the_same_run() {
    let mut session = Session::new(first_cycle(), 7);
    prepare(&mut session);
    act(&mut session, &Act::Start);
    session.advance(20_000);
    let mut straight = session.clone();
    straight.operate(&Act::Hold).expect("taken");
    straight.advance(9_000);

    session.operate(&Act::Stop).expect("taken");
    session.advance(7_000);
    let back = session.go_back(straight.tick() - 9_000).expect("back");
    assert!(back <= straight.tick() - 9_000);
    session.advance(straight.tick() - 9_000 - back);
    session.operate(&Act::Hold).expect("taken");
    session.advance(9_000);
    assert_eq!(session.tick(), straight.tick());
    assert_eq!(session.control_hash(), straight.control_hash());
    assert_eq!(session.trace_hash(), straight.trace_hash());
    assert_eq!(session.log, straight.log);
}

#[test]
fn advance_while_asks_before_each_tick() {
    let mut session = Session::new(first_cycle(), 1);
    let mut left = 7;
    let made = session.advance_while(100, || {
        left -= 1;
        left >= 0
    });
    assert_eq!(made, 7);
    assert_eq!(session.advance_while(100, || false), 0);
}

/// Guards: a full log refused the hand that lets go of the hold-to-run control, also where its connection was lost; and it grew with
/// each emergency stop that came after.
#[test]
fn a_full_log_takes_an_emergency_stop_and_a_hand_that_lets_go_and_grows_no_more() {
    let mut session = Session::new(first_cycle(), 1);
    act(&mut session, &Act::HoldToRun { on: true });
    let held = |session: &Session| session.picture(Pace::Real, 1.0).switches.hold_to_run;
    assert!(held(&session));
    // With the guard closed it is refused at once, and noted.
    let full = (0..100_000).find(|_| {
        let tried = session.operate(&Act::CountParts);
        tried.is_err_and(|refused| refused.code == "too-many")
    });
    let full = full.expect("the log is bounded");
    for _ in 0..50 {
        act(&mut session, &Act::HoldToRun { on: false });
        act(&mut session, &Act::PressEmergencyStop);
    }
    assert!(!held(&session));
    assert!(session.picture(Pace::Real, 1.0).switches.estop);
    let kept = session.attempt().deeds.len();
    assert!(kept <= full + 3, "{kept} after {full}");
}

//! Putting something right: it takes its time and its place, and the machine is locked off meanwhile.

use crate::{at_work, exercise, work};
use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::training::act::Act;
use twinplate_train::attempt::replay;
use twinplate_train::protocol::Pace;
use twinplate_train::session::Session;

const MINUTE: u32 = 60 * TICKS_PER_SECOND;

fn call(component: &str) -> Act {
    Act::Remedy {
        component: component.into(),
    }
}

/// Batch laid in, count confirmed: a start would be taken.
fn ready() -> Session {
    let mut session = Session::new(exercise("laid-in"), 1);
    work(&mut session, &[Act::ConfirmParts { pieces: 15 }], 1000);
    session
}

fn last(session: &Session) -> &str {
    &session.news(0).last().expect("news").text
}

/// What sets the machine in motion, in whatever mode it would.
fn motions() -> [Act; 4] {
    [
        Act::Start,
        Act::Restart,
        Act::Raise,
        Act::HoldToRun { on: true },
    ]
}

#[test]
fn the_machine_is_locked_off_while_somebody_is_at_work_and_free_again_afterwards() {
    let mut session = ready();
    work(&mut session, &[call("pump")], 1000);
    for act in motions() {
        let why = session.operate(&act).expect_err("locked off");
        assert_eq!(why.code, "locked-off", "{act:?}");
    }
    assert_eq!(
        session.operate(&call("gauge")).expect_err("busy").code,
        "locked-off"
    );
    let advised = session.picture(Pace::Real, 1.0);
    assert!(
        advised.waits.starts_with("Being put right"),
        "{}",
        advised.waits
    );
    assert_eq!(advised.advised, "");
    // Nothing moves with it: reading, looking and saying go on.
    let looks = [
        Act::Acknowledge,
        Act::CheckSlurry,
        Act::Reset,
        Act::PressEmergencyStop,
        Act::ReleaseEmergencyStop,
    ];
    work(&mut session, &looks, 100);
    session.advance(2 * MINUTE);
    assert!(!at_work(&session));
    // The emergency stop's latch first, then home.
    let acts = [
        Act::Reset,
        Act::Reset,
        Act::ConfirmParts { pieces: 15 },
        Act::Start,
    ];
    work(&mut session, &acts, 1000);
    let state = session.picture(Pace::Real, 1.0).state;
    assert_eq!(state, "running", "{}", last(&session));
}

/// Nobody knows before a look whether anything is wrong: neither the answer nor the first minute tells.
#[test]
fn what_is_whole_is_found_so_after_a_minute_and_what_is_broken_is_right_after_its_time() {
    let until_told = |broken: bool| {
        let mut session = ready();
        if broken {
            session.inject("pump", "off", None).expect("it can fail");
        }
        session.advance(TICKS_PER_SECOND);
        session.operate(&call("pump")).expect("at rest");
        let began = session.tick();
        let answer = session.news(0).last().expect("news").text.clone();
        while at_work(&session) {
            session.advance(1);
        }
        let took = session.tick() - began;
        session.advance(TICKS_PER_SECOND);
        (answer, took, last(&session).to_owned())
    };
    let (whole, broken) = (until_told(false), until_told(true));
    assert_eq!(whole.0, broken.0);
    assert_eq!((whole.1, broken.1), (MINUTE, 4 * MINUTE));
    assert!(whole.2.contains("nothing was wrong"), "{}", whole.2);
    assert!(broken.2.ends_with("put right."), "{}", broken.2);
}

/// Whoever asks for it has it once it is done.
#[test]
fn what_is_under_way_when_an_attempt_ends_was_not_done() {
    let mut session = ready();
    session.inject("pump", "off", None).expect("it can fail");
    work(&mut session, &[call("pump")], MINUTE);
    session.finish();
    let attempt = session.attempt();
    assert!(attempt.deeds.len() >= 3);
    assert!(at_work(&session), "not done yet");
    assert!(!session.debrief().score.passed);
}

#[test]
fn parts_are_laid_right_behind_an_open_guard_that_nobody_shuts_meanwhile() {
    let mut session = Session::new(exercise("doubled-part"), 1);
    session.advance(1000);
    let why = session.operate(&call("parts")).expect_err("guard shut");
    assert_eq!(why.code, "guard-closed");
    work(
        &mut session,
        &[Act::UnlockGuard, Act::OpenGuard, call("parts")],
        1000,
    );
    let why = session.operate(&Act::CloseGuard).expect_err("hands inside");
    assert_eq!(why.code, "locked-off");
    session.advance(2 * MINUTE);
    assert!(last(&session).ends_with("put right."), "{}", last(&session));
    session.operate(&Act::CloseGuard).expect("nobody is inside");
    // A part that is under way outside keeps nobody from the guard.
    work(
        &mut session,
        &[Act::OpenGuard, call("pump"), Act::CloseGuard],
        1000,
    );
}

/// Guards: what was under way at the moment that one goes back to is under way again, and costs or counts but once.
#[test]
fn who_goes_back_while_somebody_is_at_work_finds_him_at_work() {
    let mut session = ready();
    work(&mut session, &[call("pump")], MINUTE / 2);
    let at = session.tick();
    session.advance(MINUTE);
    assert!(!at_work(&session));
    session.go_back(at).expect("back");
    assert!(at_work(&session));
    session.advance(MINUTE);
    let told = session.news(0).iter();
    let told = told.filter(|news| news.text.contains("nothing was wrong"));
    assert_eq!(told.count(), 2, "news stay");
    let again = replay(exercise("laid-in"), &session.attempt()).expect("the same files");
    assert_eq!(again.debrief(), session.debrief());
}

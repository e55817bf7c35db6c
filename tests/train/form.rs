//! The form of the plates from the panel: what is taken, what follows from it, and what is refused.

use crate::exercise;
use firmware_core::interlock::{AlarmState, Cond, TABLE};
use firmware_core::sequence::State;
use twinplate_sim::demo;
use twinplate_sim::flatness;
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::{Form, NewsKind, Pace};
use twinplate_train::session::Session;

const EXERCISE: &str = "plates-out-of-form";

fn report(by: &str, lower: f64, upper: f64) -> Act {
    Act::ReportForm {
        by: by.into(),
        lower,
        upper,
    }
}

fn shown(session: &Session) -> Option<Form> {
    session.picture(Pace::Real, 1.0).form
}

/// The alarm of a row is there and has not returned.
fn asks(session: &Session, row: Cond) -> bool {
    let alarms = session.picture(Pace::Real, 1.0).alarms;
    let row = TABLE[row as usize].id;
    let stands = [AlarmState::Unacknowledged, AlarmState::Acknowledged].map(AlarmState::name);
    alarms
        .iter()
        .any(|alarm| alarm.row == row && stands.contains(&alarm.state.as_str()))
}

fn refusals(session: &Session) -> usize {
    let news = session.news(0).iter();
    news.filter(|news| news.kind == NewsKind::Refused).count()
}

/// At rest with the recipe recalled that keeps the plates flat.
fn recalled() -> Session {
    let mut session = Session::new(exercise(EXERCISE), 1);
    assert_eq!(shown(&session), None, "no recipe is recalled");
    let refused = session.operate(&report("straightedge", 2.4, -1.8));
    assert_eq!(refused.expect_err("no recipe").code, "no-flatness-control");
    session
        .operate(&Act::RecallRecipe { slot: 1 })
        .expect("taken");
    session.advance(200);
    session
}

#[test]
fn what_is_reported_turns_the_rings_and_what_is_not_is_told() {
    let mut session = recalled();
    let form = shown(&session).expect("controlled");
    assert_eq!((form.age, form.setting), (None, 0));
    assert!(asks(&session, Cond::FormOverdue) && !asks(&session, Cond::FormLimit));
    session
        .operate(&report("straightedge", 2.4, -1.8))
        .expect("taken");
    // Longer than an alarm stays after its cause.
    session.advance(10_000);
    let form = shown(&session).expect("controlled");
    assert_eq!((form.age, form.setting), (Some(0), 1));
    assert_eq!(form.rings, "reversed");
    for (found, read) in form.plates_m.iter().zip([2.4e-6, -1.8e-6]) {
        assert!((found - read).abs() < 1e-12, "{found} {read}");
    }
    assert!(!asks(&session, Cond::FormOverdue) && !asks(&session, Cond::FormLimit));
}

#[test]
fn beyond_the_limit_no_cycle_starts_and_what_no_plate_has_changes_nothing() {
    let mut session = recalled();
    session
        .operate(&report("straightedge", 8.0, 0.0))
        .expect("taken");
    session.advance(200);
    assert!(asks(&session, Cond::FormLimit));
    session.operate(&Act::Start).expect("pressed");
    session.advance(2000);
    let state = session.picture(Pace::Real, 1.0).state;
    assert_eq!(state, State::Idle.name());
    let (before, told) = (shown(&session), refusals(&session));
    session
        .operate(&report("straightedge", 9000.0, 0.0))
        .expect("asked");
    session.advance(200);
    assert_eq!(shown(&session), before);
    assert_eq!(refusals(&session), told + 1);
}

#[test]
fn a_recipe_is_told_what_it_reckons_in() {
    let mut session = recalled();
    for by in ["bands", "thumb"] {
        let refused = session.operate(&report(by, 1.0, 1.0)).expect_err(by);
        assert_eq!(refused.code, "other-measure");
    }
}

/// A part of 50 mm on a plate of 480 mm that is bowed by 10 µm takes a sag of 10 (50/480)² = 0.109 µm (the share of the squares of the
/// diameters, any text on spherical surfaces). Between the plate's edges, 196 and 480 mm, that is a form of 10 (1 - (196/480)²) µm.
#[test]
fn bands_are_the_sphere_that_leaves_them() {
    let (machine, batch) = (demo::machine("machine-a"), demo::batch("glass-discs"));
    let share = |d: f64| (d / 480.0) * (d / 480.0);
    let bands = 10e-6 * share(50.0) / (0.5 * batch.wavelength);
    let [lower, upper] = flatness::of_bands(&machine, &batch, [bands, -bands]);
    assert!(
        (lower - 10e-6 * (1.0 - share(196.0))).abs() < 1e-12,
        "{lower}"
    );
    assert!((lower + upper).abs() < 1e-18);
}

//! The plates' form in the controller: what a report, a recipe, a batch and a movement make of it, what is told, and how the rings turn.

use super::rig::{Rig, good_cycle, recipe};
use crate::events::EventKind;
use crate::interlock::Cond;
use crate::plate_form::OUT_OF_DATE;
use crate::process_image::Drive;
use crate::sequence::{ALL_SETUP_MOVES, Command, Mode, Phase, Refusal, Request, SetupMove, State};
use crate::units::Micrometres;

/// A report that asks for the second setting: inner ring −11 rpm, outer ring −9 rpm where 10 rpm are programmed.
fn corrected() -> Rig {
    let mut rig = Rig::idle();
    rig.mark();
    rig.report(3.0, 2.5);
    rig
}

fn rings(rig: &Rig) -> Option<[f32; 4]> {
    let speeds = rig.c.current.map(|step| step.speeds);
    speeds.map(|speeds| speeds.map(|speed| (speed.get() * 100.0).round() / 100.0))
}

const PROGRAMMED: Option<[f32; 4]> = Some([10.0; 4]);
const TURNED: Option<[f32; 4]> = Some([-11.0, -9.0, 10.0, 10.0]);

/// Both forms are told in nm, and the setting that follows from them by its number, once.
#[test]
fn a_report_is_told_with_the_setting_that_follows() {
    let mut rig = corrected();
    assert_eq!(rig.told(EventKind::FormLower), [(0, 3_000)]);
    assert_eq!(rig.told(EventKind::FormUpper), [(0, 2_500)]);
    assert_eq!(rig.told(EventKind::RingSetting), [(0, 1)]);
    assert_eq!(rig.events().len(), 3);
    assert_eq!(rings(&rig), TURNED);
    rig.tick();
    assert_eq!(rig.c.status.ring_setting, 1);
    assert_eq!(rig.c.status.form, [3.0, 2.5].map(Micrometres::new));
    assert_eq!(rig.c.status.form_age, 0);
    // The same again is told and changes nothing.
    rig.mark();
    rig.report(3.0, 2.5);
    assert_eq!(rig.told(EventKind::RingSetting), []);
    assert_eq!(rig.events().len(), 2);
    rig.report(0.0, 0.0);
    assert_eq!(rig.told(EventKind::RingSetting), [(0, 0)]);
    assert_eq!(rings(&rig), PROGRAMMED);
}

/// A cycle turns its rings as the setting says, in every step; plates and loads stay as they are programmed.
#[test]
fn a_cycle_turns_its_rings_as_the_setting_says() {
    let mut rig = corrected();
    rig.c.seq = Rig::at(0, Phase::LoadRamp).c.seq;
    rig.c.check_sequence();
    let inputs = rig.i;
    let m = rig.c.signal.measure(&inputs, &rig.c.params, 1);
    for _ in 0..400 {
        rig.c.act(&inputs, &m);
    }
    let setpoint = |rig: &Rig, drive: Drive| rig.c.outputs.drives[drive as usize].setpoint;
    assert_eq!(setpoint(&rig, Drive::Inner), -1_100);
    assert_eq!(setpoint(&rig, Drive::Outer), -900);
    assert_eq!(setpoint(&rig, Drive::Lower), 1_000);
    rig.c.go_to_step(1);
    assert_eq!(rings(&rig), Some([-13.2, -10.8, 12.0, 12.0]));
    assert_eq!(rig.c.step, 1);
    rig.c.go_to_step(3);
    assert_eq!(rings(&rig), None, "there are three steps");
}

/// A Setup movement turns as programmed, at its reduced speed: a ring setting is for parts.
#[test]
fn a_setup_movement_turns_its_rings_as_programmed() {
    let mut rig = Rig::setup(SetupMove::Jog);
    rig.report(3.0, 2.5);
    rig.i.hold_to_run = true;
    rig.run(300);
    assert_eq!(rig.c.outputs.drives.map(|drive| drive.setpoint), [500; 4]);
}

/// A setting belongs to a recipe that has it: with another, a wrong one or none, the rings turn as programmed.
#[test]
fn a_setting_goes_with_its_recipe() {
    let plain = |rig: &Rig| {
        let mut other = recipe(&rig.c.params);
        other.flatness = None;
        other
    };
    let mut rig = corrected();
    rig.c.step = 2;
    rig.mark();
    let other = plain(&rig);
    rig.ask(Request::LoadRecipe(other));
    assert_eq!(rig.told(EventKind::Recipe), [(0, 0)]);
    assert_eq!(rig.told(EventKind::RingSetting), [(0, 0)]);
    assert_eq!(rings(&rig), PROGRAMMED);
    assert_eq!((rig.c.step, rig.c.pieces), (0, 0));
    let mut rig = corrected();
    let mut wrong = plain(&rig);
    wrong.pieces = 0;
    rig.mark();
    let answer = rig.c.request(&Request::LoadRecipe(wrong));
    assert_eq!(answer, Err(Refusal::RecipeInvalid));
    assert_eq!(
        rig.told(EventKind::Refused),
        [(0, i32::from(Refusal::RecipeInvalid as u16))]
    );
    assert_eq!(rig.told(EventKind::RingSetting), [(0, 0)]);
    assert_eq!(rings(&rig), None);
    assert!(rig.c.aims.setpoint.abs() < 0.01, "nothing to press");
    // And comes with it: a report that was there before chooses for a recipe that is loaded after it.
    let again = recipe(&rig.c.params);
    rig.mark();
    rig.ask(Request::LoadRecipe(again));
    assert_eq!(rig.told(EventKind::RingSetting), [(0, 1)]);
    assert_eq!(rings(&rig), TURNED);
}

/// A batch that is complete adds its change, and may end a correction; one that wore the plates and was broken off leaves a form that
/// nobody knows; one that had not turned yet leaves it as it was.
#[test]
fn what_wore_the_plates_decides_what_is_known_of_their_form() {
    let known = |rig: &Rig| rig.c.status.form_age;
    let complete = &good_cycle()[good_cycle().len() - 1];
    assert_eq!(known(complete), 1);
    for (phase, age) in [
        (Phase::Lower, 0),
        (Phase::SlurryPrestart, 0),
        (Phase::RunUp, OUT_OF_DATE),
        (Phase::Dwell, OUT_OF_DATE),
    ] {
        let mut rig = Rig::at(0, phase);
        rig.run(20);
        assert_eq!(known(&rig), 0, "{phase:?}: not before the machine rests");
        rig.tell(Command::Stop);
        rig.until_state(State::Stopped);
        rig.tick();
        assert_eq!(known(&rig), age, "{phase:?}");
        let overdue = rig.c.status.active & Cond::FormOverdue.bit() != 0;
        assert_eq!(overdue, age == OUT_OF_DATE, "{phase:?}");
    }
    for wanted in ALL_SETUP_MOVES {
        let mut rig = Rig::setup(wanted);
        if wanted == SetupMove::Raise {
            (rig.height, rig.c.seq.plate) = (100_000.0, crate::sequence::Plate::Air);
            rig.run(2);
        }
        rig.i.hold_to_run = true;
        rig.run(20);
        assert_eq!(rig.c.status.phase, Phase::Manual, "{wanted:?}");
        rig.i.hold_to_run = false;
        rig.until_phase(Phase::Rest);
        let age = if wanted == SetupMove::Condition {
            OUT_OF_DATE
        } else {
            0
        };
        assert_eq!(known(&rig), age, "{wanted:?}");
    }
}

/// A plate that was changed has a form and a weight that nobody knows: from the moment the mode is left, and not while it lasts.
#[test]
fn a_plate_change_forgets_form_and_tare_when_it_is_left() {
    let mut rig = corrected();
    rig.c.signal.start_tare();
    for _ in 0..600 {
        rig.c.signal.learn_tare(&rig.i, &rig.c.params);
    }
    rig.mark();
    rig.ask(Request::SetMode(Mode::PlateChange));
    rig.ask(Request::SetMode(Mode::PlateChange));
    assert_eq!(rig.c.flatness.age(), 0);
    assert!(rig.c.signal.tared());
    assert_eq!(rig.told(EventKind::Mode), [(0, 2), (0, 2)]);
    rig.ask(Request::SetMode(Mode::Automatic));
    assert_eq!(rig.c.flatness.age(), OUT_OF_DATE);
    assert!(!rig.c.signal.tared());
    assert_eq!(rig.told(EventKind::RingSetting), [(0, 0)]);
    assert_eq!(rig.told(EventKind::Mode).last(), Some(&(0, 0)));
    assert_eq!(rings(&rig), PROGRAMMED);
    rig.tick();
    assert_eq!(rig.c.status.active, Cond::FormOverdue.bit());
    // Another mode that is left leaves both as they are.
    let mut rig = corrected();
    rig.wrong = |i| i.setup_key = true;
    rig.tick();
    rig.ask(Request::SetMode(Mode::Setup));
    rig.ask(Request::SetMode(Mode::Automatic));
    assert_eq!(rig.c.flatness.age(), 0);
}

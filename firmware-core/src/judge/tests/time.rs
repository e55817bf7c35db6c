//! Where the times of a phase and of a step begin.

use super::*;

/// Nothing of the phase before counts: neither its time nor how long it was in band.
#[test]
fn a_phase_begins_its_times_anew() {
    let mut desk = Desk::at(RUNNING, Phase::RunUp);
    let deadline = too_late(Phase::RunUp).unwrap();
    let still = desk.inputs.drives;
    desk.drives
        .step(DriveGoal::Run, &[Rpm::new(10.0); DRIVES], &still, &desk.m);
    desk.looks(deadline);
    desk.enter(Phase::RunUp, 550.0);
    assert!(!desk.looks(deadline).expired, "its own time");
    assert!(desk.look().expired);
    let mut desk = Desk::at(RUNNING, Phase::TouchDown);
    desk.m.load = 150.0;
    desk.looks(SEATED - 1);
    desk.enter(Phase::TouchDown, 550.0);
    assert_eq!(desk.looks(SEATED - 1).view, View::Waiting);
    assert_eq!(desk.look().view, View::Reached);
}

/// A descent forgets what was felt before it, with another tare; a plate that is stopped as it touches is known to rest on the parts.
#[test]
fn a_descent_forgets_contact_and_whatever_comes_after_it_does_not() {
    for (next, felt) in [
        (Phase::Lower, false),
        (Phase::Rest, true),
        (Phase::SlurryStop, true),
        (Phase::Coast, true),
    ] {
        let mut desk = Desk::at(RUNNING, Phase::Lower);
        desk.looks(CONTACT_CONFIRM - 1);
        desk.enter(next, 550.0);
        desk.seq.phase = next;
        assert_eq!(desk.look().contact, felt, "{next:?}");
    }
}

/// Its own time in band, its own longest time, and stock from the size that it finds.
#[test]
fn a_step_begins_its_times_and_its_stock_anew() {
    let over = Cond::StepOvertime.bit();
    let mut desk = Desk::at(RUNNING, Phase::Dwell);
    desk.set(|step| {
        step.end = EndWire::Stock(Micrometres::new(10.0));
        step.longest = Ticks(1_000);
    });
    (desk.m.size, desk.m.size_valid) = (560.0, true);
    desk.looks(900);
    assert_eq!(desk.judge.step_time(), Ticks(900));
    desk.judge.begin_step();
    assert_eq!(desk.judge.step_time(), Ticks::ZERO);
    desk.m.size = 551.0;
    desk.look();
    desk.m.size = 550.0;
    let found = desk.looks(998);
    assert_eq!(
        (found.view, found.rows.0 & over),
        (View::Waiting, 0),
        "1 µm of this step, 999 ticks"
    );
    let found = desk.look();
    assert_eq!((found.view, found.rows.0 & over), (View::Reached, over));
}

/// The step's longest time begins with its ramp.
#[test]
fn a_load_ramp_counts_to_the_longest_time_of_its_step() {
    let over = Cond::StepOvertime.bit();
    let mut desk = Desk::at(RUNNING, Phase::LoadRamp);
    desk.set(|step| step.longest = Ticks(6_000));
    // Out of band: no time in band is spent.
    desk.m.load = 300.0;
    desk.looks(2_000);
    desk.enter(Phase::Dwell, 550.0);
    desk.seq.phase = Phase::Dwell;
    assert_eq!(desk.looks(3_999).rows.0 & over, 0);
    assert_eq!(desk.look().rows.0 & over, over);
}

/// A millimetre in 151 ticks, the last of them its own, is a fall; and when it ends the plate is missed 151 ticks later, wherever it
/// began.
#[test]
fn a_plate_that_falls_as_slowly_as_it_may_is_missed_only_when_it_stands() {
    let row = Cond::NotFollowing.bit();
    let mut desk = Desk::at(RUNNING, Phase::Lower);
    desk.enter(Phase::Lower, 100_000.0);
    (desk.m.height, desk.m.load, desk.inputs.pin_out) = (100_000.0, 0.0, true);
    assert_eq!(desk.looks(FOLLOW_FROM).rows.0 & row, 0);
    for fall in 0..20 {
        for tick in 0..150 {
            assert_eq!(desk.look().rows.0 & row, 0, "{fall} mm and {tick} ticks");
        }
        desk.m.height -= 1_000.0;
        assert_eq!(desk.look().rows.0 & row, 0, "{fall} mm");
    }
    assert_eq!(desk.looks(150).rows.0 & row, 0);
    assert_eq!(desk.look().rows.0 & row, row);
}

//! Why a cycle left the ladder: the first cause, what is told of it, and when it is forgotten. Rows that rise, alarms, resets.

use super::rig::Rig;
use crate::events::EventKind;
use crate::interlock::{AlarmState, Cond, TABLE};
use crate::motion::LoopGoal;
use crate::process_image::{Inputs, Outputs};
use crate::sequence::{Command, Goals, Phase, Plate, Request, SetupMove, State};
use crate::status::Response;
use crate::units::{Newtons, NewtonsPerSecond};

type Wrong = fn(&mut Inputs);

fn id(cond: Cond) -> u16 {
    TABLE[cond as usize].id
}

/// A command that stops is its own cause, whatever alarm stands beside it.
#[test]
fn a_stop_by_command_has_no_row_for_a_cause() {
    for command in [Command::Hold, Command::Stop, Command::Abort] {
        let mut rig = Rig::at(0, Phase::Dwell);
        // A low tank is an alarm and no stop.
        rig.wrong = |i| i.tank_level.value = 100;
        rig.until(|c| c.status.response == Response::Alarm);
        rig.mark();
        rig.run(3);
        assert_eq!(rig.c.status.cause, 0, "an alarm is no cause");
        rig.tell(command);
        assert_eq!(rig.told(EventKind::Departed), [(0, 0)], "{command:?}");
        assert_eq!(rig.c.status.cause, 0, "{command:?}");
    }
}

/// A row that rises in the tick of a command is the cause: what it asks for would have come without the command.
#[test]
fn a_row_that_rises_with_the_command_is_the_cause() {
    let row = Cond::AgitatorSettled;
    let mut rig = Rig::at(0, Phase::Dwell);
    rig.wrong = |i| i.agitator_turning = false;
    let before = rig.c.params.get().settle_limit.0;
    rig.run(before - 1);
    assert_eq!(rig.c.status.state, State::Running);
    assert_eq!(rig.c.status.response, Response::None);
    rig.tell(Command::Hold);
    assert_eq!(rig.c.status.response, Response::Hold);
    assert_eq!(rig.c.status.state, State::Holding);
    assert_eq!(rig.c.status.cause, id(row));
    assert_eq!(rig.told(EventKind::Departed), [(id(row), 0)]);
    assert_eq!(rig.told(EventKind::Condition), [(id(row), 0)]);
}

/// The first cause stays through what follows from it, and goes with a restart, a reset or a start.
#[test]
fn the_first_cause_stays_until_restart_reset_or_start() {
    let row = id(Cond::AgitatorSettled);
    let mut held = Rig::at(0, Phase::Dwell);
    held.wrong = |i| i.agitator_turning = false;
    held.until_state(State::Holding);
    held.wrong = |_| {};
    held.until_state(State::Held);
    held.run(5);
    assert_eq!(held.c.status.cause, row);
    let mut restarted = held.clone();
    restarted.tell(Command::Restart);
    assert_eq!(restarted.c.status.state, State::Restarting);
    assert_eq!(restarted.c.status.cause, 0);
    let mut aborted = held.clone();
    aborted.mark();
    aborted.tell(Command::Abort);
    assert_eq!(aborted.c.status.cause, row);
    assert_eq!(aborted.told(EventKind::Departed), [(0, 0)]);
    let mut stopped = held;
    stopped.mark();
    stopped.tell(Command::Stop);
    assert_eq!(stopped.c.status.cause, row);
    assert_eq!(stopped.told(EventKind::Departed), [(0, 0)]);
    // A second row does not take the place of the first.
    stopped.wrong = |i| i.drives[0].fault = true;
    stopped.run(2);
    assert_eq!(stopped.c.status.cause, row);
    stopped.until_state(State::Stopped);
    assert_eq!(stopped.c.status.cause, row);
    stopped.mark();
    stopped.tell(Command::Reset);
    assert_eq!(stopped.c.status.cause, 0);
    assert_eq!(stopped.told(EventKind::Reset), [(0, 1)], "one stays");
    stopped.wrong = |_| {};
    stopped.tick();
    stopped.mark();
    stopped.tell(Command::Reset);
    assert_eq!(stopped.told(EventKind::Reset), [(0, 0)], "none stays");
    let mut idle = Rig::idle();
    idle.c.cause = 9;
    idle.tell(Command::Start);
    assert_eq!(idle.c.status.cause, 0);
}

/// In a cycle whose step has ended for an empty tank.
fn ending() -> Rig {
    let mut rig = Rig::at(0, Phase::Dwell);
    // Temperatures that are not received are an alarm, and no cause.
    rig.wrong = |i| {
        i.tank_level.value = 20;
        i.plate_temperature.iter_mut().for_each(|t| t.age = 2_000);
        i.gauge_ok = false;
    };
    rig.until(|c| c.status.response == Response::StopAtStepEnd);
    assert_eq!(rig.c.status.state, State::Running);
    assert_eq!(rig.c.status.cause, 0, "the step goes on");
    rig.until_phase(Phase::LoadRelease);
    rig.mark();
    rig
}

/// A stop at step end is caused by what asked for it, from the end of the step on, even if that is gone when the plates stand.
#[test]
fn a_stop_at_step_end_keeps_the_cause_that_asked_for_it() {
    let row = id(Cond::TankEmpty);
    for refilled in [false, true] {
        let mut rig = ending();
        assert_eq!(rig.c.status.cause, row, "in the tick in which it ends");
        if refilled {
            rig.wrong = |i| i.plate_temperature.iter_mut().for_each(|t| t.age = 2_000);
        }
        rig.until_state(State::Stopping);
        assert_eq!(rig.c.status.cause, row, "refilled: {refilled}");
        assert_eq!(
            rig.told(EventKind::Departed),
            [(row, 0)],
            "refilled: {refilled}"
        );
    }
}

/// A hold on the way to such a stop is told as what it is, and the stop that comes after the restart still has its own cause.
#[test]
fn a_hold_on_the_way_to_a_stop_at_step_end_does_not_take_its_cause() {
    let row = id(Cond::TankEmpty);
    let mut rig = ending();
    rig.tell(Command::Hold);
    assert_eq!(rig.told(EventKind::Departed), [(0, 0)]);
    assert_eq!(rig.c.status.cause, row);
    rig.until_state(State::Held);
    // Refilled, or nothing restarts; the alarm stays.
    rig.wrong = |i| i.plate_temperature.iter_mut().for_each(|t| t.age = 2_000);
    rig.run(5);
    rig.mark();
    rig.tell(Command::Restart);
    rig.until_state(State::Stopping);
    assert_eq!(rig.c.status.cause, row);
    assert_eq!(rig.told(EventKind::Departed), [(row, 0)]);
}

/// A latched row is alarmed until it is reset, and one that follows its condition as long as that lasts; acknowledging is neither.
#[test]
fn alarms_follow_what_is_active_or_latched() {
    let fault = Cond::DriveFault.bit();
    let open = Cond::GuardWaiting.bit();
    let mut rig = Rig::idle();
    rig.c.seq.state = State::Stopped;
    rig.wrong = |i| {
        i.guard_a = false;
        i.guard_b = false;
    };
    rig.run(30);
    assert_eq!(rig.c.alarms().state(open), AlarmState::Unacknowledged);
    assert!(rig.c.status.unacknowledged & open != 0);
    assert!(rig.c.status.active & open != 0 && rig.c.status.latched & open == 0);
    rig.wrong = |i| i.drives[1].fault = true;
    rig.run(2);
    rig.wrong = |_| {};
    rig.ask(Request::Acknowledge);
    rig.run(1_100);
    assert!(rig.c.status.latched & fault != 0 && rig.c.status.active & fault == 0);
    assert_eq!(rig.c.alarms().state(fault), AlarmState::Acknowledged);
    assert_eq!(rig.c.alarms().state(open), AlarmState::Normal);
    assert_eq!(rig.c.status.unacknowledged & (fault | open), 0);
}

/// Channels that disagreed are released when both were seen open: by the controller, not by its latch alone.
#[test]
fn channels_that_disagreed_are_reset_when_both_were_cycled() {
    for (cond, one, both) in [
        (
            Cond::EstopDisagree,
            (|i| i.estop_a = false) as Wrong,
            (|i| (i.estop_a, i.estop_b) = (false, false)) as Wrong,
        ),
        (
            Cond::GuardDisagree,
            |i| i.guard_b = false,
            |i| (i.guard_a, i.guard_b) = (false, false),
        ),
    ] {
        let mut rig = Rig::idle();
        rig.c.seq.state = State::Stopped;
        rig.wrong = one;
        rig.until(|c| c.status.latched & cond.bit() != 0);
        rig.wrong = |_| {};
        rig.run(400);
        rig.tell(Command::Reset);
        assert!(rig.c.status.latched & cond.bit() != 0, "{cond:?}");
        rig.wrong = both;
        rig.run(5);
        rig.wrong = |_| {};
        rig.run(400);
        rig.tell(Command::Reset);
        assert!(rig.c.status.latched & cond.bit() == 0, "{cond:?}");
    }
}

/// Remote start is disarmed by a link or a local enable that is gone, and is not armed again by their return.
#[test]
fn remote_start_is_disarmed_by_a_lost_link_for_good() {
    for wrong in [(|i| i.link_alive = false) as Wrong, |i| {
        i.local_enable = false
    }] {
        let mut rig = Rig::idle();
        rig.run(1_200);
        assert!(!rig.c.remote_armed());
        rig.ask(Request::ArmRemote(true));
        rig.run(5);
        assert!(rig.c.remote_armed());
        rig.wrong = wrong;
        rig.run(1_100);
        assert!(!rig.c.remote_armed());
        rig.wrong = |_| {};
        rig.run(5);
        assert!(!rig.c.remote_armed());
    }
}

/// A sequencer that breaks a rule of its own asks for nothing, is told once by its number, and takes the machine down.
#[test]
fn a_broken_invariant_is_told_once_and_stops_the_machine() {
    let mut rig = Rig::idle();
    rig.c.seq.phase = Phase::Manual;
    // Turning in contact with nothing flowing.
    (rig.c.seq.plate, rig.c.seq.setup_move) = (Plate::Contact, Some(SetupMove::Jog));
    rig.mark();
    rig.c.check_sequence();
    rig.c.check_sequence();
    assert_eq!(rig.told(EventKind::Internal), [(0, 1)]);
    assert_eq!(rig.c.goals, Goals::default());
    rig.tick();
    assert_eq!(rig.c.status.state, State::Aborting);
    assert_eq!(rig.c.status.cause, id(Cond::Internal));
    // One tick tells the row; the next fault is another.
    rig.until_state(State::Aborted);
    rig.tell(Command::Reset);
    assert_eq!(rig.c.status.latched & Cond::Internal.bit(), 0);
    rig.c.load_loop.step(LoopGoal::Open, Newtons::new(f32::NAN));
    rig.mark();
    rig.c.check_loop();
    assert_eq!(rig.told(EventKind::Internal), [(0, 2)]);
}

/// A loop that is no number any more is found in the tick in which it is asked: nothing that it gave leaves the controller.
#[test]
fn a_loop_that_is_no_number_gives_no_output_in_its_tick() {
    let mut rig = Rig::at(0, Phase::Dwell);
    rig.run(5);
    assert_ne!(*rig.c.outputs(), Outputs::default());
    let goal = LoopGoal::Closed {
        target: Newtons::new(265.0),
        rate: NewtonsPerSecond::new(500.0),
        limit: Newtons::new(350.0),
    };
    rig.c.load_loop.step(goal, Newtons::new(f32::NAN));
    rig.tick();
    assert_eq!(*rig.c.outputs(), Outputs::default());
    assert_eq!(rig.told(EventKind::Internal), [(0, 2)]);
    rig.tick();
    assert_eq!(rig.c.status.state, State::Aborting);
}

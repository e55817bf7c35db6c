//! What is asked of motion where.

use super::*;
pub(super) use crate::sequence::goals::LoadMode;
use DriveGoal::{Off, Reduced, Run, Stop};
use LoadMode::{Initial, Resting, Safe, Tracking};
use PlateGoal::{Float, Hold, Lift, Lower, LowerCreep};

type Asked = (LoadMode, PlateGoal, DriveGoal, Fluid);

const NOTHING: Asked = (Safe, Hold, Off, Fluid::Off);

fn asked(goals: Goals) -> Asked {
    (goals.load, goals.plate, goals.drives, goals.fluid)
}

/// The ladder as the book has it (docs/sequence-and-interlocks.md), and everything else at rest.
#[test]
fn each_phase_of_a_cycle_asks_for_what_it_is_for() {
    for (phase, asks) in [
        (Phase::Rest, NOTHING),
        (Phase::Precheck, NOTHING),
        (Phase::Lower, (Resting, Lower, Off, Fluid::Off)),
        (Phase::TouchDown, (Initial, Float, Off, Fluid::Off)),
        (
            Phase::SlurryPrestart,
            (Initial, Float, Off, Fluid::Prestart),
        ),
        (Phase::RunUp, (Initial, Float, Run, Fluid::Slurry)),
        (Phase::LoadRamp, (Tracking, Float, Run, Fluid::Slurry)),
        (Phase::Dwell, (Tracking, Float, Run, Fluid::Slurry)),
        (Phase::LoadRelease, (Initial, Float, Run, Fluid::Slurry)),
        (Phase::Rinse, (Initial, Float, Run, Fluid::Rinse)),
        (Phase::RunDown, (Initial, Float, Stop, Fluid::Slurry)),
        (Phase::SlurryStop, (Initial, Float, Off, Fluid::Off)),
        (Phase::Lift, (Safe, Lift, Off, Fluid::Off)),
        (Phase::Coast, NOTHING),
        (Phase::Manual, NOTHING),
    ] {
        for plate in ALL_PLATES {
            for state in [
                State::Running,
                State::Holding,
                State::Held,
                State::Restarting,
            ] {
                let goals = at(state, phase, plate).goals();
                assert_eq!(asked(goals), asks, "{state:?} {phase:?} {plate:?}");
                assert_eq!(goals.pin_out, phase == Phase::Lower, "{phase:?}");
            }
        }
    }
    // What is rinsed runs down in water.
    let rinsed = Sequencer {
        rinsing: true,
        ..at(State::Running, Phase::RunDown, Plate::Contact)
    };
    assert_eq!(asked(rinsed.goals()), (Initial, Float, Stop, Fluid::Rinse));
}

/// At once, wet, and with the rod side trapped: its supply may be what the stop is for.
#[test]
fn a_stop_lets_the_load_go_to_resting_and_traps_the_counterbalance() {
    for (phase, asks) in [
        (Phase::RunDown, (Resting, Hold, Stop, Fluid::Slurry)),
        (Phase::SlurryStop, (Resting, Hold, Off, Fluid::Off)),
        (Phase::Rest, NOTHING),
    ] {
        assert_eq!(
            asked(at(State::Stopping, phase, Plate::Contact).goals()),
            asks,
            "{phase:?}"
        );
    }
}

#[test]
fn a_jog_in_the_air_runs_down_dry_and_without_load_and_conditioning_wet() {
    for state in [State::Idle, State::Stopped, State::Aborted] {
        for (plate, asks) in [
            (Plate::Parked, (Safe, Hold, Stop, Fluid::Off)),
            (Plate::Air, (Safe, Hold, Stop, Fluid::Off)),
            (Plate::Contact, (Resting, Float, Stop, Fluid::Slurry)),
        ] {
            let goals = at(state, Phase::RunDown, plate).goals();
            assert_eq!(asked(goals), asks, "{state:?} {plate:?}");
        }
    }
}

#[test]
fn a_setup_movement_asks_for_what_it_is_and_turns_parts_only_wet() {
    for (wanted, wetted, asks) in [
        (None, false, NOTHING),
        (Some(SetupMove::Raise), false, (Safe, Lift, Off, Fluid::Off)),
        (
            Some(SetupMove::Lower),
            false,
            (Resting, LowerCreep, Off, Fluid::Off),
        ),
        (
            Some(SetupMove::Jog),
            false,
            (Safe, Hold, Reduced, Fluid::Off),
        ),
        (
            Some(SetupMove::Purge),
            false,
            (Safe, Hold, Off, Fluid::Prestart),
        ),
        (
            Some(SetupMove::Condition),
            false,
            (Initial, Float, Stop, Fluid::Prestart),
        ),
        (
            Some(SetupMove::Condition),
            true,
            (Initial, Float, Reduced, Fluid::Prestart),
        ),
    ] {
        let goals = Sequencer {
            setup_move: wanted,
            wetted,
            ..at(State::Idle, Phase::Manual, Plate::Contact)
        }
        .goals();
        assert_eq!(asked(goals), asks, "{wanted:?}");
        assert_eq!(goals.pin_out, wanted == Some(SetupMove::Lower));
        let pumps = matches!(wanted, Some(SetupMove::Purge | SetupMove::Condition));
        assert_eq!(goals.agitator, pumps, "{wanted:?}: what flows is stirred");
    }
}

/// What settles while a cycle is under way, or waits to be looked at, would be pumped later.
#[test]
fn the_slurry_is_stirred_while_there_is_a_batch() {
    for state in ALL_STATES {
        let none = [
            State::Idle,
            State::Complete,
            State::Aborting,
            State::Aborted,
        ];
        for phase in ALL_PHASES {
            let stirred = at(state, phase, Plate::Contact).goals().agitator;
            assert_eq!(stirred, !none.contains(&state), "{state:?} {phase:?}");
        }
    }
}

/// Each of the four rules, broken alone and kept by a hair; whoever works the goals out.
#[test]
fn goals_that_break_a_rule_are_told() {
    let ask = |load, plate, drives, fluid| Goals {
        load,
        plate,
        drives,
        fluid,
        agitator: true,
        pin_out: false,
    };
    let dwell = at(State::Running, Phase::Dwell, Plate::Contact);
    for (broken, goals, may) in [
        ("dry", ask(Initial, Float, Run, Fluid::Off), false),
        ("dry", ask(Initial, Float, Reduced, Fluid::Off), false),
        ("wet", ask(Initial, Float, Run, Fluid::Rinse), true),
        ("wet", ask(Initial, Float, Reduced, Fluid::Prestart), true),
        ("standing", ask(Initial, Float, Stop, Fluid::Off), true),
        (
            "pressed still",
            ask(Tracking, Float, Stop, Fluid::Slurry),
            false,
        ),
        (
            "pressed still",
            ask(Tracking, Float, Reduced, Fluid::Slurry),
            false,
        ),
        ("pressed", ask(Tracking, Float, Run, Fluid::Slurry), true),
        (
            "lifted turning",
            ask(Safe, Lift, Stop, Fluid::Slurry),
            false,
        ),
        ("lifted turning", ask(Safe, Lift, Run, Fluid::Slurry), false),
        ("lifted", ask(Safe, Lift, Off, Fluid::Off), true),
    ] {
        assert_eq!(dwell.may_ask(&goals), may, "{broken}: {goals:?}");
    }
    // In the air nothing touches.
    for plate in [Plate::Air, Plate::Parked] {
        let jog = at(State::Idle, Phase::Manual, plate);
        assert!(jog.may_ask(&ask(Safe, Hold, Reduced, Fluid::Off)));
    }
    for state in ALL_STATES {
        let rests = matches!(
            state,
            State::Complete | State::Aborted | State::Stopped | State::Idle
        );
        for (goals, moves) in [
            (ask(Safe, Hold, Off, Fluid::Off), false),
            (ask(Safe, Hold, Stop, Fluid::Off), true),
            (ask(Safe, Lift, Off, Fluid::Off), true),
            (ask(Resting, Hold, Off, Fluid::Off), true),
            (ask(Safe, Hold, Off, Fluid::Prestart), true),
        ] {
            let rest = at(state, Phase::Rest, Plate::Air);
            assert_eq!(
                rest.may_ask(&goals),
                !(rests && moves),
                "{state:?}: {goals:?}"
            );
            let elsewhere = at(state, Phase::Manual, Plate::Air);
            assert!(elsewhere.may_ask(&goals), "{state:?}: {goals:?}");
        }
    }
    // And so is a place whose own goals break one.
    let dry = Sequencer {
        setup_move: Some(SetupMove::Jog),
        ..at(State::Idle, Phase::Manual, Plate::Contact)
    };
    assert!(!dry.invariants_hold());
    assert!(dwell.invariants_hold());
}

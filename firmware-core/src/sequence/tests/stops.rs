//! The ways down: who can be stopped, by what, and how a cycle comes to rest.

use super::*;
use Response::{ControlledStop, Hold, ImmediateStop};
use State::{
    Aborted, Aborting, Complete, Held, Holding, Idle, Restarting, Running, Stopped, Stopping,
};

fn told(command: Command) -> Seen {
    Seen {
        command: Some(command),
        ..reached()
    }
}

fn asked(response: Response) -> Seen {
    Seen {
        response,
        ..reached()
    }
}

const DEPARTED: Moved = Moved {
    step: StepMove::Stay,
    refused: None,
    departed: true,
    release: false,
};

/// A category 0 stop from wherever something may move or was loaded, a category 1 stop from a cycle, a category 2 stop from a cycle on its
/// way: by command or by a row alike. The tick is spent with it.
#[test]
fn each_stop_takes_what_it_can_stop_and_nothing_else() {
    for state in ALL_STATES {
        // A cycle where it is loaded; what has no cycle at rest.
        let phase = match state {
            Running | Holding | Restarting => Phase::RunDown,
            Held => Phase::TouchDown,
            Stopping => Phase::SlurryStop,
            Aborting => Phase::Coast,
            Idle | Stopped | Aborted | Complete => Phase::Rest,
        };
        let before = at(state, phase, Plate::Contact);
        let off = matches!(
            state,
            Running | Holding | Held | Restarting | Stopping | Stopped
        );
        let down = matches!(state, Running | Holding | Held | Restarting);
        let hold = matches!(state, Running | Restarting);
        for (command, response, takes, to) in [
            (Command::Abort, ImmediateStop, off, Aborting),
            (Command::Stop, ControlledStop, down, Stopping),
            (Command::Hold, Hold, hold, Holding),
        ] {
            for seen in [told(command), asked(response)] {
                let seen = Seen {
                    view: View::Waiting,
                    standstill: false,
                    ..seen
                };
                let (after, moved) = tick(before, &seen);
                if takes {
                    assert_eq!((after.state, moved), (to, DEPARTED), "{state:?}: {seen:?}");
                } else if seen.command.is_some() {
                    let refused = Some(Refusal::WrongState);
                    assert_eq!(moved.refused, refused, "{state:?}: {seen:?}");
                    assert!(!moved.departed && after == before, "{state:?}: {seen:?}");
                } else {
                    assert_eq!((after, moved), (before, Moved::default()), "{state:?}");
                }
            }
        }
        // A graver response stops what a milder one would not be asked for any more.
        if down {
            let both = Seen {
                command: Some(Command::Hold),
                ..asked(ControlledStop)
            };
            assert_eq!(tick(before, &both).0.state, Stopping);
        }
    }
}

/// Below a hold nothing departs.
#[test]
fn what_is_milder_than_a_hold_stops_nothing() {
    for response in [
        Response::None,
        Response::Alarm,
        Response::StartInhibit,
        Response::StopAtStepEnd,
    ] {
        for phase in [Phase::Lower, Phase::RunDown, Phase::Lift] {
            let seen = Seen {
                view: View::Waiting,
                ..asked(response)
            };
            stays(at(Running, phase, Plate::Contact), &seen);
            stays(at(Stopped, Phase::Lift, Plate::Air), &seen);
        }
    }
}

/// Power off, whatever there was; what the cycle meant to do is forgotten, and it coasts to a standstill that is proven.
#[test]
fn a_category_0_stop_forgets_the_cycle_and_coasts_to_proven_standstill() {
    for state in [Running, Holding, Held, Restarting, Stopping, Stopped] {
        for phase in ALL_PHASES {
            let (after, moved) = tick(full(state, phase, Plate::Contact), &asked(ImmediateStop));
            let due = forgotten(full(Aborting, Phase::Coast, Plate::Contact));
            assert_eq!((after, moved), (due, DEPARTED), "{state:?} {phase:?}");
        }
    }
    // Where there is no cycle, what moves.
    for state in [Idle, Aborted] {
        for phase in [Phase::Lift, Phase::Manual, Phase::RunDown] {
            let (after, moved) = tick(at(state, phase, Plate::Air), &told(Command::Abort));
            let due = at(Aborting, Phase::Coast, Plate::Air);
            assert_eq!((after, moved), (due, DEPARTED), "{state:?} {phase:?}");
        }
    }
    let coasting = at(Aborting, Phase::Coast, Plate::Contact);
    let turning = Seen {
        standstill: false,
        ..reached()
    };
    stays(coasting, &turning);
    let (after, moved) = tick(coasting, &quiet());
    let due = at(Aborted, Phase::Rest, Plate::Contact);
    assert_eq!((after, moved), (due, Moved::default()));
}

/// Phases of a cycle, where the plate is in them, and where a stop and a hold go on from there and come back to.
const WAYS: [(Phase, Plate, Phase, Phase, Resume); 14] = [
    (
        Phase::Precheck,
        Plate::Parked,
        Phase::Rest,
        Phase::Rest,
        Resume::Precheck,
    ),
    (
        Phase::Precheck,
        Plate::Contact,
        Phase::SlurryStop,
        Phase::SlurryStop,
        Resume::Precheck,
    ),
    (
        Phase::Lower,
        Plate::Air,
        Phase::Rest,
        Phase::Rest,
        Resume::Lower,
    ),
    (
        Phase::Lower,
        Plate::Contact,
        Phase::SlurryStop,
        Phase::Rest,
        Resume::Lower,
    ),
    (
        Phase::TouchDown,
        Plate::Contact,
        Phase::SlurryStop,
        Phase::SlurryStop,
        Resume::TouchDown,
    ),
    (
        Phase::SlurryPrestart,
        Plate::Contact,
        Phase::SlurryStop,
        Phase::SlurryStop,
        Resume::Prestart,
    ),
    (
        Phase::RunUp,
        Plate::Contact,
        Phase::RunDown,
        Phase::LoadRelease,
        Resume::Step,
    ),
    (
        Phase::LoadRamp,
        Plate::Contact,
        Phase::RunDown,
        Phase::LoadRelease,
        Resume::Step,
    ),
    (
        Phase::Dwell,
        Plate::Contact,
        Phase::RunDown,
        Phase::LoadRelease,
        Resume::Step,
    ),
    (
        Phase::LoadRelease,
        Plate::Contact,
        Phase::RunDown,
        Phase::LoadRelease,
        Resume::SlurryStop,
    ),
    (
        Phase::Rinse,
        Plate::Contact,
        Phase::RunDown,
        Phase::RunDown,
        Resume::SlurryStop,
    ),
    (
        Phase::RunDown,
        Plate::Contact,
        Phase::RunDown,
        Phase::RunDown,
        Resume::SlurryStop,
    ),
    (
        Phase::SlurryStop,
        Plate::Contact,
        Phase::SlurryStop,
        Phase::SlurryStop,
        Resume::SlurryStop,
    ),
    (
        Phase::Lift,
        Plate::Air,
        Phase::Rest,
        Phase::Rest,
        Resume::Lift,
    ),
];

/// Turning plates run down, a line that flows is stopped, a load is let go, and in the air the plate stays where it is. A hold takes the
/// load down first, wet and turning, and knows where it came from; a hold of a restart goes on knowing it.
#[test]
fn a_stop_and_a_hold_go_down_from_where_the_cycle_is() {
    for (phase, plate, stop, hold, resume) in WAYS {
        for state in [Running, Restarting, Holding, Held] {
            let cycle = Sequencer {
                resume: Resume::TouchDown,
                ..at(state, phase, plate)
            };
            let stopping = Sequencer {
                state: Stopping,
                phase: stop,
                ..cycle
            };
            let (after, moved) = tick(cycle, &told(Command::Stop));
            assert_eq!((after, moved), (stopping, DEPARTED), "{state:?} {phase:?}");
            if matches!(state, Running | Restarting) {
                let known = if state == Running {
                    resume
                } else {
                    Resume::TouchDown
                };
                let holding = Sequencer {
                    state: Holding,
                    phase: hold,
                    resume: known,
                    ..cycle
                };
                let (after, moved) = tick(cycle, &told(Command::Hold));
                assert_eq!((after, moved), (holding, DEPARTED), "{state:?} {phase:?}");
            }
        }
    }
    // The plate leaves the parts in a lift: what is felt there hangs.
    let lift = at(Running, Phase::Lift, Plate::Contact);
    assert_eq!(tick(lift, &told(Command::Stop)).0.phase, Phase::Rest);
    // On the way to the next step's direction it is the next step that is to come.
    for phase in [Phase::LoadRelease, Phase::Rinse, Phase::RunDown] {
        let cycle = Sequencer {
            reversing: true,
            ..at(Running, phase, Plate::Contact)
        };
        let held = tick(cycle, &told(Command::Hold)).0;
        assert_eq!(held.resume, Resume::NextStep, "{phase:?}");
        assert!(held.reversing);
    }
}

/// Release, run-down, line: each done in turn. Held keeps the initial load on still parts and all that it knows; Stopped leaves the plate
/// resting and forgets.
#[test]
fn holding_and_stopping_come_down_in_order() {
    for (state, end, rests) in [
        (Holding, Held, Phase::TouchDown),
        (Stopping, Stopped, Phase::Rest),
    ] {
        for (phase, next) in [
            (Phase::LoadRelease, Phase::RunDown),
            (Phase::RunDown, Phase::SlurryStop),
        ] {
            let way = full(state, phase, Plate::Contact);
            stays(way, &quiet());
            let due = full(state, next, Plate::Contact);
            assert_eq!(tick(way, &reached()), (due, Moved::default()), "{state:?}");
        }
        let arrived = |phase, plate| {
            let there = full(end, phase, plate);
            if end == Stopped {
                forgotten(there)
            } else {
                there
            }
        };
        let line = full(state, Phase::SlurryStop, Plate::Contact);
        stays(line, &quiet());
        let due = arrived(rests, Plate::Contact);
        assert_eq!(tick(line, &reached()), (due, Moved::default()), "{state:?}");
        // In the air there is nothing to wait for.
        let air = full(state, Phase::Rest, Plate::Air);
        let due = arrived(Phase::Rest, Plate::Air);
        assert_eq!(tick(air, &quiet()), (due, Moved::default()), "{state:?}");
        for phase in ALL_PHASES {
            if !matches!(
                phase,
                Phase::LoadRelease | Phase::RunDown | Phase::SlurryStop | Phase::Rest
            ) {
                stays(full(state, phase, Plate::Contact), &reached());
            }
        }
    }
}

/// Where no cycle is on its way, a raise or a Setup movement ends by everything that would stop a cycle: drives that turned run down.
#[test]
fn a_raise_and_a_setup_movement_end_by_any_stop() {
    for state in [Idle, Stopped, Aborted] {
        for seen in [
            told(Command::Stop),
            told(Command::Hold),
            asked(Hold),
            asked(ControlledStop),
        ] {
            for (phase, wanted, ends) in [
                (Phase::Lift, None, Phase::Rest),
                (Phase::Manual, Some(SetupMove::Lower), Phase::Rest),
                (Phase::Manual, Some(SetupMove::Jog), Phase::RunDown),
            ] {
                let moving = Sequencer {
                    setup_move: wanted,
                    ..at(state, phase, Plate::Air)
                };
                let due = at(state, ends, Plate::Air);
                assert_eq!(tick(moving, &seen), (due, Moved::default()), "{seen:?}");
            }
        }
        // What runs down already goes on, and a command finds nothing to stop.
        let down = at(state, Phase::RunDown, Plate::Air);
        let (after, moved) = tick(down, &told(Command::Stop));
        assert_eq!(moved.refused, Some(Refusal::WrongState));
        assert_eq!(after, at(state, Phase::Rest, Plate::Air));
    }
}

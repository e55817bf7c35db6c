//! The commands and requests that begin or release something: what each needs, each need alone, and what is refused.

use super::*;
use Response::{ControlledStop, Hold, ImmediateStop, StartInhibit, StopAtStepEnd};
use State::{Aborted, Complete, Held, Idle, Restarting, Running, Stopped};

fn told(command: Command) -> Seen {
    Seen {
        command: Some(command),
        ..quiet()
    }
}

fn refused(reason: Refusal) -> Moved {
    Moved {
        refused: Some(reason),
        ..Moved::default()
    }
}

/// Takes one thing away that a request needs.
type Take = fn(&mut Sequencer, &mut Seen, &mut Mode);

/// What a request that is good needs: without it, refused for this reason, and nothing moves.
fn needs(good: Sequencer, seen: &Seen, lacks: &[(Refusal, Take)]) {
    for (index, (reason, take)) in lacks.iter().enumerate() {
        let (mut sequencer, mut seen, mut mode) = (good, *seen, Mode::Automatic);
        take(&mut sequencer, &mut seen, &mut mode);
        let before = sequencer;
        let moved = sequencer.next(&seen, mode);
        assert_eq!(moved, refused(*reason), "{index}: {seen:?}");
        assert_eq!(sequencer, before, "{index}: {seen:?}");
    }
}

/// A cycle begins at its beginning: the first step, nothing left of the last cycle, everything to be proved; and in its own tick nothing
/// is done yet.
#[test]
fn a_start_needs_a_parked_plate_a_recipe_standstill_automatic_and_no_inhibit() {
    let idle = Sequencer {
        rinsing: true,
        ..full(Idle, Phase::Rest, Plate::Parked)
    };
    let seen = Seen {
        response: Response::Alarm,
        view: View::Reached,
        ..told(Command::Start)
    };
    let (after, moved) = tick(idle, &seen);
    assert_eq!(after, at(Running, Phase::Precheck, Plate::Parked));
    assert_eq!(
        moved,
        Moved {
            step: StepMove::First,
            ..Moved::default()
        }
    );
    needs(
        idle,
        &told(Command::Start),
        &[
            (Refusal::WrongMode, |_, _, m| *m = Mode::Setup),
            (Refusal::WrongMode, |_, _, m| *m = Mode::PlateChange),
            (Refusal::WrongState, |q, _, _| q.phase = Phase::Lift),
            (Refusal::Inhibited, |_, s, _| s.response = StartInhibit),
            (Refusal::Inhibited, |_, s, _| s.response = StopAtStepEnd),
            (Refusal::Inhibited, |_, s, _| s.response = ControlledStop),
            (Refusal::NoRecipe, |_, s, _| s.recipe = false),
            (Refusal::NotRaised, |q, _, _| q.plate = Plate::Air),
            (Refusal::NotRaised, |q, s, _| {
                (q.plate, s.contact) = (Plate::Contact, true);
            }),
            (Refusal::NotStandstill, |_, s, _| s.standstill = false),
        ],
    );
}

/// All that a held cycle knows stays known.
#[test]
fn a_restart_needs_standstill_automatic_and_no_inhibit() {
    let held = full(Held, Phase::TouchDown, Plate::Contact);
    let seen = Seen {
        response: Response::Alarm,
        view: View::Reached,
        ..told(Command::Restart)
    };
    let due = full(Restarting, Phase::Precheck, Plate::Contact);
    assert_eq!(tick(held, &seen), (due, Moved::default()));
    needs(
        held,
        &told(Command::Restart),
        &[
            (Refusal::WrongMode, |_, _, m| *m = Mode::Setup),
            (Refusal::Inhibited, |_, s, _| s.response = StartInhibit),
            (Refusal::Inhibited, |_, s, _| s.response = StopAtStepEnd),
            (Refusal::NotStandstill, |_, s, _| s.standstill = false),
        ],
    );
}

/// In Stopped and Aborted, at rest; a start inhibit forbids no raise. A plate that is parked is raised already.
#[test]
fn a_raise_needs_rest_standstill_automatic_and_nothing_graver_than_an_inhibit() {
    let raise = Seen {
        raise: true,
        ..reached()
    };
    for state in [Stopped, Aborted] {
        for (before, after, phase) in [
            (Plate::Contact, Plate::Air, Phase::Lift),
            (Plate::Air, Plate::Air, Phase::Lift),
            (Plate::Parked, Plate::Parked, Phase::Rest),
        ] {
            for response in [Response::None, StartInhibit, StopAtStepEnd] {
                let seen = Seen { response, ..raise };
                let (lifting, moved) = tick(at(state, Phase::Rest, before), &seen);
                assert_eq!(lifting, at(state, phase, after), "{state:?} {before:?}");
                assert_eq!(moved, Moved::default());
            }
        }
        let quiet = Seen {
            raise: true,
            ..quiet()
        };
        needs(
            at(state, Phase::Rest, Plate::Contact),
            &quiet,
            &[
                (Refusal::WrongMode, |_, _, m| *m = Mode::Setup),
                (Refusal::WrongState, |q, _, _| q.phase = Phase::Lift),
                (Refusal::WrongState, |q, _, _| q.state = Idle),
                (Refusal::WrongState, |q, _, _| q.state = Held),
                (Refusal::WrongState, |q, _, _| q.state = Running),
                (Refusal::WrongState, |q, _, _| q.state = Complete),
                (Refusal::Inhibited, |_, s, _| s.response = Hold),
                (Refusal::Inhibited, |_, s, _| s.response = ControlledStop),
                (Refusal::NotStandstill, |_, s, _| s.standstill = false),
            ],
        );
    }
    // Where the plate was stopped in the air a category 0 response has nothing to stop, and still forbids.
    let aborted = at(Aborted, Phase::Rest, Plate::Air);
    let seen = Seen {
        response: ImmediateStop,
        ..raise
    };
    assert_eq!(tick(aborted, &seen), (aborted, refused(Refusal::Inhibited)));
}

/// It leads to Idle what is done, or stands stopped with its plate parked, in Automatic; where nothing moves it releases latches all the
/// same; elsewhere it does nothing.
#[test]
fn a_reset_leads_to_idle_only_with_the_plate_parked_and_releases_where_nothing_moves() {
    let release = Moved {
        release: true,
        ..Moved::default()
    };
    let reset = told(Command::Reset);
    for plate in ALL_PLATES {
        let done = full(Complete, Phase::Rest, plate);
        let idle = forgotten(full(Idle, Phase::Rest, plate));
        assert_eq!(tick(done, &reset), (idle, release));
        // Wherever it was left: the batch is done.
        let (idle, _) = tick(full(Complete, Phase::Lift, plate), &reset);
        assert_eq!((idle.state, idle.phase), (Idle, Phase::Rest));
        for state in [Stopped, Aborted] {
            for mode in ALL_MODES {
                let stopped = full(state, Phase::Rest, plate);
                let due = if plate == Plate::Parked && mode == Mode::Automatic {
                    forgotten(Sequencer {
                        state: Idle,
                        ..stopped
                    })
                } else {
                    stopped
                };
                let mut after = stopped;
                assert_eq!(after.next(&reset, mode), release, "{state:?} {mode:?}");
                assert_eq!(after, due, "{state:?} {plate:?} {mode:?}");
            }
            let lifting = at(state, Phase::Lift, plate);
            let nothing = refused(Refusal::WrongState);
            assert_eq!(tick(lifting, &reset), (lifting, nothing));
        }
        for (state, phase) in [
            (Idle, Phase::Rest),
            (Idle, Phase::Lift),
            (Held, Phase::TouchDown),
        ] {
            let waits = full(state, phase, plate);
            assert_eq!(tick(waits, &reset), (waits, release), "{state:?}");
        }
    }
}

/// The table of states and commands: what is in no row is refused, and moves nothing.
#[test]
fn a_command_that_is_not_for_the_state_is_refused() {
    for state in ALL_STATES {
        for (command, legal) in [
            (Command::Start, state == Idle),
            (Command::Restart, state == Held),
            (
                Command::Reset,
                matches!(state, Complete | Stopped | Aborted | Idle | Held),
            ),
        ] {
            let seen = Seen {
                standstill: false,
                ..told(command)
            };
            let before = full(state, Phase::Rest, Plate::Contact);
            let (after, moved) = tick(before, &seen);
            if !legal {
                assert_eq!(
                    moved,
                    refused(Refusal::WrongState),
                    "{command:?} in {state:?}"
                );
                let settled = matches!(state, State::Holding | State::Stopping);
                assert!(after == before || settled, "{command:?} in {state:?}");
            }
            assert_eq!(
                legal,
                moved.refused != Some(Refusal::WrongState),
                "{command:?} in {state:?}"
            );
        }
    }
}

/// A command in the tick of a request is the one that is obeyed.
#[test]
fn a_command_goes_before_a_request() {
    let both = Seen {
        raise: true,
        ..told(Command::Reset)
    };
    let stopped = at(Stopped, Phase::Rest, Plate::Contact);
    let release = Moved {
        release: true,
        ..Moved::default()
    };
    assert_eq!(tick(stopped, &both), (stopped, release));
}

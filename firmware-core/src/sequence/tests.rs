//! The rules of the sequence, each asked of a sequencer that is put into its place: every field of it after one tick is compared, so that
//! what a rule does not name stays as it was.

mod commands;
mod goals;
mod ladder;
mod movement;
mod stops;

use super::*;
use crate::response::Response;

/// A sequencer in its place that remembers nothing.
fn at(state: State, phase: Phase, plate: Plate) -> Sequencer {
    Sequencer {
        state,
        phase,
        plate,
        ..Sequencer::default()
    }
}

/// The same with everything remembered: what is forgotten is seen.
fn full(state: State, phase: Phase, plate: Plate) -> Sequencer {
    Sequencer {
        resume: Resume::Step,
        reversing: true,
        ending: true,
        setup_move: Some(SetupMove::Jog),
        wetted: true,
        ..at(state, phase, plate)
    }
}

/// What a finished or broken-off cycle leaves behind: where it was, and nothing of what it meant to do.
fn forgotten(of: Sequencer) -> Sequencer {
    Sequencer {
        resume: Resume::Precheck,
        reversing: false,
        ending: false,
        setup_move: None,
        wetted: false,
        ..of
    }
}

/// Nothing is wrong, nothing is asked, and the phase waits.
fn quiet() -> Seen {
    Seen {
        standstill: true,
        recipe: true,
        ..Seen::default()
    }
}

/// The same with the phase done.
fn reached() -> Seen {
    Seen {
        view: View::Reached,
        ..quiet()
    }
}

/// One tick in Automatic.
fn tick(mut sequencer: Sequencer, seen: &Seen) -> (Sequencer, Moved) {
    let moved = sequencer.next(seen, Mode::Automatic);
    (sequencer, moved)
}

/// Nothing came of it.
fn stays(sequencer: Sequencer, seen: &Seen) {
    assert_eq!(
        tick(sequencer, seen),
        (sequencer, Moved::default()),
        "{seen:?}"
    );
}

/// Parts are counted, the plate is looked for, and a cycle is begun by somebody: after power-up nothing of it is known.
#[test]
fn power_comes_up_stopped_with_nothing_remembered_and_the_plate_as_it_is_proven() {
    for (parked, contact, plate) in [
        (true, false, Plate::Parked),
        (true, true, Plate::Parked),
        (false, true, Plate::Contact),
        (false, false, Plate::Air),
    ] {
        let up = Sequencer::power_up(parked, contact);
        assert_eq!(up, at(State::Stopped, Phase::Rest, plate));
    }
}

/// The phases that a cycle climbs are those that a cycle climbs through; in the turning ones it has its drives under power, and those of
/// a step track the step's load.
#[test]
fn phases_are_what_a_cycle_makes_of_them() {
    let mut climbed = [false; ALL_PHASES.len()];
    let mut cycle = at(State::Running, Phase::Precheck, Plate::Parked);
    while cycle.state == State::Running {
        climbed[cycle.phase as usize] = true;
        let seen = Seen {
            last_step: true,
            rinses: true,
            ..reached()
        };
        cycle = tick(cycle, &seen).0;
    }
    assert_eq!(
        cycle,
        Sequencer {
            rinsing: true,
            ..at(State::Complete, Phase::Rest, Plate::Parked)
        }
    );
    for phase in ALL_PHASES {
        let asks = at(State::Running, phase, Plate::Contact).goals();
        assert_eq!(phase.on_ladder(), climbed[phase as usize], "{phase:?}");
        assert_eq!(
            phase.is_turning(),
            asks.drives != DriveGoal::Off,
            "{phase:?}"
        );
        assert_eq!(
            phase.in_step(),
            asks.load == goals::LoadMode::Tracking,
            "{phase:?}"
        );
    }
}

/// IEC 60204-1: off at once, stopped in order and then off, stopped in order and held. What asks for no stop has no category.
#[test]
fn commands_that_stop_have_the_category_of_their_stop() {
    for command in ALL_COMMANDS {
        let category = match command {
            Command::Abort => Response::ImmediateStop.stop_category(),
            Command::Stop => Response::ControlledStop.stop_category(),
            Command::Hold => Response::Hold.stop_category(),
            Command::Start | Command::Restart | Command::Reset => None,
        };
        assert_eq!(command.stop_category(), category, "{command:?}");
    }
    assert_eq!(
        [Command::Abort, Command::Stop, Command::Hold].map(Command::stop_category),
        [Some(0), Some(1), Some(2)]
    );
}

/// A cycle on its way, and a batch that is done, stand still in a tick that brings nothing: whatever else is true in it. So that it need
/// not be worked through; nothing else is left out.
#[test]
fn what_waits_does_not_change_in_a_quiet_tick() {
    for state in ALL_STATES {
        let waits = matches!(state, State::Running | State::Restarting | State::Complete);
        for phase in ALL_PHASES {
            for plate in ALL_PLATES {
                let sequencer = full(state, phase, plate);
                assert_eq!(sequencer.waits(), waits, "{state:?}");
                for bits in 0..64_u8 {
                    let bit = |n: u8| bits & 1 << n != 0;
                    let seen = Seen {
                        last_step: bit(0),
                        reverses: bit(1),
                        standstill: bit(2),
                        contact: bit(3),
                        held: bit(4),
                        response: if bit(5) {
                            Response::StopAtStepEnd
                        } else {
                            Response::None
                        },
                        ..Seen::default()
                    };
                    if waits {
                        stays(sequencer, &seen);
                    }
                }
            }
        }
    }
}

//! What a hand moves: raises by request, and Setup movements.

use super::*;
use State::{Aborted, Held, Idle, Stopped};

/// In Setup, permitted, with nobody's hand on the control.
fn setup(wanted: SetupMove) -> Seen {
    Seen {
        manual: Some(wanted),
        ..quiet()
    }
}

/// One tick in Setup.
fn set_up(mut sequencer: Sequencer, seen: &Seen) -> Sequencer {
    assert_eq!(sequencer.next(seen, Mode::Setup), Moved::default());
    sequencer
}

#[test]
fn a_raise_ends_parked_when_height_and_pin_say_so() {
    for state in [Idle, Stopped, Aborted] {
        let lift = at(state, Phase::Lift, Plate::Air);
        stays(lift, &quiet());
        let parked = at(state, Phase::Rest, Plate::Parked);
        assert_eq!(tick(lift, &reached()), (parked, Moved::default()));
    }
}

/// A plate that was stopped in the air may come to rest on the parts: at rest, and wherever a cycle does not know better.
#[test]
fn a_plate_that_comes_to_rest_on_the_parts_is_known_to() {
    for state in [Idle, Stopped, Aborted, Held] {
        for (phase, plate, felt) in [
            (Phase::Rest, Plate::Air, true),
            (Phase::Rest, Plate::Parked, false),
            (Phase::TouchDown, Plate::Air, false),
            (Phase::Lift, Plate::Air, false),
        ] {
            let before = at(state, phase, plate);
            let touches = Seen {
                contact: true,
                ..quiet()
            };
            let due = Sequencer {
                plate: if felt { Plate::Contact } else { plate },
                ..before
            };
            assert_eq!(tick(before, &touches), (due, Moved::default()));
            stays(before, &quiet());
        }
    }
}

/// Lets go and grips: whether a movement began, with a fresh memory and the plate known to move; if not, all is as it was.
fn grips(state: State, plate: Plate, seen: Seen, mode: Mode) -> bool {
    let mut sequencer = Sequencer {
        wetted: true,
        ..at(state, Phase::Rest, plate)
    };
    sequencer.next(&seen, mode);
    let rest = sequencer;
    sequencer.next(&Seen { held: true, ..seen }, mode);
    let begun = sequencer.phase == Phase::Manual;
    let moves = matches!(seen.manual, Some(SetupMove::Raise | SetupMove::Lower));
    let due = if begun {
        Sequencer {
            setup_move: seen.manual,
            plate: if moves { Plate::Air } else { plate },
            ..at(state, Phase::Manual, plate)
        }
    } else {
        Sequencer {
            ready: None,
            ..rest
        }
    };
    assert_eq!(sequencer, due, "{seen:?}");
    begun
}

/// What the plate must be for a movement: parked, in the air, on the parts.
const FROM: [(SetupMove, [bool; 3]); 5] = [
    (SetupMove::Raise, [false, true, true]),
    (SetupMove::Lower, [true, true, false]),
    (SetupMove::Jog, [true, true, false]),
    (SetupMove::Purge, [true, true, true]),
    (SetupMove::Condition, [false, false, true]),
];

/// Every place that a movement may be wanted in, and whether it may begin there.
fn places() -> impl Iterator<Item = (State, SetupMove, Plate, bool)> {
    [Idle, Stopped, Aborted].into_iter().flat_map(|state| {
        FROM.into_iter().flat_map(move |(wanted, from)| {
            let of = move |(plate, begins)| (state, wanted, plate, begins);
            ALL_PLATES.into_iter().zip(from).map(of)
        })
    })
}

/// Beside the place of the plate, each thing alone: the mode, no stop, standstill, a choice, and no command in the tick.
#[test]
fn a_movement_begins_only_where_it_is_permitted() {
    let lacks: [fn(&mut Seen); 5] = [
        |s| s.response = Response::Hold,
        |s| s.response = Response::ControlledStop,
        |s| s.standstill = false,
        |s| s.manual = None,
        |s| s.command = Some(Command::Restart),
    ];
    for (state, wanted, plate, begins) in places() {
        let (seen, what) = (setup(wanted), (state, wanted, plate));
        assert_eq!(grips(state, plate, seen, Mode::Setup), begins, "{what:?}");
        for mode in [Mode::Automatic, Mode::PlateChange] {
            assert!(!grips(state, plate, seen, mode), "{what:?} in {mode:?}");
        }
        for lack in lacks {
            let mut seen = seen;
            lack(&mut seen);
            let begun = grips(state, plate, seen, Mode::Setup);
            assert!(!begun, "{what:?}: {seen:?}");
        }
    }
}

/// An inhibit forbids a start and no movement; conditioning needs its recipe, for its flow; and a jog, that nothing is touched.
#[test]
fn conditioning_needs_a_recipe_and_a_jog_no_contact() {
    for (state, wanted, plate, begins) in places() {
        let seen = setup(wanted);
        let inhibited = Seen {
            response: Response::StopAtStepEnd,
            ..seen
        };
        let bare = Seen {
            recipe: false,
            ..seen
        };
        let needs = wanted == SetupMove::Condition;
        for (seen, still) in [(inhibited, true), (bare, !needs)] {
            let begun = grips(state, plate, seen, Mode::Setup);
            assert_eq!(begun, begins && still, "{wanted:?} {plate:?}: {seen:?}");
        }
        let touched = Seen {
            contact: true,
            ..seen
        };
        let begun = wanted == SetupMove::Jog && grips(state, plate, touched, Mode::Setup);
        assert!(!begun, "{plate:?}");
    }
}

/// The control must have been let go, in the very tick before, with all there that the movement needs; anything in between, and it must
/// be let go again.
#[test]
fn only_a_fresh_grip_begins_a_movement() {
    let free = setup(SetupMove::Purge);
    let held = Seen { held: true, ..free };
    let rest = at(Stopped, Phase::Rest, Plate::Parked);
    let ready = set_up(rest, &free);
    assert_eq!(set_up(ready, &held).phase, Phase::Manual);
    assert_eq!(set_up(rest, &held), rest, "held from the beginning");
    for between in [
        Seen {
            manual: Some(SetupMove::Jog),
            ..free
        },
        Seen {
            standstill: false,
            ..free
        },
        Seen {
            manual: None,
            ..held
        },
        Seen {
            response: Response::Hold,
            ..held
        },
    ] {
        let after = set_up(set_up(ready, &between), &held);
        assert_eq!(after, rest, "{between:?}");
    }
    // A command in between, too.
    let mut reset = ready;
    reset.next(
        &Seen {
            command: Some(Command::Reset),
            ..held
        },
        Mode::Setup,
    );
    assert_eq!(set_up(reset, &held), rest);
}

/// While it is held, in Setup, for the movement that it began; and wet is what is proven now.
#[test]
fn a_movement_lives_while_it_is_held_and_flow_is_known_from_tick_to_tick() {
    let moving = Sequencer {
        setup_move: Some(SetupMove::Condition),
        ..at(Idle, Phase::Manual, Plate::Contact)
    };
    let held = Seen {
        held: true,
        ..setup(SetupMove::Condition)
    };
    for flow in [true, false, true] {
        let due = Sequencer {
            wetted: flow,
            ..moving
        };
        let before = Sequencer {
            wetted: !flow,
            ..moving
        };
        assert_eq!(set_up(before, &Seen { flow, ..held }), due);
    }
    let ends = at(Idle, Phase::RunDown, Plate::Contact);
    for gone in [
        Seen {
            held: false,
            ..held
        },
        Seen {
            manual: None,
            ..held
        },
        Seen {
            manual: Some(SetupMove::Purge),
            ..held
        },
    ] {
        let wet = Sequencer {
            wetted: true,
            ..moving
        };
        assert_eq!(set_up(wet, &gone), ends, "{gone:?}");
    }
    assert_eq!(tick(moving, &held).0, ends, "not in Automatic");
}

/// Drives that turned run down, the plate is where height and cell say, and everything of the movement is forgotten.
#[test]
fn a_movement_ends_at_rest_or_running_down_with_the_plate_where_it_is_proven() {
    for (wanted, ends) in [
        (SetupMove::Raise, Phase::Rest),
        (SetupMove::Lower, Phase::Rest),
        (SetupMove::Purge, Phase::Rest),
        (SetupMove::Jog, Phase::RunDown),
        (SetupMove::Condition, Phase::RunDown),
    ] {
        for (plate, parked, contact, rests) in [
            (Plate::Air, true, false, Plate::Parked),
            (Plate::Air, true, true, Plate::Parked),
            (Plate::Air, false, true, Plate::Contact),
            (Plate::Air, false, false, Plate::Air),
            (Plate::Contact, false, false, Plate::Contact),
            (Plate::Parked, false, true, Plate::Parked),
        ] {
            let moving = Sequencer {
                setup_move: Some(wanted),
                wetted: true,
                ..at(Stopped, Phase::Manual, plate)
            };
            let seen = Seen {
                parked,
                contact,
                flow: true,
                ..setup(wanted)
            };
            let due = at(Stopped, ends, rests);
            assert_eq!(set_up(moving, &seen), due, "{wanted:?} {plate:?}");
        }
    }
}

/// What turned runs down to proven standstill; nothing else at rest ends by a view that is not its own.
#[test]
fn drives_of_a_movement_run_down_to_proven_standstill() {
    for state in [Idle, Stopped, Aborted] {
        let down = at(state, Phase::RunDown, Plate::Air);
        let turning = Seen {
            standstill: false,
            contact: true,
            held: true,
            ..setup(SetupMove::Jog)
        };
        assert_eq!(set_up(down, &turning), down);
        let still = Seen {
            standstill: true,
            ..turning
        };
        assert_eq!(set_up(down, &still), at(state, Phase::Rest, Plate::Air));
        for phase in ALL_PHASES {
            if !matches!(
                phase,
                Phase::Lift | Phase::Manual | Phase::RunDown | Phase::Rest
            ) {
                stays(at(state, phase, Plate::Air), &reached());
            }
        }
    }
}

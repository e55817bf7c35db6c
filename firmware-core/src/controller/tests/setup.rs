//! What a Setup movement needs, each thing alone: key, both guard channels, the lock, the mode, a choice and a hand that grips anew.

use super::{Controller, controller, sound};
use crate::process_image::Inputs;
use crate::sequence::{ALL_SETUP_MOVES, Mode, Phase, Plate, Request, SetupMove, State};

/// Stopped, in Setup, a movement chosen, everything there but the hand.
fn ready(wanted: SetupMove) -> (Controller, Inputs) {
    let mut controller = controller();
    let mut inputs = sound();
    inputs.setup_key = true;
    inputs.pin_in = wanted != SetupMove::Raise;
    let plate = match wanted {
        SetupMove::Condition => Plate::Contact,
        SetupMove::Raise | SetupMove::Lower | SetupMove::Jog | SetupMove::Purge => Plate::Air,
    };
    (controller.seq.state, controller.seq.plate) = (State::Stopped, plate);
    ticks(&mut controller, &mut inputs, 300);
    for request in [Request::SetMode(Mode::Setup), Request::SelectMove(wanted)] {
        assert_eq!(controller.request(&request), Ok(()), "{wanted:?}");
    }
    ticks(&mut controller, &mut inputs, 2);
    (controller, inputs)
}

/// Ticks with a cell that lives.
fn ticks(controller: &mut Controller, inputs: &mut Inputs, n: u32) {
    for tick in 0..n {
        inputs.cell_counts += if tick % 2 == 0 { 1 } else { -1 };
        inputs.dump_open = !controller.outputs.dump_shut;
        controller.tick(inputs, None);
    }
}

type Take = fn(&mut Controller, &mut Inputs);

/// Everything that a movement needs beside the hand, taken away.
const NEEDS: [(&str, Take); 6] = [
    ("key", |_, i| i.setup_key = false),
    ("guard, channel A", |_, i| i.guard_a = false),
    ("guard, channel B", |_, i| i.guard_b = false),
    ("lock", |_, i| i.guard_locked = false),
    ("mode", |c, _| c.mode = Mode::Automatic),
    ("choice", |c, _| c.setup_move = None),
];

#[test]
fn no_setup_movement_without_key_guard_lock_mode_choice_and_hand() {
    for wanted in ALL_SETUP_MOVES {
        let (mut controller, mut inputs) = ready(wanted);
        ticks(&mut controller, &mut inputs, 50);
        assert_eq!(
            controller.seq.phase,
            Phase::Rest,
            "{wanted:?} without a hand"
        );
        inputs.hold_to_run = true;
        ticks(&mut controller, &mut inputs, 1);
        assert_eq!(
            controller.seq.phase,
            Phase::Manual,
            "{wanted:?}: all is there"
        );
        for (what, take) in NEEDS {
            let (mut controller, mut inputs) = ready(wanted);
            take(&mut controller, &mut inputs);
            ticks(&mut controller, &mut inputs, 2);
            inputs.hold_to_run = true;
            // Shorter than the guard's own row would need to speak.
            ticks(&mut controller, &mut inputs, 10);
            assert_eq!(
                controller.seq.phase,
                Phase::Rest,
                "{wanted:?} without {what}"
            );
        }
    }
}

/// What goes ends the movement in its own tick, and its return begins none under the hand that still holds.
#[test]
fn what_a_setup_movement_needs_ends_it_in_the_tick_in_which_it_goes() {
    let hand: (&str, Take) = ("hand", |_, i| i.hold_to_run = false);
    for wanted in ALL_SETUP_MOVES {
        for (what, take) in NEEDS.into_iter().chain([hand]) {
            let (mut controller, mut inputs) = ready(wanted);
            inputs.hold_to_run = true;
            ticks(&mut controller, &mut inputs, 5);
            assert_eq!(controller.seq.phase, Phase::Manual);
            let mut gone = inputs;
            take(&mut controller, &mut gone);
            controller.tick(&gone, None);
            assert_ne!(
                controller.seq.phase,
                Phase::Manual,
                "{wanted:?} goes on without {what}"
            );
            (controller.mode, controller.setup_move) = (Mode::Setup, Some(wanted));
            ticks(&mut controller, &mut inputs, 100);
            assert_ne!(
                controller.seq.phase,
                Phase::Manual,
                "{wanted:?} begins with {what}"
            );
        }
    }
}

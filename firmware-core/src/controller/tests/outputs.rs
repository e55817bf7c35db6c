//! What goals become: reduced speeds, the loop that is no number any more, the lock, and what is let go in every state at rest or on
//! the way there.

use super::{Controller, controller, counts, sound};
use crate::interlock::Cond;
use crate::motion::LoopGoal;
use crate::process_image::{DRIVES, Drive, Inputs, Outputs, RodValve};
use crate::sequence::{
    ALL_PHASES, ALL_PLATES, ALL_SETUP_MOVES, ALL_STATES, Mode, Phase, Plate, Request, Sequencer,
    SetupMove, State,
};
use crate::units::{Newtons, NewtonsPerSecond, Rpm};

/// Puts the sequencer where a test wants it.
fn put(controller: &mut Controller, seq: Sequencer) {
    controller.seq = seq;
    controller.check_sequence();
}

fn moving(wanted: SetupMove, plate: Plate) -> Sequencer {
    Sequencer {
        state: State::Stopped,
        phase: Phase::Manual,
        plate,
        setup_move: Some(wanted),
        wetted: true,
        ..Sequencer::default()
    }
}

/// Speeds of a recipe's step as a Setup movement turns them, rpm.
fn reduced(programmed: [f32; DRIVES]) -> [f32; DRIVES] {
    let mut controller = controller();
    let mut recipe = super::recipe(&controller);
    recipe.steps[0].speeds = programmed.map(Rpm::new);
    controller
        .request(&Request::LoadRecipe(recipe))
        .expect("within the drives");
    put(&mut controller, moving(SetupMove::Jog, Plate::Air));
    let inputs = sound();
    let m = controller.signal.measure(&inputs, &controller.params, 2);
    // Longer than the drives need for their largest speed.
    for _ in 0..12_000 {
        controller.act(&inputs, &m);
    }
    assert!(controller.drives.arrived());
    controller
        .outputs
        .drives
        .map(|drive| f32::from(drive.setpoint) * 0.01)
}

/// The sample machine's reduced speed is 5 rpm: the fastest drive turns with that and the others keep their ratio to it; what is
/// slower in the recipe stays as slow.
#[test]
fn no_drive_of_a_setup_movement_is_faster_than_the_reduced_speed_and_ratios_are_kept() {
    let most = crate::params::tests::sample().setup_speed.get();
    for (programmed, wanted) in [
        ([10.0, -20.0, 40.0, 8.0], [1.25, -2.5, 5.0, 1.0]),
        ([-60.0, 30.0, 15.0, 60.0], [-5.0, 2.5, 1.25, 5.0]),
        ([5.0, 2.5, -5.0, 1.0], [5.0, 2.5, -5.0, 1.0]),
        ([3.0, 0.0, -2.0, 1.0], [3.0, 0.0, -2.0, 1.0]),
    ] {
        let got = reduced(programmed);
        for (a, b) in got.iter().zip(wanted) {
            assert!(
                (a - b).abs() < 0.006,
                "{programmed:?}: {got:?}, not {wanted:?}"
            );
            assert!(a.abs() <= most + 0.006, "{a} rpm");
        }
    }
}

/// A load loop that holds no number any more gives no output in that tick, starts anew, and the row of the internal fault takes the
/// machine down in the next.
#[test]
fn a_load_loop_that_is_no_number_is_let_go_at_once_and_told() {
    for poison in [f32::NAN, f32::INFINITY, f32::NEG_INFINITY] {
        let mut controller = controller();
        put(
            &mut controller,
            Sequencer {
                state: State::Running,
                phase: Phase::TouchDown,
                plate: Plate::Contact,
                ..Sequencer::default()
            },
        );
        let goal = LoopGoal::Closed {
            target: Newtons::new(150.0),
            rate: NewtonsPerSecond::new(50.0),
            limit: Newtons::new(300.0),
        };
        controller.load_loop.step(goal, Newtons::new(100.0));
        controller.load_loop.step(goal, Newtons::new(poison));
        controller.check_loop();
        assert_eq!(controller.outputs, Outputs::default(), "{poison}");
        assert!(controller.load_loop.is_finite(), "{poison}");
        controller.tick(&sound(), None);
        assert!(
            controller.status.latched & Cond::Internal.bit() != 0,
            "{poison}"
        );
        assert_eq!(controller.status.state, State::Aborting, "{poison}");
    }
}

/// The guard is unlocked by request and at rest only: whatever moves, or begins to, locks it, and rest does not unlock it again.
#[test]
fn the_guard_stays_unlocked_at_rest_only() {
    let quiet = [State::Idle, State::Complete, State::Stopped, State::Aborted];
    for state in ALL_STATES {
        for phase in ALL_PHASES {
            let mut controller = controller();
            controller.guard_unlock = true;
            let seq = Sequencer {
                state,
                phase,
                ..Sequencer::default()
            };
            put(&mut controller, seq);
            let inputs = sound();
            let m = controller.signal.measure(&inputs, &controller.params, 2);
            controller.act(&inputs, &m);
            let may = quiet.contains(&state) && phase == Phase::Rest;
            assert_eq!(controller.outputs.guard_unlock, may, "{state:?} {phase:?}");
            put(&mut controller, Sequencer::default());
            controller.act(&inputs, &m);
            assert_eq!(controller.outputs.guard_unlock, may, "{state:?} {phase:?}");
        }
    }
}

/// Outputs after two ticks in a place, the loop at work before it.
fn outputs_in(seq: Sequencer) -> Outputs {
    let mut controller = controller();
    let inputs = sound();
    let m = controller.signal.measure(&inputs, &controller.params, 2);
    let pressing = Sequencer {
        state: State::Running,
        phase: Phase::Dwell,
        plate: Plate::Contact,
        ..Sequencer::default()
    };
    for seq in [pressing, seq] {
        put(&mut controller, seq);
        for _ in 0..2 {
            controller.act(&inputs, &m);
        }
    }
    assert!(
        controller.outputs != Outputs::default()
            || controller.goals == crate::sequence::Goals::default(),
        "{seq:?}"
    );
    controller.outputs
}

/// Wherever a category 0 stop coasts, or has come to rest, nothing is energised, field by field.
#[test]
fn a_category_0_stop_de_energises_every_output_in_its_first_tick() {
    for plate in ALL_PLATES {
        for (state, phase) in [
            (State::Aborting, Phase::Coast),
            (State::Aborted, Phase::Rest),
        ] {
            let seq = Sequencer {
                state,
                phase,
                plate,
                ..Sequencer::default()
            };
            let Outputs {
                cap_command,
                dump_shut,
                rod,
                pin_withdraw,
                drives,
                pump,
                rinse,
                agitator,
                guard_unlock,
            } = outputs_in(seq);
            let at = (state, plate);
            assert_eq!(cap_command, 0, "{at:?}: cap command");
            assert!(!dump_shut, "{at:?}: the dump valve is kept shut");
            assert_eq!(rod, RodValve::Trapped, "{at:?}: rod valve");
            assert!(!pin_withdraw, "{at:?}: pin");
            assert!(
                drives.iter().all(|d| !d.enable && d.setpoint == 0),
                "{at:?}: drives"
            );
            assert_eq!(pump, 0, "{at:?}: pump");
            assert!(
                !rinse && !agitator && !guard_unlock,
                "{at:?}: rinse, agitator, lock"
            );
        }
    }
}

/// What a movement is for moves, and nothing else: raise and lower by the rod valve, jog by the drives, purge by the pump,
/// conditioning by drives and pump under the initial load.
#[test]
fn a_setup_movement_moves_one_thing() {
    for wanted in ALL_SETUP_MOVES {
        let plate = if wanted == SetupMove::Condition {
            Plate::Contact
        } else {
            Plate::Air
        };
        let out = outputs_in(moving(wanted, plate));
        let up = matches!(out.rod, RodValve::Lift | RodValve::LiftCreep);
        let down = matches!(out.rod, RodValve::LowerCreep);
        let enabled = out.drives.iter().any(|drive| drive.enable);
        assert_eq!(up, wanted == SetupMove::Raise, "{wanted:?}: up");
        assert_eq!(down, wanted == SetupMove::Lower, "{wanted:?}: down");
        assert_eq!(
            out.pin_withdraw,
            wanted == SetupMove::Lower,
            "{wanted:?}: pin"
        );
        let turns = matches!(wanted, SetupMove::Jog | SetupMove::Condition);
        assert_eq!(enabled, turns, "{wanted:?}: drives");
        let wets = matches!(wanted, SetupMove::Purge | SetupMove::Condition);
        assert_eq!(out.pump > 0, wets, "{wanted:?}: pump");
        let presses = wanted == SetupMove::Condition;
        assert_eq!(out.dump_shut, presses, "{wanted:?}: dump valve");
        assert!(presses || out.cap_command == 0, "{wanted:?}: cap command");
        assert!(!out.rinse && !out.guard_unlock, "{wanted:?}: rinse, lock");
        assert_ne!(
            out.rod,
            RodValve::LowerFast,
            "{wanted:?}: a hand lowers at creep speed"
        );
    }
}

/// Conditioning turns what flow was proven for, tick by tick: before the proof, and after its loss, the drives are powered and stand.
#[test]
fn conditioning_turns_only_while_flow_is_proven() {
    let mut controller = controller();
    controller.mode = Mode::Setup;
    let mut inputs = sound();
    inputs.setup_key = true;
    let seq = Sequencer {
        state: State::Stopped,
        phase: Phase::Rest,
        plate: Plate::Contact,
        ..Sequencer::default()
    };
    put(&mut controller, seq);
    // Pressures and cell of a plate that rests on its parts, so that no row of the contact asks.
    let p = controller.params.get().clone();
    inputs.cell_counts = counts(p.initial.get());
    inputs.rod_pressure = crate::math::to_u16((p.weight - p.initial).get() / p.rod_scale.get());
    assert_eq!(
        controller.request(&Request::SelectMove(SetupMove::Condition)),
        Ok(())
    );
    let ticks = |controller: &mut Controller, inputs: &mut Inputs, n: u32| {
        let mut turned = 0;
        for tick in 0..n {
            // A cell that never changes is a dead one, and valve and drives do what they are told.
            inputs.cell_counts += if tick % 2 == 0 { 1 } else { -1 };
            inputs.dump_open = !controller.outputs.dump_shut;
            for (report, drive) in inputs.drives.iter_mut().zip(&controller.outputs.drives) {
                report.speed = drive.setpoint;
            }
            controller.tick(inputs, None);
            let flows = controller.status.flow_proven;
            let turns = controller
                .outputs
                .drives
                .iter()
                .any(|d| d.enable && d.setpoint != 0);
            turned += u32::from(turns);
            // One tick lies between the proof and what follows from it: drives ramp down under power when it is lost.
            if turns && !flows {
                assert!(
                    controller.seq.wetted || !controller.drives.arrived(),
                    "tick {tick}: turns dry"
                );
            }
        }
        turned
    };
    inputs.slurry_flow = 0;
    ticks(&mut controller, &mut inputs, 300);
    inputs.hold_to_run = true;
    assert_eq!(
        ticks(&mut controller, &mut inputs, 500),
        0,
        "turned before flow was proven"
    );
    assert_eq!(
        controller.seq.phase,
        Phase::Manual,
        "{:?}",
        controller.status
    );
    inputs.slurry_flow = 300;
    let turned = ticks(&mut controller, &mut inputs, 1_000);
    assert!(turned > 400, "flow was proven and nothing turned: {turned}");
    let fastest = |c: &Controller| {
        c.outputs.drives[Drive::Lower as usize]
            .setpoint
            .unsigned_abs()
    };
    let before = fastest(&controller);
    inputs.slurry_flow = 0;
    ticks(&mut controller, &mut inputs, 900);
    assert!(
        fastest(&controller) < before,
        "goes on without flow: {before}, {:?}, {:?}",
        controller.outputs,
        controller.status
    );
}

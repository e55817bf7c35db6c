//! What goals and step come to in numbers: the load that is wanted in every phase, the rod valves, the pump, speeds.

use super::rig::{Rig, hasty};
use crate::judge::CREEP_LIFT;
use crate::motion::{LoopGoal, SEATING_SECONDS};
use crate::process_image::RodValve;
use crate::sequence::{
    Command, Goals, Mode, Phase, Plate, PlateGoal, Request, Sequencer, SetupMove, State,
};
use crate::units::{Newtons, NewtonsPerSecond};

/// Goal of the loop in a place, with a step of this load or with no recipe.
fn goal(state: State, phase: Phase, load: Option<f32>) -> (LoopGoal, bool) {
    let mut rig = Rig::idle();
    match load {
        Some(load) => {
            let mut recipe = super::rig::recipe(&rig.c.params);
            recipe.steps[0].load = Newtons::new(load);
            rig.ask(Request::LoadRecipe(recipe));
        }
        None => (rig.c.recipe, rig.c.current) = (None, None),
    }
    let seq = Sequencer {
        state,
        phase,
        plate: Plate::Contact,
        setup_move: Some(SetupMove::Condition).filter(|_| phase == Phase::Manual),
        ..Sequencer::default()
    };
    rig.c.seq = seq;
    rig.c.loop_goal(&seq.goals())
}

/// Closed on a load, N, at a rate, N/s; its own limit is that of the first contact.
fn closed(target: f32, rate: f32) -> LoopGoal {
    LoopGoal::Closed {
        target: Newtons::new(target),
        rate: NewtonsPerSecond::new(rate),
        limit: hasty().first_contact,
    }
}

/// In still contact the initial load, or a light step's own where it was released to that, at the rate of seating; turning, the step's
/// rate and limit: the initial load at run-up, the step's load under way, and at the end the lower of the two.
#[test]
fn the_load_that_is_wanted_in_every_phase() {
    let p = hasty();
    let (initial, ramp) = (p.initial.get(), 500.0);
    let seating = (initial - p.resting.get()) / SEATING_SECONDS;
    let open = (LoopGoal::Open, false);
    for load in [265.0, 110.0] {
        let released = if load < initial { load } else { initial };
        for phase in [Phase::TouchDown, Phase::SlurryPrestart] {
            assert_eq!(
                goal(State::Running, phase, Some(load)),
                (closed(initial, seating), false),
                "{phase:?}"
            );
        }
        assert_eq!(
            goal(State::Running, Phase::RunUp, Some(load)),
            (closed(initial, ramp), true)
        );
        for phase in [Phase::LoadRamp, Phase::Dwell] {
            assert_eq!(
                goal(State::Running, phase, Some(load)),
                (closed(load, ramp), true),
                "{phase:?}"
            );
        }
        for phase in [Phase::LoadRelease, Phase::Rinse, Phase::RunDown] {
            assert_eq!(
                goal(State::Holding, phase, Some(load)),
                (closed(released, ramp), true),
                "{phase:?}"
            );
        }
        assert_eq!(
            goal(State::Holding, Phase::SlurryStop, Some(load)),
            (closed(released, seating), false)
        );
        for phase in [Phase::Lower, Phase::Lift, Phase::Precheck, Phase::Rest] {
            assert_eq!(goal(State::Running, phase, Some(load)), open, "{phase:?}");
        }
        assert_eq!(goal(State::Stopping, Phase::RunDown, Some(load)), open);
        assert_eq!(
            goal(State::Stopped, Phase::Manual, Some(load)),
            (closed(initial, seating), false)
        );
    }
    // Without a step there is nothing to track, and nothing is guessed.
    assert_eq!(goal(State::Running, Phase::Dwell, None), open);
    assert_eq!(
        goal(State::Running, Phase::TouchDown, None),
        (closed(initial, seating), false)
    );
}

/// The governor of a turning step stands under the limit in force, which may be that of the step before; of still contact under that of
/// the first contact.
#[test]
fn the_governor_stands_under_the_limit_in_force() {
    let bound = |rig: &Rig, limit: f32| {
        let governor = crate::motion::Governor::new(&rig.c.params);
        governor.bound(Newtons::new(limit), rig.c.load_loop.seat())
    };
    let mut rig = Rig::at(0, Phase::SlurryPrestart);
    rig.run(5);
    assert_eq!(rig.c.status.governor, bound(&rig, 300.0));
    let mut rig = Rig::at(1, Phase::LoadRamp);
    rig.run(5);
    assert_eq!(rig.c.status.governor, bound(&rig, 350.0));
    rig.until_phase(Phase::Dwell);
    assert_eq!(rig.c.status.governor, bound(&rig, 290.0));
}

/// A plate that is lowered waits for its pin, falls fast to the approach and creeps from there; without a recipe it creeps all the way.
#[test]
fn a_plate_is_lowered_fast_above_the_approach_alone_and_never_on_its_pin() {
    let mut rig = Rig::at(0, Phase::Lower);
    let valve = |rig: &mut Rig, height: f32, pin_out: bool| {
        let mut inputs = rig.i;
        inputs.pin_out = pin_out;
        let mut m = rig.c.signal.measure(&inputs, &rig.c.params, 1);
        m.height = height;
        rig.c.rod(&rig.c.goals, &inputs, &m)
    };
    // Taught at 550 µm, approach 8 mm.
    assert_eq!(valve(&mut rig, 8_550.0, true), RodValve::LowerCreep);
    assert_eq!(valve(&mut rig, 8_551.0, true), RodValve::LowerFast);
    assert_eq!(valve(&mut rig, 8_551.0, false), RodValve::Trapped);
    assert_eq!(valve(&mut rig, 600.0, false), RodValve::Trapped);
    rig.c.recipe = None;
    assert_eq!(valve(&mut rig, 140_000.0, true), RodValve::LowerCreep);
}

/// A hand lowers to contact at most: over its threshold the plate floats, at it it creeps on.
#[test]
fn a_plate_that_a_hand_lowers_floats_from_contact_on() {
    let mut rig = Rig::setup(SetupMove::Lower);
    let goals = Goals {
        plate: PlateGoal::LowerCreep,
        ..Goals::default()
    };
    let contact = rig.c.params.get().contact.get();
    let inputs = rig.i;
    let mut m = rig.c.signal.measure(&inputs, &rig.c.params, 1);
    for (load, wanted) in [
        (0.0, RodValve::LowerCreep),
        (contact, RodValve::LowerCreep),
        (contact * 1.001, RodValve::Float),
    ] {
        m.load = load;
        assert_eq!(rig.c.rod(&goals, &inputs, &m), wanted, "{load} N");
    }
}

/// A lift creeps off the parts from where it began, or from the lowest that a plate can have where the height reads less.
#[test]
fn a_lift_creeps_off_the_parts_whatever_the_height_read_when_it_began() {
    let creeps = |rig: &mut Rig, from: i32| {
        rig.i.plate_height = from;
        let (mut i, c) = (rig.i, &mut rig.c);
        // The next phase is entered by hand, so that this height is the one it begins with.
        let height = crate::math::from_i32(from);
        c.judge.enter(Phase::Lift, height, c.lowest(), None);
        let mut last = from;
        for height in (from.max(0)..8_000).step_by(5) {
            i.plate_height = height;
            let m = c.signal.measure(&i, &c.params, 1);
            if c.rod(&c.goals, &i, &m) == RodValve::LiftCreep {
                last = height;
            }
        }
        last + 5
    };
    let mut rig = Rig::at(2, Phase::Lift);
    let creep = 3_000;
    assert!((crate::math::from_i32(creep) - CREEP_LIFT).abs() < 0.01);
    assert_eq!(creeps(&mut rig, 550), 550 + creep);
    // Taught 550 µm less the tolerance of 200 µm.
    assert_eq!(creeps(&mut rig, -5_000), 350 + creep);
    assert!((rig.c.lowest() - 350.0).abs() < 0.01);
    rig.c.recipe = None;
    assert_eq!(creeps(&mut rig, -5_000), creep);
    // A phase of a cycle begins at the height of its tick.
    let mut rig = Rig::at(2, Phase::SlurryStop);
    rig.wrong = |i| i.plate_height = -5_000;
    rig.until_phase(Phase::Lift);
    assert!((rig.c.judge.began_at() - 350.0).abs() < 0.01);
    let mut rig = Rig::at(2, Phase::SlurryStop);
    rig.wrong = |i| i.plate_height = 700;
    rig.until_phase(Phase::Lift);
    assert!((rig.c.judge.began_at() - 700.0).abs() < 0.01);
}

/// The pump runs for what is programmed: the pre-start's flow, then the step's; purging without a recipe all it can; and it stands
/// wherever nothing or water flows.
#[test]
fn the_pump_runs_for_the_flow_that_is_programmed() {
    // Its full speed gives 400 mL/min.
    for (step, phase, per_mille) in [
        (0, Phase::TouchDown, 0),
        (0, Phase::SlurryPrestart, 250),
        (0, Phase::RunUp, 500),
        (0, Phase::Dwell, 500),
        (1, Phase::Dwell, 400),
        (2, Phase::RunUp, 600),
        (2, Phase::Rinse, 0),
        (2, Phase::RunDown, 0),
        (2, Phase::Lift, 0),
    ] {
        let rig = Rig::at(step, phase);
        assert_eq!(rig.c.outputs.pump, per_mille, "{step} {phase:?}");
        let rinses = step == 2 && matches!(phase, Phase::Rinse | Phase::RunDown);
        assert_eq!(rig.c.outputs.rinse, rinses, "{step} {phase:?}");
    }
    let mut rig = Rig::setup(SetupMove::Purge);
    rig.i.hold_to_run = true;
    rig.run(2);
    assert_eq!(rig.c.outputs.pump, 250);
    let mut rig = Rig::setup(SetupMove::Purge);
    (rig.c.recipe, rig.c.current) = (None, None);
    rig.i.hold_to_run = true;
    rig.run(2);
    assert_eq!(rig.c.outputs.pump, 1_000);
}

/// Drives turn as the present step says, the other way where it does, and stand when their work is done or stopped.
#[test]
fn drives_turn_as_the_step_says_and_stand_where_it_is_over() {
    let setpoints = |rig: &Rig| rig.c.outputs.drives.map(|drive| drive.setpoint);
    assert_eq!(setpoints(&Rig::at(0, Phase::Dwell)), [1_000; 4]);
    assert_eq!(setpoints(&Rig::at(1, Phase::Dwell)), [1_200; 4]);
    assert_eq!(setpoints(&Rig::at(2, Phase::Dwell)), [-1_000; 4]);
    assert_eq!(setpoints(&Rig::at(2, Phase::Lift)), [0; 4]);
    let mut rig = Rig::at(0, Phase::Dwell);
    rig.tell(Command::Stop);
    rig.run(200);
    assert_eq!(setpoints(&rig), [0; 4]);
    assert_eq!(rig.c.status.mode, Mode::Automatic);
}

/// Wherever a plate presses, its rod side floats: air that is trapped there would carry load past the cell's line. Wherever it hangs
/// still, it is trapped.
#[test]
fn the_rod_side_floats_while_the_plate_presses_and_is_trapped_while_it_hangs() {
    let mut pressed = 0;
    for rig in super::rig::good_cycle() {
        let (outputs, status) = (&rig.c.outputs, &rig.c.status);
        match status.phase {
            Phase::SlurryPrestart | Phase::RunUp | Phase::LoadRamp | Phase::Dwell => {
                assert_eq!(outputs.rod, RodValve::Float, "{:?}", status.phase);
                pressed += 1;
            }
            Phase::Rest | Phase::Precheck => {
                assert_eq!(outputs.rod, RodValve::Trapped, "{:?}", status.phase);
            }
            _ => {}
        }
    }
    assert!(pressed >= 4, "{pressed}");
}

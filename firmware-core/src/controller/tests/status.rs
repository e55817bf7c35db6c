//! The status after a tick is what the inputs of that tick, the sequencer and the loop come to; and requests ask the inputs of the last tick.

use super::rig::{Rig, good_cycle, hasty};
use crate::events::EventKind;
use crate::interlock::Cond;
use crate::math::{from_i32, to_u16};
use crate::process_image::{Inputs, Outputs};
use crate::sequence::{Command, Mode, Phase, Plate, Refusal, Request, SetupMove, State};
use crate::status::{LoadMode, Response};
use crate::units::{Micrometres, MillilitresPerMinute, Newtons};

fn near(a: f32, b: f32, most: f32) -> bool {
    (a - b).abs() <= most
}

/// Where the machine is in each phase of a good cycle, and what holds there.
#[test]
fn the_status_tells_where_the_machine_is_and_what_holds_there() {
    for rig in good_cycle() {
        let mut rig = rig.clone();
        let load = rig.load;
        rig.tick();
        let (s, c) = (&rig.c.status, &rig.c);
        let at = (s.state, s.phase);
        assert_eq!(
            (s.state, s.phase, s.plate),
            (c.seq.state, c.seq.phase, c.seq.plate)
        );
        assert_eq!(
            (s.step, s.mode, s.boots),
            (c.step, Mode::Automatic, 7),
            "{at:?}"
        );
        assert_eq!(s.tick.0, c.tick, "{at:?}");
        assert!(
            near(s.load_raw.get(), load, 0.01),
            "{at:?}: {:?}",
            s.load_raw
        );
        // The filter lags behind a plate that leaves its parts.
        let lags = s.phase == Phase::Lift;
        assert!(
            lags || near(s.load.get(), load, 8.0),
            "{at:?}: {:?}",
            s.load
        );
        assert_eq!(s.reference, c.load_loop.reference(), "{at:?}");
        assert_eq!(s.governor, c.load_loop.bound(), "{at:?}");
        let told = to_u16(s.command.get() * 65_535.0);
        assert_eq!(c.outputs.cap_command, told, "{at:?}");
        let presses = matches!(s.load_mode, LoadMode::Initial | LoadMode::Tracking);
        assert_eq!(c.outputs.dump_shut, presses, "{at:?}");
        assert_eq!(s.load_mode, c.goals.load, "{at:?}");
        assert!(presses || told == 0, "{at:?}");
        // Limits are those of a step that turns.
        let turning = s.phase.is_turning();
        assert_eq!(s.load_limit > Newtons::ZERO, turning, "{at:?}");
        if s.phase == Phase::Dwell {
            let step = *c
                .recipe
                .as_ref()
                .and_then(|r| r.step(s.step))
                .expect("there");
            assert_eq!(s.load_limit, step.load_limit, "{at:?}");
            assert!(near(
                s.load.get(),
                step.load.get(),
                c.params.band(step.load).get()
            ));
            assert!(s.drives_in_band && s.flow_proven && !s.standstill, "{at:?}");
        }
        if s.phase == Phase::Lower {
            assert!(
                !s.drives_in_band && !s.flow_proven && s.standstill,
                "{at:?}"
            );
        }
        let gauge = from_i32(rig.i.gauge.value) * 0.001;
        assert!(
            near(s.size.get(), gauge, 0.02),
            "{at:?}: {:?}, not {gauge}",
            s.size
        );
        // A complete batch adds its change.
        let complete = s.state == State::Complete;
        let form = if complete { [1.5, -1.25] } else { [1.0, -1.0] };
        assert_eq!(s.form, form.map(Micrometres::new));
        assert_eq!(s.form_age, u16::from(complete));
        assert_eq!(s.ring_setting, 0);
    }
}

/// A gauge that says it is not well has no size to tell.
#[test]
fn a_size_that_is_not_valid_is_not_told() {
    let mut rig = Rig::idle();
    assert!(rig.c.status.size.get() > 500.0);
    rig.wrong = |i| i.gauge_ok = false;
    rig.tick();
    assert_eq!(rig.c.status.size, Micrometres::ZERO);
}

/// What a flow comes to in its average after one tick, mL/min.
fn after_one_tick(flow: u16) -> f32 {
    let p = hasty().check().expect("valid");
    let flow = Inputs {
        slurry_flow: flow,
        ..Inputs::default()
    };
    let mut signal = crate::signal::Signal::new(&p);
    signal.measure(&flow, &p, 1).slurry_flow
}

/// Flow is proven by slurry and rinse together, from the least flow on: at it, not below it.
#[test]
fn flow_is_proven_from_the_least_flow_on_by_both_waters_together() {
    let proven = |slurry: u16, rinse: u16, least: f32| {
        let mut p = hasty();
        p.flow_min = MillilitresPerMinute::new(least);
        let mut rig = Rig::new(p);
        let i = Inputs {
            slurry_flow: slurry,
            rinse_flow: rinse,
            ..rig.i
        };
        rig.c.tick(&i, None);
        rig.c.status.flow_proven
    };
    // One tick of a flow counts little in its average: about a five-hundredth.
    assert!(proven(20_000, 20_000, 60.0));
    assert!(!proven(20_000, 0, 60.0));
    assert!(!proven(0, 20_000, 60.0));
    let average = after_one_tick(30_000);
    assert!(proven(30_000, 0, average), "at the least flow");
    let above = f32::from_bits(average.to_bits() + 1);
    assert!(!proven(30_000, 0, above), "below it");
}

/// A report of the drives counts in the tick in which it comes.
#[test]
fn a_speed_out_of_band_is_told_in_its_tick() {
    let mut rig = Rig::at(0, Phase::Dwell);
    rig.run(5);
    assert!(rig.c.status.drives_in_band);
    rig.wrong = |i| i.drives[0].speed += 150;
    rig.tick();
    assert!(!rig.c.status.drives_in_band);
    rig.run(3);
    assert!(!rig.c.status.drives_in_band);
    rig.wrong = |_| {};
    rig.tick();
    assert!(rig.c.status.drives_in_band);
    // A torque too, to the tick of its row.
    rig.wrong = |i| i.drives[2].torque = 700;
    let waited = rig.until(|c| c.status.latched & Cond::Torque.bit() != 0);
    assert_eq!(waited, 300);
}

/// A gauge that fails in a step that it would end leaves the end to the longest time; in any other step nobody asks.
#[test]
fn a_step_whose_gauge_fails_ends_by_its_longest_time() {
    let gauge = Cond::GaugeInvalid.bit();
    let mut timed = Rig::at(2, Phase::Dwell);
    timed.wrong = |i| i.gauge_ok = false;
    timed.until_phase(Phase::LoadRelease);
    assert_eq!(timed.c.status.active & gauge, 0);
    let mut rig = Rig::at(1, Phase::Dwell);
    rig.wrong = |i| i.gauge_ok = false;
    rig.until(|c| c.status.active & gauge != 0);
    assert!(rig.c.status.ends_by_time);
    assert_eq!(rig.c.status.response, Response::Alarm);
    rig.until_phase(Phase::LoadRelease);
    let overtime = crate::interlock::TABLE[Cond::StepOvertime as usize].id;
    assert_eq!(rig.told(EventKind::Condition).last(), Some(&(overtime, 0)));
    // Below the lower size limit of the recipe, 400 µm: a stop.
    let mut rig = Rig::at(0, Phase::Dwell);
    rig.wrong = |i| i.gauge.value = 399_000;
    rig.until_state(State::Stopping);
    assert!(rig.c.status.latched & Cond::SizeLow.bit() != 0);
}

/// A recipe that does not fit forbids a start, until one does; a form beyond its limit too.
#[test]
fn a_wrong_recipe_and_a_form_beyond_its_limit_forbid_a_start() {
    let mut rig = Rig::idle();
    let fits = super::rig::recipe(&rig.c.params);
    let mut wrong = fits.clone();
    wrong.pieces = 0;
    assert_eq!(
        rig.c.request(&Request::LoadRecipe(wrong)),
        Err(Refusal::RecipeInvalid)
    );
    rig.tick();
    assert_eq!(rig.c.status.active, Cond::RecipeWrong.bit());
    assert!(rig.c.aims.setpoint.abs() < 0.01, "nothing to press");
    assert_eq!(rig.c.status.response, Response::StartInhibit);
    rig.ask(Request::LoadRecipe(fits));
    rig.tick();
    assert_eq!(rig.c.status.active, 0);
    rig.report(10.5, 0.0);
    rig.tick();
    assert_eq!(rig.c.status.active, Cond::FormLimit.bit());
    assert_eq!(rig.c.status.response, Response::StartInhibit);
}

type Take = fn(&mut Inputs);

/// What a request asks for is read from the inputs of the last tick, each by itself.
#[test]
fn requests_ask_the_inputs_of_the_last_tick() {
    let needs: [(&str, Take, Request, Refusal, State); 8] = [
        (
            "standstill",
            |i| i.drives[3].speed = 20,
            Request::UnlockGuard,
            Refusal::NotStandstill,
            State::Idle,
        ),
        (
            "standstill",
            |i| i.drives[3].speed = 20,
            Request::Raise,
            Refusal::NotStandstill,
            State::Stopped,
        ),
        (
            "vented",
            |i| i.cap_pressure = 501,
            Request::UnlockGuard,
            Refusal::NotVented,
            State::Idle,
        ),
        (
            "key",
            |i| i.setup_key = false,
            Request::SetMode(Mode::Setup),
            Refusal::NoKey,
            State::Idle,
        ),
        (
            "local enable",
            |i| i.local_enable = false,
            Request::ArmRemote(true),
            Refusal::NoLocalEnable,
            State::Idle,
        ),
        (
            "guard A",
            |i| i.guard_a = false,
            Request::Raise,
            Refusal::Inhibited,
            State::Stopped,
        ),
        (
            "guard B",
            |i| i.guard_b = false,
            Request::Raise,
            Refusal::Inhibited,
            State::Stopped,
        ),
        (
            "lock",
            |i| i.guard_locked = false,
            Request::Raise,
            Refusal::Inhibited,
            State::Stopped,
        ),
    ];
    for (what, take, request, refusal, state) in needs {
        let mut rig = Rig::idle();
        rig.c.seq.state = state;
        rig.wrong = |i| i.setup_key = true;
        rig.run(5);
        let mut there = rig.clone();
        assert_eq!(there.c.request(&request), Ok(()), "{what}");
        take(&mut rig.i);
        let i = Inputs {
            setup_key: what != "key",
            ..rig.i
        };
        rig.c.tick(&i, None);
        assert_eq!(rig.c.request(&request), Err(refusal), "{what}");
    }
}

/// A raise that was taken happens in the next tick, once, and a row that holds takes it back.
#[test]
fn a_raise_begins_in_the_next_tick() {
    let mut rig = Rig::at(0, Phase::TouchDown);
    rig.run(50);
    rig.tell(Command::Stop);
    rig.until_state(State::Stopped);
    rig.ask(Request::Raise);
    rig.tick();
    assert_eq!(rig.c.status.phase, Phase::Lift);
    rig.tell(Command::Stop);
    assert_eq!(rig.c.status.phase, Phase::Rest);
    rig.run(20);
    assert_eq!(rig.c.status.phase, Phase::Rest, "it was asked for once");
}

/// Before its first tick a controller asks for nothing, and takes nothing for true that it has not seen.
#[test]
fn before_the_first_tick_nothing_is_asked_for_and_nothing_believed() {
    let mut rig = Rig::new(hasty());
    assert_eq!(*rig.c.outputs(), Outputs::default());
    assert_eq!(rig.c.batches(), 0);
    let c = &rig.c;
    assert!(!c.standstill && !c.vented && !c.guard_shut && !c.setup_key && !c.local_enable);
    assert!(!c.remote_armed() && !c.guard_unlock && !c.raise && !c.recipe_wrong);
    assert_eq!((c.seq.state, c.seq.plate), (State::Stopped, Plate::Air));
    // Nothing was asked for: nothing begins.
    rig.run(400);
    rig.tell(Command::Reset);
    rig.run(5);
    assert_eq!(
        (rig.c.status.state, rig.c.status.phase),
        (State::Idle, Phase::Rest)
    );
    assert_eq!(rig.c.status.active | rig.c.status.latched, 0);
    assert_eq!(rig.told(EventKind::Internal), []);
    assert!(!rig.c.outputs.guard_unlock && !rig.c.remote_armed());
}

/// Conditioning turns from the least flow on: at it, not below it.
#[test]
fn conditioning_is_wet_from_the_least_flow_on() {
    let flow = 30_000;
    let wetted = |least: f32| {
        let mut p = hasty();
        p.flow_min = MillilitresPerMinute::new(least);
        let mut rig = Rig::new(p);
        rig.i.hold_to_run = true;
        rig.i.setup_key = true;
        rig.tick();
        rig.c.mode = Mode::Setup;
        rig.c.setup_move = Some(SetupMove::Condition);
        rig.c.seq.phase = Phase::Manual;
        (rig.c.seq.plate, rig.c.seq.setup_move) = (Plate::Contact, rig.c.setup_move);
        rig.i.slurry_flow = flow;
        rig.tick();
        assert_eq!(rig.c.seq.phase, Phase::Manual);
        rig.c.seq.wetted
    };
    let average = after_one_tick(flow);
    assert!(wetted(average));
    assert!(!wetted(f32::from_bits(average.to_bits() + 1)));
}

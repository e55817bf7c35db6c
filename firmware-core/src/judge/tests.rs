//! What each phase waits for and when it is too late, on both sides of every limit, deadline, band and debounce.

mod place;
mod time;

use super::*;
use crate::motion::LoopGoal;
use crate::process_image::DRIVES;
use crate::sequence::{ALL_PHASES, ALL_PLATES, ALL_STATES, DriveGoal};
use crate::units::{Micrometres, Rpm};
use std::vec::Vec;

/// All that judging looks at, and the judge.
struct Desk {
    judge: Judge,
    inputs: Inputs,
    m: Measured,
    seq: Sequencer,
    signal: Signal,
    load_loop: LoadLoop,
    drives: DriveSet,
    params: CheckedParams,
    recipe: CheckedRecipe,
    pieces: u16,
    dump_shut: bool,
    end_by_time: bool,
}

impl Desk {
    /// The sample machine with 265 N under 350 N at 50 N/s and 10 rpm, everything in its band: drives at their speeds (none: the ramp
    /// has arrived), reference and load at the setpoint.
    fn at(state: State, phase: Phase) -> Self {
        let params = crate::params::tests::sample().check().expect("valid");
        let recipe = crate::recipe::sample(&params, 265.0, 350.0)
            .check(&params)
            .expect("fits");
        let m = Measured {
            load: 265.0,
            standstill: true,
            slurry_flow: 300.0,
            rinse_flow: 300.0,
            height: 550.0,
            ..Measured::default()
        };
        let mut drives = DriveSet::new(&params);
        let still = Inputs::default().drives;
        drives.step(DriveGoal::Run, &[Rpm::ZERO; DRIVES], &still, &m);
        let mut load_loop = LoadLoop::new(&params);
        load_loop.step(LoopGoal::Open, Newtons::new(265.0));
        let mut judge = Judge::default();
        let late = super::deadline(phase, &params, Some(&recipe), recipe.step(0));
        judge.enter(phase, 550.0, 0.0, late);
        Self {
            judge,
            inputs: Inputs::default(),
            m,
            seq: Sequencer {
                state,
                phase,
                plate: Plate::Contact,
                ..Sequencer::default()
            },
            signal: Signal::new(&params),
            load_loop,
            drives,
            params,
            recipe,
            pieces: 15,
            dump_shut: false,
            end_by_time: false,
        }
    }

    /// A phase begins at this height, with its own deadline.
    fn enter(&mut self, phase: Phase, height: f32) {
        let late = super::deadline(phase, &self.params, Some(&self.recipe), self.recipe.step(0));
        self.judge.enter(phase, height, 0.0, late);
    }

    fn look(&mut self) -> Found {
        let scene = Scene {
            inputs: &self.inputs,
            m: &self.m,
            seq: &self.seq,
            signal: &self.signal,
            load_loop: &self.load_loop,
            drives: &self.drives,
            params: &self.params,
            recipe: Some(&self.recipe),
            step: self.recipe.step(0),
            pieces: self.pieces,
            dump_shut: self.dump_shut,
            end_by_time: self.end_by_time,
        };
        self.judge.look(&scene)
    }

    fn looks(&mut self, ticks: u32) -> Found {
        for _ in 1..ticks {
            self.look();
        }
        self.look()
    }

    fn set(&mut self, step: impl FnOnce(&mut StepWire)) {
        let mut wire = self.recipe.get().clone();
        wire.size_lower = Micrometres::new(1.0);
        step(&mut wire.steps[0]);
        self.recipe = wire.check(&self.params).expect("fits");
    }
}

/// Changes what is looked at.
type Put = fn(&mut Desk);

const RUNNING: State = State::Running;

/// From the sample machine and its recipe, worked out here: travel and lift 60 s, stop time 20 s, drives 10 rpm at 6 rpm/s, half as
/// much again and 2 s; load from 900 N to 150 N at 50 N/s, half as much again; pre-start 20 s, no rinse.
const fn too_late(phase: Phase) -> Option<u32> {
    let (speeds, loads) = (4_500, 22_500);
    Some(match phase {
        Phase::Rest | Phase::Coast | Phase::Manual | Phase::Dwell => return None,
        Phase::Precheck | Phase::SlurryStop => 10_000,
        Phase::Lower | Phase::Lift => 60_000,
        Phase::TouchDown => 15_000,
        Phase::SlurryPrestart => 20_000 + 30_000,
        Phase::RunUp => speeds,
        Phase::LoadRamp => loads + 5_000,
        Phase::LoadRelease => loads + 15_000,
        Phase::Rinse => 30_000,
        Phase::RunDown => 20_000,
    })
}

/// A deadline ends a phase of a cycle that is on its way, and a lift from the air; nothing else, and not a tick too soon.
#[test]
fn a_deadline_ends_a_phase_on_its_way_and_a_lift_and_nothing_else() {
    for state in ALL_STATES {
        for phase in ALL_PHASES {
            for plate in ALL_PLATES {
                let mut desk = Desk::at(state, phase);
                desk.seq.plate = plate;
                let on_its_way =
                    matches!(state, State::Running | State::Restarting | State::Holding);
                // A line that will not empty keeps no stop and no hold from ending.
                let goes_on = phase == Phase::SlurryStop && state != RUNNING;
                let ends = on_its_way && !goes_on || phase == Phase::Lift && plate == Plate::Air;
                let deadline = too_late(phase);
                assert_eq!(
                    super::deadline(phase, &desk.params, Some(&desk.recipe), desk.recipe.step(0)),
                    deadline
                );
                for (ticks, late) in [
                    (deadline.unwrap_or(100_000), false),
                    (
                        deadline.map_or(100_001, |d| d + 1),
                        deadline.is_some() && ends,
                    ),
                ] {
                    desk.judge.in_phase = ticks - 1;
                    let found = desk.look();
                    let row = found.rows.0 & Cond::PhaseTimeout.bit() != 0;
                    assert_eq!(
                        (found.expired, row),
                        (late, late),
                        "{state:?} {phase:?} {plate:?} after {ticks}"
                    );
                }
            }
        }
    }
}

#[test]
fn a_held_cycle_is_too_late_after_the_longest_hold_and_no_other_state_is() {
    for state in ALL_STATES {
        let mut desk = Desk::at(state, Phase::TouchDown);
        for (ticks, late) in [(600_000, false), (600_001, state == State::Held)] {
            desk.judge.in_phase = ticks - 1;
            let row = desk.look().rows.0 & Cond::HoldTimeout.bit() != 0;
            assert_eq!(row, late, "{state:?} after {ticks}");
        }
    }
}

/// What is waited for must last: to the tick, and one tick without it begins the time anew.
#[test]
fn what_a_phase_waits_for_must_last_to_the_tick() {
    let waits: [(Phase, u32, Put); 5] = [
        (Phase::TouchDown, 500, |d| d.m.load = 150.0),
        (Phase::RunUp, 500, |_| {}),
        (Phase::LoadRamp, 1_000, |_| {}),
        (Phase::LoadRelease, 200, |d| {
            d.m.load = 150.0;
            d.load_loop.step(LoopGoal::Open, Newtons::new(150.0));
        }),
        (Phase::SlurryPrestart, 5_000, |d| d.judge.in_phase = 40_000),
    ];
    for (phase, ticks, ready) in waits {
        let mut desk = Desk::at(RUNNING, phase);
        ready(&mut desk);
        assert_eq!(desk.looks(ticks - 1).view, View::Waiting, "{phase:?}");
        // Everything out of band for one tick.
        let good = (desk.m, desk.drives.clone());
        (desk.m.load, desk.m.slurry_flow) = (0.0, 0.0);
        desk.m.speeds = [2.0; DRIVES];
        desk.drives.see(desk.m.speeds, desk.m.torques);
        desk.look();
        (desk.m, desk.drives) = good;
        assert_eq!(
            desk.looks(ticks - 1).view,
            View::Waiting,
            "{phase:?}: not begun anew"
        );
        assert_eq!(
            desk.look().view,
            View::Reached,
            "{phase:?}: not after {ticks} ticks"
        );
    }
}

/// Bands are those of the machine: 8 N or 3 %, and half the tolerance of 2 rpm; the reference must have arrived too.
#[test]
fn a_phase_is_done_inside_its_band_and_not_outside() {
    let bands: [(&str, Phase, bool, Put); 15] = [
        ("initial", Phase::TouchDown, true, |d| d.m.load = 158.0),
        ("initial", Phase::TouchDown, false, |d| d.m.load = 158.001),
        ("initial", Phase::TouchDown, true, |d| d.m.load = 142.0),
        ("initial", Phase::TouchDown, false, |d| d.m.load = 141.999),
        ("speed", Phase::RunUp, true, |d| d.m.speeds[1] = 1.0),
        ("speed", Phase::RunUp, false, |d| d.m.speeds[1] = 1.001),
        ("speed", Phase::RunUp, false, |d| d.m.speeds[2] = -1.001),
        ("load", Phase::LoadRamp, true, |d| d.m.load = 273.0),
        ("load", Phase::LoadRamp, false, |d| d.m.load = 273.001),
        ("speed", Phase::LoadRamp, false, |d| d.m.speeds[1] = 1.001),
        ("reference", Phase::LoadRamp, false, |d| {
            d.load_loop.step(LoopGoal::Open, Newtons::new(256.0));
        }),
        ("reference", Phase::LoadRamp, true, |d| {
            d.load_loop.step(LoopGoal::Open, Newtons::new(258.0));
        }),
        ("reference", Phase::LoadRelease, false, |d| d.m.load = 150.0),
        ("load", Phase::LoadRelease, false, |d| {
            d.load_loop.step(LoopGoal::Open, Newtons::new(150.0));
        }),
        // Lighter than the initial load: released to its own, not pressed again.
        ("own load", Phase::LoadRelease, true, |d| {
            let mut wire = d.params.get().clone();
            wire.lowest = Newtons::new(100.0);
            d.params = wire.check().expect("valid");
            d.recipe = crate::recipe::sample(&d.params, 110.0, 350.0)
                .check(&d.params)
                .expect("fits");
            d.m.load = 110.0;
            d.load_loop.step(LoopGoal::Open, Newtons::new(110.0));
        }),
    ];
    for (n, (what, phase, done, put)) in bands.into_iter().enumerate() {
        let mut desk = Desk::at(RUNNING, phase);
        put(&mut desk);
        desk.drives.see(desk.m.speeds, desk.m.torques);
        let view = desk.looks(2_000).view;
        assert_eq!(view == View::Reached, done, "{n}: {what} in {phase:?}");
    }
    // A ramp that has not arrived is not done, whatever the speeds.
    for phase in [Phase::RunUp, Phase::LoadRamp] {
        let mut desk = Desk::at(RUNNING, phase);
        let still = desk.inputs.drives;
        desk.drives
            .step(DriveGoal::Run, &[Rpm::new(10.0); DRIVES], &still, &desk.m);
        assert_eq!(desk.looks(2_000).view, View::Waiting, "{phase:?}");
    }
}

/// The gap is wetted and rinsed by flow that is proven, for at least the programmed time; a rinse adds its moments up.
#[test]
fn flow_is_waited_for_and_for_the_programmed_time() {
    let mut desk = Desk::at(RUNNING, Phase::SlurryPrestart);
    assert_eq!(
        desk.looks(19_999).view,
        View::Waiting,
        "the programmed 20 s"
    );
    assert_eq!(desk.look().view, View::Reached);
    for (flow, proven) in [(60.0, true), (59.999, false)] {
        let mut desk = Desk::at(RUNNING, Phase::SlurryPrestart);
        desk.m.slurry_flow = flow;
        assert_eq!(desk.looks(25_000).view == View::Reached, proven, "{flow}");
        let mut wire = desk.recipe.get().clone();
        wire.rinse = Ticks(4_000);
        desk.recipe = wire.check(&desk.params).expect("fits");
        desk.enter(Phase::Rinse, 550.0);
        desk.seq.phase = Phase::Rinse;
        desk.m.rinse_flow = flow;
        assert_eq!(desk.looks(3_999).view, View::Waiting);
        desk.m.rinse_flow = 0.0;
        assert_eq!(desk.looks(100).view, View::Waiting);
        desk.m.rinse_flow = flow;
        assert_eq!(desk.look().view == View::Reached, proven, "rinse at {flow}");
    }
    // A quarter of the minimum is what the line may still let through.
    for (flow, stopped) in [(14.999, true), (15.0, false)] {
        let mut desk = Desk::at(RUNNING, Phase::SlurryStop);
        (desk.m.slurry_flow, desk.m.rinse_flow) = (flow - 7.0, 7.0);
        assert_eq!(desk.look().view == View::Reached, stopped, "{flow}");
    }
    for (state, goes_on) in [
        (State::Stopping, true),
        (State::Holding, true),
        (RUNNING, false),
    ] {
        let mut desk = Desk::at(state, Phase::SlurryStop);
        desk.judge.in_phase = 9_999;
        assert_eq!(desk.look().view, View::Waiting, "{state:?}");
        assert_eq!(
            desk.look().view == View::Reached,
            goes_on,
            "{state:?}: a line that will not empty"
        );
    }
}

/// The ends of the run-down and of the phases that end by a rule of their own.
#[test]
fn a_run_down_is_done_at_proven_standstill_and_nothing_else_ends_by_itself() {
    for still in [true, false] {
        let mut desk = Desk::at(RUNNING, Phase::RunDown);
        desk.m.standstill = still;
        assert_eq!(desk.look().view == View::Reached, still);
    }
    let phases: Vec<Phase> = ALL_PHASES
        .into_iter()
        .filter(|p| too_late(*p).is_none())
        .collect();
    for phase in phases.into_iter().filter(|phase| *phase != Phase::Dwell) {
        let mut desk = Desk::at(RUNNING, phase);
        let found = desk.looks(3_000);
        assert_eq!(found.view, View::Waiting, "{phase:?}");
        assert_eq!((found.missing, found.rows.0), (0, 0), "{phase:?}: judged");
    }
}

//! A machine that does at once what it is told: heights, load, speeds, flows and feedbacks follow the outputs, with no physics but the
//! declared lag of the load. It brings whole cycles into the core's own tests at a few thousand ticks each.

use super::{counts, sound};
use crate::controller::Controller;
use crate::events::{Event, EventKind};
use crate::math::{hold, max, to_u16};
use crate::params::{CheckedParams, ParamsWire};
use crate::plate_form::{FormControl, RingSetting};
use crate::process_image::{Inputs, RodValve, Slow};
use crate::recipe::{EndWire, RecipeWire, StepWire};
use crate::sequence::{Command, Mode, Phase, Plate, Request, SetupMove, State};
use crate::units::{
    Micrometres, MillilitresPerMinute, Newtons, NewtonsPerSecond, Ratio, Rpm, RpmPerSecond, Ticks,
};
use std::sync::OnceLock;
use std::vec::Vec;

/// Falls and rises of the plate in a tick, µm: as far as the controller believes.
const FAST: f32 = 900.0;
const CREEP: f32 = 90.0;
/// Gauge in a tick of dwell, nm.
const REMOVED: i32 = 10;
/// Longest wait for anything, ticks.
const PATIENCE: u32 = 12_000;

/// The sample machine in a hurry: drives, loads and holds that take no longer than they must to be told apart.
pub(super) fn hasty() -> ParamsWire {
    let mut p = crate::params::tests::sample();
    p.lowest = Newtons::new(100.0);
    p.ramp_max = NewtonsPerSecond::new(500.0);
    p.drive_ramp = RpmPerSecond::new(100.0);
    p.stop_time = Ticks(1_500);
    p.hold_time = Ticks(700);
    p.settle_limit = Ticks(900);
    p
}

/// A step of the sample recipe.
fn step(load: f32, limit: f32, speed: f32, flow: f32, end: EndWire) -> StepWire {
    StepWire {
        load: Newtons::new(load),
        load_limit: Newtons::new(limit),
        ramp: NewtonsPerSecond::new(500.0),
        speeds: [speed; 4].map(Rpm::new),
        flow: MillilitresPerMinute::new(flow),
        end,
        longest: Ticks(5_000),
    }
}

/// Three steps that differ in everything: load and limit fall, one ends by gauge, the last turns the other way and is lighter than the
/// initial load. Rinse, gauge and flatness control.
pub(super) fn recipe(params: &CheckedParams) -> RecipeWire {
    let setting = |reversed, trim, lower, upper| RingSetting {
        reversed,
        trim: Ratio::new(trim),
        change: [Micrometres::new(lower), Micrometres::new(upper)],
    };
    RecipeWire {
        prestart: Ticks(100),
        prestart_flow: MillilitresPerMinute::new(100.0),
        rinse: Ticks(200),
        size_lower: Micrometres::new(400.0),
        flatness: Some(FormControl {
            settings: [
                setting(false, 0.0, 0.5, -0.25),
                setting(true, 0.1, -3.0, -3.0),
            ]
            .into_iter()
            .collect(),
            deadband: Micrometres::new(2.0),
            limit: Micrometres::new(10.0),
            longest: 3,
        }),
        steps: [
            step(265.0, 350.0, 10.0, 200.0, EndWire::Time(Ticks(300))),
            step(
                200.0,
                290.0,
                12.0,
                160.0,
                EndWire::Stock(Micrometres::new(3.0)),
            ),
            step(110.0, 250.0, -10.0, 240.0, EndWire::Time(Ticks(300))),
        ]
        .into_iter()
        .collect(),
        ..crate::recipe::sample(params, 265.0, 350.0)
    }
}

/// The machine and its controller.
#[derive(Clone)]
pub(super) struct Rig {
    pub c: Controller,
    /// Inputs of the next tick.
    pub i: Inputs,
    pub height: f32,
    pub load: f32,
    /// What is wrong with the machine: the last word on the inputs of every tick.
    pub wrong: fn(&mut Inputs),
    mark: u32,
}

impl Rig {
    /// Parked, before its first tick.
    pub fn new(params: ParamsWire) -> Self {
        let params = params.check().expect("valid");
        let height = params.get().height_raised.get();
        let fresh = |value| Slow { value, age: 0 };
        let mut rig = Self {
            c: Controller::new(params, 7),
            i: Inputs {
                tank_level: fresh(1_000),
                plate_temperature: [Slow {
                    value: 2_000,
                    age: 0,
                }; 2],
                gauge: Slow {
                    value: 600_000,
                    age: 0,
                },
                gauge_ok: true,
                link_alive: true,
                local_enable: true,
                ..sound()
            },
            height,
            load: 0.0,
            wrong: |_| {},
            mark: 0,
        };
        rig.obey();
        rig
    }

    /// Idle with the sample recipe, the parts counted and a form reported.
    pub fn idle() -> Self {
        static READY: OnceLock<Rig> = OnceLock::new();
        let ready = READY.get_or_init(|| {
            let mut rig = Self::new(hasty());
            rig.run(300);
            rig.tell(Command::Reset);
            let recipe = recipe(&rig.c.params);
            rig.ask(Request::LoadRecipe(recipe));
            rig.ask(Request::ConfirmParts { pieces: 15 });
            rig.report(1.0, -1.0);
            assert_eq!(rig.c.status.state, State::Idle);
            rig
        });
        ready.clone()
    }

    /// In the first tick of a phase of a step, on its way through a good cycle.
    pub fn at(step: u8, phase: Phase) -> Self {
        let mut found = good_cycle()
            .iter()
            .filter(|rig| rig.c.status.step == step && rig.c.status.phase == phase);
        let mut rig = found.next().expect("a good cycle comes there").clone();
        rig.mark();
        rig
    }

    /// Stopped in Setup, a movement chosen, the plate where the movement wants it, the hand off.
    pub fn setup(wanted: SetupMove) -> Self {
        let mut rig = Self::idle();
        rig.wrong = |i| i.setup_key = true;
        rig.c.seq.state = State::Stopped;
        if wanted == SetupMove::Condition {
            (rig.c.seq.plate, rig.height) = (Plate::Contact, rig.taught());
            rig.load = rig.c.params.get().resting.get();
        }
        rig.obey();
        rig.run(400);
        rig.ask(Request::SetMode(Mode::Setup));
        rig.ask(Request::SelectMove(wanted));
        rig.run(2);
        rig
    }

    pub fn ask(&mut self, request: Request) {
        assert_eq!(self.c.request(&request), Ok(()), "{request:?}");
    }

    pub fn report(&mut self, lower: f32, upper: f32) {
        self.ask(Request::ReportForm {
            lower: Micrometres::new(lower),
            upper: Micrometres::new(upper),
        });
    }

    fn taught(&self) -> f32 {
        let recipe = self.c.recipe.as_ref();
        recipe.map_or(550.0, |r| r.get().contact_height.get())
    }

    /// One tick without a command.
    pub fn tick(&mut self) {
        self.step(None);
    }

    /// One tick with a command.
    pub fn tell(&mut self, command: Command) {
        self.step(Some(command));
    }

    fn step(&mut self, command: Option<Command>) {
        let mut inputs = self.i;
        (self.wrong)(&mut inputs);
        self.c.tick(&inputs, command);
        self.obey();
    }

    pub fn run(&mut self, ticks: u32) {
        for _ in 0..ticks {
            self.tick();
        }
    }

    /// Ticks until something is so.
    pub fn until(&mut self, so: impl Fn(&Controller) -> bool) -> u32 {
        for waited in 0..PATIENCE {
            if so(&self.c) {
                return waited;
            }
            self.tick();
        }
        panic!("never came: {:?}", self.c.status);
    }

    pub(super) fn until_phase(&mut self, phase: Phase) -> u32 {
        self.until(|c| c.status.phase == phase)
    }

    pub(super) fn until_state(&mut self, state: State) -> u32 {
        self.until(|c| c.status.state == state)
    }

    /// From now on: what [`Rig::told`] tells.
    pub fn mark(&mut self) {
        self.mark = self.c.events.written();
    }

    pub fn events(&self) -> Vec<Event> {
        self.c.events.since(self.mark).copied().collect()
    }

    /// Cause and detail of every event of a kind since the mark.
    pub fn told(&self, kind: EventKind) -> Vec<(u16, i32)> {
        let mut events = self.events();
        events.retain(|event| event.kind == kind);
        events.iter().map(|e| (e.cause, e.detail)).collect()
    }

    /// The machine follows its outputs.
    #[allow(clippy::cast_possible_truncation)] // heights of the sample machine
    fn obey(&mut self) {
        let out = *self.c.outputs();
        let p = self.c.params.get().clone();
        let (floor, parked) = (self.taught(), p.height_raised.get());
        let moved = match out.rod {
            RodValve::Trapped | RodValve::Float => 0.0,
            RodValve::LowerCreep => -CREEP,
            RodValve::LowerFast => -FAST,
            RodValve::LiftCreep => CREEP,
            RodValve::Lift => FAST,
        };
        self.height = hold(self.height + moved, floor, parked);
        let rests = self.height <= floor;
        let pressed = p.line_gain.get() * f32::from(out.cap_command) / 65_535.0;
        let wanted = p.resting.get() + if out.dump_shut { pressed } else { 0.0 };
        if rests && self.load > 0.0 {
            self.load += (wanted - self.load) * (0.001 / p.lag.get());
        } else {
            self.load = if rests { p.resting.get() } else { 0.0 };
        }
        let i = &mut self.i;
        // A cell that never changes is a dead one.
        let flutter = (i.cell_counts & 1) ^ 1;
        i.cell_counts = (counts(self.load) & !1) | flutter;
        let cap = if rests {
            max(self.load - p.resting.get(), 0.0)
        } else {
            0.0
        };
        i.cap_pressure = to_u16(cap / p.cap_scale.get());
        let rod = p.weight.get() - self.load + cap;
        i.rod_pressure = to_u16(rod / p.rod_scale.get());
        i.dump_open = !out.dump_shut;
        i.plate_height = self.height as i32;
        i.pin_out = out.pin_withdraw;
        i.pin_in = !out.pin_withdraw && self.height >= parked;
        for (drive, told) in i.drives.iter_mut().zip(&out.drives) {
            drive.speed = if told.enable { told.setpoint } else { 0 };
        }
        let share = f32::from(out.pump) / 1_000.0;
        i.slurry_flow = to_u16(share * p.flow_max.get());
        i.rinse_flow = if out.rinse { 150 } else { 0 };
        i.agitator_turning = out.agitator;
        if self.c.status.phase == Phase::Dwell {
            i.gauge.value -= REMOVED;
        }
    }
}

/// One good cycle from Start to Complete: the machine in the first tick of each phase.
pub(super) fn good_cycle() -> &'static [Rig] {
    static CYCLE: OnceLock<Vec<Rig>> = OnceLock::new();
    CYCLE.get_or_init(|| {
        let mut rig = Rig::idle();
        rig.mark();
        rig.tell(Command::Start);
        let mut cycle = std::vec![rig.clone()];
        for _ in 0..30 {
            let phase = rig.c.status.phase;
            rig.until(|c| c.status.phase != phase);
            cycle.push(rig.clone());
            if rig.c.status.phase == Phase::Rest {
                return cycle;
            }
        }
        panic!("no end: {:?}", rig.c.status);
    })
}

//! Motion: the sequencer's goals and the present step become the outputs of this tick.

use super::Controller;
use crate::judge::CREEP_LIFT;
use crate::math;
use crate::motion::{LoopGoal, SEATING_SECONDS};
use crate::process_image::{DRIVES, Inputs, Outputs, RodValve};
use crate::recipe::{EndWire, StepWire};
use crate::sequence::{DriveGoal, Fluid, Goals, Phase, PlateGoal};
use crate::signal::Measured;
use crate::status::LoadMode;
use crate::units::{Newtons, NewtonsPerSecond, Rpm};

/// What the goals and the present step come to in numbers. Both change a few times a minute, so that no tick asks them again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Aims {
    load: LoopGoal,
    /// The load is held under the limit in force, which may still be that of the step before, not under the one in `load`.
    step_limit: bool,
    speeds: [Rpm; DRIVES],
    pump: u16,
    /// Load of the step, N; zero without one.
    pub(super) setpoint: f32,
    /// The step ends by gauge.
    pub(super) gauge_ends: bool,
    /// Lower size limit of the recipe, µm; zero without one or without a gauge.
    pub(super) size_lower: f32,
}

impl Aims {
    /// Of the goals before the first tick.
    pub(super) const NOTHING: Self = Self {
        load: LoopGoal::Open,
        step_limit: false,
        speeds: [Rpm::ZERO; DRIVES],
        pump: 0,
        setpoint: 0.0,
        gauge_ends: false,
        size_lower: 0.0,
    };
}

impl Controller {
    pub(super) fn act(&mut self, inputs: &Inputs, m: &Measured) {
        let goals = self.goals;
        let goal = match self.aims.load {
            LoopGoal::Closed { target, rate, .. } if self.aims.step_limit => LoopGoal::Closed {
                target,
                rate,
                limit: self.limit,
            },
            goal @ (LoopGoal::Open | LoopGoal::Closed { .. }) => goal,
        };
        self.load_loop.step(goal, Newtons::new(m.load));
        let closed = matches!(goals.load, LoadMode::Initial | LoadMode::Tracking);
        let drives = self
            .drives
            .step(goals.drives, &self.aims.speeds, &inputs.drives, m);
        if self.guard_unlock {
            self.guard_unlock = self.is_resting();
        }
        self.outputs = Outputs {
            cap_command: math::to_u16(self.load_loop.command().get() * 65_535.0),
            dump_shut: closed,
            rod: self.rod(&goals, inputs, m),
            pin_withdraw: goals.pin_out,
            drives,
            pump: self.aims.pump,
            rinse: goals.fluid == Fluid::Rinse,
            agitator: goals.agitator,
            guard_unlock: self.guard_unlock,
        };
    }

    /// Works out the aims anew: to be called whenever goals or step have changed.
    pub(super) fn aim(&mut self) {
        let goals = self.goals;
        let (load, step_limit) = self.loop_goal(&goals);
        let step = self.step_wire();
        self.aims = Aims {
            load,
            step_limit,
            speeds: self.drive_targets(goals.drives),
            pump: self.pump(goals.fluid),
            setpoint: step.map_or(0.0, |s| s.load.get()),
            gauge_ends: step.is_some_and(|s| !matches!(s.end, EndWire::Time(_))),
            size_lower: self
                .recipe
                .as_ref()
                .map_or(0.0, |r| r.get().size_lower.get()),
        };
    }

    /// Goal of the load loop, and whether its limit is the step's.
    pub(super) fn loop_goal(&self, goals: &Goals) -> (LoopGoal, bool) {
        let p = self.params.get();
        let closed = |target, rate| LoopGoal::Closed {
            target,
            rate,
            limit: p.first_contact,
        };
        let seating = NewtonsPerSecond::new((p.initial - p.resting).get() / SEATING_SECONDS);
        match (goals.load, self.step_wire()) {
            (LoadMode::Safe | LoadMode::Resting, _) => (LoopGoal::Open, false),
            (LoadMode::Initial, Some(step)) if self.seq.phase.is_turning() => {
                let target = if self.seq.phase == Phase::RunUp {
                    p.initial
                } else {
                    self.params.release_load(step.load)
                };
                (closed(target, step.ramp), true)
            }
            (LoadMode::Initial, Some(step)) if self.seq.phase == Phase::SlurryStop => {
                (closed(self.params.release_load(step.load), seating), false)
            }
            (LoadMode::Initial, _) => (closed(p.initial, seating), false),
            (LoadMode::Tracking, Some(step)) => (closed(step.load, step.ramp), true),
            // No step to track: cannot happen with a checked recipe; the load is let go rather than guessed.
            (LoadMode::Tracking, None) => (LoopGoal::Open, false),
        }
    }

    fn drive_targets(&self, goal: DriveGoal) -> [Rpm; DRIVES] {
        let speeds = |step: Option<&StepWire>| step.map_or([Rpm::ZERO; DRIVES], |s| s.speeds);
        match goal {
            DriveGoal::Off | DriveGoal::Stop | DriveGoal::Run => speeds(self.step_wire()),
            // Setup movements turn as programmed: a ring setting is for parts.
            DriveGoal::Reduced => {
                let speeds = speeds(self.programmed());
                let fastest = speeds
                    .iter()
                    .fold(0.0, |most, s| math::max(most, s.abs().get()));
                let reduced = self.params.get().setup_speed.get();
                let share = math::min(reduced / fastest, 1.0);
                speeds.map(|s| s * share)
            }
        }
    }

    pub(super) fn rod(&self, goals: &Goals, inputs: &Inputs, m: &Measured) -> RodValve {
        let p = self.params.get();
        match goals.plate {
            PlateGoal::Hold => RodValve::Trapped,
            PlateGoal::Float => RodValve::Float,
            PlateGoal::Lower if !inputs.pin_out => RodValve::Trapped,
            PlateGoal::Lower => {
                let taught = self
                    .recipe
                    .as_ref()
                    .map_or(f32::INFINITY, |r| r.get().contact_height.get());
                if m.height > taught + p.approach.get() {
                    RodValve::LowerFast
                } else {
                    RodValve::LowerCreep
                }
            }
            PlateGoal::LowerCreep if m.load > p.contact.get() => RodValve::Float,
            PlateGoal::LowerCreep => RodValve::LowerCreep,
            PlateGoal::Lift if m.height < self.judge.began_at() + CREEP_LIFT => RodValve::LiftCreep,
            PlateGoal::Lift => RodValve::Lift,
        }
    }

    fn pump(&self, fluid: Fluid) -> u16 {
        let flow = match fluid {
            Fluid::Off | Fluid::Rinse => return 0,
            Fluid::Prestart => self.recipe.as_ref().map(|r| r.get().prestart_flow),
            Fluid::Slurry => self.step_wire().map(|s| s.flow),
        };
        let most = self.params.get().flow_max;
        math::to_u16(math::hold(flow.unwrap_or(most).get() / most.get(), 0.0, 1.0) * 1000.0)
    }
}

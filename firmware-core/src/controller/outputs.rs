//! Motion: the sequencer's goals and the present step become the outputs of this tick.

use super::Controller;
use crate::judge::CREEP_LIFT;
use crate::math;
use crate::motion::LoopGoal;
use crate::process_image::{DRIVES, Inputs, Outputs, RodValve};
use crate::sequence::{DriveGoal, Fluid, Goals, Phase, PlateGoal, State};
use crate::signal::Measured;
use crate::status::LoadMode;
use crate::units::{Newtons, NewtonsPerSecond, Rpm};

/// Initial load is taken over this many seconds from resting load.
const SEATING_SECONDS: f32 = 2.0;

impl Controller {
    pub(super) fn act(&mut self, inputs: &Inputs, m: &Measured) {
        let goals = self.goals;
        self.load_loop
            .step(self.loop_goal(&goals), Newtons::new(m.load));
        let closed = matches!(goals.load, LoadMode::Initial | LoadMode::Tracking);
        let targets = self.drive_targets(goals.drives);
        let faults = inputs.drives.map(|d| d.fault);
        let drives = self.drives.step(goals.drives, &targets, faults, m);
        let quiet = matches!(
            self.seq.state,
            State::Idle | State::Complete | State::Stopped | State::Aborted
        );
        self.guard_unlock &= quiet && self.seq.phase == Phase::Rest;
        self.outputs = Outputs {
            cap_command: math::to_u16(self.load_loop.command().get() * 65_535.0),
            dump_shut: closed,
            rod: self.rod(&goals, inputs, m),
            pin_withdraw: goals.pin_out,
            drives,
            pump: self.pump(goals.fluid),
            rinse: goals.fluid == Fluid::Rinse,
            agitator: goals.agitator,
            guard_unlock: self.guard_unlock,
        };
    }

    fn loop_goal(&self, goals: &Goals) -> LoopGoal {
        let p = self.params.get();
        let turning = self.seq.is_turning();
        let step = self.step_wire();
        let seating = NewtonsPerSecond::new((p.initial - p.resting).get() / SEATING_SECONDS);
        match (goals.load, step) {
            (LoadMode::Safe | LoadMode::Resting, _) => LoopGoal::Open,
            (LoadMode::Initial, Some(step)) if turning => LoopGoal::Closed {
                target: p.initial,
                rate: step.ramp,
                limit: self.limit,
            },
            (LoadMode::Initial, _) => LoopGoal::Closed {
                target: p.initial,
                rate: seating,
                limit: p.first_contact,
            },
            (LoadMode::Tracking, Some(step)) => LoopGoal::Closed {
                target: step.load,
                rate: step.ramp,
                limit: self.limit,
            },
            // No step to track: cannot happen with a checked recipe; the load is let go rather than guessed.
            (LoadMode::Tracking, None) => LoopGoal::Open,
        }
    }

    fn drive_targets(&self, goal: DriveGoal) -> [Rpm; DRIVES] {
        let speeds = self.step_wire().map_or([Rpm::ZERO; DRIVES], |s| s.speeds);
        match goal {
            DriveGoal::Off | DriveGoal::Stop | DriveGoal::Run => speeds,
            DriveGoal::Reduced => {
                let fastest = speeds
                    .iter()
                    .fold(0.0, |most, s| math::max(most, s.abs().get()));
                let reduced = self.params.get().setup_speed.get();
                if fastest > reduced {
                    speeds.map(|s| s * (reduced / fastest))
                } else {
                    speeds
                }
            }
        }
    }

    fn rod(&self, goals: &Goals, inputs: &Inputs, m: &Measured) -> RodValve {
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

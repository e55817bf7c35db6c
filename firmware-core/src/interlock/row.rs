//! What an interlock row is made of: where it is watched, how long, what it asks for, how it is released.

use crate::params::ParamsWire;
use crate::response::Response;
use crate::sequence::{Phase, State};
use crate::words::words;

/// Where a row is watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Watch {
    /// In every state and phase.
    Always,
    /// Everywhere but where `Stopped` is.
    UnlessStopped,
    /// At rest in Stopped and Aborted, and in the lift from there.
    Stopped,
    /// In every state but Idle, Complete, Held, Stopped, Aborted.
    Moving,
    /// In Held, Stopped, Aborted.
    Waiting,
    /// Any phase of Running, Holding, Held, Restarting, Stopping.
    Cycle,
    /// While no cycle is under way: Idle, Complete, Stopped, Aborted.
    Resting,
    /// Stopping, and the run-down of a Setup movement.
    Stopping,
    /// Aborting: the coast of a category 0 stop.
    Aborting,
    /// As `Moving`, and Held.
    MovingOrHeld,
    /// Lower and TouchDown.
    FirstContact,
    /// TouchDown to LoadRelease and everything else that holds contact load.
    Contact,
    /// Dwell.
    Dwell,
    /// RunUp to RunDown.
    Turning,
    /// RunUp.
    RunUp,
    /// RunUp to RunDown, RunUp excepted.
    TurningSteady,
    /// Idle and Complete.
    Parked,
    /// Lift.
    Lift,
    /// Idle.
    Idle,
}

/// Setup movements turn too; what needs contact or power looks at that itself.
const fn turning(phase: Phase) -> bool {
    phase.is_turning() || matches!(phase, Phase::Manual)
}

impl Watch {
    /// Is the row watched here?
    #[must_use]
    pub const fn covers(self, state: State, phase: Phase) -> bool {
        match self {
            Self::Always => true,
            Self::UnlessStopped => !Self::Stopped.covers(state, phase),
            Self::Stopped => {
                matches!(state, State::Stopped | State::Aborted)
                    && matches!(phase, Phase::Rest | Phase::Lift)
            }
            Self::Moving => {
                !matches!(
                    state,
                    State::Idle | State::Complete | State::Held | State::Stopped | State::Aborted
                ) || matches!(phase, Phase::Lift | Phase::Manual | Phase::RunDown)
            }
            Self::Waiting => matches!(state, State::Held | State::Stopped | State::Aborted),
            Self::Cycle => matches!(
                state,
                State::Running | State::Holding | State::Held | State::Restarting | State::Stopping
            ),
            Self::Resting => matches!(
                state,
                State::Idle | State::Complete | State::Stopped | State::Aborted
            ),
            Self::Stopping => {
                // The run-down of a Setup movement is monitored like any other.
                matches!(state, State::Stopping)
                    || (matches!(state, State::Idle | State::Stopped | State::Aborted)
                        && matches!(phase, Phase::RunDown))
            }
            Self::Aborting => matches!(state, State::Aborting),
            Self::MovingOrHeld => Self::Moving.covers(state, phase) || matches!(state, State::Held),
            Self::FirstContact => matches!(phase, Phase::Lower | Phase::TouchDown | Phase::Manual),
            Self::Contact => {
                turning(phase)
                    || matches!(
                        phase,
                        Phase::TouchDown | Phase::SlurryPrestart | Phase::SlurryStop
                    )
            }
            Self::Dwell => matches!(phase, Phase::Dwell),
            Self::Turning => turning(phase),
            Self::RunUp => matches!(phase, Phase::RunUp),
            Self::TurningSteady => turning(phase) && !matches!(phase, Phase::RunUp),
            Self::Parked => matches!(state, State::Idle | State::Complete),
            Self::Lift => matches!(phase, Phase::Lift),
            Self::Idle => matches!(state, State::Idle),
        }
    }

    /// The words of the manual page.
    #[must_use]
    pub const fn text(self) -> &'static str {
        match self {
            Self::Always => "always",
            Self::UnlessStopped => "always, but not stopped at rest or raised from there",
            Self::Stopped => "stopped at rest, and raised from there",
            Self::Moving => "whenever something may move",
            Self::Waiting => "Held, Stopped, Aborted",
            Self::Cycle => "any phase of a cycle",
            Self::Resting => "no cycle under way",
            Self::Stopping => "Stopping, and the run-down of a Setup movement",
            Self::Aborting => "Aborting",
            Self::MovingOrHeld => "whenever something may move, and Held",
            Self::FirstContact => "lower, touch-down",
            Self::Contact => "touch-down to slurry stop",
            Self::Dwell => "dwell",
            Self::Turning => "run-up to run-down",
            Self::RunUp => "run-up",
            Self::TurningSteady => "load ramp to run-down",
            Self::Parked => "Idle, Complete",
            Self::Lift => "lift",
            Self::Idle => "Idle",
        }
    }
}

/// How long a condition must last, counted in ticks while watched.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Debounce {
    /// Fixed, ticks. One tick means at once.
    Ticks(u32),
    /// The monitored stop time of the machine.
    StopTime,
    /// The longest coast of the machine.
    CoastTime,
    /// The settling limit of the machine.
    SettleLimit,
}

impl Debounce {
    /// Ticks on this machine; at least one.
    #[must_use]
    pub const fn ticks(self, params: &ParamsWire) -> u32 {
        let ticks = match self {
            Self::Ticks(n) => n,
            Self::StopTime => params.stop_time.0,
            Self::CoastTime => params.coast_time.0,
            Self::SettleLimit => params.settle_limit.0,
        };
        if ticks == 0 { 1 } else { ticks }
    }
}

/// What the row asks for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Respond {
    /// Always this.
    With(Response),
    /// The emergency stop's category is a machine parameter: 0 → immediate, 1 → controlled.
    EstopCategory,
}

impl Respond {
    /// The response on a machine.
    pub(super) const fn response(self, estop_category: u8) -> Response {
        match self {
            Self::With(response) => response,
            Self::EstopCategory => {
                if estop_category == 0 {
                    Response::ImmediateStop
                } else {
                    Response::ControlledStop
                }
            }
        }
    }

    /// The word for the operator.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::With(response) => response.word(),
            Self::EstopCategory => "category 0 or 1 by parameter",
        }
    }
}

/// Named effect beside the response.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effect {
    /// None.
    None,
    /// A step that would end by gauge ends by its longest time.
    EndByTime,
    /// Remote start is disarmed.
    DisarmRemote,
}

words!(Effect, ALL_EFFECTS {
    None => "none", "no effect beside it";
    EndByTime => "end-by-time", "step ends by time";
    DisarmRemote => "disarm-remote", "remote disarmed";
});

/// How a latched row is released.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ResetRule {
    /// Not latched: gone with its condition.
    Follows,
    /// Condition gone, then Reset.
    Reset,
    /// Both channels seen off and on again, then Reset.
    CycleBoth,
}

words!(ResetRule, ALL_RESET_RULES {
    Follows => "follows", "with the condition";
    Reset => "reset", "Reset";
    CycleBoth => "cycle-both", "both channels cycled, then Reset";
});

impl ResetRule {
    /// A row with this rule stays until reset.
    pub(super) const fn latches(self) -> bool {
        !matches!(self, Self::Follows)
    }
}

/// A row without its texts. Those are for people: a program that shows none does not carry them, which is 8 kB in a controller's flash.
#[derive(Clone, Copy, Debug)]
pub(super) struct Logic {
    pub id: u16,
    pub watch: Watch,
    pub debounce: Debounce,
    pub respond: Respond,
    pub effect: Effect,
    pub reset: ResetRule,
}

/// One interlock row.
#[derive(Clone, Copy, Debug)]
pub struct Row {
    /// Number for ever.
    pub id: u16,
    /// Name, kebab case.
    pub name: &'static str,
    /// What is compared.
    pub inputs: &'static str,
    /// Where it is watched.
    pub watch: Watch,
    /// How long it must last.
    pub debounce: Debounce,
    /// What it asks for.
    pub respond: Respond,
    /// Effect beside it.
    pub effect: Effect,
    /// Release.
    pub reset: ResetRule,
    /// What happened, to the operator.
    pub happened: &'static str,
    /// What to do.
    pub cure: &'static str,
}

impl Row {
    /// The response on this machine.
    #[must_use]
    pub const fn response(&self, estop_category: u8) -> Response {
        self.respond.response(estop_category)
    }
    /// Does it stay until reset?
    #[must_use]
    pub const fn latched(&self) -> bool {
        self.reset.latches()
    }
    /// What the controller needs of it.
    pub(super) const fn logic(&self) -> Logic {
        Logic {
            id: self.id,
            watch: self.watch,
            debounce: self.debounce,
            respond: self.respond,
            effect: self.effect,
            reset: self.reset,
        }
    }
}

#[cfg(test)]
mod tests;

//! What the operator reads beside the core's own words: what a phase waits for, how grave a thing looks, what a stop does.

use firmware_core::sequence::{Phase, State};
use firmware_core::status::Response;

/// What a machine that is under way waits for, for people.
#[must_use]
pub const fn waits(state: State, phase: Phase) -> &'static str {
    match (state, phase) {
        (State::Aborting, _) => "the drives to coast to standstill",
        (_, Phase::Rest) => "the machine to come to rest",
        (_, Phase::Precheck) => "everything that must be proven before anything moves",
        (_, Phase::Lower) => "the plate to come down to the parts",
        (_, Phase::TouchDown) => "the initial load to settle",
        (_, Phase::SlurryPrestart) => "slurry to flow and the gap to be wet",
        (_, Phase::RunUp) => "all four drives to come to speed together",
        (_, Phase::LoadRamp) => "the load to come to the step's setpoint",
        (_, Phase::Dwell) => "the step's end: its time, its stock or its size",
        (_, Phase::LoadRelease) => "the load to come down to the initial load",
        (_, Phase::Rinse) => "the rinse to end",
        (_, Phase::RunDown) => "the drives to come to standstill",
        (_, Phase::SlurryStop) => "the line to stop flowing",
        (_, Phase::Lift) => "the plate to be raised and pinned",
        (_, Phase::Coast) => "the drives to coast to standstill",
        (_, Phase::Manual) => "the hold-to-run control to be let go",
    }
}

/// What each category of stop does (IEC 60204-1), by its number.
pub const STOP_CATEGORIES: [&str; 3] = [
    "power off at once",
    "to rest, then power off",
    "to rest, power stays on",
];

/// How something looks on a page: one sign and one colour each.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Nothing is asked and nothing moves.
    Rest,
    /// On its way.
    Run,
    /// It waits for somebody, or will.
    Wait,
    /// It stops.
    Stop,
}

impl Look {
    /// Its name for the pages.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rest => "rest",
            Self::Run => "run",
            Self::Wait => "wait",
            Self::Stop => "stop",
        }
    }

    /// Of a state.
    #[must_use]
    pub(crate) const fn of_state(state: State) -> Self {
        match state {
            State::Idle | State::Stopped | State::Aborted | State::Complete => Self::Rest,
            State::Running | State::Restarting => Self::Run,
            State::Holding | State::Held => Self::Wait,
            State::Stopping | State::Aborting => Self::Stop,
        }
    }

    /// Of a response.
    #[must_use]
    pub(crate) const fn of_response(response: Response) -> Self {
        match response {
            Response::None | Response::Alarm | Response::StartInhibit => Self::Rest,
            Response::StopAtStepEnd | Response::Hold => Self::Wait,
            Response::ControlledStop | Response::ImmediateStop => Self::Stop,
        }
    }
}

/// An alarm that was acknowledged and is gone, but whose row waits for a Reset (ANSI/ISA-18.2: latched): name and word.
pub const LATCHED: (&str, &str) = ("latched", "latched: needs Reset");

//! What the operator reads beside the core's own words: what a phase waits for, how grave a thing looks, what a stop does.

use firmware_core::sequence::{Phase, State};
use firmware_core::status::Response;
use twinplate_words::Words;

/// What a machine that is under way waits for, for people.
#[must_use]
pub fn waits(words: &Words, state: State, phase: Phase) -> String {
    words.say(match (state, phase) {
        (State::Aborting, _) | (_, Phase::Coast) => "waits-coast",
        (_, Phase::Rest) => "waits-rest",
        (_, Phase::Precheck) => "waits-precheck",
        (_, Phase::Lower) => "waits-lower",
        (_, Phase::TouchDown) => "waits-touch-down",
        (_, Phase::SlurryPrestart) => "waits-slurry-prestart",
        (_, Phase::RunUp) => "waits-run-up",
        (_, Phase::LoadRamp) => "waits-load-ramp",
        (_, Phase::Dwell) => "waits-dwell",
        (_, Phase::LoadRelease) => "waits-load-release",
        (_, Phase::Rinse) => "waits-rinse",
        (_, Phase::RunDown) => "waits-run-down",
        (_, Phase::SlurryStop) => "waits-slurry-stop",
        (_, Phase::Lift) => "waits-lift",
        (_, Phase::Manual) => "waits-manual",
    })
}

/// What each category of stop does (IEC 60204-1), by its number.
#[must_use]
pub(crate) fn stop_categories(words: &Words) -> [String; 3] {
    ["stop-category-0", "stop-category-1", "stop-category-2"].map(|id| words.say(id))
}

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

/// Name of the state of an alarm that was acknowledged and is gone, but whose row waits for a Reset (ANSI/ISA-18.2: latched).
pub(crate) const LATCHED: &str = "latched";

/// Name and word of that state.
#[must_use]
pub fn latched(words: &Words) -> (&'static str, String) {
    (LATCHED, words.say("alarm-is-latched"))
}

//! What a condition may ask of the machine. Below what asks, what answers and what shows it.

use crate::words::words;
use serde::{Deserialize, Serialize};

/// What a condition asks for; the highest active one wins. IEC 60204-1 stop categories where a stop is meant.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[repr(u8)]
pub enum Response {
    /// Nothing.
    #[default]
    None = 0,
    /// Tell the operator.
    Alarm = 1,
    /// No start until it clears.
    StartInhibit = 2,
    /// End the step in order, then stop. Below `Hold`: what must be held now is not put off to the end of a step.
    StopAtStepEnd = 3,
    /// Category 2: initial load, wet run-down, held.
    Hold = 4,
    /// Category 1: resting load at once, monitored wet run-down, plate stays down.
    ControlledStop = 5,
    /// Category 0: power off, cap dumped, coast.
    ImmediateStop = 6,
}

// From mild to grave: the order of the numbers is that of the gravity.
words!(Response, ALL_RESPONSES {
    None => "none", "no response";
    Alarm => "alarm", "alarm";
    StartInhibit => "start-inhibit", "start inhibit";
    StopAtStepEnd => "stop-at-step-end", "stop at step end";
    Hold => "hold", "hold";
    ControlledStop => "controlled-stop", "controlled stop";
    ImmediateStop => "immediate-stop", "immediate stop";
});

impl Response {
    /// Category of the stop that it is (IEC 60204-1); `None` where it is none.
    #[must_use]
    pub const fn stop_category(self) -> Option<u8> {
        match self {
            Self::Hold => Some(2),
            Self::ControlledStop => Some(1),
            Self::ImmediateStop => Some(0),
            Self::None | Self::Alarm | Self::StartInhibit | Self::StopAtStepEnd => None,
        }
    }
}

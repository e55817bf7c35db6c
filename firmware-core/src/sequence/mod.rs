//! What the controller decides, and in what order.
//!
#![doc = include_str!("README.md")]

pub(crate) mod goals;
mod ladder;
mod movement;
mod phase;
mod seen;
mod sequencer;
mod state;
mod stops;

pub use goals::{DriveGoal, Fluid, Goals, PlateGoal};
pub use phase::{ALL_PHASES, Phase};
pub use seen::{Moved, Resume, Seen, StepMove, View};
pub use sequencer::Sequencer;
pub use state::{
    ALL_COMMANDS, ALL_MODES, ALL_REFUSALS, ALL_SETUP_MOVES, ALL_STATES, Command, Mode, Refusal,
    Request, SetupMove, State,
};

use crate::words::words;

/// Where the upper plate is, as far as the sequencer knows. Contact means the parts carry it.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    serde::Serialize,
    serde::Deserialize,
)]
#[repr(u8)]
pub enum Plate {
    /// Raised and pinned.
    #[default]
    Parked = 0,
    /// Held or moving in the air.
    Air = 1,
    /// On the parts.
    Contact = 2,
}

words!(Plate, ALL_PLATES {
    Parked => "parked", "plate parked";
    Air => "air", "plate in the air";
    Contact => "contact", "plate on the parts";
});

#[cfg(test)]
mod tests;

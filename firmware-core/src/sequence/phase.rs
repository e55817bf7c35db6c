//! The ladder: what the machine is doing inside a procedural state.

use crate::words::words;
use serde::{Deserialize, Serialize};

/// Phase of the cycle.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[repr(u8)]
pub enum Phase {
    /// Nothing moves: plate parked, held in the air or resting, as [`crate::sequence::Plate`] says.
    #[default]
    Rest = 0,
    /// Everything that must be true before motion is proved; the cell is tared.
    Precheck = 1,
    /// The plate descends.
    Lower = 2,
    /// Initial load is taken, no rotation.
    TouchDown = 3,
    /// Pump on, line fills, plates wetted.
    SlurryPrestart = 4,
    /// Four drives ramp together at initial load.
    RunUp = 5,
    /// Load ramps to the step's setpoint.
    LoadRamp = 6,
    /// The step at load and speed.
    Dwell = 7,
    /// Load ramps down to initial load, turning and wet.
    LoadRelease = 8,
    /// Slurry off, rinse water on.
    Rinse = 9,
    /// Drives ramp to standstill, still wet.
    RunDown = 10,
    /// Pump off, line stops.
    SlurryStop = 11,
    /// Creep lift, stuck-part check, raise, pin in.
    Lift = 12,
    /// Category 0: power off, waiting for proven standstill.
    Coast = 13,
    /// A hold-to-run Setup movement.
    Manual = 14,
}

words!(Phase, ALL_PHASES {
    Rest => "rest", "rest";
    Precheck => "precheck", "precheck";
    Lower => "lower", "lower";
    TouchDown => "touch-down", "touch-down";
    SlurryPrestart => "slurry-pre-start", "slurry pre-start";
    RunUp => "run-up", "run-up";
    LoadRamp => "load-ramp", "load ramp";
    Dwell => "dwell", "dwell";
    LoadRelease => "load-release", "load release";
    Rinse => "rinse", "rinse";
    RunDown => "run-down", "run-down";
    SlurryStop => "slurry-stop", "slurry stop";
    Lift => "lift", "lift";
    Coast => "coast", "coast";
    Manual => "manual", "Setup movement";
});

impl Phase {
    /// The word where there is little room: nine letters at most.
    #[must_use]
    pub const fn short(self) -> &'static str {
        match self {
            Self::Rest => "rest",
            Self::Precheck => "check",
            Self::Lower => "lower",
            Self::TouchDown => "touch",
            Self::SlurryPrestart => "pre-start",
            Self::RunUp => "up",
            Self::LoadRamp => "ramp",
            Self::Dwell => "dwell",
            Self::LoadRelease => "release",
            Self::Rinse => "rinse",
            Self::RunDown => "down",
            Self::SlurryStop => "pump off",
            Self::Lift => "lift",
            Self::Coast => "coast",
            Self::Manual => "Setup",
        }
    }

    /// A rung of the ladder that a cycle climbs; the others stand beside it.
    #[must_use]
    pub const fn on_ladder(self) -> bool {
        match self {
            Self::Precheck
            | Self::Lower
            | Self::TouchDown
            | Self::SlurryPrestart
            | Self::RunUp
            | Self::LoadRamp
            | Self::Dwell
            | Self::LoadRelease
            | Self::Rinse
            | Self::RunDown
            | Self::SlurryStop
            | Self::Lift => true,
            Self::Rest | Self::Coast | Self::Manual => false,
        }
    }

    /// A cycle turns the plates on purpose.
    #[must_use]
    pub(crate) const fn is_turning(self) -> bool {
        matches!(
            self,
            Self::RunUp
                | Self::LoadRamp
                | Self::Dwell
                | Self::LoadRelease
                | Self::Rinse
                | Self::RunDown
        )
    }

    /// The phase belongs to one step of the recipe.
    #[must_use]
    pub const fn in_step(self) -> bool {
        matches!(self, Self::LoadRamp | Self::Dwell)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn short_words_are_short_and_told_apart() {
        let short = ALL_PHASES.map(Phase::short);
        for (index, word) in short.iter().enumerate() {
            assert!(word.len() <= 9, "{word}");
            assert!(!short[..index].contains(word), "{word}");
        }
    }
}

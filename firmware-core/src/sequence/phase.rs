//! The ladder: what the machine is doing inside a procedural state.

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

/// All phases, in order of their numbers.
pub const ALL_PHASES: [Phase; 15] = [
    Phase::Rest,
    Phase::Precheck,
    Phase::Lower,
    Phase::TouchDown,
    Phase::SlurryPrestart,
    Phase::RunUp,
    Phase::LoadRamp,
    Phase::Dwell,
    Phase::LoadRelease,
    Phase::Rinse,
    Phase::RunDown,
    Phase::SlurryStop,
    Phase::Lift,
    Phase::Coast,
    Phase::Manual,
];

impl Phase {
    /// The name shown to people.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Rest => "rest",
            Self::Precheck => "precheck",
            Self::Lower => "lower",
            Self::TouchDown => "touch-down",
            Self::SlurryPrestart => "slurry pre-start",
            Self::RunUp => "run-up",
            Self::LoadRamp => "load ramp",
            Self::Dwell => "dwell",
            Self::LoadRelease => "load release",
            Self::Rinse => "rinse",
            Self::RunDown => "run-down",
            Self::SlurryStop => "slurry stop",
            Self::Lift => "lift",
            Self::Coast => "coast",
            Self::Manual => "manual",
        }
    }
}

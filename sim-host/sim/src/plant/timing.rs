//! How finely time is cut: the plant's own steps, and how many of the fast ones make a tick of the controller.

use serde::{Deserialize, Serialize};
use std::ops::RangeInclusive;

/// Steps of the fast physics in one tick of the controller: 1 unless somebody asks how much of a result is the step's.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct Substeps(u8);

impl Substeps {
    /// One step a tick.
    pub const ONE: Self = Self(1);
    /// How many there may be.
    pub const RANGE: RangeInclusive<u8> = 1..=100;

    /// So many steps a tick; `None` outside [`Substeps::RANGE`].
    #[must_use]
    pub fn new(count: u8) -> Option<Self> {
        Self::RANGE.contains(&count).then_some(Self(count))
    }

    /// How many.
    #[must_use]
    pub const fn count(self) -> u8 {
        self.0
    }

    /// One step a tick, as ever.
    #[must_use]
    pub fn is_one(&self) -> bool {
        *self == Self::ONE
    }
}

impl Default for Substeps {
    fn default() -> Self {
        Self::ONE
    }
}

impl TryFrom<u8> for Substeps {
    type Error = String;

    fn try_from(count: u8) -> Result<Self, Self::Error> {
        Self::new(count).ok_or_else(|| {
            let (least, most) = (Self::RANGE.start(), Self::RANGE.end());
            format!("{count} substeps; expected {least} to {most}")
        })
    }
}

impl From<Substeps> for u8 {
    fn from(substeps: Substeps) -> Self {
        substeps.0
    }
}

/// Seconds of the plant's steps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Timing {
    /// Fast steps in a tick, drive steps in a cycle of the drives.
    pub substeps: u8,
    /// A tick of the controller, s.
    pub tick: f64,
    /// A step of air, vertical motion and load cell, s.
    pub fast: f64,
    /// A cycle of the drives, and a step of them in it, s.
    pub drives: f64,
    pub drive_step: f64,
    /// A slow step, s.
    pub slow: f64,
    /// A window of the parts, s.
    pub window: f64,
}

impl Timing {
    /// The controller's tick and what follows from it, one step each.
    #[cfg(test)]
    pub(crate) const TICK: Self = Self::of(Substeps::ONE);

    /// The same with the fast steps and those of the drives cut into so many.
    pub(crate) const fn of(substeps: Substeps) -> Self {
        let tick = 1e-3;
        let drives = 5e-3;
        Self {
            substeps: substeps.0,
            tick,
            fast: tick / substeps.0 as f64,
            drives,
            drive_step: drives / substeps.0 as f64,
            slow: 1e-2,
            window: 0.1,
        }
    }
}

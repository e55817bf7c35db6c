//! The limits that gains must keep.

use twinplate_linear::line::{Defect, demand};

/// What the gains must keep. Infinite is no limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Ms on the nominal line, > 1; 1.4 to 2 is usual (Åström & Hägglund, from memory).
    pub sensitivity: f64,
    /// Ms at every corner, > 1.
    pub corner_sensitivity: f64,
    /// Overshoot of a setpoint step on the nominal line, share, > 0; without model-following, so the real one is smaller.
    pub overshoot: f64,
    /// Travel of the command after a unit step at the plant's input, nominal, > 1: one is a command that only ever moves one way.
    pub travel: f64,
    /// Command per output unit of noise ([`twinplate_linear::Sweep::noise`]), nominal, > 0.
    pub noise: f64,
}

/// A limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Constraint {
    /// Ms, nominal.
    Sensitivity,
    /// Ms at the worst corner.
    CornerSensitivity,
    /// Setpoint overshoot.
    Overshoot,
    /// Travel of the command.
    Travel,
    /// Noise.
    Noise,
}

impl Constraint {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Sensitivity,
        Self::CornerSensitivity,
        Self::Overshoot,
        Self::Travel,
        Self::Noise,
    ];

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sensitivity => "Ms on the nominal line",
            Self::CornerSensitivity => "Ms at the envelope's corners",
            Self::Overshoot => "setpoint overshoot",
            Self::Travel => "travel of the command",
            Self::Noise => "noise on the command",
        }
    }
}

impl Limits {
    /// A limit's value.
    #[must_use]
    pub const fn get(&self, constraint: Constraint) -> f64 {
        match constraint {
            Constraint::Sensitivity => self.sensitivity,
            Constraint::CornerSensitivity => self.corner_sensitivity,
            Constraint::Overshoot => self.overshoot,
            Constraint::Travel => self.travel,
            Constraint::Noise => self.noise,
        }
    }

    /// The same with one limit changed.
    #[must_use]
    pub const fn with(mut self, constraint: Constraint, value: f64) -> Self {
        match constraint {
            Constraint::Sensitivity => self.sensitivity = value,
            Constraint::CornerSensitivity => self.corner_sensitivity = value,
            Constraint::Overshoot => self.overshoot = value,
            Constraint::Travel => self.travel = value,
            Constraint::Noise => self.noise = value,
        }
        self
    }

    pub(super) fn check(&self) -> Result<(), Defect> {
        const ABOVE_ONE: &str = "give a number above 1; no loop with an integral is under it";
        const ABOVE_ZERO: &str = "give a number above zero, or an infinite one for no limit";
        for (constraint, least, expected) in [
            (Constraint::Sensitivity, 1.0, ABOVE_ONE),
            (Constraint::CornerSensitivity, 1.0, ABOVE_ONE),
            (Constraint::Overshoot, 0.0, ABOVE_ZERO),
            (Constraint::Travel, 1.0, ABOVE_ONE),
            (Constraint::Noise, 0.0, ABOVE_ZERO),
        ] {
            let value = self.get(constraint);
            demand(value > least, constraint.name(), value, expected)?;
        }
        Ok(())
    }
}

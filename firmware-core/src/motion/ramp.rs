//! A reference that moves to its target at a bounded rate.

use crate::units::TICK_SECONDS;

/// Rate-limited reference.
#[derive(Clone, Copy, Debug, Default)]
pub struct Ramp {
    value: f32,
}

impl Ramp {
    /// At rest on a value.
    #[must_use]
    pub const fn at(value: f32) -> Self {
        Self { value }
    }

    /// Moves towards `target` at `rate` (unit per second, positive) for one tick; arrives exactly.
    pub fn step(&mut self, target: f32, rate: f32) -> f32 {
        let most = rate * TICK_SECONDS;
        let left = target - self.value;
        self.value = if left > most {
            self.value + most
        } else if left < -most {
            self.value - most
        } else {
            target
        };
        self.value
    }

    /// The present value.
    #[must_use]
    pub const fn value(self) -> f32 {
        self.value
    }
}

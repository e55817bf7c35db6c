//! A reference that moves to its target at a bounded rate.

use crate::units::TICK_SECONDS;

/// Rate-limited reference.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
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

#[cfg(test)]
mod tests {
    use super::*;

    /// At 1000/s a tick is one: up and down alike, and what is left is no more than a tick, it arrives exactly and stays.
    #[test]
    fn a_ramp_moves_by_its_rate_and_arrives_exactly() {
        for sign in [1.0, -1.0] {
            let mut ramp = Ramp::at(10.0 * sign);
            for wanted in [11.0, 12.0, 12.5, 12.5] {
                let now = ramp.step(12.5 * sign, 1000.0);
                assert!((now - wanted * sign).abs() < f32::EPSILON, "{now}");
                assert_eq!(now.to_bits(), ramp.value().to_bits());
            }
            // What is left is a tick by its rounding, and a tick more would not be the target.
            let mut ramp = Ramp::at(-5e-8 * sign);
            assert_eq!(ramp.step(sign, 1000.0).to_bits(), sign.to_bits());
        }
    }
}

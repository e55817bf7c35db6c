//! The load filter: a second-order low-pass, bilinear transform with the corner prewarped.

use crate::math;
use crate::units::{Hertz, TICK_SECONDS};

/// Damping ratio of the filter: Butterworth.
const DAMPING: f32 = core::f32::consts::FRAC_1_SQRT_2;

/// A biquad in transposed direct form II; coefficients apart from state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Biquad {
    b0: f32,
    b1: f32,
    b2: f32,
    a1: f32,
    a2: f32,
    s1: f32,
    s2: f32,
}

impl Biquad {
    /// Butterworth low-pass with unit gain at rest. The corner must be below half the tick rate (checked in the parameters).
    #[must_use]
    pub fn low_pass(corner: Hertz) -> Self {
        let w = math::tan(core::f32::consts::PI * corner.get() * TICK_SECONDS);
        let w2 = w * w;
        let norm = 1.0 / (1.0 + 2.0 * DAMPING * w + w2);
        let b0 = w2 * norm;
        Self {
            b0,
            b1: 2.0 * b0,
            b2: b0,
            a1: 2.0 * (w2 - 1.0) * norm,
            a2: (1.0 - 2.0 * DAMPING * w + w2) * norm,
            s1: 0.0,
            s2: 0.0,
        }
    }

    /// Lag of the filter at low frequency (its delay to a slow ramp), s.
    #[must_use]
    pub fn lag(corner: Hertz) -> crate::units::Seconds {
        crate::units::Seconds::new(2.0 * DAMPING / (2.0 * core::f32::consts::PI * corner.get()))
    }

    /// One sample.
    pub fn step(&mut self, x: f32) -> f32 {
        let y = self.b0 * x + self.s1;
        self.s1 = self.b1 * x - self.a1 * y + self.s2;
        self.s2 = self.b2 * x - self.a2 * y;
        y
    }

    /// Puts the filter at rest on a value.
    pub(crate) fn settle_at(&mut self, value: f32) {
        self.s2 = (self.b2 - self.a2) * value;
        self.s1 = (self.b1 - self.a1) * value + self.s2;
    }

    /// Coefficients `[b0, b1, b2, a1, a2]`, for comparison with a reference design.
    #[must_use]
    pub const fn coefficients(&self) -> [f32; 5] {
        [self.b0, self.b1, self.b2, self.a1, self.a2]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rests_where_it_is_put_and_follows_a_ramp_with_its_lag() {
        let mut f = Biquad::low_pass(Hertz::new(15.0));
        f.settle_at(400.0);
        for _ in 0..100 {
            assert!((f.step(400.0) - 400.0).abs() < 1e-2);
        }
        let mut y = 0.0;
        for n in 0..2000_u16 {
            y = f.step(400.0 + f32::from(n) * 0.1);
        }
        let behind = (400.0 + 199.9 - y) / 100.0;
        assert!(
            (behind - Biquad::lag(Hertz::new(15.0)).get()).abs() < 2e-4,
            "lag {behind}"
        );
    }
}

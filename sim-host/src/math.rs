//! The one door to transcendental functions, so that a trace has the same bits in debug and release and on every host.
//! `std`'s versions may differ between platforms and optimisation levels; `libm`'s do not.

pub use libm::{atan2, cos, exp, floor, hypot, log, pow, round, sin, tan};

/// Square root. IEEE 754 demands the correctly rounded result, so the machine instruction gives the same bits everywhere.
#[inline]
#[must_use]
pub fn sqrt(x: f64) -> f64 {
    x.sqrt()
}

/// Magnitude: clears the sign bit, exact on every host.
#[inline]
#[must_use]
pub fn abs(x: f64) -> f64 {
    x.abs()
}

/// The smaller of two numbers; the first where they compare equal or either is NaN. `f64::min` may pick either signed zero.
#[inline]
#[must_use]
pub fn min(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

/// The larger of two numbers; the first where they compare equal or either is NaN.
#[inline]
#[must_use]
pub fn max(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

/// `x` held between `low` and `high` (`low <= high` is the caller's business; no panic where it is not).
#[inline]
#[must_use]
pub fn limit(x: f64, low: f64, high: f64) -> f64 {
    if x < low {
        low
    } else if x > high {
        high
    } else {
        x
    }
}

/// Nearest whole number, halves away from zero, saturating; NaN gives 0. A cast and two additions: `round` is a library call.
#[inline]
#[must_use]
pub fn nearest(x: f64) -> i32 {
    (if x < 0.0 { x - 0.5 } else { x + 0.5 }) as i32
}

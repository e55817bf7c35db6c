//! The one door to transcendental functions, so that a trace has the same bits in debug and release and on every host.
//! `std`'s versions may differ between platforms and optimisation levels; `libm`'s do not.

pub use libm::{acos, atan2, cos, exp, floor, hypot, lgamma, log, log10, pow, round, sin, tan};

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
    // One after the other, not `else if`: two selects instead of two branches.
    let raised = if x < low { low } else { x };
    if raised > high { high } else { raised }
}

/// Nearest whole number, halves to even (IEEE 754 default), saturating; NaN gives 0. Adding 1.5 * 2^52 leaves the whole number in
/// the low bits: `round` is a library call on plain x86-64, and a saturating cast costs as much as the rest of the sensor.
#[inline]
#[must_use]
pub fn nearest(x: f64) -> i32 {
    nearest_within(x, -2_147_483_648.0, 2_147_483_647.0)
}

/// [`nearest`] of `x` held between two whole numbers of 32 bits: one limit for both purposes.
#[inline]
#[must_use]
pub fn nearest_within(x: f64, low: f64, high: f64) -> i32 {
    const SHIFT: f64 = 6_755_399_441_055_744.0;
    (limit(x, low, high) + SHIFT).to_bits() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nearest_rounds_halves_to_even_and_saturates() {
        for (x, n) in [
            (0.0, 0),
            (0.5, 0),
            (1.5, 2),
            (2.5, 2),
            (-0.5, 0),
            (-1.5, -2),
            (0.49999999999999994, 0),
            (8_388_607.4, 8_388_607),
            (1e300, i32::MAX),
            (-1e300, i32::MIN),
            (f64::INFINITY, i32::MAX),
            (f64::NAN, 0),
        ] {
            assert_eq!(nearest(x), n, "{x}");
        }
    }
}

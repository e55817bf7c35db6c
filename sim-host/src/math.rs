//! The one door to transcendental functions, so that a trace has the same bits in debug and release and on every host.
//! `std`'s versions may differ between platforms and optimisation levels; `libm`'s do not.

pub use libm::{atan2, cos, exp, fabs as abs, floor, hypot, log, pow, round, sin, sqrt, tan};

/// The smaller of two numbers; the first where they compare equal or either is NaN. `f64::min` may pick either signed zero.
#[must_use]
pub fn min(a: f64, b: f64) -> f64 {
    if b < a { b } else { a }
}

/// The larger of two numbers; the first where they compare equal or either is NaN.
#[must_use]
pub fn max(a: f64, b: f64) -> f64 {
    if b > a { b } else { a }
}

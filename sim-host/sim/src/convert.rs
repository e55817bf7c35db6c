//! SI to the controller's units and precision, and back: each unit once.

use firmware_core::units::{Micrometres, MillilitresPerMinute, Newtons, Rpm};
use std::f64::consts::PI;

/// To the controller's precision.
#[allow(clippy::cast_possible_truncation)] // narrowing to the controller's precision is the point of this module
#[must_use]
pub(crate) const fn f32_of(x: f64) -> f32 {
    x as f32
}

/// A speed as the controller has it.
#[must_use]
pub fn rpm(rad_s: f64) -> Rpm {
    Rpm::new(f32_of(rad_s * 60.0 / (2.0 * PI)))
}

/// A speed of the controller in rad/s.
#[must_use]
pub fn rad_s(speed: Rpm) -> f64 {
    f64::from(speed.get()) * 2.0 * PI / 60.0
}

/// Newtons as the controller has them.
#[must_use]
pub fn newtons(x: f64) -> Newtons {
    Newtons::new(f32_of(x))
}

/// Metres as the controller has them, µm.
#[must_use]
pub(crate) fn um(metres: f64) -> Micrometres {
    Micrometres::new(f32_of(metres * 1e6))
}

/// Flow as the controller has it.
#[must_use]
pub(crate) fn ml_min(m3_s: f64) -> MillilitresPerMinute {
    MillilitresPerMinute::new(f32_of(m3_s * 6e7))
}

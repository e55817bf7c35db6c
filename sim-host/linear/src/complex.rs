//! Complex numbers, as far as a frequency response needs them; transcendentals by [`twinplate_sim::math`] so that results repeat.

use std::ops::{Add, Div, Mul, Neg, Sub};
use twinplate_sim::math::{atan2, cos, exp, sin, sqrt};

/// A complex number.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Complex {
    /// Real part.
    pub re: f64,
    /// Imaginary part.
    pub im: f64,
}

impl Complex {
    /// One.
    pub const ONE: Self = Self { re: 1.0, im: 0.0 };

    /// From its parts.
    #[must_use]
    pub const fn new(re: f64, im: f64) -> Self {
        Self { re, im }
    }

    /// `e^(jφ)`, φ in rad.
    #[must_use]
    pub fn turn(angle: f64) -> Self {
        Self::new(cos(angle), sin(angle))
    }

    /// `e^self`.
    #[must_use]
    pub fn exp(self) -> Self {
        Self::turn(self.im).scale(exp(self.re))
    }

    /// Times a real number.
    #[must_use]
    pub fn scale(self, by: f64) -> Self {
        Self::new(self.re * by, self.im * by)
    }

    /// Square of the magnitude.
    #[must_use]
    pub fn square(self) -> f64 {
        self.re * self.re + self.im * self.im
    }

    /// Magnitude.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        sqrt(self.square())
    }

    /// Angle, rad, in (-π, π].
    #[must_use]
    pub fn angle(self) -> f64 {
        atan2(self.im, self.re)
    }

    /// `1/self`; not finite at zero.
    #[must_use]
    pub fn inverse(self) -> Self {
        let square = self.square();
        Self::new(self.re / square, -self.im / square)
    }
}

impl Add for Complex {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.re + other.re, self.im + other.im)
    }
}

impl Sub for Complex {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self::new(self.re - other.re, self.im - other.im)
    }
}

impl Mul for Complex {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self::new(
            self.re * other.re - self.im * other.im,
            self.re * other.im + self.im * other.re,
        )
    }
}

impl Div for Complex {
    type Output = Self;
    #[allow(clippy::suspicious_arithmetic_impl)] // division by way of the inverse
    fn div(self, other: Self) -> Self {
        self * other.inverse()
    }
}

impl Neg for Complex {
    type Output = Self;
    fn neg(self) -> Self {
        Self::new(-self.re, -self.im)
    }
}

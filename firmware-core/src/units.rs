//! Typed quantities. A public signature of the core never carries a bare `f32` with a physical meaning.
//!
//! All are `f32` newtypes in the unit their name says. Construction does not validate: range checks belong to
//! [`crate::recipe::limits`] and [`crate::params`], through which every configured number passes before it can reach a tick.

use core::ops::{Add, Mul, Neg, Sub};
use serde::{Deserialize, Serialize};

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(f32);

        impl $name {
            /// Zero of this quantity.
            pub const ZERO: Self = Self(0.0);

            /// Wraps a number already in this unit.
            #[must_use]
            pub const fn new(value: f32) -> Self {
                Self(value)
            }

            /// The number in this unit.
            #[must_use]
            pub const fn get(self) -> f32 {
                self.0
            }

            /// Magnitude, same unit.
            #[must_use]
            pub const fn abs(self) -> Self {
                Self(self.0.abs())
            }

            /// True when neither NaN nor infinite.
            #[must_use]
            pub const fn is_finite(self) -> bool {
                self.0.is_finite()
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl Mul<f32> for $name {
            type Output = Self;
            fn mul(self, factor: f32) -> Self {
                Self(self.0 * factor)
            }
        }
        impl Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self(-self.0)
            }
        }
    };
}

quantity!(
    /// Force, N. Contact load is positive when the upper plate presses the parts.
    Newtons
);
quantity!(
    /// Rate of change of load, N/s.
    NewtonsPerSecond
);
quantity!(
    /// Rotational speed, rev/min, counter-clockwise positive seen from above.
    Rpm
);
quantity!(
    /// Rotational acceleration, rev/min per second.
    RpmPerSecond
);
quantity!(
    /// Torque, N·m.
    NewtonMetres
);
quantity!(
    /// Length, µm.
    Micrometres
);
quantity!(
    /// Volume flow, mL/min.
    MillilitresPerMinute
);
quantity!(
    /// Temperature, °C.
    Celsius
);
quantity!(
    /// Frequency, Hz.
    Hertz
);
quantity!(
    /// Duration, s. Durations that are counted are [`Ticks`].
    Seconds
);
quantity!(
    /// Share of full scale of an actuator, 0..=1.
    Fraction
);
quantity!(
    /// A ratio of two like quantities.
    Ratio
);
quantity!(
    /// Proportional gain: command share per newton of load error.
    PerNewton
);
quantity!(
    /// Scaling of a counted input, N per count.
    NewtonsPerCount
);

/// Controller period: 1 ms.
pub const TICK_SECONDS: f32 = 0.001;

/// Ticks in one second.
pub const TICKS_PER_SECOND: u32 = 1000;

/// A counted duration or an instant on the tick counter, 1 tick = 1 ms. The counter wraps after 49.7 days.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Ticks(pub u32);

impl Ticks {
    /// No time.
    pub const ZERO: Self = Self(0);

    /// Ticks since `earlier` on the wrapping counter.
    #[must_use]
    pub const fn since(self, earlier: Self) -> Self {
        Self(self.0.wrapping_sub(earlier.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Also over the end of the counter, 49.7 days after power-up.
    #[test]
    fn time_since_an_instant_is_counted_forwards_over_the_wrap() {
        assert_eq!(Ticks(70).since(Ticks(50)), Ticks(20));
        assert_eq!(Ticks(5).since(Ticks(u32::MAX - 4)), Ticks(10));
    }
}

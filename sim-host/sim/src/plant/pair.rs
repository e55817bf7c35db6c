//! Two numbers at a time: what sums over many parts are made of, so that the processor adds two in one go. The order of adding is always
//! the same, and so are the bits.

use std::ops::{Add, AddAssign, Mul, Sub};

/// Two numbers.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair(pub [f64; 2]);

impl Pair {
    pub const ZERO: Self = Self([0.0; 2]);

    #[inline(always)]
    pub(crate) const fn both(x: f64) -> Self {
        Self([x, x])
    }

    /// Itself where the other is over zero, else zero.
    #[inline(always)]
    pub(crate) fn where_over(self, other: Self) -> Self {
        let one = |i: usize| if other.0[i] > 0.0 { self.0[i] } else { 0.0 };
        Self([one(0), one(1)])
    }

    #[inline(always)]
    pub(crate) fn sum(self) -> f64 {
        self.0[0] + self.0[1]
    }
}

impl Add for Pair {
    type Output = Self;
    #[inline(always)]
    fn add(self, other: Self) -> Self {
        Self([self.0[0] + other.0[0], self.0[1] + other.0[1]])
    }
}

impl AddAssign for Pair {
    #[inline(always)]
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Pair {
    type Output = Self;
    #[inline(always)]
    fn sub(self, other: Self) -> Self {
        Self([self.0[0] - other.0[0], self.0[1] - other.0[1]])
    }
}

impl Mul for Pair {
    type Output = Self;
    #[inline(always)]
    fn mul(self, other: Self) -> Self {
        Self([self.0[0] * other.0[0], self.0[1] * other.0[1]])
    }
}

/// A list two at a time, without the last of an odd number.
#[inline(always)]
pub(super) fn pairs_of(list: &[f64]) -> impl Iterator<Item = Pair> + '_ {
    list.as_chunks::<2>().0.iter().map(|two| Pair(*two))
}

/// The last of an odd number, beside zero.
#[inline(always)]
pub(super) fn odd_one(list: &[f64]) -> Option<Pair> {
    let (_, rest) = list.as_chunks::<2>();
    rest.first().map(|last| Pair([*last, 0.0]))
}

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

/// Sum of a list, in two pairs that do not wait for each other.
pub(super) fn sum(list: &[f64]) -> f64 {
    let (fours, rest) = list.as_chunks::<4>();
    let mut sums = [Pair::ZERO; 2];
    for [a, b, c, d] in fours {
        sums[0] += Pair([*a, *b]);
        sums[1] += Pair([*c, *d]);
    }
    (sums[0] + sums[1]).sum() + rest.iter().sum::<f64>()
}

/// How many of `keys` are over zero, and the sums of what stands in three lists beside those. All of one length.
pub(super) fn sums_where_over(keys: &[f64], lists: [&[f64]; 3]) -> [f64; 4] {
    in_pairs_where_over(keys, lists).map(Pair::sum)
}

/// The same of every other one. On its own, so that the compiler keeps the two of a pair side by side.
#[inline(never)]
fn in_pairs_where_over(keys: &[f64], lists: [&[f64]; 3]) -> [Pair; 4] {
    let mut sums = [Pair::ZERO; 4];
    let mut add = |key: Pair, [a, b, c]: [Pair; 3]| {
        sums[0] += Pair::both(1.0).where_over(key);
        sums[1] += a.where_over(key);
        sums[2] += b.where_over(key);
        sums[3] += c.where_over(key);
    };
    let [a, b, c] = lists.map(pairs_of);
    for ((key, a), (b, c)) in pairs_of(keys).zip(a).zip(b.zip(c)) {
        add(key, [a, b, c]);
    }
    if let (Some(key), [Some(a), Some(b), Some(c)]) = (odd_one(keys), lists.map(odd_one)) {
        add(key, [a, b, c]);
    }
    sums
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whole numbers are added without rounding, so that the order does not show: nothing is left out or taken twice at any length, and
    /// what stands beside a key of zero or under it counts for nothing.
    #[test]
    fn sums_of_any_length_are_the_plain_ones() {
        for length in 0..13_i32 {
            let list: Vec<f64> = (1..=length).map(f64::from).collect();
            assert_eq!(sum(&list), list.iter().sum::<f64>(), "{length}");
            let keys: Vec<f64> = (0..length).map(|i| f64::from(i % 3 - 1)).collect();
            let twice: Vec<f64> = list.iter().map(|one| 2.0 * one).collect();
            let counted = || {
                keys.iter()
                    .zip(&list)
                    .filter(|(key, _)| **key > 0.0)
                    .map(|(_, one)| *one)
            };
            let plain: f64 = counted().sum();
            let expected = [counted().count() as f64, plain, 2.0 * plain, plain];
            assert_eq!(
                sums_where_over(&keys, [&list, &twice, &list]),
                expected,
                "{length}"
            );
        }
    }
}

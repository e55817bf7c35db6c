//! Extremes over the last half of a stretch whose length is not known beforehand, in fixed room.

/// Blocks kept; when they are full, pairs are merged and a block covers twice the ticks.
const BLOCKS: usize = 256;
/// Ticks a block covers at first: a tenth of a second, shorter than any hunting period.
const FIRST: u32 = 100;

/// Smallest and largest value, block by block.
#[derive(Clone, Debug, PartialEq)]
pub struct LastHalf {
    blocks: Vec<(f64, f64)>,
    /// Ticks a block covers.
    length: u32,
    /// The block being filled.
    open: (f64, f64),
    filled: u32,
}

const EMPTY: (f64, f64) = (f64::INFINITY, f64::NEG_INFINITY);

impl LastHalf {
    /// Takes its room.
    pub fn new() -> Self {
        Self {
            blocks: Vec::with_capacity(BLOCKS),
            length: FIRST,
            open: EMPTY,
            filled: 0,
        }
    }

    /// Begins a new stretch.
    pub fn clear(&mut self) {
        self.blocks.clear();
        self.length = FIRST;
        self.open = EMPTY;
        self.filled = 0;
    }

    /// One tick.
    #[inline(always)]
    pub fn add(&mut self, value: f64) {
        if value < self.open.0 {
            self.open.0 = value;
        }
        if value > self.open.1 {
            self.open.1 = value;
        }
        self.filled += 1;
        if self.filled >= self.length {
            self.close_block();
        }
    }

    #[inline(never)]
    fn close_block(&mut self) {
        self.blocks.push(self.open);
        self.open = EMPTY;
        self.filled = 0;
        if self.blocks.len() == BLOCKS {
            for index in 0..BLOCKS / 2 {
                self.blocks[index] = join(self.blocks[2 * index], self.blocks[2 * index + 1]);
            }
            self.blocks.truncate(BLOCKS / 2);
            self.length *= 2;
        }
    }

    /// Largest less smallest over the last half, to the block (a half of few blocks is rounded up; a stretch shorter than one block
    /// is taken whole); zero for nothing.
    pub(crate) fn peak_to_peak(&self) -> f64 {
        let from = self.blocks.len() / 2;
        let (least, most) = self.blocks[from..].iter().copied().fold(self.open, join);
        if most >= least { most - least } else { 0.0 }
    }
}

fn join(a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    (crate::math::min(a.0, b.0), crate::math::max(a.1, b.1))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Against the plain definition over a stored sequence: a decaying ripple, so that a half too long or too short shows.
    #[test]
    fn it_is_the_extremes_of_the_last_half() {
        for ticks in [1_u32, 99, 100, 1_000, 25_599, 25_600, 60_000, 200_000] {
            let value = |tick: u32| {
                let t = f64::from(tick) / f64::from(ticks);
                crate::math::exp(-3.0 * t) * crate::math::sin(f64::from(tick) / 7.0)
            };
            let mut half = LastHalf::new();
            for tick in 0..ticks {
                half.add(value(tick));
            }
            // The half starts on a block: somewhere between these two.
            let plain = |from: u32| {
                let (least, most) = (from..ticks)
                    .map(value)
                    .fold(EMPTY, |ends, v| join(ends, (v, v)));
                most - least
            };
            let (earlier, later) = (
                ticks / 2 - (ticks / 2).min(2 * half.length),
                (ticks / 2 + half.length).min(ticks - 1),
            );
            let found = half.peak_to_peak();
            assert!(
                (plain(later)..=plain(earlier)).contains(&found),
                "{ticks} ticks: {found} is not between {} and {}",
                plain(later),
                plain(earlier)
            );
        }
    }

    #[test]
    fn nothing_is_zero_and_clearing_forgets() {
        let mut half = LastHalf::new();
        assert!(half.peak_to_peak().abs() < f64::EPSILON);
        half.add(1.0);
        half.add(4.0);
        assert!((half.peak_to_peak() - 3.0).abs() < f64::EPSILON);
        half.clear();
        half.add(7.0);
        assert!(half.peak_to_peak().abs() < f64::EPSILON);
    }
}

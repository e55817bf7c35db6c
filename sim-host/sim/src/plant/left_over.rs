//! Grains of a coarser abrasive that was used before and not cleaned away: in tank and line, and on plates, carriers and rings. Among
//! finer ones a coarse grain carries the load of many, and scratches.
//!
//! That a single coarse grain scratches a finer finish, and that both the slurry's ways and the plates must be clean of it, is common
//! practice, no source. The rates below are invented: so high that one short cycle shows whether the cleaning was done.

use super::Plant;
use super::seed::stream;
use crate::math::{exp, log, max};
use rand_distr::{Distribution, Open01};

/// A grain that is coarser than the recipe's own by this factor stands out among them.
const STANDS_OUT: f64 = 1.5;
/// Scratches that a part gets over a metre of sliding where the gap holds as many such grains as a machine that nobody cleaned.
const A_METRE: f64 = 0.1;
/// Time in which what flows carries most of them off the plates, s: out of carriers, rings and grooves they keep coming.
const CARRIED_OFF: f64 = 600.0;
/// Time in which slurry that holds them lays them down on the plates, s.
const LAID_DOWN: f64 = 20.0;

/// What is left of a coarser abrasive. It lasts from batch to batch.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct LeftOver {
    /// Its grain, m.
    grain: f64,
    /// How much of it the slurry holds, and plates, carriers and rings, each against a machine that nobody cleaned, 0..1.
    slurry: f64,
    plates: f64,
    /// Which loading lies in the machine, and scratches that each of its parts has in the mean.
    lot: u64,
    each: f64,
}

impl LeftOver {
    /// A machine that ran with this grain (m), and was not cleaned; 0: one that is clean.
    pub(super) fn of(grain: f64) -> Self {
        let there = if grain > 0.0 { 1.0 } else { 0.0 };
        Self {
            grain,
            slurry: there,
            plates: there,
            ..Self::default()
        }
    }

    /// Other parts lie in the machine.
    pub(super) const fn laid_in(&mut self, lot: u64) {
        self.lot = lot;
        self.each = 0.0;
    }

    /// Tank and line were emptied and rinsed.
    pub(super) const fn rinsed(&mut self) {
        self.slurry = 0.0;
    }

    /// Plates, carriers and rings were washed.
    pub(super) const fn washed(&mut self) {
        self.plates = 0.0;
    }

    /// Some of it is there.
    pub(super) fn is_there(&self) -> bool {
        self.slurry > 0.0 || self.plates > 0.0
    }

    /// Some of it is in the slurry.
    pub(super) fn in_slurry(&self) -> bool {
        self.slurry > 0.0
    }

    /// Slurry ran over the plates for a time, s.
    fn flow(&mut self, time: f64) {
        self.plates *= exp(-time / CARRIED_OFF);
        let down = (self.slurry - self.plates) * (1.0 - exp(-time / LAID_DOWN));
        self.plates += max(down, 0.0);
    }

    /// Scratches that a part gets over so many metres among grains of `own` size, m.
    fn scratches(&self, metres: f64, own: f64) -> f64 {
        if self.grain > STANDS_OUT * own {
            A_METRE * metres * max(self.slurry, self.plates)
        } else {
            0.0
        }
    }
}

impl Plant {
    /// A window among left-over grains.
    pub(super) fn scratch(&mut self, load: f64) {
        let time = self.timing.window;
        let left = &mut self.lasting.left_over;
        if self.slurry.flow > 0.0 {
            left.flow(time);
        }
        if load > 0.0 && self.loaded {
            let [lower, upper] = self.sliding.mean;
            let metres = 0.5 * (lower + upper) * time;
            left.each += left.scratches(metres, self.stock.grain());
        }
    }

    /// A part, by its number from 0, is scratched. Which ones are is drawn: each has its own luck.
    #[must_use]
    pub fn scratched(&self, part: usize) -> bool {
        let left = &self.lasting.left_over;
        if left.each <= 0.0 {
            return false;
        }
        let mut random = stream(self.stock.seed() ^ left.lot, "part", "scratch", part as u64);
        let luck: f64 = Open01.sample(&mut random);
        left.each > -log(luck)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COARSE: f64 = 17e-6;
    const FINE: f64 = 6.5e-6;

    /// Only what is coarser scratches; a grain of the recipe's own size is one of many.
    #[test]
    fn only_a_coarser_grain_stands_out() {
        assert_eq!(LeftOver::of(FINE).scratches(10.0, FINE), 0.0);
        assert_eq!(LeftOver::of(FINE).scratches(10.0, COARSE), 0.0);
        assert!(LeftOver::of(COARSE).scratches(10.0, FINE) > 0.0);
        assert_eq!(LeftOver::of(0.0).scratches(10.0, FINE), 0.0);
    }

    /// Plates that were washed get them back from a tank that was not rinsed; a rinsed tank leaves them on plates that were not washed.
    #[test]
    fn half_a_cleaning_is_none() {
        let mut washed = LeftOver::of(COARSE);
        washed.washed();
        washed.flow(60.0);
        assert!(washed.plates > 0.9, "{washed:?}");
        let mut rinsed = LeftOver::of(COARSE);
        rinsed.rinsed();
        rinsed.flow(60.0);
        assert!(rinsed.plates > 0.8, "{rinsed:?}");
        let mut both = LeftOver::of(COARSE);
        both.washed();
        both.rinsed();
        both.flow(60.0);
        assert!(!both.is_there(), "{both:?}");
        assert_eq!(both.scratches(100.0, FINE), 0.0);
    }
}

//! An order of so many parts in so much time: how likely, from the record of batches.
//!
//! The model: each machine makes one batch after another until the order is filled; a batch takes as long and gives as many good parts as
//! one of the record, any with equal chance, whatever was before (bootstrap). So the spread is that of the record, its shape too. That
//! the record is short is told apart: the record itself is drawn anew from its batches, and the chance worked out with each.

use super::record::{Batch, Record};
use twinplate_sim::plant::seed::substream;

/// Draws of an order.
const DRAWS: usize = 20_000;
/// Records drawn anew, and draws of the order with each.
const RECORDS: usize = 200;
const OF_EACH: usize = 400;
/// Batches drawn in all at most, about: a large order is drawn less often, which its many batches make up for.
const BATCHES: f64 = 2e7;
/// Draws at least.
const LEAST: usize = 400;

/// What is ordered.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Order {
    /// Good parts.
    pub parts: u32,
    /// Working time that there is, s.
    pub within: f64,
    /// Machines at hand.
    pub machines: u32,
}

/// How likely it is, and how long it takes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Odds {
    /// Chance that it is done in time, 0..1.
    pub chance: f64,
    /// The same at 5 % and 95 % of records as they might have been.
    pub between: [f64; 2],
    /// Draws behind it.
    pub draws: usize,
    /// Working time at 5, 50 and 95 %, s.
    pub time: [f64; 3],
    /// Batches at 5, 50 and 95 %.
    pub batches: [u32; 3],
}

impl Odds {
    /// Of an order, by a record. One seed, one answer.
    #[must_use]
    pub fn of(order: &Order, record: &Record, seed: u64) -> Self {
        let [_, good] = record.means();
        let batches = f64::from(order.parts) / good;
        // Between two whole numbers.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let fewer = |draws: usize| ((BATCHES / batches) as usize).clamp(LEAST, draws);
        let draws = fewer(DRAWS);
        let mut dice = Dice::new(seed, "order");
        let mut done: Vec<(f64, u32)> = (0..draws)
            .map(|_| fill(order, &record.batches, &mut dice))
            .collect();
        done.sort_by(|a, b| a.0.total_cmp(&b.0));
        let in_time = done.iter().filter(|(time, _)| *time <= order.within);
        let mut counts: Vec<u32> = done.iter().map(|(_, batches)| *batches).collect();
        let chance = in_time.count() as f64 / draws as f64;
        counts.sort_unstable();
        Self {
            chance,
            between: between(order, record, seed, fewer(RECORDS * OF_EACH) / RECORDS),
            draws,
            time: QUANTILES.map(|q| done[at(q, draws)].0),
            batches: QUANTILES.map(|q| counts[at(q, draws)]),
        }
    }
}

const QUANTILES: [f64; 3] = [0.05, 0.5, 0.95];

/// Place of a quantile among so many in order.
fn at(quantile: f64, count: usize) -> usize {
    // A share of a count that is a number of draws.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let place = (quantile * count as f64) as usize;
    place.min(count.saturating_sub(1))
}

/// The chance at 5 % and 95 % of records drawn anew.
fn between(order: &Order, record: &Record, seed: u64, of_each: usize) -> [f64; 2] {
    let mut dice = Dice::new(seed, "record");
    let n = record.batches.len();
    let mut chances = Vec::with_capacity(RECORDS);
    while chances.len() < RECORDS {
        let anew: Vec<Batch> = (0..n).map(|_| record.batches[dice.below(n)]).collect();
        if anew.iter().all(|batch| batch.good == 0) {
            continue;
        }
        let in_time = (0..of_each)
            .filter(|_| fill(order, &anew, &mut dice).0 <= order.within)
            .count();
        chances.push(in_time as f64 / of_each.max(1) as f64);
    }
    chances.sort_by(f64::total_cmp);
    [QUANTILES[0], QUANTILES[2]].map(|q| chances[at(q, RECORDS)])
}

/// Fills the order once: working time, s, and batches that were finished for it.
fn fill(order: &Order, batches: &[Batch], dice: &mut Dice) -> (f64, u32) {
    let mut draw = || batches[dice.below(batches.len())];
    // When each machine is done with its batch, and what that gives.
    let mut under_way: Vec<Batch> = (0..order.machines.max(1)).map(|_| draw()).collect();
    let (mut good, mut finished) = (0, 0);
    loop {
        let Some(next) = under_way
            .iter_mut()
            .min_by(|a, b| a.time.total_cmp(&b.time))
        else {
            return (0.0, 0);
        };
        good += next.good;
        finished += 1;
        if good >= order.parts {
            return (next.time, finished);
        }
        let fresh = draw();
        *next = Batch {
            time: next.time + fresh.time,
            good: fresh.good,
        };
    }
}

/// Numbers that follow from a seed.
struct Dice {
    seed: u64,
    purpose: &'static str,
    thrown: u64,
}

impl Dice {
    const fn new(seed: u64, purpose: &'static str) -> Self {
        Self {
            seed,
            purpose,
            thrown: 0,
        }
    }

    /// A number below `end`.
    fn below(&mut self, end: usize) -> usize {
        self.thrown += 1;
        let drawn = substream(self.seed, "cost", self.purpose, self.thrown);
        // The remainder of so few in 64 bits is even enough, and fits.
        usize::try_from(drawn % end.max(1) as u64).unwrap_or(0)
    }
}

//! Contact between the upper plate and the tops of the parts: `N(z) = sum k_i max(0, h_i - z)` plus a little damping.
//!
//! **Bound on tilt.** The plate is gimballed and cannot rest on one off-centre part. Solving two tilt angles with the height
//! is replaced by a bound: at least three parts around the centre carry, so contact begins at the mean of the three highest
//! tops (three points at 120 degrees about the centre put the centre of their plane at their mean) and they share equally
//! until the load is spread more evenly than that. From the next top down the total is the exact sum. Fewer than three parts
//! share among themselves.
//!
//! Between the updates of the parts (every 100 ticks) the tops recede at the rate of the last update, so that the load has no
//! step at an update; the tops' own order is exact at each rebuild.

use crate::math::{max, sqrt};

/// Contact damping as a time: damping = this times the touching stiffness, s. Invented; a damping ratio of some percent for
/// the plate on its parts. The implicit step damps more than this at 1 ms, which is why first contact has a closed form.
const DAMPING_TIME: f64 = 4e-5;

/// Stiffness with which the plate would sit on the carriers if no part held it clear, N/m. Invented.
const CARRIER_STIFFNESS: f64 = 1e9;

/// Where plain mean and stiffness-weighted mean of the highest tops differ by less, the parts are alike, m.
const ALIKE: f64 = 1e-7;

/// Load and tangent of the contact at one height.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Reaction {
    /// Elastic load, N.
    pub load: f64,
    /// `-dN/dz`, N/m.
    pub stiffness: f64,
}

/// A stretch of heights in which the load is one straight line, `sum_kh - sum_k height`. Between two updates of the parts the
/// plate hardly leaves it, and then nothing needs to be looked up.
#[derive(Clone, Copy, Debug)]
struct Segment {
    /// The line holds above this height and under the other, m.
    above: f64,
    under: f64,
    sum_k: f64,
    sum_kh: f64,
}

impl Segment {
    /// No height is in it.
    const NONE: Self = Self {
        above: f64::INFINITY,
        under: f64::NEG_INFINITY,
        sum_k: 0.0,
        sum_kh: 0.0,
    };
}

/// Tops sorted from the highest, with prefix sums.
#[derive(Clone, Debug)]
pub(super) struct Contact {
    /// Part numbers from the highest top down.
    order: Vec<u32>,
    /// Sorted tops, m.
    tops: Vec<f64>,
    /// Sum of `k` of the highest `m`, N/m; index 0 is zero.
    sum_k: Vec<f64>,
    /// Sum of `k h` of the highest `m`, N.
    sum_kh: Vec<f64>,
    /// Parts touching at the last height asked for.
    touching: usize,
    /// Height at which contact begins (mean of the three highest), m.
    first: f64,
    /// Parts with stiffness; empty pockets are sorted behind them.
    loaded: usize,
    /// How many share the first contact.
    sharing: usize,
    /// Lowest top, m.
    lowest: f64,
    /// Total stiffness, N/m, and total `k h`, N.
    total: (f64, f64),
    carrier_top: f64,
    /// The straight line of the last height asked for, good between two heights.
    line: Segment,
    /// How far the tops have receded since the rebuild, m (negative: the tops are lower than `tops`).
    offset: f64,
    /// Change of `offset` per tick, m.
    drift: f64,
}

impl Contact {
    pub fn new(count: usize, carrier_top: f64) -> Self {
        Self {
            order: (0..count as u32).collect(),
            tops: vec![0.0; count],
            sum_k: vec![0.0; count + 1],
            sum_kh: vec![0.0; count + 1],
            touching: 0,
            first: 0.0,
            loaded: 0,
            sharing: 0,
            lowest: 0.0,
            total: (0.0, 0.0),
            carrier_top,
            line: Segment::NONE,
            offset: 0.0,
            drift: 0.0,
        }
    }

    /// Where the plate would meet the carriers, m; zero with none in the machine: the lower plate itself.
    pub(crate) const fn set_carrier_top(&mut self, top: f64) {
        self.carrier_top = top;
    }

    /// Takes new tops and stiffnesses (stiffness zero: an empty pocket). Insertion sort: the order hardly changes, so that the
    /// first pass usually finds it right and sums as it goes.
    pub(crate) fn rebuild(&mut self, top: &[f64], k: &[f64]) {
        let (sum_k, sum_kh) = match self.sum_up(top, k) {
            Some(sums) => sums,
            None => {
                self.sort(top);
                self.sum_up(top, k).unwrap_or_default()
            }
        };
        self.total = (sum_k, sum_kh);
        // Empty pockets lie far below everything and are sorted last.
        self.loaded = self.order.len();
        while self.loaded > 0 && k[self.order[self.loaded - 1] as usize] <= 0.0 {
            self.loaded -= 1;
        }
        self.sharing = self.loaded.min(3);
        self.lowest = match self.loaded {
            0 => f64::NEG_INFINITY,
            n => self.tops[n - 1],
        };
        self.first = if self.sharing > 0 {
            self.sum_kh[self.sharing] / self.sum_k[self.sharing]
        } else {
            f64::NEG_INFINITY
        };
        self.lean(k);
        self.touching = self.touching.min(self.loaded);
        self.line = Segment::NONE;
    }

    /// The plate leans on its highest parts with equal loads, so it meets them at the plain mean of their tops. The prefix sums
    /// weigh the tops with the stiffnesses instead, which is the same for parts alike. A doubled part is half as stiff: there
    /// the first stretch is the straight line from the plain mean to the exact sum at the next top.
    fn lean(&mut self, k: &[f64]) {
        let m = self.sharing;
        if m < 2 {
            return;
        }
        let mean = self.tops[..m].iter().sum::<f64>() / m as f64;
        if (mean - self.first).abs() < ALIKE {
            return;
        }
        let exact = |height: f64| self.sum_kh[m] - self.sum_k[m] * height;
        let stiffness = match self.tops.get(m).filter(|_| m < self.loaded) {
            Some(&next) if mean > next => exact(next) / (mean - next),
            // All that there are: each bears the same, so their compressions add up.
            _ => {
                let softness: f64 = self.order[..m].iter().map(|&i| 1.0 / k[i as usize]).sum();
                (m * m) as f64 / softness
            }
        };
        self.first = mean;
        self.sum_k[m] = stiffness;
        self.sum_kh[m] = stiffness * mean;
        if m == self.loaded {
            self.total = (stiffness, stiffness * mean);
        }
    }

    /// Prefix sums in the present order; `None` where that order is no longer right.
    fn sum_up(&mut self, top: &[f64], k: &[f64]) -> Option<(f64, f64)> {
        let (mut sum_k, mut sum_kh) = (0.0, 0.0);
        let mut above = f64::INFINITY;
        let slots = self
            .tops
            .iter_mut()
            .zip(self.sum_k[1..].iter_mut().zip(self.sum_kh[1..].iter_mut()));
        for (&part, (sorted, (prefix_k, prefix_kh))) in self.order.iter().zip(slots) {
            let (stiffness, height) = (k[part as usize], top[part as usize]);
            if height > above {
                return None;
            }
            above = height;
            sum_k += stiffness;
            sum_kh += stiffness * height;
            *sorted = height;
            *prefix_k = sum_k;
            *prefix_kh = sum_kh;
        }
        Some((sum_k, sum_kh))
    }

    fn sort(&mut self, top: &[f64]) {
        for i in 1..self.order.len() {
            let moving = self.order[i];
            let height = top[moving as usize];
            let mut j = i;
            while j > 0 && top[self.order[j - 1] as usize] < height {
                self.order[j] = self.order[j - 1];
                j -= 1;
            }
            self.order[j] = moving;
        }
    }

    /// After an update of the parts: keeps the load at `load` as it was (the tops had receded by the mean only), and lets the
    /// tops recede by `removal` metres over the next `ticks`, taking up what was left over.
    pub(crate) fn rebuild_under(
        &mut self,
        top: &[f64],
        k: &[f64],
        z: f64,
        load: f64,
        removal: f64,
        ticks: f64,
    ) {
        self.rebuild(top, k);
        self.offset = if load > 0.0 {
            z - self.height_for(load)
        } else {
            0.0
        };
        self.drift = (-removal - self.offset) / ticks;
        if load <= 0.0 {
            self.drift = 0.0;
        }
    }

    /// One tick of receding.
    #[inline]
    pub(crate) fn recede(&mut self) {
        self.offset += self.drift;
    }

    /// Elastic load and tangent at plate height `z`, m.
    pub fn at(&mut self, z: f64) -> Reaction {
        match self.on_line(z) {
            Some(reaction) => reaction,
            None => self.look_up(z - self.offset),
        }
    }

    /// The same where the height is on the straight line of the last one asked for.
    #[inline(always)]
    pub(crate) fn on_line(&self, z: f64) -> Option<Reaction> {
        let height = z - self.offset;
        if height > self.line.above && height < self.line.under {
            Some(Reaction {
                load: self.line.sum_kh - self.line.sum_k * height,
                stiffness: self.line.sum_k,
            })
        } else {
            None
        }
    }

    /// As [`Contact::at`] over the sorted tops, and keeps the line found for the next time.
    fn look_up(&mut self, height: f64) -> Reaction {
        if height > self.first && height > self.carrier_top {
            self.touching = 0;
            self.line = Segment {
                above: max(self.first, self.carrier_top),
                under: f64::INFINITY,
                sum_k: 0.0,
                sum_kh: 0.0,
            };
            return Reaction::default();
        }
        let mut m = self.touching.max(self.sharing);
        while m < self.loaded && self.tops[m] > height {
            m += 1;
        }
        while m > self.sharing && self.tops[m - 1] <= height {
            m -= 1;
        }
        self.touching = m;
        let mut reaction = Reaction {
            load: self.sum_kh[m] - self.sum_k[m] * height,
            stiffness: self.sum_k[m],
        };
        if height > self.first {
            reaction = Reaction::default();
            self.touching = 0;
        }
        if height <= self.carrier_top {
            self.line = Segment::NONE;
            reaction.load += CARRIER_STIFFNESS * (self.carrier_top - height);
            reaction.stiffness += CARRIER_STIFFNESS;
        } else {
            let next = self.tops.get(m).filter(|_| m < self.loaded);
            self.line = Segment {
                above: next.map_or(self.carrier_top, |top| max(*top, self.carrier_top)),
                under: if m > self.sharing {
                    self.tops[m - 1]
                } else {
                    self.first
                },
                sum_k: self.sum_k[m],
                sum_kh: self.sum_kh[m],
            };
        }
        reaction
    }

    /// Damping of the touching parts, N·s/m.
    #[inline]
    pub fn damping(reaction: Reaction) -> f64 {
        DAMPING_TIME * reaction.stiffness
    }

    /// Height over the sorted tops (no receding) at which the parts carry `load`, m.
    pub(crate) fn height_for(&self, load: f64) -> f64 {
        if self.total.0 <= 0.0 {
            return self.carrier_top - load / CARRIER_STIFFNESS;
        }
        let all = (self.total.1 - load) / self.total.0;
        if all <= self.lowest {
            return all;
        }
        // A plate on top `m` is carried by those above it with more load the lower that top is: halve what is in question, and ask
        // without the division that a look at each of a hundred parts would cost.
        let (mut from, mut to) = (self.sharing, self.loaded);
        while from < to {
            let m = from + (to - from) / 2;
            if self.sum_kh[m] - self.sum_k[m] * self.tops[m] >= load {
                to = m;
            } else {
                from = m + 1;
            }
        }
        (self.sum_kh[from] - load) / self.sum_k[from]
    }

    /// Parts that touch and the numbers of the (at most three) highest.
    pub fn highest(&self) -> &[u32] {
        &self.order[..self.sharing.min(self.order.len())]
    }

    /// What each of the highest parts carries while the plate leans on them at `height`, N; there must be one.
    pub(crate) fn even_share(&self, height: f64) -> f64 {
        let m = self.sharing;
        (self.sum_kh[m] - self.sum_k[m] * height) / m as f64
    }

    /// Load on the one part that carries most when the total is `load`, N.
    pub(crate) fn largest_share(&self, load: f64) -> f64 {
        if self.sharing == 0 || load <= 0.0 {
            return 0.0;
        }
        let height = self.height_for(load);
        // Stiffness of the highest part: the first prefix sum.
        let alone = self.sum_k[1] * (self.tops[0] - height);
        if alone > load / self.sharing as f64 {
            self.even_share(height)
        } else {
            alone
        }
    }

    /// Peak of a first contact: the plate of `mass` arrives at `speed` (m/s, downwards positive) pressed by `net` newtons, on
    /// undamped elastic parts. Energy: `m v^2/2 + net x = integral of N dx`, segment by segment as more parts touch. With all
    /// tops level this is `net + sqrt(net^2 + v^2 k m)`. Returns the peak total load, N.
    pub fn impact(&self, mass: f64, speed: f64, net: f64) -> f64 {
        if self.sharing == 0 || speed <= 0.0 {
            return net;
        }
        let mut energy = 0.5 * mass * speed * speed;
        let mut height = self.first;
        let mut load = 0.0;
        let mut m = self.sharing;
        loop {
            let k = self.sum_k[m];
            // Within this segment: k x^2/2 + (load - net) x = energy.
            let over = load - net;
            let root = over * over + 2.0 * k * energy;
            let x = (sqrt(if root > 0.0 { root } else { 0.0 }) - over) / k;
            if m == self.loaded || height - x >= self.tops[m] {
                return load + k * x;
            }
            let step = height - self.tops[m];
            energy -= 0.5 * k * step * step + over * step;
            load += k * step;
            height = self.tops[m];
            m += 1;
        }
    }

    /// Stiffness of what touches first, N/m.
    #[cfg(test)]
    pub fn first_stiffness(&self) -> f64 {
        self.sum_k[self.sharing]
    }

    /// Where contact begins, m.
    #[cfg(test)]
    pub fn first_height(&self) -> f64 {
        self.first
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn built(tops: &[f64], k: f64) -> Contact {
        let mut c = Contact::new(tops.len(), -1.0);
        c.rebuild(tops, &vec![k; tops.len()]);
        c
    }

    #[test]
    fn total_is_the_plain_sum_below_the_third_top() {
        let tops = [5.0e-6, 1.0e-6, 9.0e-6, 3.0e-6, 4.0e-6];
        let k = 2e7;
        let mut c = built(&tops, k);
        for z in [3.9e-6, 2.0e-6, 3.2e-6, -2.0e-6, 0.5e-6] {
            let plain: f64 = tops.iter().map(|h| k * (h - z).max(0.0)).sum();
            let touching = tops.iter().filter(|&&h| h > z).count() as f64;
            let r = c.at(z);
            assert!((r.load - plain).abs() < 1e-9, "{} against {plain}", r.load);
            assert!((r.stiffness - k * touching).abs() < 1.0);
            assert!((c.height_for(plain) - z).abs() < 1e-15);
        }
    }

    #[test]
    fn one_high_part_never_carries_the_plate_alone() {
        // One part 0.5 mm too thick: the plate leans on it and on two others.
        let mut tops = vec![1e-3; 9];
        tops[4] = 1.5e-3;
        let mut c = built(&tops, 2e7);
        assert!((c.first_height() - (1e-3 + 0.5e-3 / 3.0)).abs() < 1e-12);
        assert!(c.at(1.3e-3).load == 0.0);
        assert!((c.largest_share(300.0) - 100.0).abs() < 1e-9);
    }

    #[test]
    fn level_parts_share_equally_and_the_impact_has_the_textbook_peak() {
        let c = built(&[1e-3; 10], 2e7);
        assert!((c.largest_share(500.0) - 50.0).abs() < 1e-9);
        let (m, v, net) = (58.0f64, 0.5e-3, 40.0f64);
        let expected = net + (net * net + v * v * 2e8 * m).sqrt();
        assert!((c.impact(m, v, net) - expected).abs() < 1e-6);
        // Spread tops: fewer touch, so the peak is smaller but falls on three.
        let spread: Vec<f64> = (0..10).map(|i| 1e-3 - 5e-6 * f64::from(i)).collect();
        let s = built(&spread, 2e7);
        let soft = s.impact(m, v, 0.0);
        let bound = v * (s.first_stiffness() * m).sqrt();
        assert!((soft - bound).abs() < 1e-6 && soft < expected);
    }

    #[test]
    fn impact_over_several_segments_agrees_with_small_steps() {
        let tops: Vec<f64> = (0..12).map(|i| 1e-3 - 0.4e-6 * f64::from(i)).collect();
        let mut c = built(&tops, 2e7);
        let (mass, net, h) = (58.0, 30.0, 1e-7);
        let (mut z, mut v, mut peak) = (c.first_height(), -1e-3, 0.0f64);
        for _ in 0..200_000 {
            let load = c.at(z).load;
            peak = peak.max(load);
            v += h * (load - net) / mass;
            z += h * v;
        }
        let closed = c.impact(mass, 1e-3, net);
        assert!(
            (closed - peak).abs() < 1e-3 * peak,
            "{closed} against {peak}"
        );
    }

    #[test]
    fn order_follows_the_tops_and_the_load_keeps_through_an_update() {
        let mut tops = [1.0e-6, 2.0e-6, 3.0e-6, 4.0e-6];
        let k = [1e7; 4];
        let mut c = Contact::new(4, -1.0);
        c.rebuild(&tops, &k);
        let z = 2.5e-6;
        let load = c.at(z).load;
        tops = [1.0e-6, 2.4e-6, 2.2e-6, 3.5e-6];
        c.rebuild_under(&tops, &k, z, load, 0.1e-6, 100.0);
        assert!((c.at(z).load - load).abs() < 1e-9);
        assert_eq!(c.highest(), [3, 1, 2]);
    }
}

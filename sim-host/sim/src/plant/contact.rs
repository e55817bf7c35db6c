//! Contact between the upper plate and what is under it: `N(z) = sum k_i max(0, h_i - z)` plus a little damping.
//!
//! The tops `h_i` are those over the plate's tilted plane (see `seat`), and `z` is its height at the centre: between two solutions of
//! the tilt, every hundred ticks, the tilt is held and only the height moves.
//!
//! Between the updates of the parts the tops recede at the rate of the last update, so that the load has no step at an update.
//!
//! **Bound on first contact.** On which part the plate comes down first, and how it swings onto the others, is quicker than the tilt is
//! solved. The total is computed as if it came down flat on the plane on which it will rest; one part is given the most that it can
//! have of it by where the parts lie ([`Contact::impact_on_one`]).

use super::pair::{Pair, odd_one, pairs_of};
use super::seat::Seat;
use crate::math::{max, min, sqrt};

/// Contact damping as a time: damping = this times the touching stiffness, s. Invented; a damping ratio of some percent for
/// the plate on its parts.
pub(super) const DAMPING_TIME: f64 = 4e-5;

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
#[derive(Clone, Copy, Debug, PartialEq)]
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

/// Tops over the plane, parts first and the carriers' rims behind them.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Contact {
    /// m.
    tops: Vec<f64>,
    /// N/m; zero in an empty pocket.
    k: Vec<f64>,
    /// Where the rims begin.
    parts: usize,
    /// Highest of the rims, m.
    rim: f64,
    /// The straight line of the last height asked for, good between two heights.
    line: Segment,
    /// How far the tops have receded since the rebuild, m (negative: the tops are lower than `tops`).
    offset: f64,
    /// Change of `offset` per fast step, m.
    drift: f64,
}

impl Contact {
    /// On a seat, with what lies there.
    pub(crate) fn new(seat: &Seat) -> Self {
        let count = seat.stiffnesses().len();
        let mut contact = Self {
            tops: vec![0.0; count],
            k: vec![0.0; count],
            parts: seat.places.count,
            rim: 0.0,
            line: Segment::NONE,
            offset: 0.0,
            drift: 0.0,
        };
        contact.rebuild(seat);
        contact
    }

    /// Takes over what lies in the seat, and its plane.
    pub(crate) fn rebuild(&mut self, seat: &Seat) {
        self.k.copy_from_slice(seat.stiffnesses());
        self.take_tops(seat);
    }

    fn take_tops(&mut self, seat: &Seat) {
        seat.over_plane(&mut self.tops);
        self.line = Segment::NONE;
        self.rim = highest(&self.tops[self.parts..]);
    }

    /// After an update of the same parts: keeps the load at `load` as it was (the tops had receded by the mean only), and lets the
    /// tops recede by `removal` metres over the next fast `steps`, taking up what was left over.
    pub(crate) fn rebuild_under(
        &mut self,
        seat: &Seat,
        z: f64,
        load: f64,
        removal: f64,
        steps: f64,
    ) {
        self.take_tops(seat);
        if load > 0.0 {
            let (line, height) = self.line_for(load, seat.plane.height);
            self.line = line;
            self.offset = z - height;
            self.drift = (-removal - self.offset) / steps;
        } else {
            self.offset = 0.0;
            self.drift = 0.0;
        }
    }

    /// One fast step of receding.
    #[inline]
    pub(crate) fn recede(&mut self) {
        self.offset += self.drift;
    }

    /// Elastic load and tangent at plate height `z`, m.
    pub(crate) fn at(&mut self, z: f64) -> Reaction {
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

    /// As [`Contact::at`] over all tops, and keeps the line found for the next time.
    #[inline(never)]
    fn look_up(&mut self, height: f64) -> Reaction {
        self.line = self.segment(height);
        Reaction {
            load: self.line.sum_kh - self.line.sum_k * height,
            stiffness: self.line.sum_k,
        }
    }

    /// The straight line at a height over the tops (no receding).
    fn segment(&self, height: f64) -> Segment {
        let (mut sum_k, mut sum_kh) = (Pair::ZERO, Pair::ZERO);
        let (mut above, mut under) = ([f64::NEG_INFINITY; 2], [f64::INFINITY; 2]);
        let mut add = |top: Pair, k: Pair| {
            let k = k.where_over(top - Pair::both(height));
            sum_k += k;
            sum_kh += k * top;
            for (i, top) in top.0.into_iter().enumerate() {
                let low = if top > height { f64::NEG_INFINITY } else { top };
                let high = if top > height { top } else { f64::INFINITY };
                above[i] = max(above[i], low);
                under[i] = min(under[i], high);
            }
        };
        for (top, k) in pairs_of(&self.tops).zip(pairs_of(&self.k)) {
            add(top, k);
        }
        if let (Some(Pair([top, _])), Some(k)) = (odd_one(&self.tops), odd_one(&self.k)) {
            // The last top twice, once without its stiffness.
            add(Pair::both(top), k);
        }
        Segment {
            above: max(above[0], above[1]),
            under: min(under[0], under[1]),
            sum_k: sum_k.sum(),
            sum_kh: sum_kh.sum(),
        }
    }

    /// Height over the tops (no receding) at which they carry `load`, m, sought from a height nearby. The load falls with the height
    /// and ever more slowly, so that a tangent never leads above the answer: from the second step on each is nearer from below.
    pub(crate) fn height_for(&self, load: f64, near: f64) -> f64 {
        self.line_for(load, near).1
    }

    /// The same with the straight line there.
    fn line_for(&self, load: f64, near: f64) -> (Segment, f64) {
        let mut line = self.line;
        if !(line.above < line.under && line.sum_k > 0.0) {
            line = self.segment(near);
        }
        if line.sum_k <= 0.0 {
            line = self.segment(f64::NEG_INFINITY);
        }
        let mut height = near;
        for _ in 0..=self.tops.len() {
            height = (line.sum_kh - load) / line.sum_k;
            if height >= line.above && height <= line.under {
                break;
            }
            line = self.segment(height);
        }
        (line, height)
    }

    /// Load on one part with the plate at a height over the tops (no receding), N.
    pub(crate) fn on_part(&self, part: usize, height: f64) -> f64 {
        self.k[part] * max(self.tops[part] - height, 0.0)
    }

    /// Whether the plate sits on a carrier at height `z`, m.
    pub(crate) fn on_carriers(&self, z: f64) -> bool {
        z - self.offset <= self.rim
    }

    /// Peak of a first contact: the plate of `mass` arrives at `speed` (m/s, downwards positive) pressed by `net` newtons, on
    /// undamped elastic parts. Energy: `m v^2/2 + net x = integral of N dx`, segment by segment as more parts touch. With all
    /// tops level this is `net + sqrt(net^2 + v^2 k m)`. Returns the peak total load, N.
    pub(crate) fn impact(&self, mass: f64, speed: f64, net: f64) -> f64 {
        if speed <= 0.0 {
            return net;
        }
        let mut energy = 0.5 * mass * speed * speed;
        let mut height = highest(&self.tops);
        let mut load = 0.0;
        loop {
            let (k, next) = self.below(height);
            // Within this segment: k x^2/2 + (load - net) x = energy.
            let over = load - net;
            let x = (sqrt(max(over * over + 2.0 * k * energy, 0.0)) - over) / k;
            if height - x >= next {
                return load + k * x;
            }
            let step = height - next;
            energy -= 0.5 * k * step * step + over * step;
            load += k * step;
            height = next;
        }
    }

    /// Stiffness of what touches just below a height, and the next top below it.
    fn below(&self, height: f64) -> (f64, f64) {
        let mut found = (0.0, f64::NEG_INFINITY);
        for (top, k) in self.tops.iter().zip(&self.k) {
            if *top >= height {
                found.0 += k;
            } else {
                found.1 = max(found.1, *top);
            }
        }
        found
    }

    /// Most that one part may have of a first contact of `total` newtons at its peak, N, when one can carry `share` of the load by where
    /// the parts lie.
    ///
    /// It is at most `share total`. And it is at most what it would be were the whole blow taken by it and by two others that balance
    /// it without giving way: `m v²/2 + net Q/N = Q/2` with `Q = Σ F²/k` (what they give times the load is what each gives times
    /// its own) leads with `F = share N` and `Q >= F²/k` to `share net + sqrt((share net)² + k m v²)`.
    pub(crate) fn impact_on_one(
        &self,
        total: f64,
        share: f64,
        [mass, speed, net]: [f64; 3],
    ) -> f64 {
        let stiffest = self.k[..self.parts].iter().copied().fold(0.0, max);
        if stiffest <= 0.0 {
            return 0.0;
        }
        let pressed = share * net;
        let blow = stiffest * mass * speed * speed;
        min(share * total, pressed + sqrt(pressed * pressed + blow))
    }

    /// Stiffness of what touches first, N/m.
    #[cfg(test)]
    pub(crate) fn first_stiffness(&self) -> f64 {
        self.below(self.first_height()).0
    }

    /// Where contact begins, m.
    #[cfg(test)]
    pub(crate) fn first_height(&self) -> f64 {
        highest(&self.tops)
    }
}

/// The highest of some tops, m.
fn highest(tops: &[f64]) -> f64 {
    tops.iter().copied().fold(f64::NEG_INFINITY, max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::plant::places::{Places, worst_share};

    /// Tops on the plate of the small machine, held level: the contact alone, whatever lies where.
    fn built(tops: &[f64], k: f64) -> Contact {
        let (machine, mut batch, _) = demo::set("glass-f800");
        batch.parts = u32::try_from(tops.len()).expect("a few");
        let mut seat = Seat::new(Places::new(&machine.geometry, &batch), -1.0);
        seat.lay(tops, &vec![k; tops.len()]);
        Contact::new(&seat)
    }

    #[test]
    fn total_is_the_plain_sum_over_what_touches() {
        let tops = [5.0e-6, 1.0e-6, 9.0e-6, 3.0e-6, 4.0e-6];
        let k = 2e7;
        let mut c = built(&tops, k);
        for z in [10e-6, 8e-6, 3.9e-6, 2.0e-6, 3.2e-6, -2.0e-6, 0.5e-6] {
            let plain: f64 = tops.iter().map(|h| k * (h - z).max(0.0)).sum();
            let touching = tops.iter().filter(|&&h| h > z).count() as f64;
            let r = c.at(z);
            assert!((r.load - plain).abs() < 1e-9, "{} against {plain}", r.load);
            assert!((r.stiffness - k * touching).abs() < 1.0);
            if plain > 0.0 {
                for near in [12e-6, 6e-6, -20e-6] {
                    assert!((c.height_for(plain, near) - z).abs() < 1e-15);
                }
            }
        }
    }

    #[test]
    fn the_impact_has_the_textbook_peak() {
        let c = built(&[1e-3; 10], 2e7);
        let (m, v, net) = (58.0f64, 0.5e-3, 40.0f64);
        let expected = net + (net * net + v * v * 2e8 * m).sqrt();
        assert!((c.impact(m, v, net) - expected).abs() < 1e-6);
        // Spread tops: fewer touch, so the peak is smaller.
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

    /// Three pieces on three carriers under a plate that comes down flat: each takes a third. Where they lie one can have no more, and
    /// the bound says no less than it has.
    #[test]
    fn one_part_is_never_given_less_of_a_blow_than_its_share() {
        let (machine, mut batch, _) = demo::set("glass-f800");
        let mut geometry = machine.geometry;
        (batch.parts, batch.circles[0].radius, geometry.carriers) = (3, 0.0, 3);
        let share = worst_share(&geometry, &batch);
        assert!((share - 1.0 / 3.0).abs() < 1e-12, "{share}");
        let (mass, speed) = (58.0, 0.5e-3);
        let c = built(&[1e-3; 3], 2e7);
        for net in [0.0, 30.0, 300.0] {
            let total = c.impact(mass, speed, net);
            let one = c.impact_on_one(total, share, [mass, speed, net]);
            assert!((one - total / 3.0).abs() < 1e-9 * total);
            // However it is shared, energy allows one part no more than the whole blow.
            let worst = c.impact_on_one(1e9, share, [mass, speed, net]);
            assert!(worst > one, "{worst}");
        }
    }

    #[test]
    fn the_load_keeps_through_an_update() {
        let (machine, mut batch, _) = demo::set("glass-f800");
        batch.parts = 4;
        let mut seat = Seat::new(Places::new(&machine.geometry, &batch), -1.0);
        let k = [1e7; 4];
        seat.lay(&[1.0e-6, 2.0e-6, 3.0e-6, 4.0e-6], &k);
        let mut c = Contact::new(&seat);
        let z = 2.5e-6;
        let load = c.at(z).load;
        seat.lay(&[1.0e-6, 2.4e-6, 2.2e-6, 3.5e-6], &k);
        c.rebuild_under(&seat, z, load, 0.1e-6, 100.0);
        assert!((c.at(z).load - load).abs() < 1e-9);
        for _ in 0..100 {
            c.recede();
        }
        // A hundred ticks later the tops have receded by what was left over and by the removal.
        assert!((c.at(z - 0.1e-6).load - c.look_up(z - c.offset - 0.1e-6).load).abs() < 1e-9);
        assert!((c.offset + 0.1e-6).abs() < 1e-18);
    }
}

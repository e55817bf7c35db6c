//! The plate on the pieces, and on the carriers where they catch it: what lies where, and the plane on it.

use super::footing::Rise;
use super::kinematics::CarrierMotion;
use super::places::Places;
use super::tilt::{Plane, Points};
use crate::math::{cos, max, sin};

/// The plate on the pieces, and on the carriers where they catch it.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Seat {
    pub places: Places,
    pub plane: Plane,
    /// What the plates' form adds to the pieces' tops, by where they lie, and what it added in the present window, m.
    pub rise: Rise,
    form: Vec<f64>,
    /// First piece of each run of pieces in pockets of one number: carriers are laid in alike, so that they are always as far out.
    runs: Vec<usize>,
    /// Tops, the plates' form in them, and stiffnesses of the pieces with the carriers' rims behind them.
    tops: Vec<f64>,
    k: Vec<f64>,
    /// Top of the carriers, m; zero with none in the machine: the lower plate itself.
    carrier_top: f64,
}

/// Stiffness with which the plate sits on the carriers where no part holds it clear, N/m, all of them together. Invented.
const CARRIER_STIFFNESS: f64 = 1e9;

/// Load under which the hanging plate is taken to lie on the parts, to know on which it comes down, N. Small against any resting load.
const TOUCH: f64 = 0.1;

impl Seat {
    pub(crate) fn new(places: Places, carrier_top: f64) -> Self {
        let rims = places.x.len() - places.count;
        let mut seat = Self {
            plane: Plane::default(),
            rise: Rise::NONE,
            form: vec![0.0; places.count],
            runs: runs(&places),
            tops: vec![0.0; places.x.len()],
            k: vec![0.0; places.x.len()],
            carrier_top,
            places,
        };
        let (_, k) = seat.k.split_at_mut(seat.places.count);
        k.fill(CARRIER_STIFFNESS / rims as f64);
        seat.set_carrier_top(carrier_top);
        seat
    }

    /// Between plates of a form, with pieces on it and the plate over them.
    pub(crate) fn with(
        places: Places,
        rise: Rise,
        carrier_top: f64,
        (top, k): (&[f64], &[f64]),
    ) -> Self {
        let mut seat = Self::new(places, carrier_top);
        seat.rise = rise;
        seat.lay(top, k);
        seat.settle(0.0);
        seat
    }

    pub(crate) fn set_carrier_top(&mut self, top: f64) {
        self.carrier_top = top;
        self.tops[self.places.count..].fill(top);
    }

    /// Other pieces, or pieces that were moved.
    pub(crate) fn lay(&mut self, top: &[f64], k: &[f64]) {
        self.raise();
        self.lower(top);
        self.k[..self.places.count].copy_from_slice(k);
    }

    /// Carries everything on for so long, s: pieces with these tops. The plane goes round with the carriers, which is about how it will
    /// lie.
    pub(crate) fn turn(&mut self, motion: CarrierMotion, seconds: f64, top: &[f64]) {
        self.places.turn(motion, seconds);
        self.raise();
        self.lower(top);
        let angle = motion.orbit * seconds;
        let ([a, b], c, s) = (self.plane.slope, cos(angle), sin(angle));
        self.plane.slope = [a * c - b * s, a * s + b * c];
    }

    /// Looks up what the plates' form adds where the pieces lie.
    fn raise(&mut self) {
        let mut end = self.form.len();
        for &first in self.runs.iter().rev() {
            let (x, y) = (self.places.x[first], self.places.y[first]);
            self.form[first..end].fill(self.rise.at(x * x + y * y));
            end = first;
        }
    }

    /// Lowers the pieces' tops to what removal left.
    pub(crate) fn lower(&mut self, top: &[f64]) {
        for (over, (top, form)) in self.tops.iter_mut().zip(top.iter().zip(&self.form)) {
            *over = top + form;
        }
    }

    /// Finds the plane under a load, N; a plate in the air (no load) is given the plane with which it would come down. Where nothing
    /// can balance it the gimbal's stop holds it level.
    pub(crate) fn settle(&mut self, load: f64) {
        let load = if load > 0.0 { load } else { TOUCH };
        let reach = self.places.reach;
        let clear = |plane: &Plane| plane.height - plane.steepness() * reach > self.carrier_top;
        let on_pieces = self
            .plane
            .under(&self.points(self.places.count), load, reach)
            .filter(clear);
        self.plane = on_pieces
            .or_else(|| self.plane.under(&self.points(self.k.len()), load, reach))
            .unwrap_or_else(|| Plane::level(&self.points(self.k.len()), load));
    }

    fn points(&self, count: usize) -> Points<'_> {
        Points {
            x: &self.places.x[..count],
            y: &self.places.y[..count],
            top: &self.tops[..count],
            k: &self.k[..count],
        }
    }

    /// Load on each piece under the present plane, for stiffnesses as they are times `share`, N. Returns the piece that bears most.
    pub(crate) fn loads(&self, share: f64, loads: &mut [f64]) -> usize {
        self.points(loads.len()).loads(&self.plane, share, loads);
        largest(loads)
    }

    /// The piece that bears most under the present plane.
    pub(crate) fn bears_most(&self) -> usize {
        let Plane { height, slope } = self.plane;
        let mut most = (0, 0.0);
        for i in 0..self.places.count {
            let at = height + slope[0] * self.places.x[i] + slope[1] * self.places.y[i];
            let load = self.k[i] * (self.tops[i] - at);
            if load > most.1 {
                most = (i, load);
            }
        }
        most.0
    }

    /// Tops over the tilted plane: what the height at the centre is compared with, m. Pieces first, then the rims.
    pub(crate) fn over_plane(&self, tops: &mut [f64]) {
        let [a, b] = self.plane.slope;
        let n = tops.len();
        let (x, y, top) = (&self.places.x[..n], &self.places.y[..n], &self.tops[..n]);
        for i in 0..n {
            tops[i] = top[i] - a * x[i] - b * y[i];
        }
    }

    /// Stiffnesses of pieces and rims, N/m.
    pub(crate) fn stiffnesses(&self) -> &[f64] {
        &self.k
    }
}

/// Where a run of pieces in pockets of one number begins.
fn runs(places: &Places) -> Vec<usize> {
    let begins = |&i: &usize| i == 0 || places.pocket(i).pocket != places.pocket(i - 1).pocket;
    (0..places.count).filter(begins).collect()
}

/// Index of the largest; the first of equals.
fn largest(values: &[f64]) -> usize {
    // Two at a time for the value, then its place.
    let mut most = [f64::NEG_INFINITY; 2];
    for pair in values.chunks_exact(2) {
        most = [max(most[0], pair[0]), max(most[1], pair[1])];
    }
    let last = values.last().copied().unwrap_or(f64::NEG_INFINITY);
    let most = max(max(most[0], most[1]), last);
    values.iter().position(|value| *value >= most).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::math::min;
    use crate::model::Outline;
    use crate::plant::footing::Footing;
    use crate::plant::kinematics::CarrierMotion;
    use crate::plant::paths::{RINGS, Rings};
    use crate::plant::places::{outermost_share, worst_share};
    use crate::plant::seed::stream;
    use rand_distr::{Distribution, StandardNormal};

    const K: f64 = 2e7;
    const LEVEL: f64 = 0.55e-3;

    /// The glass discs' places with tops of one's own, one for each piece.
    fn seat(tops: impl Fn(usize, f64, f64) -> f64) -> Seat {
        let (machine, batch, _) = demo::set("glass-f800");
        let places = Places::new(&machine.geometry, &batch);
        let top: Vec<f64> = (0..places.count)
            .map(|i| tops(i, places.x[i], places.y[i]))
            .collect();
        let mut seat = Seat::new(places, batch.carrier_thickness);
        seat.lay(&top, &vec![K; top.len()]);
        seat
    }

    fn loads(seat: &Seat) -> (Vec<f64>, usize) {
        let mut loads = vec![0.0; seat.places.count];
        let most = seat.loads(1.0, &mut loads);
        (loads, most)
    }

    #[test]
    fn level_parts_share_alike_and_tapered_stock_tilts_the_plate_by_its_taper() {
        let mut level = seat(|_, _, _| LEVEL);
        level.settle(300.0);
        assert!(level.plane.steepness() < 1e-12);
        assert!(
            loads(&level)
                .0
                .iter()
                .all(|load| (load - 20.0).abs() < 1e-5)
        );
        let mut tapered = seat(|_, x, y| LEVEL + 20e-6 * x - 5e-6 * y);
        tapered.settle(300.0);
        let [a, b] = tapered.plane.slope;
        assert!(
            (a - 20e-6).abs() < 1e-10 && (b + 5e-6).abs() < 1e-10,
            "{a} {b}"
        );
        assert!(
            loads(&tapered)
                .0
                .iter()
                .all(|load| (load - 20.0).abs() < 1e-5)
        );
    }

    /// One pocket empty, the others alike and all touching. By hand: the loads are `k (δ - a x)` with x towards the empty pocket at
    /// radius r. Of the full layout `Σx = 0` and `Σx² = S`; without the piece at r these are `-r` and `S - r²`. No moment:
    /// `δ Σx = a Σx²`, so `a = -δ r/(S - r²)`; the load gives `δ (k n - k r²/(S - r²)) = N` with n what is left. Everything at right
    /// angles to x is even and adds nothing.
    #[test]
    fn an_empty_pocket_tilts_the_plate_towards_it_as_by_hand() {
        let mut seat = seat(|_, _, _| LEVEL);
        let (n, load) = (14.0, 300.0);
        let (x0, y0) = (seat.places.x[0], seat.places.y[0]);
        let r = x0.hypot(y0);
        let along: Vec<f64> = (0..15)
            .map(|i| (seat.places.x[i] * x0 + seat.places.y[i] * y0) / r)
            .collect();
        let squares: f64 = along.iter().map(|x| x * x).sum::<f64>() - r * r;
        let mut k = vec![K; 15];
        k[0] = 0.0;
        let mut top = vec![LEVEL; 15];
        top[0] = -1.0;
        seat.lay(&top, &k);
        seat.settle(load);
        let sink = load / (K * (n - r * r / squares));
        let slope = -sink * r / squares;
        let found = (seat.plane.slope[0] * x0 + seat.plane.slope[1] * y0) / r;
        assert!((found / slope - 1.0).abs() < 1e-6, "{found} for {slope}");
        assert!(slope < 0.0, "down where the pocket is empty");
        let (loads, most) = loads(&seat);
        let expected = |i: usize| K * (sink - slope * along[i]);
        for (i, load) in loads.iter().enumerate().skip(1) {
            assert!((load / expected(i) - 1.0).abs() < 1e-6, "{i}");
        }
        let nearest = (1..15).max_by(|a, b| along[*a].total_cmp(&along[*b]));
        assert!((loads[most] - loads[nearest.expect("some")]).abs() < 1e-9);
        assert_eq!(loads[0], 0.0);
    }

    /// One pocket holds two pieces. By hand: the plate leans on it and, opposite, on the two whose line it can reach lowest, which lie
    /// alike on both sides. Its share is d/(d + r) by moments about that line at the distance d, the others have half of the rest
    /// each; the middle is lifted by its share of the extra height, and the slope is the extra height over d + r.
    #[test]
    fn a_doubled_part_is_leant_on_as_by_hand() {
        let mut seat = seat(|_, _, _| LEVEL);
        let r = seat.places.x[0];
        assert!(
            seat.places.y[0].abs() < 1e-12,
            "the first piece lies on the axis"
        );
        // Farthest from it on either side of the axis, at one x.
        let far = (0..15).map(|i| seat.places.x[i]).fold(0.0, min);
        let d = -far;
        let mut top = vec![LEVEL; 15];
        top[0] = 2.0 * LEVEL;
        let mut k = vec![K; 15];
        k[0] = K / 2.0;
        seat.lay(&top, &k);
        let load = 30.0;
        seat.settle(load);
        let share = d / (d + r);
        let (loads, most) = loads(&seat);
        assert_eq!(most, 0);
        assert!((loads[0] / load - share).abs() < 1e-6, "{loads:?}");
        let others: Vec<f64> = loads[1..].iter().copied().filter(|f| *f > 0.0).collect();
        assert_eq!(others.len(), 2, "{loads:?}");
        assert!(
            others
                .iter()
                .all(|f| (f / load - 0.5 * (1.0 - share)).abs() < 1e-6)
        );
        // What they give: the doubled one on half the stiffness.
        let give =
            share * share * load / (0.5 * K) + 2.0 * (0.5 * (1.0 - share)).powi(2) * load / K;
        let middle = LEVEL + share * LEVEL - give;
        assert!(
            (seat.plane.height - middle).abs() < 1e-12,
            "{}",
            seat.plane.height
        );
        let slope = seat.plane.steepness();
        let sunk = share * load / (0.5 * K) - 0.5 * (1.0 - share) * load / K;
        assert!((slope - (LEVEL - sunk) / (d + r)).abs() < 1e-9, "{slope}");
        let (machine, batch, _) = demo::set("glass-f800");
        assert!((share - outermost_share(&machine.geometry, &batch)).abs() < 1e-5);
        assert!(share <= worst_share(&machine.geometry, &batch));
    }

    /// Plates that are domed, `c r²` lower at radius r on both together, under parts alike: everything is alike around the centre, so
    /// the plate lies level, and the closed form is `F = N/n + k c (mean of r² - r²)`. What a part covers adds the same to all.
    #[test]
    fn a_dome_gives_the_parts_near_its_middle_more_and_flat_plates_change_no_bit() {
        let (machine, _, _) = demo::set("glass-f800");
        // So small that none hangs over the plates' edges, where it would cover less of what is low.
        let footing = Footing::new(&machine.geometry, Outline::Disc { diameter: 0.02 });
        let rings = Rings::new(&machine.geometry);
        let bend = 2e-5;
        let dome = std::array::from_fn(|j| -bend * rings.middle(j) * rings.middle(j));
        let mut domed = seat(|_, _, _| LEVEL);
        domed.rise = footing.rise(&dome, &[1.0; RINGS]);
        let level = vec![LEVEL; 15];
        for _ in 0..50 {
            let motion = CarrierMotion {
                orbit: 0.3,
                spin: 0.77,
            };
            domed.turn(motion, 0.4, &level);
            domed.settle(300.0);
            assert!(domed.plane.steepness() < 1e-10, "{:?}", domed.plane);
            let squares: Vec<f64> = (0..15)
                .map(|i| domed.places.x[i].powi(2) + domed.places.y[i].powi(2))
                .collect();
            let mean = squares.iter().sum::<f64>() / 15.0;
            for (i, load) in loads(&domed).0.iter().enumerate() {
                let expected = 300.0 / 15.0 + K * bend * (mean - squares[i]);
                assert!(
                    (load - expected).abs() < 0.01,
                    "{i}: {load}, not {expected}"
                );
            }
            let (inmost, outmost) = (least(&squares), largest(&squares));
            let found = loads(&domed).0;
            assert!(found[inmost] > 1.1 * found[outmost], "{found:?}");
        }
        let (mut alone, mut between) = (seat(|_, _, _| LEVEL), seat(|_, _, _| LEVEL));
        between.rise = footing.rise(&[0.0; RINGS], &[1.0; RINGS]);
        let uneven: Vec<f64> = (0..15).map(|i| LEVEL + 1e-7 * f64::from(i)).collect();
        for seat in [&mut alone, &mut between] {
            seat.lay(&uneven, &[K; 15]);
            seat.settle(300.0);
        }
        assert_eq!(loads(&alone), loads(&between));
        assert_eq!(alone.plane, between.plane);
    }

    fn least(values: &[f64]) -> usize {
        largest(&values.iter().map(|value| -value).collect::<Vec<f64>>())
    }

    /// However the carriers are turned and whatever the heights, no piece exceeds the geometric bound; and the bound is no idle one.
    #[test]
    fn no_share_exceeds_the_geometric_bound_and_some_come_near() {
        for recipe in demo::recipes() {
            let (machine, batch, _) = demo::set(&recipe);
            let bound = worst_share(&machine.geometry, &batch);
            let mut seat = Seat::new(Places::new(&machine.geometry, &batch), -1.0);
            let mut random = stream(9, "test", "tops", 0);
            let count = seat.places.count;
            let mut highest = 0.0;
            for _ in 0..2000 {
                let turn = CarrierMotion {
                    orbit: 0.3,
                    spin: 0.77,
                };
                seat.places.turn(turn, 1.0);
                let top: Vec<f64> = (0..count)
                    .map(|_| {
                        let normal: f64 = StandardNormal.sample(&mut random);
                        LEVEL + 1e-5 * normal
                    })
                    .collect();
                seat.lay(&top, &vec![K; count]);
                seat.settle(1.0);
                let (loads, most) = loads(&seat);
                let share = loads[most] / loads.iter().sum::<f64>();
                assert!(share <= bound + 1e-9, "{recipe}: {share} of {bound}");
                highest = max(highest, share);
            }
            assert!(highest > 0.9 * bound, "{recipe}: {highest} of {bound}");
        }
    }

    /// A plate that nothing balances on the pieces sits on the carriers at its low side.
    #[test]
    fn two_parts_leave_the_plate_on_a_carrier() {
        let mut seat = seat(|i, _, _| if i == 0 || i == 5 { LEVEL } else { -1.0 });
        let k: Vec<f64> = (0..15)
            .map(|i| if i == 0 || i == 5 { K } else { 0.0 })
            .collect();
        let top = seat.tops[..15].to_vec();
        seat.lay(&top, &k);
        seat.settle(30.0);
        let mut over = vec![0.0; seat.k.len()];
        seat.over_plane(&mut over);
        assert!(over[15..].iter().any(|rim| *rim > seat.plane.height));
        let total: f64 = over
            .iter()
            .zip(&seat.k)
            .map(|(top, k)| k * max(top - seat.plane.height, 0.0))
            .sum();
        assert!((total - 30.0).abs() < 1e-4, "{total}");
    }
}

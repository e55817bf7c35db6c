//! How the gimballed upper plate lies on what is under it: height and two tilts.
//!
//! `N = Σ k_i max(0, h_i − (z + a x_i + b y_i))` with both moments about the gimbal zero. That is where
//! `½ Σ k_i max(0, …)² + N z` is least, and since that is convex there is one answer for the loads. Newton steps on it, shortened where
//! they go too far: the tangent is exact as long as the same pieces touch, so that from the tilt of the last update one step is
//! nearly always the end of it. Where that leads nowhere (fresh parts, a part taken away) the search begins under a load under which
//! about all touch. Every search ends: the number of looks is bounded.

use super::pair::{Pair, odd_one, pairs_of};
use crate::math::{abs, max, sqrt};

/// Looks at all pieces that a search from nearby may take. From window to window two are enough, and some when pieces come or go.
const LOOKS: u32 = 30;
/// Factors by which a search is led down to its load at a time, largest and smallest step that it begins with; and how many searches
/// one answer may take. From the stiffest contact that a file can have, all touching, to the lightest load it takes some thirty.
const STAGE: f64 = 0.1;
const LEAST_STAGE: f64 = 0.7;
const STAGES: u32 = 100;
/// What may be left of load and moment, share of the load: far under what a report shows, and no look more for a part that just
/// touches.
const LEFT: f64 = 1e-5;
/// Stiffness against tilting, as a share of what it would be were all at the edge, from which on what touches says how the plate lies.
const FLOOR: f64 = 1e-9;
/// A step is shortened until the slope along it is this share of what it was, or still falls.
const OVERSHOT: f64 = 0.3;

/// A plane over the machine: height at the centre, m, and its slopes along x and y.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Plane {
    /// At the centre, under the gimbal, m.
    pub height: f64,
    /// Rise along x and y, rad.
    pub slope: [f64; 2],
}

/// Points that can carry the plate: places, tops and stiffnesses, all of one length.
#[derive(Clone, Copy, Debug)]
pub struct Points<'a> {
    /// m from the gimbal.
    pub x: &'a [f64],
    /// m from the gimbal.
    pub y: &'a [f64],
    /// Heights at which they begin to carry, m.
    pub top: &'a [f64],
    /// N/m; zero where nothing lies.
    pub k: &'a [f64],
}

impl Points<'_> {
    /// Hands out all points two at a time: places, heights over a plane and stiffnesses. A last one alone has beside it what adds nothing.
    #[inline(always)]
    fn each_pair(&self, plane: &Plane, mut look: impl FnMut([Pair; 4])) {
        let height = Pair::both(plane.height);
        let [a, b] = plane.slope.map(Pair::both);
        let mut one = |x: Pair, y: Pair, top: Pair, k: Pair| {
            look([x, y, top - (height + a * x + b * y), k]);
        };
        let places = pairs_of(self.x).zip(pairs_of(self.y));
        for ((x, y), (top, k)) in places.zip(pairs_of(self.top).zip(pairs_of(self.k))) {
            one(x, y, top, k);
        }
        if let [Some(x), Some(y), Some(top), Some(k)] =
            [self.x, self.y, self.top, self.k].map(odd_one)
        {
            one(x, y, top, k);
        }
    }

    /// Loads under a plane, N, for stiffnesses as they are times `share`. All slices are of one length.
    pub fn loads(&self, plane: &Plane, share: f64, loads: &mut [f64]) {
        let Plane { height, slope } = *plane;
        let n = loads.len();
        let (x, y, top, k) = (&self.x[..n], &self.y[..n], &self.top[..n], &self.k[..n]);
        for i in 0..n {
            let over = top[i] - (height + slope[0] * x[i] + slope[1] * y[i]);
            loads[i] = share * k[i] * max(over, 0.0);
        }
    }
}

/// Stiffness and load of what touches, with their first and second moments.
#[derive(Clone, Copy, Debug, Default)]
struct Sums {
    k: f64,
    kx: f64,
    ky: f64,
    kxx: f64,
    kxy: f64,
    kyy: f64,
    load: f64,
    mx: f64,
    my: f64,
}

impl Sums {
    /// Of all points under a plane; with `ALL` also of those that do not touch it, as if they held it by its other side.
    fn of<const ALL: bool>(points: &Points<'_>, plane: &Plane) -> Self {
        let [k, kx, ky, kxx, kxy, kyy, load, mx, my] =
            Self::in_pairs::<ALL>(points, plane).map(Pair::sum);
        Self {
            k,
            kx,
            ky,
            kxx,
            kxy,
            kyy,
            load,
            mx,
            my,
        }
    }

    /// The sums of every other point, in the order of the fields. On its own, so that the compiler keeps the two of a pair side by side.
    #[inline(never)]
    fn in_pairs<const ALL: bool>(points: &Points<'_>, plane: &Plane) -> [Pair; 9] {
        let mut sums = [Pair::ZERO; 9];
        points.each_pair(plane, |[x, y, over, stiff]| {
            let stiff = if ALL { stiff } else { stiff.where_over(over) };
            let (by_x, by_y, force) = (stiff * x, stiff * y, stiff * over);
            sums[0] += stiff;
            sums[1] += by_x;
            sums[2] += by_y;
            sums[3] += by_x * x;
            sums[4] += by_x * y;
            sums[5] += by_y * y;
            sums[6] += force;
            sums[7] += force * x;
            sums[8] += force * y;
        });
        sums
    }

    /// Pivots of the tilts, and what couples the two: the stiffness decomposed (Cholesky's way, without roots).
    fn pivots(&self) -> [f64; 3] {
        let (lx, ly) = (self.kx / self.k, self.ky / self.k);
        let px = self.kxx - self.kx * lx;
        let m = (self.kxy - self.kx * ly) / px;
        [px, self.kyy - self.ky * ly - m * m * px, m]
    }

    /// Whether enough touches to say how the plate lies.
    fn lies(&self, reach: f64) -> bool {
        let floor = FLOOR * self.k * reach * reach;
        let [px, py, _] = self.pivots();
        px > floor && py > floor
    }

    /// The step of a plane that would bring load and moments to their place, were nothing to touch or leave it; `None` where too little
    /// touches to say how it lies.
    fn step(&self, load: f64, reach: f64) -> Option<[f64; 3]> {
        if !self.lies(reach) {
            return None;
        }
        let (lx, ly) = (self.kx / self.k, self.ky / self.k);
        let [px, py, m] = self.pivots();
        let [gz, gx, gy] = [self.load - load, self.mx, self.my];
        let ux = gx - lx * gz;
        let uy = gy - ly * gz - m * ux;
        let b = uy / py;
        let a = ux / px - m * b;
        Some([gz / self.k - lx * a - ly * b, a, b])
    }

    /// Slope along a step of what the plane should make least.
    fn along(&self, load: f64, step: &[f64; 3]) -> f64 {
        (load - self.load) * step[0] - self.mx * step[1] - self.my * step[2]
    }

    /// Stiffness, load and moments of what touches and nothing else, the same to the bit: enough to see whether they balance.
    fn of_loads(points: &Points<'_>, plane: &Plane) -> Self {
        let [k, load, mx, my] = Self::loads_in_pairs(points, plane).map(Pair::sum);
        Self {
            k,
            load,
            mx,
            my,
            ..Self::default()
        }
    }

    /// As [`Self::in_pairs`].
    #[inline(never)]
    fn loads_in_pairs(points: &Points<'_>, plane: &Plane) -> [Pair; 4] {
        let mut sums = [Pair::ZERO; 4];
        points.each_pair(plane, |[x, y, over, stiff]| {
            let stiff = stiff.where_over(over);
            let force = stiff * over;
            sums[0] += stiff;
            sums[1] += force;
            sums[2] += force * x;
            sums[3] += force * y;
        });
        sums
    }

    /// Whether load and moments are balanced, as far as the digits of the heights go.
    fn balanced(&self, load: f64, plane: &Plane, reach: f64) -> bool {
        let allowed = LEFT * load + 4.0 * f64::EPSILON * self.k * abs(plane.height);
        abs(self.load - load) <= allowed
            && abs(self.mx) <= allowed * reach
            && abs(self.my) <= allowed * reach
    }
}

impl Plane {
    fn moved(&self, step: &[f64; 3], share: f64) -> Self {
        Self {
            height: self.height + share * step[0],
            slope: [
                self.slope[0] + share * step[1],
                self.slope[1] + share * step[2],
            ],
        }
    }

    /// Size of the slope, rad.
    pub(crate) fn steepness(&self) -> f64 {
        sqrt(self.slope[0] * self.slope[0] + self.slope[1] * self.slope[1])
    }

    /// The level plane under `load`, N.
    pub(super) fn level(points: &Points<'_>, load: f64) -> Self {
        let mut plane = Self::default();
        let mut sums = Sums::of::<true>(points, &plane);
        for _ in 0..LOOKS {
            plane.height += (sums.load - load) / max(sums.k, f64::MIN_POSITIVE);
            sums = Sums::of::<false>(points, &plane);
        }
        plane
    }

    /// The plane under `load` (N) on points of which none is farther than `reach` (m) from the centre, sought from this one; `None` where
    /// nothing balances there.
    ///
    /// A search that leads nowhere (too few touch to say how the plate lies) begins anew where all touch, and is led down from the load
    /// there to the one asked for by steps so small that each answer leads to the next.
    #[must_use]
    pub fn under(self, points: &Points<'_>, load: f64, reach: f64) -> Option<Self> {
        self.near(points, load, reach)
            .or_else(|| Self::led_down(points, load, reach))
    }

    #[cold]
    fn led_down(points: &Points<'_>, load: f64, reach: f64) -> Option<Self> {
        let (mut plane, mut now) = Self::below_all(points, load, reach)?;
        let mut factor = 1.0;
        for _ in 0..STAGES {
            let next = max(load, now * factor);
            if let Some(there) = plane.near(points, next, reach) {
                if next <= load {
                    return Some(there);
                }
                (plane, now) = (there, next);
                factor = max(factor * factor, STAGE);
                if factor > LEAST_STAGE {
                    factor = LEAST_STAGE;
                }
            } else {
                factor = sqrt(factor);
            }
        }
        None
    }

    /// A plane so low that all touch, parallel to the one that fits them best, and the load on it, no less than `load`.
    fn below_all(points: &Points<'_>, load: f64, reach: f64) -> Option<(Self, f64)> {
        let level = Self::default();
        let all = Sums::of::<true>(points, &level);
        let mut plane = level.moved(&all.step(0.0, reach)?, 1.0);
        let Self { height, slope } = plane;
        let places = points.x.iter().zip(points.y);
        let mut down = 0.0;
        for ((x, y), (top, k)) in places.zip(points.top.iter().zip(points.k)) {
            let under = height + slope[0] * x + slope[1] * y - top;
            down = if *k > 0.0 { max(down, under) } else { down };
        }
        plane.height -= 2.0 * down + load / all.k;
        Some((plane, Sums::of::<false>(points, &plane).load))
    }

    /// The plane under `load`, not far from this one; `None` where it is not found within [`LOOKS`].
    fn near(self, points: &Points<'_>, load: f64, reach: f64) -> Option<Self> {
        let mut looks = 0;
        let mut plane = self;
        let mut sums = Sums::of::<false>(points, &plane);
        while !sums.balanced(load, &plane, reach) {
            let step = sums.step(load, reach)?;
            let falls = sums.along(load, &step);
            let mut share = 1.0;
            loop {
                looks += 1;
                if looks > LOOKS {
                    return None;
                }
                let next = plane.moved(&step, share);
                let loads = Sums::of_loads(points, &next);
                let slope = loads.along(load, &step);
                if slope > OVERSHOT * -falls {
                    // The slope grows along the step: where it would be zero, were it straight.
                    share *= max(falls / (falls - slope), 0.1);
                    continue;
                }
                if loads.balanced(load, &next, reach) {
                    return Some(next);
                }
                let there = Sums::of::<false>(points, &next);
                if there.lies(reach) {
                    (plane, sums) = (next, there);
                    break;
                }
                share *= 0.5;
            }
        }
        Some(plane)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plant::seed::stream;
    use rand_distr::{Distribution, StandardNormal, Uniform};
    use std::f64::consts::TAU;

    const REACH: f64 = 0.3;

    struct Layout {
        x: Vec<f64>,
        y: Vec<f64>,
        top: Vec<f64>,
        k: Vec<f64>,
    }

    impl Layout {
        fn points(&self) -> Points<'_> {
            Points {
                x: &self.x,
                y: &self.y,
                top: &self.top,
                k: &self.k,
            }
        }

        fn loads(&self, plane: &Plane) -> Vec<f64> {
            let mut loads = vec![0.0; self.x.len()];
            self.points().loads(plane, 1.0, &mut loads);
            loads
        }
    }

    /// Pieces thrown on a plate, of any stiffness and spread that files can have.
    fn thrown(index: u64) -> Layout {
        let mut random = stream(5, "test", "layout", index);
        let mut unit = || -> f64 { Uniform::new(0.0, 1.0).expect("a range").sample(&mut random) };
        let count = 3 + (unit() * unit() * 120.0) as usize;
        let spread = 10f64.powf(-8.0 + 4.5 * unit());
        let stiffness = 10f64.powf(4.0 + 6.5 * unit());
        let mut layout = Layout {
            x: Vec::new(),
            y: Vec::new(),
            top: Vec::new(),
            k: Vec::new(),
        };
        for i in 0..count {
            // The first three surround the centre, so that something can balance.
            let angle = if i < 3 {
                TAU * (i as f64 + 0.4 * unit()) / 3.0
            } else {
                TAU * unit()
            };
            let radius = 0.1 + 0.2 * unit();
            layout.x.push(radius * angle.cos());
            layout.y.push(radius * angle.sin());
            layout.k.push(stiffness * (0.3 + unit()));
        }
        let mut random = stream(5, "test", "tops", index);
        for _ in 0..count {
            let normal: f64 = StandardNormal.sample(&mut random);
            layout.top.push(1e-3 + spread * normal);
        }
        layout
    }

    /// Loads push, sum to the load and have no moment, whatever lies where; the search always ends well within its bound, from
    /// any plane.
    #[test]
    fn shares_push_add_up_and_balance() {
        for index in 0..3000 {
            let layout = thrown(index);
            let load = 10f64.powf(-1.0 + 4.5 * (index as f64 * 0.618).fract());
            let far = Plane {
                height: 1.2e-3,
                slope: [2e-3, -1e-3],
            };
            let cold = Plane::default().under(&layout.points(), load, REACH);
            let plane = cold.unwrap_or_else(|| panic!("layout {index} of {}", layout.x.len()));
            let other = far.under(&layout.points(), load, REACH).expect("the same");
            let loads = layout.loads(&plane);
            for (a, b) in loads.iter().zip(layout.loads(&other)) {
                assert!(*a >= 0.0 && (a - b).abs() < 1e-3 * load, "{index}: {a} {b}");
            }
            let stiffness: f64 = layout.k.iter().sum();
            let digits = 1.01 * LEFT * load + 1e-18 * stiffness;
            let sum = |arm: &dyn Fn(usize) -> f64| -> f64 {
                loads.iter().enumerate().map(|(i, f)| f * arm(i)).sum()
            };
            assert!((sum(&|_| 1.0) - load).abs() < digits, "{index}");
            assert!(sum(&|i| layout.x[i]).abs() < digits * REACH, "{index}");
            assert!(sum(&|i| layout.y[i]).abs() < digits * REACH, "{index}");
        }
    }

    /// Three that carry share by their barycentric coordinates, whatever their heights. Source: statics, three equations for three
    /// unknowns.
    #[test]
    fn three_points_share_by_their_barycentric_coordinates() {
        for index in 0..300 {
            let mut layout = thrown(index);
            for list in [&mut layout.x, &mut layout.y, &mut layout.top, &mut layout.k] {
                list.truncate(3);
            }
            let (x, y) = (&layout.x, &layout.y);
            let cross = |i: usize, j: usize| x[i] * y[j] - x[j] * y[i];
            let areas = [cross(1, 2), cross(2, 0), cross(0, 1)];
            let whole: f64 = areas.iter().sum();
            if areas.iter().any(|area| area / whole <= 0.02) {
                continue;
            }
            let plane = Plane::default().under(&layout.points(), 100.0, REACH);
            let loads = layout.loads(&plane.expect("it balances"));
            for (load, area) in loads.iter().zip(areas) {
                assert!((load - 100.0 * area / whole).abs() < 1e-2, "{index}");
            }
        }
    }

    /// Nothing balances a load that lies outside of all points; the search says so.
    #[test]
    fn a_load_beside_all_points_is_not_balanced() {
        let mut layout = thrown(4);
        for x in &mut layout.x {
            *x = abs(*x) + 0.01;
        }
        assert_eq!(Plane::default().under(&layout.points(), 10.0, REACH), None);
        layout.k.fill(0.0);
        assert_eq!(Plane::default().under(&layout.points(), 10.0, REACH), None);
    }
}

//! Parts with corners: a simple polygon about its centroid.
//!
//! Area, centroid and second moments are the sums over the corners that Green's theorem gives (standard formulas of plane figures).

use crate::math::{abs, atan2, cos, hypot, max, min, sin, sqrt};
use std::f64::consts::TAU;

/// Most corners of a polygon.
pub(crate) const MAX_CORNERS: usize = 24;

/// Corners nearer to each other than this count as one, m; a side is as long at least.
const ONE_PLACE: f64 = 1e-5;

/// A simple polygon. It turns in its pocket about its centroid, which is where its corners are counted from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Polygon {
    corners: [[f64; 2]; MAX_CORNERS],
    count: usize,
}

/// Why corners make no part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPolygon {
    /// Fewer than three corners, or more than there is room for.
    Count,
    /// These two corners, from 0, are one place.
    Twice(usize, usize),
    /// The sides that begin at these corners, from 0, cross or touch.
    Crossing(usize, usize),
}

/// What lies to the left of the way from `a` to `b`, over zero, or to its right: twice the area of the triangle with `c`.
fn turn(a: [f64; 2], b: [f64; 2], c: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
}

/// Distance of a place from a side.
fn from_side(place: [f64; 2], [a, b]: [[f64; 2]; 2]) -> f64 {
    let along = [b[0] - a[0], b[1] - a[1]];
    let square = along[0] * along[0] + along[1] * along[1];
    let share = if square > 0.0 {
        ((place[0] - a[0]) * along[0] + (place[1] - a[1]) * along[1]) / square
    } else {
        0.0
    };
    let share = max(min(share, 1.0), 0.0);
    hypot(
        place[0] - a[0] - share * along[0],
        place[1] - a[1] - share * along[1],
    )
}

/// Whether two sides cross.
fn cross([a, b]: [[f64; 2]; 2], [c, d]: [[f64; 2]; 2]) -> bool {
    turn(a, b, c) * turn(a, b, d) < 0.0 && turn(c, d, a) * turn(c, d, b) < 0.0
}

/// Least distance between two sides; zero where they cross.
fn between(one: [[f64; 2]; 2], other: [[f64; 2]; 2]) -> f64 {
    if cross(one, other) {
        return 0.0;
    }
    let ends = one.map(|end| from_side(end, other));
    let others = other.map(|end| from_side(end, one));
    min(min(ends[0], ends[1]), min(others[0], others[1]))
}

impl Polygon {
    /// From its corners in order, either way round, m, wherever they are counted from.
    ///
    /// # Errors
    /// Corners that make no simple polygon.
    pub fn new(corners: &[[f64; 2]]) -> Result<Self, NoPolygon> {
        let count = corners.len();
        if !(3..=MAX_CORNERS).contains(&count) {
            return Err(NoPolygon::Count);
        }
        for (i, one) in corners.iter().enumerate() {
            let same = |other: &[f64; 2]| hypot(other[0] - one[0], other[1] - one[1]) < ONE_PLACE;
            if let Some(j) = corners.iter().take(i).position(same) {
                return Err(NoPolygon::Twice(j, i));
            }
        }
        let side = |i: usize| [corners[i], corners[(i + 1) % count]];
        for i in 0..count {
            // Neighbours share a corner: the far end of the next must be off this side, and not folded back upon it.
            let next = (i + 1) % count;
            let far = side(next)[1];
            if from_side(far, side(i)) < ONE_PLACE || from_side(side(i)[0], side(next)) < ONE_PLACE
            {
                return Err(NoPolygon::Crossing(i, next));
            }
            for j in i + 2..count {
                let neighbours = i == 0 && j + 1 == count;
                if !neighbours && between(side(i), side(j)) < ONE_PLACE {
                    return Err(NoPolygon::Crossing(i, j));
                }
            }
        }
        Ok(Self::about_centroid(corners))
    }

    /// Counted from its centroid, counter-clockwise.
    fn about_centroid(corners: &[[f64; 2]]) -> Self {
        let mut polygon = Self {
            corners: [[0.0; 2]; MAX_CORNERS],
            count: corners.len(),
        };
        // From the first corner: no digits are lost to where the drawing has its origin.
        let [x, y] = corners[0];
        for (own, corner) in polygon.corners.iter_mut().zip(corners) {
            *own = [corner[0] - x, corner[1] - y];
        }
        if polygon.signed_area() < 0.0 {
            polygon.corners[..polygon.count].reverse();
        }
        let area = polygon.signed_area();
        let mut middle = [0.0; 2];
        for [a, b] in polygon.sides() {
            let each = (a[0] * b[1] - b[0] * a[1]) / (6.0 * area);
            middle[0] += (a[0] + b[0]) * each;
            middle[1] += (a[1] + b[1]) * each;
        }
        for corner in &mut polygon.corners[..polygon.count] {
            *corner = [corner[0] - middle[0], corner[1] - middle[1]];
        }
        polygon
    }

    /// The corners from the centroid, m, counter-clockwise. The first axis points away from the carrier's centre where the part is laid
    /// in.
    #[must_use]
    pub fn corners(&self) -> &[[f64; 2]] {
        &self.corners[..self.count]
    }

    /// The sides, each from a corner to the next.
    fn sides(&self) -> impl Iterator<Item = [[f64; 2]; 2]> + '_ {
        let corners = self.corners();
        let next = corners.iter().cycle().skip(1);
        corners.iter().zip(next).map(|(a, b)| [*a, *b])
    }

    fn signed_area(&self) -> f64 {
        let twice: f64 = self.sides().map(|[a, b]| a[0] * b[1] - b[0] * a[1]).sum();
        0.5 * twice
    }

    /// Area, m².
    #[must_use]
    pub fn area(&self) -> f64 {
        abs(self.signed_area())
    }

    /// Distance of the farthest corner from the centroid, m.
    #[must_use]
    pub fn outer_radius(&self) -> f64 {
        let far = |most, corner: &[f64; 2]| max(most, hypot(corner[0], corner[1]));
        self.corners().iter().fold(0.0, far)
    }

    /// Radius of the largest circle about the centroid that lies within, m; 0 where the centroid lies outside.
    #[must_use]
    pub(crate) fn inner_radius(&self) -> f64 {
        max(self.depth([0.0; 2]), 0.0)
    }

    /// Farthest from the centroid along the first axis and along the second, m.
    #[must_use]
    pub fn reach(&self) -> [f64; 2] {
        let far = |axis: usize| {
            let most = |most, corner: &[f64; 2]| max(most, abs(corner[axis]));
            self.corners().iter().fold(0.0, most)
        };
        [far(0), far(1)]
    }

    /// How far within a place is, m from the nearest side; under zero beside the part.
    #[must_use]
    pub fn depth(&self, place: [f64; 2]) -> f64 {
        let mut nearest = f64::INFINITY;
        let mut within = false;
        for [a, b] in self.sides() {
            nearest = min(nearest, from_side(place, [a, b]));
            if (a[1] > place[1]) != (b[1] > place[1]) {
                let x = a[0] + (place[1] - a[1]) / (b[1] - a[1]) * (b[0] - a[0]);
                within ^= place[0] < x;
            }
        }
        if within { nearest } else { -nearest }
    }

    /// Share of the circle of radius `s` (m) about the centroid that lies within, 0..1.
    #[must_use]
    pub(crate) fn filled(&self, s: f64) -> f64 {
        let mut angles = [0.0; 2 * MAX_CORNERS];
        let mut count = 0;
        for [a, b] in self.sides() {
            let along = [b[0] - a[0], b[1] - a[1]];
            // Where `a + t along` is at the distance `s`.
            let square = along[0] * along[0] + along[1] * along[1];
            let half = a[0] * along[0] + a[1] * along[1];
            let rest = a[0] * a[0] + a[1] * a[1] - s * s;
            let root = half * half - square * rest;
            if root <= 0.0 {
                continue;
            }
            for sign in [-1.0, 1.0] {
                let t = (sign * sqrt(root) - half) / square;
                if (0.0..1.0).contains(&t) {
                    angles[count] = atan2(a[1] + t * along[1], a[0] + t * along[0]);
                    count += 1;
                }
            }
        }
        let angles = &mut angles[..count];
        angles.sort_by(f64::total_cmp);
        let holds = |angle: f64| {
            let place = [s * cos(angle), s * sin(angle)];
            self.depth(place) > 0.0
        };
        let Some(last) = angles.last() else {
            return if holds(0.0) { 1.0 } else { 0.0 };
        };
        let mut before = last - TAU;
        let mut sum = 0.0;
        for angle in &*angles {
            if holds(0.5 * (before + angle)) {
                sum += angle - before;
            }
            before = *angle;
        }
        sum / TAU
    }

    /// This polygon at a place, turned, m and rad.
    fn laid(&self, [x, y]: [f64; 2], turned: f64) -> Self {
        let (c, s) = (cos(turned), sin(turned));
        let mut laid = *self;
        for corner in &mut laid.corners[..self.count] {
            *corner = [
                x + corner[0] * c - corner[1] * s,
                y + corner[0] * s + corner[1] * c,
            ];
        }
        laid
    }

    /// What is left between two of these parts whose centroids are at these radii (m) and angles (rad) of their carrier, each with its
    /// first axis outwards, m; under zero by how far they run into each other.
    #[must_use]
    pub fn web(&self, radii: [f64; 2], angles: [f64; 2]) -> f64 {
        let [one, other] = [0, 1].map(|i| {
            let (c, s) = (cos(angles[i]), sin(angles[i]));
            self.laid([radii[i] * c, radii[i] * s], angles[i])
        });
        let mut apart = f64::INFINITY;
        for side in one.sides() {
            for beside in other.sides() {
                apart = min(apart, between(side, beside));
            }
        }
        let within =
            |one: &Self, other: &Self| one.corners().iter().any(|at| other.depth(*at) > 0.0);
        if apart > 1e-12 && !within(&one, &other) && !within(&other, &one) {
            return apart;
        }
        // The shortest way apart is square to some side; of parts with hollows this is what their hulls need.
        let ways = one.sides().chain(other.sides());
        let least = |least: f64, [a, b]: [[f64; 2]; 2]| {
            let far = hypot(b[0] - a[0], b[1] - a[1]);
            let square = [(b[1] - a[1]) / far, (a[0] - b[0]) / far];
            let [low, high] = one.along(square);
            let [from, to] = other.along(square);
            min(least, min(high - from, to - low))
        };
        -max(ways.fold(f64::INFINITY, least), 0.0)
    }

    /// From where to where it reaches along a direction, m.
    fn along(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let reach = self.corners().iter().map(|at| at[0] * x + at[1] * y);
        reach.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], at| {
            [min(low, at), max(high, at)]
        })
    }
}

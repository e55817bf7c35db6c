//! Where the parts lie: which carrier and pocket each has, and where that is as the carriers orbit and spin.
//!
//! The axes stand still with the machine and cross at its centre, under the gimbal. Pieces are dealt round the carriers and, in a
//! carrier, spread over its pockets, as an operator balances a plate.

use super::kinematics::CarrierMotion;
use super::tilt::{Plane, Points};
use crate::math::{atan2, cos, floor, max, sin, sqrt};
use crate::model::{Batch, CIRCLES, Circle, Geometry};
use std::f64::consts::{PI, TAU};
use std::ops::Range;

/// Points of a carrier's rim on which the plate can sit: outermost, innermost and one at each side.
const RIM: usize = 4;

/// The pocket of a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Pocket {
    /// Carrier, from 0, counter-clockwise.
    pub carrier: u32,
    /// Pocket in the carrier, from 0: circle by circle as the batch has them, each counter-clockwise from its first, which points away
    /// from the machine's centre as the carrier is laid in where the circle has no phase.
    pub pocket: u32,
    /// Its circle, from 0.
    pub circle: u32,
    /// Angle to it from the line outwards through the carrier's centre, as the carrier is laid in, rad. All carriers are laid in alike.
    pub angle: f64,
}

/// The pockets of all pieces of a batch, as they are dealt.
#[must_use]
pub fn dealt(geometry: &Geometry, batch: &Batch) -> Vec<Pocket> {
    (0..batch.pieces())
        .map(|piece| pocket_of(geometry, batch, piece))
        .collect()
}

/// Part of so many of a turn, rad.
fn turn(part: u32, of: u32) -> f64 {
    TAU * f64::from(part) / f64::from(of.max(1))
}

/// Pieces on each circle of the batch in the whole machine, as they are dealt.
#[must_use]
pub(super) fn on_circles(geometry: &Geometry, batch: &Batch) -> [u32; CIRCLES] {
    let carriers = geometry.carriers.max(1);
    let (rounds, rest) = (batch.pieces() / carriers, batch.pieces() % carriers);
    let (few, more) = (
        fill(&batch.circles, rounds),
        fill(&batch.circles, rounds + 1),
    );
    std::array::from_fn(|i| (carriers - rest) * few[i] + rest * more[i])
}

/// Which pocket piece number `piece` of the batch has. More pieces than pockets lie on one another.
fn pocket_of(geometry: &Geometry, batch: &Batch, piece: u32) -> Pocket {
    let carriers = geometry.carriers.max(1);
    // What does not go round once more is spread over the carriers.
    let (rounds, rest) = (batch.pieces() / carriers, batch.pieces() % carriers);
    let spread = |index: u32| u64::from(index) * u64::from(carriers) / u64::from(rest.max(1));
    let dealt = rounds * carriers;
    let (carrier, round) = if piece < dealt {
        (u64::from(piece % carriers), piece / carriers)
    } else {
        (spread(piece - dealt), rounds)
    };
    let one_more = (0..rest).any(|index| spread(index) == carrier);
    let here = (rounds + u32::from(one_more)).max(1);
    Pocket {
        carrier: narrow(carrier),
        ..in_carrier(&batch.circles, here, round)
    }
}

/// No more than the files' 32-bit numbers.
fn narrow(number: u64) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Circles from outside inwards; of equals the first.
fn inwards(circles: &[Circle]) -> [usize; CIRCLES] {
    let mut order = std::array::from_fn(|i| i);
    let radius = |i: &usize| circles.get(*i).map_or(-1.0, |circle| circle.radius);
    order.sort_by(|one, other| radius(other).total_cmp(&radius(one)));
    order
}

/// How many of the `here` pieces of a carrier lie on each of its circles: the outer ones first, so that the plate rests far out, each
/// with as many as balance on it where the circles inside have room for the others.
fn fill(circles: &[Circle], here: u32) -> [u32; CIRCLES] {
    let mut filled = [0; CIRCLES];
    let mut left = here;
    let order = inwards(circles);
    let pockets = |i: usize| circles.get(i).map_or(0, |circle| circle.pockets);
    for (n, &i) in order.iter().enumerate() {
        let inside = order[n + 1..].iter().map(|&i| pockets(i));
        let most = left.min(pockets(i));
        let least = left.saturating_sub(inside.fold(0, u32::saturating_add));
        let even = |count: &u32| {
            circles
                .get(i)
                .is_some_and(|circle| balances(circle, *count))
        };
        filled[i] = (least.min(most)..=most).rev().find(even).unwrap_or(most);
        left -= filled[i];
    }
    // More than there are pockets.
    filled[order[0]] += left;
    filled
}

/// Whether so many pieces balance on a circle: spread evenly, or with the gaps between them spread evenly.
fn balances(circle: &Circle, count: u32) -> bool {
    let even = |count: u32| count == 0 || count > 1 && circle.pockets.is_multiple_of(count);
    circle.radius == 0.0 || even(count) || even(circle.pockets - count)
}

/// The pocket of piece number `round` of the `here` in a carrier.
fn in_carrier(circles: &[Circle], here: u32, round: u32) -> Pocket {
    let filled = fill(circles, here);
    let mut round = round;
    for i in inwards(circles) {
        let Some(circle) = circles.get(i) else {
            continue;
        };
        if round < filled[i] {
            let place = u64::from(round) * u64::from(circle.pockets) / u64::from(filled[i]);
            let place = narrow(place);
            let before = circles[..i].iter().map(|circle| circle.pockets);
            return Pocket {
                carrier: 0,
                pocket: before.fold(place, u32::saturating_add),
                circle: narrow(i as u64),
                angle: circle.phase + turn(place, circle.pockets),
            };
        }
        round -= filled[i];
    }
    Pocket::default()
}

/// Where a piece lies as the carriers are laid in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LaidIn {
    /// Its pocket.
    pub pocket: Pocket,
    /// Along and across the machine from its centre, m.
    pub place: [f64; 2],
    /// Direction in which the pocket lies from its carrier's centre, rad from the machine's first axis.
    pub turned: f64,
}

/// Where all pieces of a batch lie as the carriers are laid in, in pocket order, dummies last.
#[must_use]
pub fn laid_in(geometry: &Geometry, batch: &Batch) -> Vec<LaidIn> {
    let places = Places::new(geometry, batch);
    let lies = |(i, pocket): (usize, &Pocket)| LaidIn {
        pocket: *pocket,
        place: [places.x[i], places.y[i]],
        turned: turn(pocket.carrier, geometry.carriers) + pocket.angle,
    };
    places.pocket.iter().enumerate().map(lies).collect()
}

/// Largest share of the load that one piece can carry, whatever the pieces' heights, while the load stays over the centre: 0..1.
///
/// A piece that carries the share `s` at radius `r` is balanced by the others, whose load acts opposite at `d`: `s r = (1 - s) d`. So
/// one carries most near the centre, against others far out. The nearest is at `e - ρ`. Opposite to it the outline of all pockets,
/// however the carriers are turned, is as far as `e + ρ` where a carrier stands there (an even number of carriers), otherwise
/// `e cos(π/q) + ρ`. Three points that carry share by their barycentric coordinates, so no three exceed it, nor do more.
#[must_use]
pub fn worst_share(geometry: &Geometry, batch: &Batch) -> f64 {
    if batch.pieces() < 3 || geometry.carriers < 2 {
        return 1.0;
    }
    let (orbit, rho) = (geometry.radius_orbit(), batch.outermost());
    let near = orbit - rho;
    let far = orbit * opposite(geometry) + rho;
    if near > 0.0 { far / (far + near) } else { 1.0 }
}

/// Share of the load that the outermost piece takes when it stands out so far that it and two others carry all, as the carriers are
/// laid in: how much of its extra height lifts the middle of the plate. Any piece farther in takes more. 1 where nothing balances it.
#[must_use]
pub fn outermost_share(geometry: &Geometry, batch: &Batch) -> f64 {
    let places = Places::new(geometry, batch);
    let count = places.count;
    // Any height, stiffness and load will do by which the others hardly give.
    let (out, stiff, load) = (1e-3, 1e9, 1.0);
    let (mut outermost, mut farthest) = (0, 0.0);
    for (i, (x, y)) in places.x.iter().zip(&places.y).take(count).enumerate() {
        let square = x * x + y * y;
        // Of pieces as far out as each other the first, whatever the last digits say.
        if square > farthest * (1.0 + 1e-9) {
            (outermost, farthest) = (i, square);
        }
    }
    let mut top = vec![0.0; count];
    if let Some(outermost) = top.get_mut(outermost) {
        *outermost = out;
    }
    let k = vec![stiff; count];
    let points = Points {
        x: &places.x[..count],
        y: &places.y[..count],
        top: &top,
        k: &k,
    };
    let mut loads = vec![0.0; count];
    match Plane::default().under(&points, load, places.reach) {
        Some(plane) => points.loads(&plane, 1.0, &mut loads),
        None => return 1.0,
    }
    loads.get(outermost).map_or(1.0, |share| share / load)
}

/// How far the middle of what all pieces carry alike comes from the gimbal at most as the carriers turn, m.
#[must_use]
pub fn off_centre(geometry: &Geometry, batch: &Batch) -> f64 {
    let places = Places::new(geometry, batch);
    places.off_centre(&vec![1.0; places.count])
}

/// Positions of a turn of the carriers in their orbit at which the pieces are looked at.
const LOOKED_AT: u32 = 180;

/// Widest gap between the directions in which the pieces lie from the machine's centre, over a turn of the carriers, rad. From half a
/// turn on all lie on one side.
#[must_use]
pub fn surrounded(geometry: &Geometry, batch: &Batch) -> f64 {
    let mut places = Places::new(geometry, batch);
    let mut widest = 0.0;
    let step = CarrierMotion {
        orbit: 0.0,
        spin: TAU / f64::from(LOOKED_AT),
    };
    let mut directions = Vec::with_capacity(places.count);
    for _ in 0..LOOKED_AT {
        directions.clear();
        let all = places.x.iter().zip(&places.y).take(places.count);
        directions.extend(all.map(|(x, y)| atan2(*y, *x)));
        directions.sort_by(f64::total_cmp);
        let first = directions.first().copied().unwrap_or(0.0);
        let next = directions.iter().skip(1).copied().chain([first + TAU]);
        for (one, other) in directions.iter().zip(next) {
            widest = max(widest, other - one);
        }
        places.turn(step, 1.0);
    }
    widest
}

/// How far the carriers' centres reach opposite to one of them, as a share of their orbit.
fn opposite(geometry: &Geometry) -> f64 {
    if geometry.carriers.is_multiple_of(2) {
        1.0
    } else {
        cos(PI / f64::from(geometry.carriers))
    }
}

/// Pieces that follow each other on one circle, and the circle.
fn runs_on_circles(pockets: &[Pocket]) -> Vec<(Range<usize>, usize)> {
    let mut runs: Vec<(Range<usize>, usize)> = Vec::new();
    for (piece, pocket) in pockets.iter().enumerate() {
        let circle = pocket.circle as usize;
        match runs.last_mut() {
            Some((run, of)) if *of == circle => run.end = piece + 1,
            _ => runs.push((piece..piece + 1, circle)),
        }
    }
    runs
}

/// Places of the pieces and of the carriers' rims.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Places {
    /// Centres of the carriers, before they orbit, m.
    centre: [Vec<f64>; 2],
    /// Pockets, and rim points, from the carrier's centre, before it spins, m.
    offset: [Vec<f64>; 2],
    /// Pieces first, then the rims.
    pub x: Vec<f64>,
    pub y: Vec<f64>,
    orbit: f64,
    spin: f64,
    /// Pieces.
    pub count: usize,
    /// Largest distance of anything from the centre, m.
    pub reach: f64,
    pocket: Vec<Pocket>,
    /// Pieces that follow each other on one circle, and the circle.
    pub runs_on_circles: Vec<(Range<usize>, usize)>,
    /// Carriers, and pieces on the fullest of them.
    carriers: usize,
    pub most_on_a_carrier: f64,
}

impl Places {
    pub(crate) fn new(geometry: &Geometry, batch: &Batch) -> Self {
        let (orbit, carriers) = (geometry.radius_orbit(), geometry.carriers.max(1));
        let pocket = dealt(geometry, batch);
        let mut places = Self {
            centre: [Vec::new(), Vec::new()],
            offset: [Vec::new(), Vec::new()],
            x: Vec::new(),
            y: Vec::new(),
            orbit: 0.0,
            spin: 0.0,
            count: pocket.len(),
            reach: orbit + geometry.radius_carrier(),
            pocket: Vec::new(),
            runs_on_circles: runs_on_circles(&pocket),
            carriers: carriers as usize,
            most_on_a_carrier: f64::from(batch.pieces().div_ceil(carriers)),
        };
        for place in &pocket {
            let angle = turn(place.carrier, carriers);
            let own = angle + place.angle;
            let circle = batch.circles.get(place.circle as usize);
            let radius = circle.map_or(0.0, |circle| circle.radius);
            places.put(orbit, angle, radius, own);
        }
        for carrier in 0..carriers {
            let angle = turn(carrier, carriers);
            for point in 0..RIM as u32 {
                let own = angle + turn(point, RIM as u32);
                places.put(orbit, angle, geometry.radius_carrier(), own);
            }
        }
        places.pocket = pocket;
        places.place();
        places
    }

    fn put(&mut self, orbit: f64, angle: f64, radius: f64, own: f64) {
        self.centre[0].push(orbit * cos(angle));
        self.centre[1].push(orbit * sin(angle));
        self.offset[0].push(radius * cos(own));
        self.offset[1].push(radius * sin(own));
        self.x.push(0.0);
        self.y.push(0.0);
    }

    /// Carries everything on for so long, s.
    pub(crate) fn turn(&mut self, motion: CarrierMotion, seconds: f64) {
        if motion.orbit == 0.0 && motion.spin == 0.0 {
            return;
        }
        self.orbit = within_a_turn(self.orbit + motion.orbit * seconds);
        self.spin = within_a_turn(self.spin + motion.spin * seconds);
        self.place();
    }

    fn place(&mut self) {
        let [oc, os] = [cos(self.orbit), sin(self.orbit)];
        let [sc, ss] = [cos(self.spin), sin(self.spin)];
        let n = self.x.len();
        let ([cx, cy], [dx, dy]) = (&self.centre, &self.offset);
        let (cx, cy, dx, dy) = (&cx[..n], &cy[..n], &dx[..n], &dy[..n]);
        let (x, y) = (&mut self.x[..n], &mut self.y[..n]);
        for i in 0..n {
            x[i] = cx[i] * oc - cy[i] * os + dx[i] * sc - dy[i] * ss;
            y[i] = cx[i] * os + cy[i] * oc + dx[i] * ss + dy[i] * sc;
        }
    }

    /// How far the middle of these stiffnesses (N/m, of the pieces) comes from the gimbal at most, m, as the carriers turn: that of
    /// their carriers' centres goes with the orbit, and about it that of the pockets with the spin.
    pub(crate) fn off_centre(&self, k: &[f64]) -> f64 {
        let whole: f64 = k.iter().sum();
        if whole <= 0.0 {
            return 0.0;
        }
        let far = |[x, y]: &[Vec<f64>; 2]| {
            let sum = |list: &[f64]| list.iter().zip(k).map(|(x, k)| x * k).sum::<f64>();
            let (x, y) = (sum(x), sum(y));
            sqrt(x * x + y * y) / whole
        };
        far(&self.centre) + far(&self.offset)
    }

    /// Pieces in the order in which one carrier after the other is filled, pocket by pocket.
    pub(crate) fn in_order(&self) -> Vec<usize> {
        let mut order: Vec<usize> = (0..self.count).collect();
        order.sort_by_key(|&i| (self.pocket[i].carrier, self.pocket[i].pocket, i));
        order
    }

    /// Largest share of the load that one carrier's pieces have, with these loads, N; 0..1.
    pub(crate) fn carrier_share(&self, loads: &[f64]) -> f64 {
        let of = |carrier: usize| {
            let pieces = self.pocket.iter().zip(loads);
            pieces
                .filter(|(pocket, _)| pocket.carrier as usize == carrier)
                .map(|(_, load)| load)
                .sum::<f64>()
        };
        let most = (0..self.carriers).map(of).fold(0.0, max);
        let all: f64 = loads.iter().sum();
        if all > 0.0 { most / all } else { 0.0 }
    }

    /// The pocket of a piece.
    pub(crate) fn pocket(&self, piece: usize) -> Pocket {
        self.pocket.get(piece).copied().unwrap_or_default()
    }
}

/// An angle without whole turns, so that it keeps its digits for ever, rad.
fn within_a_turn(angle: f64) -> f64 {
    angle - TAU * floor(angle / TAU)
}

#[cfg(test)]
mod tests;

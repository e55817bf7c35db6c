//! Where the parts lie: which carrier and pocket each has, and where that is as the carriers orbit and spin.
//!
//! The axes stand still with the machine and cross at its centre, under the gimbal. Pieces are dealt round the carriers and, in a
//! carrier, spread over its pockets, as an operator balances a plate.

use super::kinematics::CarrierMotion;
use crate::math::{cos, floor, sin};
use crate::model::{Batch, Geometry};
use std::f64::consts::{PI, TAU};

/// Points of a carrier's rim on which the plate can sit: outermost, innermost and one at each side.
const RIM: usize = 4;

/// The pocket of a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Pocket {
    /// Carrier, from 0, counter-clockwise.
    pub carrier: u32,
    /// Pocket in the carrier, from 0, counter-clockwise; number 0 points away from the machine's centre as the carrier is laid in.
    pub pocket: u32,
}

/// Which pocket piece number `piece` of `pieces` has. More pieces than pockets lie on one another.
#[must_use]
pub fn pocket_of(geometry: &Geometry, batch: &Batch, piece: u32) -> Pocket {
    let carriers = geometry.carriers.max(1);
    let carrier = piece % carriers;
    // Pieces on this carrier, this one among them.
    let here = (batch.pieces().max(piece + 1) - carrier).div_ceil(carriers);
    let pocket = u64::from(piece / carriers) * u64::from(batch.pockets.max(1)) / u64::from(here);
    Pocket {
        carrier,
        pocket: u32::try_from(pocket).unwrap_or(0),
    }
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
    let (orbit, rho) = (geometry.radius_orbit(), batch.pocket_radius);
    let near = orbit - rho;
    let far = orbit * opposite(geometry) + rho;
    if near > 0.0 { far / (far + near) } else { 1.0 }
}

/// Least share of the load that a piece carries which stands out from the others so far that it and two others carry all: how much
/// of its extra height lifts the middle of the plate. It is least where the piece is outermost and its opposites are nearest.
#[must_use]
pub fn least_share(geometry: &Geometry, batch: &Batch) -> f64 {
    let (orbit, rho) = (geometry.radius_orbit(), batch.pocket_radius);
    // However a carrier is turned, its outermost piece is so far out of its centre.
    let here = batch.pockets.min(batch.pieces() / geometry.carriers.max(1));
    let out = if here == 0 {
        -1.0
    } else {
        cos(PI / f64::from(here))
    };
    let far = (orbit + rho * out) * cos(PI / f64::from(geometry.carriers.max(2)));
    if far > 0.0 {
        far / (far + orbit + rho)
    } else {
        0.0
    }
}

/// How far the carriers' centres reach opposite to one of them, as a share of their orbit.
fn opposite(geometry: &Geometry) -> f64 {
    if geometry.carriers.is_multiple_of(2) {
        1.0
    } else {
        cos(PI / f64::from(geometry.carriers))
    }
}

/// Places of the pieces and of the carriers' rims.
#[derive(Clone, Debug)]
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
}

impl Places {
    pub fn new(geometry: &Geometry, batch: &Batch) -> Self {
        let (orbit, carriers) = (geometry.radius_orbit(), geometry.carriers.max(1));
        let pocket: Vec<Pocket> = (0..batch.pieces())
            .map(|piece| pocket_of(geometry, batch, piece))
            .collect();
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
        };
        let turn = |part: u32, of: u32| TAU * f64::from(part) / f64::from(of.max(1));
        for place in &pocket {
            let angle = turn(place.carrier, carriers);
            let own = angle + turn(place.pocket, batch.pockets);
            places.put(orbit, angle, batch.pocket_radius, own);
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
    pub fn turn(&mut self, motion: CarrierMotion, seconds: f64) {
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

    /// The pocket of a piece.
    pub fn pocket(&self, piece: usize) -> Pocket {
        self.pocket.get(piece).copied().unwrap_or_default()
    }
}

/// An angle without whole turns, so that it keeps its digits for ever, rad.
fn within_a_turn(angle: f64) -> f64 {
    angle - TAU * floor(angle / TAU)
}

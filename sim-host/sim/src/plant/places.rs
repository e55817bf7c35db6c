//! Where the parts lie: which carrier and pocket each has, and where that is as the carriers orbit and spin.
//!
//! The axes stand still with the machine and cross at its centre, under the gimbal. Pieces are dealt round the carriers and, in a
//! carrier, spread over its pockets, as an operator balances a plate.

use super::kinematics::CarrierMotion;
use super::tilt::{Plane, Points};
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
    let pocket = u64::from(round) * u64::from(batch.pockets.max(1)) / u64::from(here);
    // Both are no more than the files' 32-bit numbers.
    let narrow = |number: u64| u32::try_from(number).unwrap_or(u32::MAX);
    Pocket {
        carrier: narrow(carrier),
        pocket: narrow(pocket),
    }
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
    let turn = |part: u32, of: u32| TAU * f64::from(part) / f64::from(of.max(1));
    let lies = |(i, pocket): (usize, &Pocket)| LaidIn {
        pocket: *pocket,
        place: [places.x[i], places.y[i]],
        turned: turn(pocket.carrier, geometry.carriers) + turn(pocket.pocket, batch.pockets),
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
    let (orbit, rho) = (geometry.radius_orbit(), batch.pocket_radius);
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
    let mut top = vec![0.0; count];
    if let Some(first) = top.first_mut() {
        *first = out;
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
    loads.first().map_or(1.0, |first| first / load)
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
    pub(crate) fn new(geometry: &Geometry, batch: &Batch) -> Self {
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
mod tests {
    use super::*;
    use crate::demo;

    fn dealt(pieces: u32, pockets: u32) -> Vec<(u32, u32)> {
        let (machine, mut batch, _) = demo::set("glass-f800");
        (batch.parts, batch.pockets) = (pieces, pockets);
        (0..pieces)
            .map(|piece| pocket_of(&machine.geometry, &batch, piece))
            .map(|place| (place.carrier, place.pocket))
            .collect()
    }

    /// No pocket twice, carriers alike to one piece, and what is left over spread over them.
    #[test]
    fn pieces_are_dealt_as_an_operator_balances_a_plate() {
        for pieces in 1..=20 {
            let all = dealt(pieces, 4);
            let mut each = all.clone();
            each.sort_unstable();
            each.dedup();
            assert_eq!(each.len(), all.len(), "{all:?}");
            let on = |carrier| all.iter().filter(|place| place.0 == carrier).count();
            let counts: Vec<usize> = (0..5).map(on).collect();
            let (least, most) = (counts.iter().min(), counts.iter().max());
            assert!(most.unwrap() - least.unwrap() <= 1, "{counts:?}");
        }
        // Three on five carriers surround the centre; two in four pockets lie opposite.
        assert_eq!(dealt(3, 4), [(0, 0), (1, 0), (3, 0)]);
        assert_eq!(dealt(10, 4)[5], (0, 2));
        assert_eq!(dealt(15, 3)[14], (4, 2));
    }

    /// A carrier's orbit and spin carry its pockets along; a whole turn of both brings them back.
    #[test]
    fn pockets_go_where_orbit_and_spin_take_them() {
        let (machine, batch, _) = demo::set("glass-f800");
        let mut places = Places::new(&machine.geometry, &batch);
        let e = machine.geometry.radius_orbit();
        let rho = batch.pocket_radius;
        let start = (places.x.clone(), places.y.clone());
        assert!((start.0[0] - e - rho).abs() < 1e-12 && start.1[0].abs() < 1e-12);
        let quarter = CarrierMotion {
            orbit: 0.5 * PI,
            spin: -0.5 * PI,
        };
        places.turn(quarter, 1.0);
        // The carrier is at the top now, its first pocket points down.
        assert!(places.x[0].abs() < 1e-12 && (places.y[0] - e + rho).abs() < 1e-12);
        for _ in 0..7 {
            places.turn(quarter, 1.0);
        }
        for (now, then) in places.x.iter().zip(&start.0) {
            assert!((now - then).abs() < 1e-12);
        }
        // The rim is where the carriers' teeth are, and nothing is farther out.
        for (x, y) in places.x.iter().zip(&places.y) {
            assert!(x.hypot(*y) <= places.reach + 1e-12);
        }
    }

    /// By hand: in a row of three carriers with one piece each a third; two of four and more beside.
    #[test]
    fn worst_shares_by_hand() {
        let (machine, mut batch, _) = demo::set("glass-f800");
        let mut geometry = machine.geometry;
        batch.pocket_radius = 0.0;
        for (carriers, expected) in [(3, 1.0 / 3.0), (4, 0.5), (5, 0.447_213_6)] {
            geometry.carriers = carriers;
            // cos(36°)/(1 + cos(36°)) = 1/√5.
            let share = worst_share(&geometry, &batch);
            assert!((share - expected).abs() < 1e-6, "{carriers}: {share}");
        }
        batch.parts = 2;
        assert_eq!(worst_share(&geometry, &batch), 1.0);
    }
}

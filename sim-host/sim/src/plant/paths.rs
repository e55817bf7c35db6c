//! Paths of a carrier's points over a plate, and how parts on such paths wear it: closed forms, derived and not fitted.
//!
//! `R` is the radius on which carrier centres travel, `rho` the distance of a point from its carrier's centre. The angle `psi`
//! between the two turns at `spin - orbit`, so that it is uniform in time (or, where the carriers do not turn in their orbit,
//! uniform over the parts around a carrier), and `r^2 = R^2 + rho^2 + 2 R rho cos psi`.

use super::circles::Circles;
use super::kinematics::CarrierMotion;
use crate::math::{abs, acos, cos, limit, max, min, nearest, sqrt};
use crate::model::{Batch, Geometry, Outline};
use std::f64::consts::{PI, TAU};

/// Path of one point of a carrier, seen from the plate: radii in m.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// Radius on which carrier centres travel, m, over zero.
    pub orbit: f64,
    /// Distance of the point from its carrier's centre, m.
    pub rho: f64,
}

impl Path {
    /// Smallest and largest plate radius under the point, m.
    #[must_use]
    pub fn ends(self) -> [f64; 2] {
        [abs(self.orbit - self.rho), self.orbit + self.rho]
    }

    /// Share of its time that the point spends within plate radius `r`, 0..1: the integral of the density
    /// `f(r) = 2 r/(pi sqrt((r^2 - (R - rho)^2)((R + rho)^2 - r^2)))`, which has no bound at its ends, where the integral stays finite.
    #[must_use]
    pub fn within(self, r: f64) -> f64 {
        let lever = 2.0 * self.orbit * self.rho;
        let over = r * r - self.orbit * self.orbit - self.rho * self.rho;
        if lever > 0.0 {
            1.0 - acos(limit(over / lever, -1.0, 1.0)) / PI
        } else if over < 0.0 {
            0.0
        } else {
            1.0
        }
    }
}

/// Share of the plate's circle of radius `r` that a full disc of radius `a` covers, whose centre is at `orbit`:
/// `arccos((r^2 + R^2 - a^2)/(2 R r))/pi`. All in m, `r` and `orbit` over zero.
#[must_use]
pub(super) fn coverage(r: f64, orbit: f64, a: f64) -> f64 {
    acos(limit(
        (r * r + orbit * orbit - a * a) / (2.0 * orbit * r),
        -1.0,
        1.0,
    )) / PI
}

/// Turning of orbit and carrier against one plate, rad/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Turning {
    /// `alpha`: orbit less plate.
    pub orbit: f64,
    /// `beta`: carrier less plate.
    pub spin: f64,
}

impl Turning {
    /// Of carriers in `motion` against a plate at `plate` rad/s.
    #[must_use]
    pub fn new(motion: CarrierMotion, plate: f64) -> Self {
        Self {
            orbit: motion.orbit - plate,
            spin: motion.spin - plate,
        }
    }

    /// Slope of the squared sliding speed over the squared plate radius, 1/s²: `alpha beta`. Over zero the plate slides faster
    /// outside, under zero faster inside.
    #[must_use]
    pub fn slope(self) -> f64 {
        self.orbit * self.spin
    }

    /// Sliding speed at plate radius `r`, m/s: `v^2 = alpha beta r^2 + (alpha - beta)(alpha R^2 - beta rho^2)`.
    #[must_use]
    pub fn speed(self, path: Path, r: f64) -> f64 {
        let own = self.orbit * path.orbit * path.orbit - self.spin * path.rho * path.rho;
        let square = self.slope() * r * r + (self.orbit - self.spin) * own;
        if square > 0.0 { sqrt(square) } else { 0.0 }
    }
}

/// Rings of equal width that a plate's face is cut into. Enough that the averages over a ring are within 1 % of the local value
/// wherever parts do not end.
pub const RINGS: usize = 40;

/// The rings of one plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rings {
    inner: f64,
    width: f64,
}

impl Rings {
    /// From inner to outer edge of the plates.
    #[must_use]
    pub fn new(geometry: &Geometry) -> Self {
        let inner = geometry.plate_inner / 2.0;
        Self {
            inner,
            width: (geometry.plate_outer / 2.0 - inner) / RINGS as f64,
        }
    }

    /// Inner edge of ring `j`, m; with `j` as many as there are rings, the plate's outer edge.
    #[must_use]
    pub fn edge(self, j: usize) -> f64 {
        self.inner + self.width * j as f64
    }

    /// Middle of ring `j`, m.
    #[must_use]
    pub fn middle(self, j: usize) -> f64 {
        self.edge(j) + 0.5 * self.width
    }

    /// Area of ring `j`, m².
    #[must_use]
    pub fn area(self, j: usize) -> f64 {
        TAU * self.middle(j) * self.width
    }

    /// Adds to `weights` what reads a height at radius `r` from the heights of the rings, times `weight`: the straight line between
    /// the middles of two rings, and beyond the plate's edges the line of the last two.
    pub(super) fn spread_on(self, r: f64, weight: f64, weights: &mut [f64; RINGS]) {
        let place = (r - self.middle(0)) / self.width;
        let first = (max(place, 0.0) as usize).min(RINGS - 2);
        let beyond = place - first as f64;
        weights[first] += weight * (1.0 - beyond);
        weights[first + 1] += weight * beyond;
    }

    /// The ring that holds radius `r`, or the nearest.
    #[must_use]
    pub fn holding(self, r: f64) -> usize {
        let place = (r - self.inner) / self.width;
        if place > 0.0 {
            (place as usize).min(RINGS - 1)
        } else {
            0
        }
    }
}

/// Classes of distance from the carrier's centre within which one sliding speed stands for all, and finer ones, a whole number in
/// each, that say where on the plate they are: time crowds at the ends of a path, speed does not.
pub const CLASSES: usize = 16;
const FINER: usize = 8;
const FINE: usize = CLASSES * FINER;
/// Points a side of the polar grid that a footprint is sampled on.
const SAMPLES: usize = 64;

/// A small share of what rubs on a plate.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct Share {
    /// Mean distance from the carrier's centre, m, and mean of its square, m².
    rho: f64,
    square: f64,
    /// m².
    area: f64,
}

/// What rubs on a plate: its area by distance from the carrier's centre. A part turns in its pocket, so its outline counts by the
/// share of each circle about its own centre that it fills.
#[derive(Clone, Debug, PartialEq)]
pub struct Footprint {
    /// [`FINE`] classes for each circle of pockets, from inside outwards.
    fine: Vec<Share>,
}

impl Footprint {
    /// Of one part in a pocket whose centre is `pocket` from the carrier's centre, m.
    #[must_use]
    pub fn of_part(outline: Outline, pocket: f64) -> Self {
        let radius = outline.outer_radius();
        let inner = max(pocket - radius, 0.0);
        let class_width = (pocket + radius - inner) / FINE as f64;
        let mut fine = vec![Share::default(); FINE];
        let ring_step = radius / SAMPLES as f64;
        let mut cosines = [0.0; SAMPLES];
        for (j, cosine) in cosines.iter_mut().enumerate() {
            *cosine = cos(PI * (j as f64 + 0.5) / SAMPLES as f64);
        }
        for i in 0..SAMPLES {
            let s = ring_step * (i as f64 + 0.5);
            let area = TAU * s * ring_step / SAMPLES as f64 * filled(outline, s);
            for cosine in cosines {
                let square = max(pocket * pocket + s * s + 2.0 * pocket * s * cosine, 0.0);
                let rho = sqrt(square);
                let class = ((rho - inner) / class_width) as usize;
                let share = &mut fine[class.min(FINE - 1)];
                share.rho += rho * area;
                share.square += square * area;
                share.area += area;
            }
        }
        // What the polar grid missed of the area is spread alike.
        let found: f64 = fine.iter().map(|share| share.area).sum();
        let scale = if found > 0.0 {
            outline.area() / found
        } else {
            0.0
        };
        for share in &mut fine {
            if share.area > 0.0 {
                share.rho /= share.area;
                share.square /= share.area;
            }
            share.area *= scale;
        }
        Self { fine }
    }

    /// Of all pieces of a batch: what lies on its circles, added up.
    #[must_use]
    pub fn of_batch(geometry: &Geometry, batch: &Batch) -> Self {
        let circles = Circles::new(geometry, batch);
        let all = circles.iter().filter(|(_, pieces)| *pieces > 0.0);
        let fine = all
            .flat_map(|(radius, pieces)| Self::of_part(batch.outline, radius).times(pieces).fine);
        Self {
            fine: fine.collect(),
        }
    }

    /// Of so many alike.
    #[must_use]
    pub fn times(mut self, pieces: f64) -> Self {
        for share in &mut self.fine {
            share.area *= pieces;
        }
        self
    }

    /// Area, m².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.fine.iter().map(|share| share.area).sum()
    }

    /// The area in `N` shares from inside outwards, of each the root mean square of its distance from the carrier's centre, m, and its
    /// weight: `N` times its part of the area. Shares are equal but where circles of pockets leave a gap: none reaches over it.
    #[must_use]
    pub fn radii<const N: usize>(&self) -> [[f64; 2]; N] {
        let mut radii = [[0.0; 2]; N];
        let mut outwards = self.fine.clone();
        outwards.retain(|share| share.area > 0.0);
        outwards.sort_by(|one, other| one.rho.total_cmp(&other.rho));
        let span = match (outwards.first(), outwards.last()) {
            (Some(first), Some(last)) => last.rho - first.rho,
            _ => 0.0,
        };
        // A gap is wider than a share is in the mean.
        let together = |one: &Share, other: &Share| other.rho - one.rho <= span / N as f64;
        let bands: Vec<&[Share]> = outwards.chunk_by(together).collect();
        let whole = self.area();
        let (mut free, mut open) = (&mut radii[..], whole);
        for (i, band) in bands.iter().enumerate() {
            let area: f64 = band.iter().map(|share| share.area).sum();
            // Its due of those that are left, and one for each band that comes after.
            let most = free.len().saturating_sub(bands.len() - i - 1);
            let due = usize::try_from(nearest(free.len() as f64 * area / open)).unwrap_or(0);
            let last = i + 1 == bands.len();
            let here = if last { most } else { due.min(most).max(1) };
            let (mine, rest) = free.split_at_mut(here.min(free.len()));
            cut(band, area, mine);
            for radius in mine {
                radius[1] = area / whole * (N as f64 / here as f64);
            }
            (free, open) = (rest, open - area);
        }
        radii
    }
}

/// Cuts classes, from inside outwards, into equal shares; gives each the root mean square of its distance from the carrier's centre, m.
fn cut(band: &[Share], area: f64, into: &mut [[f64; 2]]) {
    let due = area / into.len() as f64;
    let mut classes = band.iter();
    let mut left = Share::default();
    for radius in into {
        let (mut held, mut sum) = (0.0, 0.0);
        while held < due {
            if left.area <= 0.0 {
                match classes.next() {
                    Some(next) => left = *next,
                    None => break,
                }
            }
            let taken = min(left.area, due - held);
            sum += taken * left.square;
            held += taken;
            left.area -= taken;
        }
        radius[0] = if held > 0.0 { sqrt(sum / held) } else { 0.0 };
    }
}

/// Share of the circle of radius `s` about a part's centre that the part fills, 0..1.
#[must_use]
pub fn filled(outline: Outline, s: f64) -> f64 {
    let inside = |yes| if yes { 1.0 } else { 0.0 };
    match outline {
        Outline::Disc { diameter } => inside(s <= diameter / 2.0),
        Outline::Ring { outer, inner } => inside(s <= outer / 2.0 && s >= inner / 2.0),
        Outline::Rectangle { length, width } => {
            let cut = |half: f64| if s > half { acos(half / s) } else { 0.0 };
            let open = 1.0 - (cut(length / 2.0) + cut(width / 2.0)) * 2.0 / PI;
            if open > 0.0 { open } else { 0.0 }
        }
        Outline::Polygon(polygon) => polygon.filled(s),
    }
}

/// Where a footprint rubs on a plate, ring by ring, and what it wears off it.
#[derive(Clone, Debug, PartialEq)]
pub struct Rub {
    rings: Rings,
    orbit: f64,
    /// Mean distance from the carrier's centre of each class, m; as many classes for each circle of pockets.
    rho: Vec<f64>,
    /// Area in contact in each ring over the ring's area, by class; a class runs over all rings.
    share: Vec<[f64; RINGS]>,
    /// The same of all classes: how much of a ring is under parts at any moment, 0..1.
    pub covered: [f64; RINGS],
}

impl Rub {
    /// Of all that the footprint holds.
    #[must_use]
    pub fn new(geometry: &Geometry, footprint: &Footprint) -> Self {
        let (rings, orbit) = (Rings::new(geometry), geometry.radius_orbit());
        let classes = footprint.fine.len() / FINER;
        let mut share = vec![[0.0; RINGS]; classes];
        let mut rho = vec![0.0; classes];
        let mut covered = [0.0; RINGS];
        let classes = footprint.fine.chunks_exact(FINER).zip(&mut share);
        for ((fine, shares), rho) in classes.zip(&mut rho) {
            let mut held = 0.0;
            for part in fine.iter().filter(|part| part.area > 0.0) {
                let Share {
                    rho: distance,
                    area,
                    ..
                } = *part;
                held += area;
                *rho += distance * area;
                let path = Path {
                    orbit,
                    rho: distance,
                };
                let mut before = path.within(rings.edge(0));
                for (j, share) in shares.iter_mut().enumerate() {
                    let within = path.within(rings.edge(j + 1));
                    *share += area * (within - before) / rings.area(j);
                    before = within;
                }
            }
            if held > 0.0 {
                *rho /= held;
            }
            for (covered, share) in covered.iter_mut().zip(shares) {
                *covered += *share;
            }
        }
        Self {
            rings,
            orbit,
            rho,
            share,
            covered,
        }
    }

    /// Area that rubs in each ring, m².
    #[must_use]
    pub(super) fn areas(&self) -> [f64; RINGS] {
        std::array::from_fn(|j| self.covered[j] * self.rings.area(j))
    }

    /// The rings of the plate.
    #[must_use]
    pub const fn rings(&self) -> Rings {
        self.rings
    }

    /// Sliding path per second at each ring times the share of it that is covered, m/s: with pressure and coefficient of wear, the
    /// rate at which the ring wears. `k integral p v f/(2 pi r) dA` over the parts, averaged over the ring.
    pub fn sliding(&self, turning: Turning, into: &mut [f64; RINGS]) {
        *into = [0.0; RINGS];
        for (rho, shares) in self.rho.iter().zip(&self.share) {
            let path = Path {
                orbit: self.orbit,
                rho: *rho,
            };
            for (j, (sum, share)) in into.iter_mut().zip(shares).enumerate() {
                if *share > 0.0 {
                    *sum += share * turning.speed(path, self.rings.middle(j));
                }
            }
        }
    }
}

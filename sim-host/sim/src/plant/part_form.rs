//! Form of the parts: what the plates' form leaves on their faces, in the mean over their turning and their path.
//!
//! A face is a sphere as far as it is computed: the path and the turning leave nothing else but what is left of a taper and, at the
//! rim, the roll-off. `h` is how much thicker a part is at its edge than in its middle, `b` how much higher its middle surface lies
//! there; the lower face is `b - h/2`, the upper `b + h/2`.

use super::paths::{Path, RINGS, Rings, filled};
use super::seed::stream;
use crate::math::{abs, cos, exp, limit, max, sin, sqrt};
use crate::model::{Batch, Deviations, Geometry, Outline};
use firmware_core::process_image::FACES;
use rand_distr::{Distribution, Uniform};
use std::f64::consts::{PI, TAU};

/// Wavelength of the yellow helium line d, m (NIST Atomic Spectra Database, from memory): the lamp under which light bands are
/// read where a batch names no other.
pub const HELIUM: f64 = 587.561_8e-9;

/// A length in light bands of a lamp: one band is half a wavelength. Both in m.
#[must_use]
pub fn bands(length: f64, wavelength: f64) -> f64 {
    length / (0.5 * wavelength)
}

/// How much higher the edge of a part of radius `a` lies than its middle when the part follows a plate at radius `r`, m: the mean
/// over its turning, `(h'' + h'/r) a^2/4`, of the plate's slope `h'` (1) and curvature `h''` (1/m) there.
#[must_use]
pub fn sag(slope: f64, curvature: f64, r: f64, a: f64) -> f64 {
    (curvature + slope / r) * a * a / 4.0
}

/// Poisson's ratio of a part: glass 0.2, steel 0.3 (handbook values, from memory).
const POISSON: f64 = 0.25;

/// Extra pressure under the rim of a part, share of the mean. Grains on a metal plate hardly hold together sideways, so that little of
/// the load goes to what lies beyond the rim; a thick soft pad may do several times this. Invented. It bounds the roll-off, which
/// grows until it takes this pressure away.
pub const EDGE_EXCESS: f64 = 0.1;

/// Share of a bow that a part keeps while the plates press it flat: its own bending stiffness, as that of a simply supported disc
/// under even pressure (`64 (1 + nu) D/((5 + nu) a^4)`, Roark's circular plates, from memory), beside four times the stiffness
/// `per_area` (N/m³) of its column, which both faces together put up against a shift. 0: as limp as foil; 1: rigid.
#[must_use]
pub fn rigidity(batch: &Batch, per_area: f64) -> f64 {
    let (t, a) = (batch.thickness, batch.outline.outer_radius());
    let bending = batch.elastic_modulus * t * t * t / (12.0 * (1.0 - POISSON * POISSON));
    let own = 64.0 * (1.0 + POISSON) * bending / ((5.0 + POISSON) * a * a * a * a);
    own / (own + 4.0 * per_area)
}

/// Points of a half turn of a carrier, of a half turn of a part, and rings of a part, over which a plate's form is averaged.
const TURN_POINTS: usize = 32;
const PART_POINTS: usize = 16;
const PART_RINGS: usize = 12;

/// How a part reads a plate: what to multiply the heights of its rings with.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// Edge over middle of the sphere that the part's face tends to, m for each m.
    pub sag: [f64; RINGS],
    /// Swing of the height under the part's middle over a turn of its carrier: first harmonic of the angle between orbit and part.
    pub swing: [f64; RINGS],
}

impl Reading {
    /// Of parts in pockets whose centres are `pocket` from their carriers' centres, m.
    #[must_use]
    pub fn new(geometry: &Geometry, outline: Outline, pocket: f64) -> Self {
        let rings = Rings::new(geometry);
        let a = outline.outer_radius();
        let radii = |m: usize| a * (m as f64 + 0.5) / PART_RINGS as f64;
        let weight = |m: usize| radii(m) * filled(outline, radii(m));
        let shape = |m: usize| radii(m) * radii(m) / (a * a);
        let all = 0..PART_RINGS;
        let whole: f64 = all.clone().map(weight).sum();
        let mean = all.clone().map(|m| weight(m) * shape(m)).sum::<f64>() / whole;
        let spread: f64 = all
            .clone()
            .map(|m| weight(m) * (shape(m) - mean) * (shape(m) - mean))
            .sum();
        let mut reading = Self {
            sag: [0.0; RINGS],
            swing: [0.0; RINGS],
        };
        let path = Path {
            orbit: geometry.radius_orbit(),
            rho: pocket,
        };
        for k in 0..TURN_POINTS {
            let turn = cos(PI * (k as f64 + 0.5) / TURN_POINTS as f64);
            let centre = sqrt(max(apart(path.orbit, path.rho, turn), 0.0));
            let swing = 2.0 * turn / TURN_POINTS as f64;
            rings.spread_on(centre, swing, &mut reading.swing);
            for m in all.clone() {
                let fit = weight(m) * (shape(m) - mean) / spread;
                let each = fit / (TURN_POINTS * PART_POINTS) as f64;
                for i in 0..PART_POINTS {
                    let angle = cos(PI * (i as f64 + 0.5) / PART_POINTS as f64);
                    let r = sqrt(max(apart(centre, radii(m), angle), 0.0));
                    rings.spread_on(r, each, &mut reading.sag);
                }
            }
        }
        reading
    }
}

/// Square of the distance of the end of two arms that hold this cosine.
fn apart(one: f64, other: f64, cosine: f64) -> f64 {
    one * one + other * other + 2.0 * one * other * cosine
}

/// Sum of the products.
#[must_use]
pub fn read(weights: &[f64; RINGS], heights: impl Iterator<Item = f64>) -> f64 {
    weights.iter().zip(heights).map(|(w, h)| w * h).sum()
}

/// Form of one part, free of the plates.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
struct OneForm {
    /// Edge over middle of the middle surface, m.
    bow: f64,
    /// Thickness at the edge less that in the middle, m.
    dish: f64,
    /// Thickness difference across, m.
    taper: f64,
}

/// What a second of lapping did to the form of the parts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lapped {
    /// Integral of `k_p v f g b` at the lower and the upper face, m/Pa.
    pub work: [f64; FACES],
    /// Mean pressure meanwhile, Pa.
    pub pressure: f64,
    /// Edge over middle that the lower and the upper plate offer a part, height upwards, m.
    pub offered: [f64; FACES],
    /// Swing of how far the plates come together under a part over a turn of its carrier, m.
    pub swing: f64,
    /// Turn of the carriers against their orbit meanwhile, rad.
    pub turn: f64,
}

/// Form of all parts of a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct PartForms {
    parts: Vec<OneForm>,
    /// Roll-off of the rim of the lower and the upper face, m.
    roll: [f64; FACES],
    /// How far parts lag behind the gap that goes to and fro under them: thickness at the place of the part that turns ahead of the
    /// orbit by `turned`, real and imaginary, m.
    lag: [f64; 2],
    turned: f64,
    per_area: f64,
    rigidity: f64,
    /// Share of a sphere's sag over the whole disc that the outline shows: what a bore takes away.
    shown: f64,
    /// Phase between neighbours of a carrier and between carriers, rad.
    phase: [f64; 2],
    pockets: usize,
}

impl PartForms {
    /// Parts as they come in: each bowed by up to the batch's bow to either side, and tapered by up to its taper.
    #[must_use]
    pub fn new(batch: &Batch, carriers: u32, dev: &Deviations, seed: u64) -> Self {
        let mut random = stream(seed, "parts", "form", 0);
        let mut within = |low: f64, high: f64| {
            Uniform::new_inclusive(low, high).map_or(0.0, |uniform| uniform.sample(&mut random))
        };
        let parts = (0..batch.pieces())
            .map(|_| OneForm {
                bow: within(-batch.bow, batch.bow),
                dish: 0.0,
                taper: within(0.0, batch.taper),
            })
            .collect();
        let per_area = batch.stiffness_per_area * dev.stiffness;
        let bore = match batch.outline {
            Outline::Ring { outer, inner } => inner / outer,
            Outline::Disc { .. } | Outline::Rectangle { .. } => 0.0,
        };
        let pockets = f64::from(batch.pockets);
        Self {
            parts,
            roll: [0.0; FACES],
            lag: [0.0; 2],
            turned: 0.0,
            per_area,
            rigidity: rigidity(batch, per_area),
            shown: 1.0 - bore * bore,
            phase: [TAU / pockets, TAU / (pockets * f64::from(carriers.max(1)))],
            pockets: batch.pockets as usize,
        }
    }

    /// What a second took off, and where. Implicit in the sags: as stable at any stiffness as the elastic sink is.
    pub fn lap(&mut self, lapped: &Lapped) {
        let [lower, upper] = lapped.work;
        let pace = lapped.work.map(|work| 2.0 * self.per_area * work);
        let (sum, difference) = (pace[0] + pace[1], pace[0] - pace[1]);
        // Nothing is pressed with less than nothing: twice the mean at the edge is none in the middle.
        let most = lapped.work.map(|work| 2.0 * work * lapped.pressure);
        let dish = lapped.offered[1] - lapped.offered[0];
        let bow = 0.5 * (lapped.offered[0] + lapped.offered[1]);
        let k = self.rigidity;
        let (own, other) = (1.0 + 0.5 * sum, 1.0 + 0.5 * k * sum);
        let scale = 1.0 / (own * other - 0.25 * k * difference * difference);
        let tapered = 0.5 * sum / own;
        for part in &mut self.parts {
            let (thicker, lower_by) = (part.dish - dish, bow - part.bow);
            // Both after the step, from the two lines that couple them.
            let thick = (thicker * other - k * difference * lower_by) * scale;
            let off = (own * lower_by - 0.25 * difference * thicker) * scale;
            let from_below = limit(pace[0] * (k * off + 0.5 * thick), -most[0], most[0]);
            let from_above = limit(pace[1] * (0.5 * thick - k * off), -most[1], most[1]);
            part.dish -= from_below + from_above;
            part.bow += 0.5 * (from_below - from_above);
            part.taper -= limit(
                part.taper * tapered,
                0.0,
                2.0 * (lower + upper) * lapped.pressure,
            );
        }
        for ((roll, work), pace) in self.roll.iter_mut().zip(lapped.work).zip(pace) {
            *roll = (*roll + work * EDGE_EXCESS * lapped.pressure) / (1.0 + pace);
        }
        self.follow(0.5 * sum, lapped);
    }

    /// Thickness follows the gap under a part, which goes to and fro once a turn of its carrier: a lag, solved exactly in the frame
    /// that turns with the parts.
    fn follow(&mut self, pace: f64, lapped: &Lapped) {
        let square = pace * pace + lapped.turn * lapped.turn;
        let settled = if square > 0.0 {
            let share = -pace * lapped.swing / square;
            [share * pace, -share * lapped.turn]
        } else {
            self.lag
        };
        let keep = exp(-pace);
        let (c, s) = (keep * cos(lapped.turn), -keep * sin(lapped.turn));
        let off = [self.lag[0] - settled[0], self.lag[1] - settled[1]];
        self.lag = [
            settled[0] + off[0] * c - off[1] * s,
            settled[1] + off[0] * s + off[1] * c,
        ];
        self.turned += lapped.turn;
    }

    /// How much thicker part `i` is than its path in the mean leaves it, because of where on the path it is, m. Carriers are taken
    /// to lie evenly in their phases.
    #[must_use]
    pub fn offset(&self, i: usize) -> f64 {
        let (carrier, pocket) = (i / self.pockets, i % self.pockets);
        let angle = self.turned + self.phase[0] * pocket as f64 + self.phase[1] * carrier as f64;
        self.lag[0] * cos(angle) - self.lag[1] * sin(angle)
    }

    /// Edge over middle of the lower and the upper face of part `i`, m, height upwards, over its whole diameter.
    #[must_use]
    pub fn sags(&self, i: usize) -> [f64; FACES] {
        let part = self.parts.get(i).copied().unwrap_or_default();
        [part.bow - 0.5 * part.dish, part.bow + 0.5 * part.dish]
    }

    /// As [`Self::sags`], of what the outline shows: rim over bore of a ring.
    #[must_use]
    pub(super) fn shown_sags(&self, i: usize) -> [f64; FACES] {
        self.sags(i).map(|sag| sag * self.shown)
    }

    /// Peak to valley of the lower and the upper face of part `i`, m, with the bound of its roll-off.
    #[must_use]
    pub fn flatness(&self, i: usize) -> [f64; FACES] {
        let [lower, upper] = self.shown_sags(i).map(abs);
        [lower + self.roll[0], upper + self.roll[1]]
    }

    /// Largest thickness difference within part `i`, m: dish, taper, and the bound of the roll-off of both faces.
    #[must_use]
    pub fn variation(&self, i: usize) -> f64 {
        let part = self.parts.get(i).copied().unwrap_or_default();
        abs(part.dish) * self.shown + part.taper + self.roll[0] + self.roll[1]
    }

    /// Roll-off of the lower and the upper face, m: a bound, part of flatness and variation.
    #[must_use]
    pub const fn roll(&self) -> [f64; FACES] {
        self.roll
    }
}

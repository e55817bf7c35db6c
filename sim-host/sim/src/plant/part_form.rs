//! Form of the parts: what the plates' form leaves on their faces, in the mean over their turning and their path.
//!
//! A face is a sphere as far as it is computed: the path and the turning leave nothing else but what is left of a taper and, at the
//! rim, the roll-off. `h` is how much thicker a part is at its edge than in its middle, `b` how much higher its middle surface lies
//! there; the lower face is `b - h/2`, the upper `b + h/2`.

use super::circles::OnCircles;
use super::paths::{Path, RINGS, Rings, filled};
use super::places::Pocket;
use super::seed::stream;
use crate::math::{abs, cos, limit, max, sqrt};
use crate::model::{Batch, CIRCLES, Deviations, Geometry, Outline, Process};
use firmware_core::process_image::FACES;
use rand_distr::{Distribution, Uniform};
use std::f64::consts::PI;

/// Wavelength of the yellow helium line d, m (NIST Atomic Spectra Database, from memory): the lamp under which light bands are
/// read where a batch names no other.
pub const HELIUM: f64 = 587.561_8e-9;

/// A length in light bands of a lamp: one band is half a wavelength. Both in m.
#[must_use]
pub fn bands(length: f64, wavelength: f64) -> f64 {
    length / (0.5 * wavelength)
}

/// Poisson's ratio of a part: glass 0.2, steel 0.3 (handbook values, from memory).
pub(crate) const POISSON: f64 = 0.25;

/// Bending stiffness of a plate of this modulus and thickness, N·m: `E t³/12(1 − ν²)`.
#[must_use]
pub(crate) fn bending_stiffness(modulus: f64, thickness: f64) -> f64 {
    modulus * thickness * thickness * thickness / (12.0 * (1.0 - POISSON * POISSON))
}

/// Extra pressure under the rim of a part on a pad, share of the mean: `1/√6`. A layer of thickness t that a part sinks into and that
/// holds together sideways presses its edge with `p t/√6` beyond the mean (Vlasov's foundation with a linear profile, from memory); over
/// a rim as wide as the layer is thick that is this share.
pub const PAD_EDGE: f64 = 0.408_248;
/// The same of grains on metal, loose or bound. Invented: they are a layer so thin that a rim as wide is not seen, and what even pressure
/// on the metal sinks less at the rim than in the mean, `0.424 a k (1 - ν²)/E` (Timoshenko and Goodier, Theory of Elasticity, from
/// memory), is under a hundredth; but slurry dams up before the rim, and nobody has published by how much that rounds it.
pub const GRAIN_EDGE: f64 = 0.1;

/// Extra pressure under the rim of a part, share of the mean; it bounds the roll-off, which grows until it takes this pressure away.
#[must_use]
pub const fn edge_excess(process: Process) -> f64 {
    match process {
        Process::PadPolishing => PAD_EDGE,
        Process::LooseAbrasive | Process::Diamond | Process::FixedAbrasive => GRAIN_EDGE,
    }
}

/// Share of a bow that a part keeps while the plates press it flat: its own bending stiffness, as that of a simply supported disc
/// under even pressure (`64 (1 + nu) D/((5 + nu) a^4)`, Roark's circular plates, from memory), beside four times the stiffness
/// `per_area` (N/m³) of its column, which both faces together put up against a shift. 0: as limp as foil; 1: rigid.
#[must_use]
pub fn rigidity(batch: &Batch, per_area: f64) -> f64 {
    let (t, a) = (batch.thickness, batch.outline.outer_radius());
    let bending = bending_stiffness(batch.elastic_modulus, t);
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
        let mut reading = Self { sag: [0.0; RINGS] };
        let path = Path {
            orbit: geometry.radius_orbit(),
            rho: pocket,
        };
        let angles: [f64; PART_POINTS] =
            std::array::from_fn(|i| cos(PI * (i as f64 + 0.5) / PART_POINTS as f64));
        for k in 0..TURN_POINTS {
            let turn = cos(PI * (k as f64 + 0.5) / TURN_POINTS as f64);
            let centre = sqrt(max(apart(path.orbit, path.rho, turn), 0.0));
            for m in all.clone() {
                let fit = weight(m) * (shape(m) - mean) / spread;
                let each = fit / (TURN_POINTS * PART_POINTS) as f64;
                for angle in angles {
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

/// Form of one part as it lies free: what its two faces show.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct FormOfPart {
    /// Edge over middle of the lower and the upper face, m, height upwards, over the circle around the part.
    pub sags: [f64; FACES],
    /// Thickness difference across, m.
    pub taper: f64,
    /// Bound of the roll-off of the rim of the lower and the upper face, m.
    pub roll: [f64; FACES],
}

/// What a second of lapping did to the form of the parts of one circle of pockets.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Lapped {
    /// Integral of `k_p v f g b` at the lower and the upper face, m/Pa.
    pub work: [f64; FACES],
    /// Mean pressure meanwhile, Pa.
    pub pressure: f64,
    /// Edge over middle that the lower and the upper plate offer a part, height upwards, m.
    pub offered: [f64; FACES],
}

/// A second's step of the form of the parts of one circle.
#[derive(Clone, Copy, Debug, Default)]
struct Step {
    /// Twice the stiffness per area times the work of each face.
    pace: [f64; FACES],
    /// Most that is taken off a face, m: nothing is pressed with less than nothing, and twice the mean at the edge is none in the
    /// middle.
    most: [f64; FACES],
    /// What the plates offer, m.
    dish: f64,
    bow: f64,
    /// The two lines that couple dish and bow.
    own: f64,
    other: f64,
    scale: f64,
    /// Share of a taper that goes, and most of it, m.
    tapered: f64,
    most_taper: f64,
}

impl Step {
    fn new(lapped: &Lapped, per_area: f64, rigidity: f64) -> Self {
        let pace = lapped.work.map(|work| 2.0 * per_area * work);
        let (sum, difference) = (pace[0] + pace[1], pace[0] - pace[1]);
        let (own, other) = (1.0 + 0.5 * sum, 1.0 + 0.5 * rigidity * sum);
        Self {
            pace,
            most: lapped.work.map(|work| 2.0 * work * lapped.pressure),
            dish: lapped.offered[1] - lapped.offered[0],
            bow: 0.5 * (lapped.offered[0] + lapped.offered[1]),
            own,
            other,
            scale: 1.0 / (own * other - 0.25 * rigidity * difference * difference),
            tapered: 0.5 * sum / own,
            most_taper: 2.0 * (lapped.work[0] + lapped.work[1]) * lapped.pressure,
        }
    }

    fn take_off(&self, part: &mut OneForm, k: f64) {
        let Self { pace, most, .. } = *self;
        let difference = pace[0] - pace[1];
        let (thicker, lower_by) = (part.dish - self.dish, self.bow - part.bow);
        // Both after the step.
        let thick = (thicker * self.other - k * difference * lower_by) * self.scale;
        let off = (self.own * lower_by - 0.25 * difference * thicker) * self.scale;
        let from_below = limit(pace[0] * (k * off + 0.5 * thick), -most[0], most[0]);
        let from_above = limit(pace[1] * (0.5 * thick - k * off), -most[1], most[1]);
        part.dish -= from_below + from_above;
        part.bow += 0.5 * (from_below - from_above);
        part.taper -= limit(part.taper * self.tapered, 0.0, self.most_taper);
    }
}

/// Form of all parts of a machine.
#[derive(Clone, Debug, PartialEq)]
pub struct PartForms {
    parts: Vec<OneForm>,
    /// Roll-off of the rim of the lower and the upper face of the parts on each circle, m.
    roll: OnCircles,
    /// The circle of each part.
    circle: Vec<usize>,
    per_area: f64,
    rigidity: f64,
    /// Extra pressure under the rim, share of the mean.
    edge: f64,
    /// Share of a sphere's sag over the whole disc that the outline shows: what a bore takes away.
    shown: f64,
}

impl PartForms {
    /// Parts as they come in, in the pockets that they were dealt: each bowed by up to the batch's bow to either side, and tapered by
    /// up to its taper.
    #[must_use]
    pub fn new(
        batch: &Batch,
        process: Process,
        dealt: &[Pocket],
        dev: &Deviations,
        seed: u64,
    ) -> Self {
        let per_area = batch.stiffness_per_area * dev.stiffness;
        let bore = match batch.outline {
            Outline::Ring { outer, inner } => inner / outer,
            Outline::Disc { .. } | Outline::Rectangle { .. } | Outline::Polygon(_) => 0.0,
        };
        let mut forms = Self {
            parts: Vec::new(),
            roll: OnCircles::default(),
            circle: dealt.iter().map(|pocket| pocket.circle as usize).collect(),
            per_area,
            rigidity: rigidity(batch, per_area),
            edge: edge_excess(process),
            shown: 1.0 - bore * bore,
        };
        forms.lay_in(batch, dev, seed);
        forms
    }

    /// Another loading into the same pockets.
    pub(super) fn lay_in(&mut self, batch: &Batch, dev: &Deviations, seed: u64) {
        let mut random = stream(seed, "parts", "form", 0);
        let mut within = |low: f64, high: f64| {
            Uniform::new_inclusive(low, high).map_or(0.0, |uniform| uniform.sample(&mut random))
        };
        self.parts = (0..batch.pieces())
            .map(|_| OneForm {
                bow: within(-batch.bow, batch.bow),
                dish: 0.0,
                taper: within(0.0, batch.taper),
            })
            .collect();
        self.per_area = batch.stiffness_per_area * dev.stiffness;
        self.rigidity = rigidity(batch, self.per_area);
        self.roll = OnCircles::default();
    }

    /// What a second took off, and where, circle by circle. Implicit in the sags: as stable at any stiffness as the elastic sink is.
    pub fn lap(&mut self, lapped: &[Lapped]) {
        let mut steps = [Step::default(); CIRCLES];
        for ((lapped, step), rolls) in lapped.iter().zip(&mut steps).zip(&mut self.roll) {
            *step = Step::new(lapped, self.per_area, self.rigidity);
            for ((roll, work), pace) in rolls.iter_mut().zip(lapped.work).zip(step.pace) {
                *roll = (*roll + work * self.edge * lapped.pressure) / (1.0 + pace);
            }
        }
        for (part, circle) in self.parts.iter_mut().zip(&self.circle) {
            steps[*circle].take_off(part, self.rigidity);
        }
    }

    fn circle_of(&self, i: usize) -> usize {
        self.circle.get(i).copied().unwrap_or(0)
    }

    /// Edge over middle of the lower and the upper face of part `i`, m, height upwards, over its whole diameter.
    #[must_use]
    pub fn sags(&self, i: usize) -> [f64; FACES] {
        let part = self.parts.get(i).copied().unwrap_or_default();
        [part.bow - 0.5 * part.dish, part.bow + 0.5 * part.dish]
    }

    /// Form of part `i`.
    #[must_use]
    pub fn form(&self, i: usize) -> FormOfPart {
        FormOfPart {
            sags: self.sags(i),
            taper: self.parts.get(i).map_or(0.0, |part| part.taper),
            roll: self.roll(i),
        }
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
        let roll = self.roll(i);
        [lower + roll[0], upper + roll[1]]
    }

    /// Largest thickness difference within part `i`, m: dish, taper, and the bound of the roll-off of both faces.
    #[must_use]
    pub fn variation(&self, i: usize) -> f64 {
        let part = self.parts.get(i).copied().unwrap_or_default();
        let [lower, upper] = self.roll(i);
        abs(part.dish) * self.shown + part.taper + lower + upper
    }

    /// Roll-off of the lower and the upper face of part `i`, m: a bound, part of flatness and variation.
    #[must_use]
    pub fn roll(&self, i: usize) -> [f64; FACES] {
        self.roll[self.circle_of(i)]
    }
}

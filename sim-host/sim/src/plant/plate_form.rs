//! Form of the two plates' working faces: what they wear to, and how heat bows them. It lasts from batch to batch.

use super::bow::Conduction;
use super::paths::{RINGS, Rings};
use crate::math::{max, min};
use crate::model::{Geometry, Machine};
use firmware_core::process_image::FACES;
use std::f64::consts::PI;

/// Both working faces on the rings of the plates. Heights are towards the parts, m, so that a face that is high near the middle is
/// convex on either plate.
#[derive(Clone, Debug, PartialEq)]
pub struct PlateForm {
    rings: Rings,
    /// Height of each ring of the lower and the upper plate, everywhere at one temperature, m.
    cold: [[f64; RINGS]; FACES],
    conduction: Conduction,
    /// Area of one working face, m².
    area: f64,
    /// Curvature by heat, 1/m, convex positive.
    curvature: [f64; FACES],
}

impl PlateForm {
    /// As the machine file says, at one temperature.
    #[must_use]
    pub fn new(machine: &Machine) -> Self {
        let (g, p) = (&machine.geometry, &machine.plates);
        let rings = Rings::new(g);
        let [_, band] = squares(g);
        let cold = p.form.map(|form| parabola(&rings, g, form));
        Self {
            rings,
            cold,
            conduction: Conduction {
                expansion: p.expansion,
                conductivity: p.conductivity,
                thickness: g.plate_thickness,
                depth: min(p.cooling_depth, g.plate_thickness),
            },
            area: PI * band,
            curvature: [0.0; FACES],
        }
    }

    /// The same with the lower and the upper face of these forms, m, + convex, where there are any.
    #[must_use]
    pub(super) fn formed(mut self, g: &Geometry, form: [Option<f64>; FACES]) -> Self {
        for (cold, form) in self.cold.iter_mut().zip(form) {
            if let Some(form) = form {
                *cold = parabola(&self.rings, g, form);
            }
        }
        self
    }

    /// Heat goes through the plates, W: half of what comes in at the face and half of what leaves to the cooling, which is what
    /// bends a plate while it warms (the even part of the temperature does not).
    pub(super) fn warm(&mut self, through: [f64; FACES]) {
        self.curvature = through.map(|power| self.conduction.curvature(power / self.area));
    }

    /// Curvature of both faces by heat, 1/m, convex positive.
    pub(super) const fn curvature(&self) -> [f64; FACES] {
        self.curvature
    }

    /// Temperature difference between face and cooling, K, where this power (W) goes through each plate.
    pub(super) fn difference(&self, power: [f64; FACES]) -> [f64; FACES] {
        power.map(|power| self.conduction.difference(power / self.area))
    }

    /// Height of ring `j` of a face as it is now, heat included, m, towards the parts.
    #[must_use]
    pub(super) fn height(&self, face: usize, j: usize) -> f64 {
        let r = self.rings.middle(j);
        self.cold[face][j] - 0.5 * self.curvature[face] * r * r
    }

    /// By how much the two faces come together at each ring, m, up to a constant.
    #[must_use]
    pub(super) fn together(&self) -> [f64; RINGS] {
        let mut sum = [0.0; RINGS];
        for (j, sum) in sum.iter_mut().enumerate() {
            *sum = self.height(0, j) + self.height(1, j);
        }
        sum
    }

    /// Takes off what each ring of a face wore, m.
    pub(super) fn wear(&mut self, face: usize, depth: impl Iterator<Item = f64>) {
        for (height, worn) in self.cold[face].iter_mut().zip(depth) {
            *height -= worn;
        }
    }

    /// Radius (m) of each ring with the height of the lower and the upper face there, m, heat included.
    pub fn profile(&self) -> impl Iterator<Item = (f64, [f64; FACES])> + '_ {
        (0..RINGS).map(|j| (self.rings.middle(j), [self.height(0, j), self.height(1, j)]))
    }

    /// Radius (m) of each ring with what the lower and the upper face lost there since they were as `before`, m.
    pub fn worn<'a>(&'a self, before: &'a Self) -> impl Iterator<Item = (f64, [f64; FACES])> + 'a {
        (0..RINGS).map(|j| {
            let lost = [0, 1].map(|face| before.cold[face][j] - self.cold[face][j]);
            (self.rings.middle(j), lost)
        })
    }

    /// Form of a face, m: how much higher its inner edge is than its outer edge (+: convex), by the parabola that fits the rings
    /// best, each counted by `weight`; heat included where `warm`.
    #[must_use]
    pub(super) fn form(&self, face: usize, weight: &[f64; RINGS], warm: bool) -> f64 {
        let mut sums = [0.0; 5];
        let mut ends = [f64::INFINITY, 0.0];
        for (j, weight) in weight.iter().enumerate() {
            let r = self.rings.middle(j);
            let height = if warm {
                self.height(face, j)
            } else {
                self.cold[face][j]
            };
            let x = r * r;
            for (sum, term) in sums.iter_mut().zip([1.0, x, x * x, height, x * height]) {
                *sum += weight * term;
            }
            ends = [min(ends[0], x), max(ends[1], x)];
        }
        let [n, x, xx, h, xh] = sums;
        let spread = n * xx - x * x;
        if spread <= 0.0 {
            return 0.0;
        }
        -(n * xh - x * h) / spread * (ends[1] - ends[0]) * (RINGS as f64) / (RINGS as f64 - 1.0)
    }
}

/// Of a plate: the square of its outer radius, and that less the square of its inner one, m².
fn squares(g: &Geometry) -> [f64; 2] {
    let (inner, outer) = (g.plate_inner / 2.0, g.plate_outer / 2.0);
    [outer * outer, outer * outer - inner * inner]
}

/// Heights of a face of this form, inner edge over outer edge, m, around their middle.
fn parabola(rings: &Rings, g: &Geometry, form: f64) -> [f64; RINGS] {
    let [outer, band] = squares(g);
    let mut heights = [0.0; RINGS];
    for (j, height) in heights.iter_mut().enumerate() {
        let r = rings.middle(j);
        *height = form * ((outer - r * r) / band - 0.5);
    }
    heights
}

/// Pressure on each ring where the mean is `mean` (Pa) and parts as stiff as `stiffness` (N/m³) take up how the faces come
/// together: `p = mean + stiffness (together - level)`, nowhere under zero, with the level that keeps the mean over `weight`.
/// Returns each ring's share of the mean.
#[must_use]
pub fn pressure_shares(
    together: &[f64; RINGS],
    weight: &[f64; RINGS],
    mean: f64,
    stiffness: f64,
) -> [f64; RINGS] {
    let sink = mean / stiffness;
    let whole: f64 = weight.iter().sum();
    let mut level = f64::NEG_INFINITY;
    // Each turn leaves out the rings that the level before left without contact; a level never falls, so this ends.
    for _ in 0..RINGS {
        let (mut n, mut sum) = (0.0, 0.0);
        for (height, weight) in together.iter().zip(weight) {
            if *height > level {
                n += weight;
                sum += weight * height;
            }
        }
        if n <= 0.0 {
            break;
        }
        let next = (sum - sink * whole) / n;
        if next <= level {
            break;
        }
        level = next;
    }
    let mut shares = [0.0; RINGS];
    for (share, height) in shares.iter_mut().zip(together) {
        *share = max(height - level, 0.0) / sink;
    }
    shares
}

//! What the form of the plates adds to the tops of the parts, by how far from the middle of the machine a part lies.
//!
//! A part that turns in its pocket stands on the mean of what it covers of both plates, as far as it covers them. Those means are taken
//! for some radii once a second, as the forms change; where a part lies between two of them changes with every window.

use super::paths::{RINGS, Rings, coverage, filled};
use crate::math::{limit, max, sqrt};
use crate::model::{Geometry, Outline};
use std::ops::Range;

/// Radii for which the mean is taken, evenly spaced in their squares over the plates' band: a sphere lies on them exactly, and any
/// other form of the plates is smoothed by the part before it is read.
const RADII: usize = 64;
/// Circles in a ring of the plates on which it is asked how much of them a part covers.
const CIRCLES: usize = 8;
/// Discs that stand for a part with corners, which turns in its pocket.
const DISCS: usize = 8;

/// Which rings of the plates a part covers, and how much of it each, for a part at each of the radii.
#[derive(Clone, Debug, PartialEq)]
pub struct Footing {
    rings: Rings,
    covers: Vec<(Range<usize>, [f64; RINGS])>,
}

impl Footing {
    /// Of parts of an outline.
    #[must_use]
    pub fn new(geometry: &Geometry, outline: Outline) -> Self {
        let rings = Rings::new(geometry);
        let [inner, outer] = [rings.edge(0), rings.edge(RINGS)];
        let discs = discs(outline);
        let covers = (0..RADII).map(|node| {
            let share = node as f64 / (RADII - 1) as f64;
            let centre = sqrt(inner * inner + share * (outer * outer - inner * inner));
            covered(rings, centre, &discs)
        });
        Self {
            covers: covers.collect(),
            rings,
        }
    }

    /// What plates that come together by `together` (m, by ring) add to the tops over what they add in the mean, each ring counted by
    /// `weight`.
    #[must_use]
    pub fn rise(&self, together: &[f64; RINGS], weight: &[f64; RINGS]) -> Rise {
        let (mut sum, mut whole) = (0.0, 0.0);
        for (height, weight) in together.iter().zip(weight) {
            sum += weight * height;
            whole += weight;
        }
        let level = if whole > 0.0 { sum / whole } else { 0.0 };
        let mut means = [0.0; RADII];
        for (mean, (range, covers)) in means.iter_mut().zip(&self.covers) {
            let pairs = covers[range.clone()].iter().zip(&together[range.clone()]);
            *mean = pairs.map(|(share, height)| share * (height - level)).sum();
        }
        let [inner, outer] = [self.rings.edge(0), self.rings.edge(RINGS)];
        let mut rise = Rise {
            from: inner * inner,
            scale: (RADII - 1) as f64 / (outer * outer - inner * inner),
            line: [[0.0; 2]; RADII - 1],
        };
        for (line, ends) in rise.line.iter_mut().zip(means.windows(2)) {
            *line = [ends[0], ends[1] - ends[0]];
        }
        rise
    }
}

/// Discs about a part's middle that add up to it as it turns: radius, m, and how often each counts.
fn discs(outline: Outline) -> Vec<(f64, f64)> {
    match outline {
        Outline::Disc { diameter } => vec![(0.5 * diameter, 1.0)],
        Outline::Ring { outer, inner } => vec![(0.5 * outer, 1.0), (0.5 * inner, -1.0)],
        Outline::Rectangle { length, width } => {
            cornered(outline, 0.5 * if length < width { length } else { width })
        }
        Outline::Polygon(polygon) => cornered(outline, polygon.inner_radius()),
    }
}

/// Those of a part with corners that fills the circle of radius `whole` (m) about its middle.
fn cornered(outline: Outline, whole: f64) -> Vec<(f64, f64)> {
    let width = (outline.outer_radius() - whole) / DISCS as f64;
    let full = |step: f64| filled(outline, whole + width * step);
    (0..DISCS)
        .map(|step| {
            let step = step as f64;
            (whole + width * (step + 0.5), full(step) - full(step + 1.0))
        })
        .collect()
}

/// Which rings a part made of these discs covers at `centre` (m from the middle of the machine), and its share on each.
fn covered(rings: Rings, centre: f64, discs: &[(f64, f64)]) -> (Range<usize>, [f64; RINGS]) {
    let reach = discs.iter().fold(0.0, |most, (a, _)| max(most, *a));
    let first = rings.holding(centre - reach);
    let last = rings.holding(centre + reach);
    let mut covers = [0.0; RINGS];
    for ring in first..=last {
        let width = (rings.edge(ring + 1) - rings.edge(ring)) / CIRCLES as f64;
        for circle in 0..CIRCLES {
            let r = rings.edge(ring) + width * (circle as f64 + 0.5);
            let share = |(a, counts): &(f64, f64)| counts * coverage(r, centre, *a);
            let length = r * discs.iter().map(share).sum::<f64>();
            rings.spread_on(r, length, &mut covers);
        }
    }
    let whole: f64 = covers.iter().sum();
    let touched = |ring: &usize| covers[*ring] != 0.0;
    let range = match ((0..RINGS).find(touched), (0..RINGS).rfind(touched)) {
        (Some(first), Some(last)) if whole > 0.0 => first..last + 1,
        _ => 0..0,
    };
    (range, covers.map(|part| part / whole))
}

/// Height that the plates' form adds to the top of a part, by the square of the part's radius.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rise {
    /// Square of the first radius, m², and stretches in a m².
    from: f64,
    scale: f64,
    /// Height at the beginning of each stretch and what it rises to its end, m.
    line: [[f64; 2]; RADII - 1],
}

impl Rise {
    /// Of even plates.
    pub const NONE: Self = Self {
        from: 0.0,
        scale: 0.0,
        line: [[0.0; 2]; RADII - 1],
    };

    /// For a part whose middle lies at a radius with this square (m²), m; beyond the plates' edges as at them.
    #[inline(always)]
    #[must_use]
    pub fn at(&self, square: f64) -> f64 {
        let place = limit((square - self.from) * self.scale, 0.0, (RADII - 1) as f64);
        let stretch = (place as usize).min(RADII - 2);
        let [height, rise] = self.line[stretch];
        height + (place - stretch as f64) * rise
    }
}

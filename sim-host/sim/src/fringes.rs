//! Light bands: how a face looks under an optical flat in light of one wavelength, as plain numbers and words. Who shows them draws.
//!
//! Two beams interfere, one from the flat's lower side and one from the face under it. Across a gap `h` in air their paths differ by
//! `2 h`, and the one that comes back from the denser side loses half a wave: `I = cos²(δ/2)` of the brightest, `δ = 4 π h/λ + π`
//! (two-beam interference in a thin film of air, textbook optics, from memory; both beams equally strong). So it is dark where the flat
//! touches and wherever the gap is a whole number of bands, half a wavelength each.

use crate::math::{abs, cos, floor, limit, max, min, sqrt};
use crate::model::{Batch, Outline};
use crate::plant::part_form::{FormOfPart, HELIUM, bands};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;
use std::fmt::Write as _;

/// Share of a part's radius over which the roll-off of its rim is drawn. The model knows its depth alone. Invented.
const RIM: f64 = 0.1;

/// Share of the brightest light that comes back where the gap under the flat is `gap`, in light of `wavelength`, both m: 0..=1.
#[must_use]
fn intensity(gap: f64, wavelength: f64) -> f64 {
    let delta = 4.0 * PI * gap / wavelength + PI;
    let half = cos(0.5 * delta);
    half * half
}

/// What is looked at of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// The lower face.
    Lower,
    /// The upper face.
    Upper,
    /// The upper face over the lower: how the thickness differs.
    Thickness,
}

/// All sides.
pub const SIDES: [Side; 3] = [Side::Lower, Side::Upper, Side::Thickness];

impl Side {
    /// What it is called.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lower => "lower face",
            Self::Upper => "upper face",
            Self::Thickness => "thickness",
        }
    }
}

/// Form of a face, outwards: a sphere, a slope across, and the roll-off of its rim.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Face {
    /// What it is.
    pub side: Side,
    /// Outline of the part.
    pub outline: Outline,
    /// Edge over middle, m, on the circle around the part; below zero the edge is low.
    pub sag: f64,
    /// Rise from one side of that circle to the other, m.
    pub slope: f64,
    /// Depth of the roll-off of the rim, m: a bound.
    pub roll: f64,
}

impl Face {
    /// A side of a part. A flat that lies on a face tilts with it: what is left of a taper shows in the thickness alone.
    #[must_use]
    pub fn of(form: &FormOfPart, outline: Outline, side: Side) -> Self {
        let [lower, upper] = form.sags;
        let (sag, slope, roll) = match side {
            Side::Lower => (-lower, 0.0, form.roll[0]),
            Side::Upper => (upper, 0.0, form.roll[1]),
            Side::Thickness => (upper - lower, form.taper, form.roll[0] + form.roll[1]),
        };
        Self {
            side,
            outline,
            sag,
            slope,
            roll,
        }
    }

    /// How far it reaches along both axes, half of length and width, in radii of the circle around the part.
    fn half(&self) -> [f64; 2] {
        match self.outline {
            Outline::Disc { .. } | Outline::Ring { .. } => [1.0, 1.0],
            Outline::Rectangle { length, width } => {
                [length, width].map(|side| 0.5 * side / self.outline.outer_radius())
            }
            Outline::Polygon(polygon) => {
                polygon.reach().map(|far| far / self.outline.outer_radius())
            }
        }
    }

    /// Distance from the nearest edge in radii of the circle around the part; under zero beside the part.
    fn inside(&self, x: f64, y: f64) -> f64 {
        let r = sqrt(x * x + y * y);
        match self.outline {
            Outline::Disc { .. } => 1.0 - r,
            Outline::Ring { outer, inner } => min(1.0 - r, r - inner / outer),
            Outline::Rectangle { .. } => {
                let [a, b] = self.half();
                min(a - abs(x), b - abs(y))
            }
            Outline::Polygon(polygon) => {
                let radius = self.outline.outer_radius();
                polygon.depth([x * radius, y * radius]) / radius
            }
        }
    }

    /// Height outwards, m, at a place in radii of the circle around the part; `None` beside the part.
    fn height(&self, x: f64, y: f64) -> Option<f64> {
        let inside = self.inside(x, y);
        // The last digits of an edge are not beside the part.
        if inside < -1e-12 {
            return None;
        }
        let rolled = max(1.0 - inside / RIM, 0.0);
        Some(self.sag * (x * x + y * y) + 0.5 * self.slope * y - self.roll * rolled * rolled)
    }

    /// Lowest and highest place, m.
    fn ends(&self) -> [f64; 2] {
        /// Places along each half side.
        const PLACES: i32 = 60;
        let [a, b] = self.half();
        let mut ends = [f64::INFINITY, f64::NEG_INFINITY];
        for i in -PLACES..=PLACES {
            for j in -PLACES..=PLACES {
                let [x, y] = [a * f64::from(i), b * f64::from(j)].map(|v| v / f64::from(PLACES));
                if let Some(height) = self.height(x, y) {
                    ends = [min(ends[0], height), max(ends[1], height)];
                }
            }
        }
        if ends[0] > ends[1] { [0.0, 0.0] } else { ends }
    }

    /// From the lowest to the highest place, m.
    #[must_use]
    pub fn valley(&self) -> f64 {
        let [low, high] = self.ends();
        high - low
    }

    /// What the bands tell, in words: how many, of which lamp (wavelength in m), and which way the face is out.
    #[must_use]
    pub fn words(&self, wavelength: f64) -> String {
        let count = bands(self.valley(), wavelength);
        let lamp = lamp(wavelength);
        if count < LEAST {
            return format!("no band of {lamp} to be seen");
        }
        format!("{} of {lamp}, {}", counted(count), self.way())
    }

    fn way(&self) -> &'static str {
        let edge = self.sag - self.roll;
        match self.side {
            Side::Thickness if self.slope > abs(edge) => "a wedge",
            Side::Thickness if edge < 0.0 => "edge thin",
            Side::Thickness => "edge thick",
            Side::Lower | Side::Upper if edge < 0.0 => "edge low",
            Side::Lower | Side::Upper => "edge high",
        }
    }
}

/// Bands under which the eye sees none: half of the quarter to which it reads (common practice, no source).
const LEAST: f64 = 0.125;
/// Bands up to which quarters are read, and up to which halves are.
const QUARTERS: f64 = 3.0;
const HALVES: f64 = 10.0;

/// A lamp by its wavelength, m.
fn lamp(wavelength: f64) -> String {
    // To a tenth of a nanometre it is the lamp that has a name.
    if abs(wavelength - HELIUM) < 0.1e-9 {
        "helium light".to_owned()
    } else {
        format!("light of {:.1} nm", wavelength * 1e9)
    }
}

/// A count of bands as it is read and said.
fn counted(count: f64) -> String {
    const WORDS: [&str; 11] = [
        "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
    ];
    let parts = if count < QUARTERS {
        4.0
    } else if count < HALVES {
        2.0
    } else {
        1.0
    };
    let steps = floor(count * parts + 0.5);
    let whole = floor(steps / parts);
    // A count of a file's lengths is far below 2^31, and what is not saturates.
    let quarters = ((steps / parts - whole) * 4.0) as usize;
    let (alone, with) = [
        ("", ""),
        ("a quarter of a", " and a quarter"),
        ("half a", " and a half"),
        ("three quarters of a", " and three quarters"),
    ][quarters.min(3)];
    if whole < 1.0 {
        return format!("about {alone} band");
    }
    let word = WORDS
        .get(whole as usize)
        .map_or_else(|| format!("{whole:.0}"), |word| (*word).to_owned());
    let plural = if steps > parts { "s" } else { "" };
    format!("about {word}{with} band{plural}")
}

/// How the flat lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Laid {
    /// It touches the highest place and is parallel to the face.
    Touching,
    /// One side is lifted by [`WEDGE`] bands: flat faces show straight bands, others bend them.
    Tipped,
}

/// Bands by which a tipped flat is lifted at one side. As many as can be read against each other; invented.
pub const WEDGE: f64 = 5.0;

/// Points of a picture along the longer side of a part, of which each is looked at in several places.
const POINTS: usize = 100;
const LOOKS: usize = 3;
/// Shades from dark to bright: more of them where bands are so few that their steps would show.
const SHADES: u8 = 9;
const MORE_SHADES: u8 = 18;
const FEW: f64 = 2.0;

/// Bands as they are seen: areas of one shade each.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Picture {
    /// Points across and down.
    pub size: [usize; 2],
    /// What is shaded how. Points beside the part are in none.
    pub shades: Vec<Shade>,
}

/// All of a picture that is equally bright.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shade {
    /// Share of the brightest, 0..=255.
    pub grey: u8,
    /// Its rows as the data of a path (SVG 1.1), one point high, to be stroked and not filled.
    pub rows: String,
}

impl Picture {
    /// Of a face in light of `wavelength`, m, under a flat that is laid so.
    #[must_use]
    pub fn new(face: &Face, wavelength: f64, laid: Laid) -> Self {
        let half = face.half();
        let longest = max(half[0], half[1]);
        let size = half.map(|half| max(floor(half / longest * POINTS as f64 + 0.5), 1.0) as usize);
        let wedge = match laid {
            Laid::Touching => 0.0,
            Laid::Tipped => WEDGE * 0.5 * wavelength,
        };
        let [low, high] = face.ends();
        let few = bands(high - low + wedge, wavelength) < FEW;
        let shades = if few { MORE_SHADES } else { SHADES };
        let seen = |column: usize, row: usize| -> Option<u8> {
            let at = |point: usize, look: usize, across: usize| {
                let places = (LOOKS * size[across]) as f64;
                let place = (LOOKS * point + look) as f64 + 0.5;
                half[across] * (2.0 * place / places - 1.0)
            };
            // A point belongs to the part where its middle does.
            let middle = LOOKS / 2;
            face.height(at(column, middle, 0), at(row, middle, 1))?;
            let (mut sum, mut count) = (0.0, 0.0);
            for i in 0..LOOKS * LOOKS {
                let (x, y) = (at(column, i % LOOKS, 0), at(row, i / LOOKS, 1));
                if let Some(height) = face.height(x, y) {
                    let lifted = 0.5 * wedge * (1.0 - y / half[1]);
                    sum += intensity(high - height + lifted, wavelength);
                    count += 1.0;
                }
            }
            let steps = f64::from(shades) - 1.0;
            Some(limit(floor(sum / count * steps + 0.5), 0.0, steps) as u8)
        };
        // The rows of each shade, and where its last run ended.
        let mut rows = vec![(String::new(), [0_usize; 2]); usize::from(shades)];
        for row in 0..size[1] {
            let line: Vec<Option<u8>> = (0..size[0]).map(|column| seen(column, row)).collect();
            let mut from = 0;
            for run in line.chunk_by(|a, b| a == b) {
                let shade = run.first().copied().flatten();
                let rows = shade.and_then(|shade| rows.get_mut(usize::from(shade)));
                if let Some((path, last)) = rows {
                    // Writing to a String cannot fail. From run to run: as short as a path can be.
                    let _ = if path.is_empty() {
                        write!(path, "M{from} {row}.5h{}", run.len())
                    } else {
                        let across = if from < last[0] {
                            format!("-{}", last[0] - from)
                        } else {
                            (from - last[0]).to_string()
                        };
                        write!(path, "m{across} {}h{}", row - last[1], run.len())
                    };
                    *last = [from + run.len(), row];
                }
                from += run.len();
            }
        }
        let rows = rows.into_iter().map(|(path, _)| path);
        let seen = (0..shades).zip(rows).filter(|(_, rows)| !rows.is_empty());
        Self {
            size,
            shades: seen
                .map(|(shade, rows)| Shade {
                    grey: (u16::from(shade) * 255 / u16::from(shades - 1)) as u8,
                    rows,
                })
                .collect(),
        }
    }
}

/// The part whose faces are out most of those that are looked at (numbers from 0), with its sides; `None` where there is none.
#[must_use]
pub fn worst(
    batch: &Batch,
    forms: impl Iterator<Item = (usize, FormOfPart)>,
) -> Option<(usize, [Face; 3])> {
    let out = |faces: &[Face; 3]| max(faces[0].valley(), faces[1].valley());
    let mut worst: Option<(f64, usize, [Face; 3])> = None;
    for (part, form) in forms {
        let faces = SIDES.map(|side| Face::of(&form, batch.outline, side));
        let now = out(&faces);
        if worst.is_none_or(|(most, ..)| now > most) {
            worst = Some((now, part, faces));
        }
    }
    worst.map(|(_, part, faces)| (part, faces))
}

#[cfg(test)]
mod tests;

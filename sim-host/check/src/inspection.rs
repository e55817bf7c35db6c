//! What an optical flat shows of the parts of a run, and what its plates and pockets bore: as reports tell it.

use serde::Serialize;
use twinplate_sim::bench::Outcome;
use twinplate_sim::fringes::{Face, worst};
use twinplate_sim::math::{max, min, round};
use twinplate_sim::model::{Batch, Machine, gauged_micrometres};
use twinplate_sim::plant::part_form::bands;
use twinplate_sim::plant::places::{LaidIn, laid_in};
use twinplate_sim::plant::plate_form::PlateForm;

/// The part of a run whose faces are out most, under an optical flat.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FacesReport {
    /// Wavelength of the batch's lamp, nm.
    pub wavelength_nm: f64,
    /// Number of the part, from 1.
    pub part: u32,
    /// Carrier, from 1, counter-clockwise.
    pub carrier: u32,
    /// Pocket in the carrier, from 1, counter-clockwise.
    pub pocket: u32,
    /// Lower face, upper face, and the upper over the lower.
    pub sides: [SideReport; 3],
}

/// One side of a part under an optical flat.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SideReport {
    /// Which, in words.
    pub side: &'static str,
    /// From its lowest to its highest place, in light bands, in whole tenths.
    pub bands: f64,
    /// The same, µm, in whole hundredths.
    pub valley_um: f64,
    /// Edge over middle, outwards, µm; below zero the edge is low.
    pub edge_um: f64,
    /// Rise across, µm.
    pub across_um: f64,
    /// How much may be the roll-off of the rim, µm.
    pub rim_um: f64,
    /// What the bands tell, in words.
    pub words: String,
    /// What it is drawn from; not in the JSON.
    #[serde(skip)]
    pub face: Face,
}

/// Numbers of people begin at one.
fn number(index: u32) -> u32 {
    index.saturating_add(1)
}

impl FacesReport {
    /// Of a run; `None` without product.
    #[must_use]
    pub fn of(machine: &Machine, batch: &Batch, outcome: &Outcome) -> Option<Self> {
        let parts = outcome.parts.iter().zip(&outcome.forms).enumerate();
        let product = parts
            .filter(|(_, (part, _))| part.present && !part.dummy)
            .map(|(i, (_, form))| (i, *form));
        let (part, faces) = worst(batch, product)?;
        let pocket = laid_in(&machine.geometry, batch).get(part)?.pocket;
        let wavelength = batch.wavelength;
        Some(Self {
            wavelength_nm: wavelength * 1e9,
            part: number(u32::try_from(part).unwrap_or(u32::MAX)),
            carrier: number(pocket.carrier),
            pocket: number(pocket.pocket),
            sides: faces.map(|face| SideReport {
                side: face.side.word(),
                bands: round(bands(face.valley(), wavelength) * 10.0) / 10.0,
                valley_um: gauged_micrometres(face.valley()),
                edge_um: gauged_micrometres(face.sag),
                across_um: gauged_micrometres(face.slope),
                rim_um: gauged_micrometres(face.roll),
                words: face.words(wavelength),
                face,
            }),
        })
    }

    /// Which part it is.
    #[must_use]
    pub fn which(&self) -> String {
        format!(
            "part {} (carrier {}, pocket {})",
            self.part, self.carrier, self.pocket
        )
    }

    /// One sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let sides: Vec<String> = self
            .sides
            .iter()
            .map(|side| format!("{} {}", side.side, side.words))
            .collect();
        format!(
            "under an optical flat, {}, the worst: {}",
            self.which(),
            sides.join("; ")
        )
    }
}

/// Loads and wear over the plates.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct MapReport {
    /// Every pocket that holds a piece, dummies last.
    pub pockets: Vec<PocketReport>,
    /// Rings of the plates from the inner edge to the outer.
    pub rings: Vec<RingReport>,
}

/// What the part in a pocket bore.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PocketReport {
    /// Number of the part, from 1.
    pub part: u32,
    /// Carrier, from 1, counter-clockwise.
    pub carrier: u32,
    /// Pocket in the carrier, from 1, counter-clockwise.
    pub pocket: u32,
    /// Where it lies as the carriers are laid in, along and across the machine from its centre, mm.
    pub place_mm: [f64; 2],
    /// Largest load on it, first contacts apart, N.
    pub load_n: f64,
    /// The same in times of what each part would have borne then had all shared alike.
    pub times_mean: f64,
    /// Direction in which its pocket lies from the carrier's centre, rad; not in the JSON.
    #[serde(skip)]
    pub turned: f64,
}

/// What a ring of the plates wore.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct RingReport {
    /// Radius of its middle, mm.
    pub radius_mm: f64,
    /// What the lower and the upper plate lost there, µm.
    pub worn_um: [f64; 2],
}

/// To so many whole parts of one.
fn rounded(value: f64, parts: f64) -> f64 {
    // The zero takes the sign from a negative zero.
    round(value * parts) / parts + 0.0
}

impl MapReport {
    /// Of a run on plates that were as `before`.
    #[must_use]
    pub fn of(machine: &Machine, batch: &Batch, outcome: &Outcome, before: &PlateForm) -> Self {
        let places = laid_in(&machine.geometry, batch);
        let mut map = Self::default();
        for (i, (part, lies)) in (0..).zip(outcome.parts.iter().zip(places)) {
            let LaidIn {
                pocket,
                place,
                turned,
            } = lies;
            if !part.present {
                continue;
            }
            let times = if part.pressed_mean > 0.0 {
                part.pressed / part.pressed_mean
            } else {
                0.0
            };
            map.pockets.push(PocketReport {
                part: number(i),
                carrier: number(pocket.carrier),
                pocket: number(pocket.pocket),
                place_mm: place.map(|at| rounded(at * 1e3, 10.0)),
                load_n: rounded(part.pressed, 10.0),
                times_mean: rounded(times, 100.0),
                turned,
            });
        }
        map.worn(&outcome.plates, before);
        map
    }

    /// Takes what the plates have lost between two times.
    fn worn(&mut self, after: &PlateForm, before: &PlateForm) {
        self.rings = after
            .worn(before)
            .map(|(radius, worn)| RingReport {
                radius_mm: rounded(radius * 1e3, 10.0),
                // To a tenth of a nanometre: what a batch wears off is little, and computed, not gauged.
                worn_um: worn.map(|depth| rounded(depth * 1e6, 1e4)),
            })
            .collect();
    }

    /// Takes in a later batch in the same pockets: the larger loads, and what the plates have lost since.
    pub fn and_later(&mut self, later: Self) {
        for pocket in later.pockets {
            let same = |known: &&mut PocketReport| known.part == pocket.part;
            match self.pockets.iter_mut().find(same) {
                Some(known) if pocket.load_n > known.load_n => *known = pocket,
                Some(_) => {}
                None => self.pockets.push(pocket),
            }
        }
        self.rings = later.rings;
    }

    /// The pocket that bore most; `None` where nothing was pressed.
    #[must_use]
    pub fn largest(&self) -> Option<&PocketReport> {
        let pressed = self.pockets.iter().filter(|pocket| pocket.load_n > 0.0);
        pressed.max_by(|a, b| a.load_n.total_cmp(&b.load_n))
    }

    /// Least and most wear of a plate (0 lower, 1 upper) where parts touch it, µm; `None` where nothing was worn off it.
    #[must_use]
    pub fn wear(&self, face: usize) -> Option<[f64; 2]> {
        let worn = self.rings.iter().filter_map(|ring| ring.worn_um.get(face));
        let touched = worn.copied().filter(|depth| *depth > 0.0);
        touched.fold(None, |ends: Option<[f64; 2]>, depth| {
            let [least, most] = ends.unwrap_or([depth, depth]);
            Some([min(least, depth), max(most, depth)])
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part_load::LargestPart;
    use std::f64::consts::PI;
    use twinplate_sim::bench::{Job, NoRecorder, run_cycle};
    use twinplate_sim::demo;
    use twinplate_sim::model::Outline;

    fn ran(name: &str) -> (Machine, Batch, Outcome) {
        let job = demo::job(name);
        let outcome = run_cycle(&job.nominal(1), None, NoRecorder).expect("a run");
        (job.machine, job.batch, outcome)
    }

    /// The map's largest load is the one that the reports tell of, and its pockets are those of the parts.
    #[test]
    fn the_map_knows_the_largest_load_on_one_part() {
        for name in demo::recipes() {
            let (machine, batch, outcome) = ran(&name);
            let new = PlateForm::new(&machine);
            let map = MapReport::of(&machine, &batch, &outcome, &new);
            let told = LargestPart::of(&outcome.summary).expect("pressed");
            let most = map.largest().expect("pressed");
            assert_eq!(
                (most.part, most.carrier, most.pocket),
                (told.part, told.carrier, told.pocket),
                "{name}"
            );
            assert!((most.load_n - told.load_n).abs() <= 0.05, "{name}");
            assert!((most.times_mean - told.times_mean).abs() <= 0.005, "{name}");
            assert_eq!(map.pockets.len(), batch.pieces() as usize, "{name}");
            let g = &machine.geometry;
            for pocket in &map.pockets {
                let [x, y] = pocket.place_mm.map(|at| at * 1e-3);
                let angle =
                    std::f64::consts::TAU * f64::from(pocket.carrier - 1) / f64::from(g.carriers);
                let orbit = g.radius_orbit();
                let from_centre = (x - orbit * angle.cos()).hypot(y - orbit * angle.sin());
                assert!((from_centre - batch.outermost()).abs() < 1.5e-4, "{name}");
            }
        }
    }

    /// Share of the parts' faces that lies on the plates, by points that are followed: parts hang over the edges.
    fn on_the_plates(machine: &Machine, batch: &Batch) -> f64 {
        const POINTS: i32 = 48;
        let (g, reach) = (&machine.geometry, batch.outline.outer_radius());
        let (mut on, mut all) = (0.0, 0.0);
        for turn in 0..POINTS {
            let turn = PI * (f64::from(turn) + 0.5) / f64::from(POINTS);
            let (orbit, rho) = (g.radius_orbit(), batch.outermost());
            let centre = (orbit + rho * turn.cos()).hypot(rho * turn.sin());
            for i in -POINTS..=POINTS {
                for j in -POINTS..=POINTS {
                    let [x, y] = [i, j].map(|n| reach * f64::from(n) / f64::from(POINTS));
                    let r = x.hypot(y);
                    let there = match batch.outline {
                        Outline::Disc { .. } => r <= reach,
                        Outline::Ring { inner, .. } => r <= reach && r >= inner / 2.0,
                        // As it lies at one angle; the turning changes little of it.
                        Outline::Rectangle { length, width } => {
                            x.abs() <= length / 2.0 && y.abs() <= width / 2.0
                        }
                        Outline::Polygon(polygon) => polygon.depth([x, y]) >= 0.0,
                    };
                    let radius = (centre + x).hypot(y);
                    let holds = radius >= g.plate_inner / 2.0 && radius <= g.plate_outer / 2.0;
                    all += f64::from(u8::from(there));
                    on += f64::from(u8::from(there && holds));
                }
            }
        }
        on / all
    }

    /// Archard's and Preston's laws share pressure times path: over all of its face the upper plate loses as much more or less than
    /// the upper faces of all pieces as the machine's wear coefficient says.
    #[test]
    fn a_plate_loses_its_share_of_what_the_parts_lose() {
        for name in demo::recipes() {
            let (mut machine, batch, recipe) = demo::set(&name);
            // Heat goes away with the slurry: plates stay flat, and the pressure even, so that speeds alone differ.
            machine.thermal.slurry_share = 1.0;
            let job = Job::new(machine, batch, recipe).expect("compiles");
            let outcome = run_cycle(&job.nominal(1), None, NoRecorder).expect("a run");
            let (machine, batch) = (job.machine, job.batch);
            let new = PlateForm::new(&machine);
            let map = MapReport::of(&machine, &batch, &outcome, &new);
            let g = &machine.geometry;
            let wide = 0.5 * (g.plate_outer - g.plate_inner) / map.rings.len() as f64;
            let mut lost = 0.0;
            for (ring, (radius, worn)) in map.rings.iter().zip(outcome.plates.worn(&new)) {
                lost += 2.0 * PI * radius * wide * worn[1];
                assert!((ring.worn_um[1] - worn[1] * 1e6).abs() < 0.51e-4, "{name}");
            }
            let removed: f64 = outcome.parts.iter().map(|part| part.removed_upper).sum();
            let share = lost / (removed * batch.outline.area());
            let wear = machine.plates.wear * on_the_plates(&machine, &batch);
            // Rings press unevenly where the plates are out of form, and slide by about a tenth faster or slower: what is missing where it
            // slides slower is not made up for where it slides faster. The rest is the rings' width.
            let [least, most] = outcome.summary.form.contact;
            let apart = 0.015 + 0.05 * (most - least);
            assert!(
                (share / wear - 1.0).abs() < apart,
                "{name}: {share} of {wear}"
            );
        }
    }

    /// The part that is shown is the worst of the run, and its bands are those of the form that the verdict is given on.
    #[test]
    fn the_faces_are_those_of_the_worst_part() {
        for name in demo::recipes() {
            let (machine, batch, outcome) = ran(&name);
            let faces = FacesReport::of(&machine, &batch, &outcome).expect("product");
            let [lower, upper, thickness] = &faces.sides;
            let form = &outcome.summary.form;
            let out = max(lower.face.valley(), upper.face.valley());
            // Flatness counts the roll-off's bound on top of a hollow face too, whose rim is not its lowest place.
            assert!(out <= form.flatness + 1e-12, "{name}: {out}");
            assert!(out >= form.flatness - 2.0 * form.roll, "{name}: {out}");
            assert!(thickness.face.valley() <= form.variation + 1e-12, "{name}");
            assert!(faces.words().contains(&upper.words), "{name}");
        }
    }
}

//! The operator inspects the parts that were taken out: measures some of them, lays an optical flat on, and judges.

use super::found::reading;
use super::log::Logged;
use super::protocol::NewsKind;
use super::session::{Refused, Session};
use rand_distr::{Distribution, Uniform};
use std::collections::BTreeMap;
use std::f64::consts::{FRAC_PI_2, TAU};
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::math;
use twinplate_sim::model::{Of, Outline};
use twinplate_sim::plant::Plant;
use twinplate_sim::plant::part_form::FormOfPart;
use twinplate_sim::plant::seed::stream;
use twinplate_sim::training::act::{Act, VERDICTS, verdict_text};
use twinplate_sim::training::rules::Inspection;

/// Places at which a part is measured.
const PLACES: usize = 5;
/// How far out the places near the edge lie, share of the room there: clear of the rim's roll-off. Common practice, no source.
const NEAR_EDGE: f64 = 0.8;

/// How it stands with parts that the operator inspects.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Inspected {
    /// Nobody has judged them.
    NotYet,
    /// They may go on.
    Accepted,
    /// They may not.
    Rejected,
}

impl<C: ControllerPort> Session<C> {
    /// Parts are inspected by whoever took them out.
    pub(super) fn operator_inspects(&self) -> bool {
        self.exercise.training.inspection == Inspection::Operator
    }

    /// Measures so many of the parts on the bench, each at five places.
    pub(super) fn measure_parts(&mut self, parts: u16) -> Result<(), Refused> {
        let whole = self.on_the_bench()?;
        let (wanted, there) = (usize::from(parts), whole.len());
        if !(1..=there).contains(&wanted) {
            return Err(Refused::new(
                "out-of-range",
                self.words()
                    .tell("refused-parts-to-measure", &[("there", there.into())]),
            ));
        }
        let (words, plant) = (self.words(), self.bench.plant());
        let shown = &self.exercise.job.recipe.shown;
        let outline = self.exercise.job.batch.outline;
        let mut random = stream(self.seed, "bench-gauge", "reading", u64::from(self.tick()));
        let truth: Vec<(f64, FormOfPart)> = plant
            .parts()
            .map(|part| part.thickness)
            .zip(plant.part_forms())
            .collect();
        let mut lines = Vec::new();
        for part in carrier_by_carrier(plant, whole).take(wanted) {
            let Some((mean, form)) = truth.get(part) else {
                continue;
            };
            // Nobody knows which way a part is tapered.
            let turned = Uniform::new(0.0, TAU).map_or(0.0, |turn| turn.sample(&mut random));
            let readings = places(outline).map(|(radius, angle)| {
                let is = mean + over_mean(form, outline, radius, angle + turned);
                reading(is, &mut random)
            });
            let told =
                readings.map(|metres| words.written(&shown.fixed(Of::Size, metres * 1e6, 1)));
            let pocket = plant.pocket(part);
            let sizes = shown.with(Of::Size, &told.join("; "));
            lines.push(words.tell(
                "found-readings",
                &[
                    ("part", (part + 1).into()),
                    ("carrier", (pocket.carrier + 1).into()),
                    ("sizes", sizes.into()),
                ],
            ));
        }
        for line in lines {
            self.tell(NewsKind::Found, line, 0);
        }
        Ok(())
    }

    /// Lays an optical flat on the parts on the bench.
    pub(super) fn lay_flat(&mut self) -> Result<(), Refused> {
        self.on_the_bench()?;
        if let Some((text, seen)) = self.under_the_flat() {
            self.tell_seen(text, seen);
        }
        Ok(())
    }

    /// Says whether the parts on the bench may go on.
    pub(super) fn judge_parts(&self, verdict: &str) -> Result<(), Refused> {
        self.on_the_bench()?;
        if verdict_text(verdict).is_none() {
            return Err(Refused::new(
                "unknown-verdict",
                self.words().tell(
                    "refused-unknown-verdict",
                    &[
                        ("verdict", verdict.into()),
                        ("known", VERDICTS.map(|(word, _)| word).join(", ").into()),
                    ],
                ),
            ));
        }
        Ok(())
    }

    /// How it stands with the parts on the bench, where the operator inspects them; `None` where none lie there.
    pub(super) fn inspection(&self) -> Option<Inspected> {
        self.on_the_bench().ok()?;
        for act in self
            .log
            .iter()
            .rev()
            .filter(|logged| logged.taken())
            .filter_map(Logged::act)
        {
            match act {
                Act::UnloadCarriers => break,
                Act::JudgeParts { verdict } if *verdict == VERDICTS[0].0 => {
                    return Some(Inspected::Accepted);
                }
                Act::JudgeParts { .. } => return Some(Inspected::Rejected),
                _ => {}
            }
        }
        Some(Inspected::NotYet)
    }

    /// Whole lapped parts that lie on the bench, by their numbers from 0.
    fn on_the_bench(&self) -> Result<Vec<usize>, Refused> {
        if !self.operator_inspects() {
            return Err(Refused::new(
                "gauge-room",
                self.words().say("refused-gauge-room"),
            ));
        }
        let plant = self.bench.plant();
        let strength = plant.strength();
        let parts = plant.parts().enumerate().filter(|(_, part)| {
            let lapped = part.removed_lower + part.removed_upper > 0.0;
            !part.dummy && lapped && part.peak_load <= strength
        });
        let whole: Vec<usize> = parts.map(|(number, _)| number).collect();
        if plant.loaded() || whole.is_empty() {
            return Err(Refused::new(
                "no-parts",
                self.words().say("refused-no-parts"),
            ));
        }
        Ok(whole)
    }
}

/// One part from each carrier before a second from any, because one carrier may hide what another shows.
fn carrier_by_carrier(plant: &Plant, parts: Vec<usize>) -> impl Iterator<Item = usize> {
    let mut before: BTreeMap<u32, usize> = BTreeMap::new();
    let mut order: Vec<(usize, u32, usize)> = Vec::new();
    for part in parts {
        let carrier = plant.pocket(part).carrier;
        let earlier = before.entry(carrier).or_default();
        order.push((*earlier, carrier, part));
        *earlier += 1;
    }
    order.sort_unstable();
    order.into_iter().map(|(.., part)| part)
}

/// Where a part is measured: distance from its middle, m, and angle. A part without a bore in its middle and at four places near its
/// edge, a ring at five on the middle of its width.
fn places(outline: Outline) -> [(f64, f64); PLACES] {
    if let Outline::Ring { outer, inner } = outline {
        return std::array::from_fn(|i| (0.25 * (outer + inner), TAU * i as f64 / PLACES as f64));
    }
    let near_edge = NEAR_EDGE * outline.room();
    std::array::from_fn(|i| match i {
        0 => (0.0, 0.0),
        i => (near_edge, FRAC_PI_2 * i as f64),
    })
}

/// How much thicker a part is at a place than in the mean, m: its faces are spheres over the circle around it, and its taper goes across
/// that circle. Of a polygon the mean is taken over the largest disc that it holds.
fn over_mean(form: &FormOfPart, outline: Outline, radius: f64, angle: f64) -> f64 {
    let around = outline.outer_radius();
    let rises = |metres: f64| (metres / around) * (metres / around);
    let mean = match outline {
        Outline::Disc { .. } => 0.5,
        Outline::Ring { inner, .. } => 0.5 * (1.0 + rises(0.5 * inner)),
        // Of x² + y² over a rectangle: a third of its half diagonal's square.
        Outline::Rectangle { .. } => 1.0 / 3.0,
        Outline::Polygon(_) => 0.5 * rises(outline.room()),
    };
    let [lower, upper] = form.sags;
    (upper - lower) * (rises(radius) - mean) + 0.5 * form.taper * radius / around * math::cos(angle)
}

#[cfg(test)]
mod tests {
    use super::*;

    const UM: f64 = 1e-6;

    /// The mean of what is measured all over a face is the part's mean thickness, whatever its form: no place is favoured.
    #[test]
    fn over_a_whole_face_the_deviations_cancel() {
        let form = FormOfPart {
            sags: [0.5 * UM, 2.0 * UM],
            taper: 3.0 * UM,
            roll: [0.0; 2],
        };
        let disc = Outline::Disc { diameter: 0.05 };
        let ring = Outline::Ring {
            outer: 0.05,
            inner: 0.03,
        };
        for (outline, inner) in [(disc, 0.0), (ring, 0.015)] {
            let (mut sum, mut weight) = (0.0, 0.0);
            for i in 0..4000 {
                let radius = inner + (0.025 - inner) * (f64::from(i) + 0.5) / 4000.0;
                for turn in 0..8 {
                    let angle = TAU * f64::from(turn) / 8.0;
                    sum += radius * over_mean(&form, outline, radius, angle);
                    weight += radius;
                }
            }
            assert!(
                (sum / weight).abs() < 1e-12,
                "{outline:?}: {}",
                sum / weight
            );
        }
        let square = Outline::Rectangle {
            length: 0.04,
            width: 0.02,
        };
        let mut sum = 0.0;
        for i in 0..200 {
            for j in 0..200 {
                let x = 0.04 * ((f64::from(i) + 0.5) / 200.0 - 0.5);
                let y = 0.02 * ((f64::from(j) + 0.5) / 200.0 - 0.5);
                sum += over_mean(&form, square, x.hypot(y), y.atan2(x));
            }
        }
        assert!((sum / 4e4).abs() < 1e-10, "{}", sum / 4e4);
    }

    /// From edge to edge along its taper a part differs by the whole of it; a part that is hollow on both faces is thinnest in its middle.
    #[test]
    fn taper_goes_across_and_hollow_faces_make_a_thin_middle() {
        let disc = Outline::Disc { diameter: 0.05 };
        let tapered = FormOfPart {
            taper: 3.0 * UM,
            ..FormOfPart::default()
        };
        let at = |radius, angle| over_mean(&tapered, disc, radius, angle);
        let across = at(0.025, 0.0) - at(0.025, std::f64::consts::PI);
        assert!((across - 3.0 * UM).abs() < 1e-15, "{across}");
        let hollow = FormOfPart {
            sags: [-UM, UM],
            ..FormOfPart::default()
        };
        let deep = over_mean(&hollow, disc, 0.025, 0.0) - over_mean(&hollow, disc, 0.0, 0.0);
        assert!((deep - 2.0 * UM).abs() < 1e-15, "{deep}");
    }

    /// Every place lies on the part.
    #[test]
    fn the_places_lie_on_the_face() {
        let ring = places(Outline::Ring {
            outer: 0.05,
            inner: 0.03,
        });
        assert!(
            ring.iter()
                .all(|(radius, _)| (0.015..0.025).contains(radius))
        );
        let tile = places(Outline::Rectangle {
            length: 0.04,
            width: 0.02,
        });
        assert!(tile.iter().all(|(radius, _)| *radius < 0.01));
        assert_eq!(tile.iter().filter(|(radius, _)| *radius == 0.0).count(), 1);
    }
}

//! What is found when parts are taken out: measured thickness, cracks, marks on plates and carriers.

use super::log::{Found, STEP, SessionEvent, UNCERTAINTY};
use super::protocol::{NewsKind, Seen, SeenFace};
use super::session::Session;
use rand_distr::{Distribution, StandardNormal};
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::fringes::{Laid, Picture, WEDGE, worst};
use twinplate_sim::math;
use twinplate_sim::model::Of;
use twinplate_sim::plant::seed::{Stream, stream};

impl<C: ControllerPort> Session<C> {
    /// Has the parts that were just taken out measured and looked at.
    pub(super) fn found(&mut self, tick: u32) {
        let plant = self.bench.plant();
        let strength = plant.strength();
        let batch = &self.exercise.job.batch;
        let mut random = stream(self.seed, "gauge-room", "reading", u64::from(tick));
        let mut found = Found {
            measured_m: Vec::new(),
            cracked: 0,
            under: 0,
            scratched: 0,
            over: 0,
            completed: self.live.completed,
            worked: false,
        };
        for (number, part) in plant.parts().enumerate().filter(|(_, part)| !part.dummy) {
            let measured = reading(part.thickness, &mut random);
            let removed = part.removed_lower + part.removed_upper;
            found.worked |= removed > 0.0 || part.peak_load > 0.0;
            if part.peak_load > strength {
                found.cracked += 1;
                continue;
            }
            found.measured_m.push(measured);
            found.scratched += u32::from(plant.scratched(number));
            if measured < batch.target - batch.tolerance {
                found.under += 1;
            } else if measured > batch.target + batch.tolerance {
                found.over += 1;
            }
        }
        let text = self.found_text(&found);
        let seen = if found.worked && !self.operator_inspects() {
            self.under_the_flat()
        } else {
            None
        };
        self.mark(tick, SessionEvent::Found(Box::new(found)));
        for line in text {
            self.tell(NewsKind::Found, line, 0);
        }
        if let Some((text, seen)) = seen {
            self.tell_seen(text, seen);
        }
    }

    /// Lays an optical flat on both faces of every whole part: what is told is the one that shows most bands.
    pub(super) fn under_the_flat(&self) -> Option<(String, Seen)> {
        let words = self.words();
        let plant = self.bench.plant();
        let batch = &self.exercise.job.batch;
        let strength = plant.strength();
        let parts = plant.parts().zip(plant.part_forms()).enumerate();
        let whole = parts
            .filter(|(_, (part, _))| !part.dummy && part.peak_load <= strength)
            .map(|(i, (_, form))| (i, form));
        let (part, [lower, upper, _]) = worst(batch, whole)?;
        let pocket = plant.pocket(part);
        let which = words.tell(
            "found-which",
            &[
                ("part", (part + 1).into()),
                ("carrier", (pocket.carrier + 1).into()),
                ("pocket", (pocket.pocket + 1).into()),
            ],
        );
        let bands = format!("{WEDGE:.0}");
        let faces = [lower, upper].map(|face| SeenFace {
            face: face.side.word().to_owned(),
            words: face.words(batch.wavelength),
            pictures: [
                (Laid::Touching, words.say("found-flat-laid")),
                (
                    Laid::Tipped,
                    words.tell("found-flat-tipped", &[("bands", (&bands).into())]),
                ),
            ]
            .map(|(laid, told)| (told, Picture::new(&face, batch.wavelength, laid))),
        });
        let told = faces
            .each_ref()
            .map(|face| format!("{} {}", face.face, face.words));
        let text = words.tell(
            "found-under-the-flat",
            &[
                ("which", (&which).into()),
                ("faces", told.join("; ").into()),
            ],
        );
        Some((text, Seen { part: which, faces }))
    }

    fn found_text(&self, found: &Found) -> Vec<String> {
        let words = self.words();
        let mut lines = Vec::new();
        if !found.worked {
            lines.push(words.say("found-untouched"));
        } else if self.operator_inspects() {
            let whole = found.measured_m.len();
            lines.push(words.tell("found-unmeasured", &[("whole", whole.into())]));
        } else if !found.measured_m.is_empty() {
            lines.push(self.sizes_text(found));
        }
        let measured = found.worked && !self.operator_inspects();
        if measured && (found.under > 0 || found.over > 0) {
            lines.push(words.tell(
                "found-off-size",
                &[("under", found.under.into()), ("over", found.over.into())],
            ));
        }
        if found.scratched > 0 {
            let parts = found.scratched.into();
            lines.push(words.tell("found-scratched", &[("parts", parts)]));
        }
        if found.cracked > 0 {
            let parts = found.cracked.into();
            lines.push(words.tell("found-cracked", &[("parts", parts)]));
        }
        let harm = self.bench.plant().harm();
        if harm.dry_turning.happened() {
            lines.push(words.say("found-scored"));
        }
        if harm.out_of_ratio.happened() || harm.on_carriers.happened() {
            lines.push(words.say("found-carriers"));
        }
        let good = found.cracked + found.scratched + found.under + found.over == 0;
        if measured && good && !harm.any() {
            lines.push(words.say("found-no-marks"));
        }
        lines
    }

    /// What was measured, against what is asked for.
    fn sizes_text(&self, found: &Found) -> String {
        let (words, batch) = (self.words(), &self.exercise.job.batch);
        let shown = &self.exercise.job.recipe.shown;
        let size = |metres: f64| words.written(&shown.fixed(Of::Size, metres * 1e6, 1));
        let with = |metres: f64| shown.with(Of::Size, &size(metres));
        let sizes = || found.measured_m.iter().copied();
        let whole = sizes().len();
        let mean = sizes().sum::<f64>() / whole as f64;
        words.tell(
            "found-measured",
            &[
                ("whole", whole.into()),
                ("mean", with(mean).into()),
                ("least", size(sizes().fold(f64::INFINITY, math::min)).into()),
                ("most", with(sizes().fold(0.0, math::max)).into()),
                ("uncertainty", with(UNCERTAINTY).into()),
                ("target", size(batch.target).into()),
                ("tolerance", with(batch.tolerance).into()),
            ],
        )
    }
}

/// What a gauge reads where a part is so thick, m: with its uncertainty, rounded to its step.
pub(super) fn reading(thickness: f64, random: &mut Stream) -> f64 {
    let error: f64 = StandardNormal.sample(random);
    math::round((thickness + error * UNCERTAINTY / 2.0) / STEP) * STEP
}

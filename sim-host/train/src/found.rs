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
        let plant = self.bench.plant();
        let batch = &self.exercise.job.batch;
        let strength = plant.strength();
        let parts = plant.parts().zip(plant.part_forms()).enumerate();
        let whole = parts
            .filter(|(_, (part, _))| !part.dummy && part.peak_load <= strength)
            .map(|(i, (_, form))| (i, form));
        let (part, [lower, upper, _]) = worst(batch, whole)?;
        let pocket = plant.pocket(part);
        let which = format!(
            "part {} (carrier {}, pocket {})",
            part + 1,
            pocket.carrier + 1,
            pocket.pocket + 1
        );
        let faces = [lower, upper].map(|face| SeenFace {
            face: face.side.word().to_owned(),
            words: face.words(batch.wavelength),
            pictures: [
                (Laid::Touching, "flat laid on".to_owned()),
                (Laid::Tipped, format!("flat tipped by {WEDGE:.0} bands")),
            ]
            .map(|(laid, words)| (words, Picture::new(&face, batch.wavelength, laid))),
        });
        let told = faces
            .each_ref()
            .map(|face| format!("{} {}", face.face, face.words));
        let text = format!(
            "Under the optical flat the worst is {which}: {}.",
            told.join("; ")
        );
        Some((text, Seen { part: which, faces }))
    }

    fn found_text(&self, found: &Found) -> Vec<String> {
        let batch = &self.exercise.job.batch;
        let shown = &self.exercise.job.recipe.shown;
        let size = |metres: f64| shown.fixed(Of::Size, metres * 1e6, 1);
        let with = |metres: f64| shown.with(Of::Size, &size(metres));
        let whole = found.measured_m.len();
        let mut lines = Vec::new();
        if !found.worked {
            lines.push("The parts are as they came: nothing has touched them.".to_owned());
        } else if self.operator_inspects() {
            lines.push(format!(
                "{whole} whole parts lie on the bench, unmeasured. Measure them, lay the optical flat on, and judge them."
            ));
        } else if whole > 0 {
            let mean = found.measured_m.iter().sum::<f64>() / whole as f64;
            let least = found
                .measured_m
                .iter()
                .copied()
                .fold(f64::INFINITY, math::min);
            let most = found.measured_m.iter().copied().fold(0.0, math::max);
            lines.push(format!(
                "{whole} whole parts measured: mean {}, from {} to {} (± {}), for {} ± {}.",
                with(mean),
                size(least),
                with(most),
                with(UNCERTAINTY),
                size(batch.target),
                with(batch.tolerance)
            ));
        }
        let measured = found.worked && !self.operator_inspects();
        if measured && (found.under > 0 || found.over > 0) {
            lines.push(format!(
                "{} too thin, {} too thick.",
                found.under, found.over
            ));
        }
        if found.scratched > 0 {
            lines.push(format!(
                "{} scratched: fine lines across their faces, which the finish does not hide.",
                found.scratched
            ));
        }
        if found.cracked > 0 {
            lines.push(format!(
                "{} cracked: they bore more than they can.",
                found.cracked
            ));
        }
        let harm = self.bench.plant().harm();
        if harm.dry_turning.happened() {
            lines.push("The plates are scored: they turned without slurry between them.".into());
        }
        if harm.out_of_ratio.happened() || harm.on_carriers.happened() {
            lines.push("Carriers are damaged: worn teeth or marks of the plate on them.".into());
        }
        let good = found.cracked + found.scratched + found.under + found.over == 0;
        if measured && good && !harm.any() {
            lines.push("No cracks, no marks on plates or carriers.".into());
        }
        lines
    }
}

/// What a gauge reads where a part is so thick, m: with its uncertainty, rounded to its step.
pub(super) fn reading(thickness: f64, random: &mut Stream) -> f64 {
    let error: f64 = StandardNormal.sample(random);
    math::round((thickness + error * UNCERTAINTY / 2.0) / STEP) * STEP
}

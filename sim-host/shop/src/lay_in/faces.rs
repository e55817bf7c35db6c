//! What the two faces of the parts lose, and whether turning them over half-way would help.

use super::LayInReport;
use firmware_core::process_image::FACES;
use twinplate_sim::files::Set;
use twinplate_sim::math::max;
use twinplate_sim::plant::abrasion::Abrasion;
use twinplate_sim::requirements::damage_limit;

/// Both faces over all loads.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Faces {
    /// Mean removal of the lower and the upper face, m.
    pub removed: [f64; FACES],
    /// Deepest damage left in a face of any part, m.
    pub left: f64,
    /// Damage that may be left, m.
    pub allowed: f64,
    /// What would be left, in the mean part, had every part been turned over at half of its stock, m: arithmetic, no run.
    pub turned: f64,
}

impl Faces {
    /// Of the loads that were run to their end.
    pub(super) fn of(report: &LayInReport, set: &Set) -> Option<Self> {
        let (batch, consumables) = (&set.batch.value, &set.recipe.value.consumables);
        let mut sums = [0.0; FACES];
        let (mut count, mut left) = (0.0, 0.0);
        for load in report.loads() {
            let Ok(ran) = &load.ran else { continue };
            let n = load.parts() as f64;
            for (sum, removed) in sums.iter_mut().zip(ran.removed) {
                *sum += n * removed;
            }
            count += n;
            left = max(left, ran.damage);
        }
        if count == 0.0 {
            return None;
        }
        let removed = sums.map(|sum| sum / count);
        let own = Abrasion::of(consumables, &batch.material).damage;
        Some(Self {
            removed,
            left,
            allowed: damage_limit(batch, consumables),
            turned: max(batch.damage - 0.5 * (removed[0] + removed[1]), own),
        })
    }

    /// Whether turning over is what brings the damage under its limit.
    #[must_use]
    pub fn turn_over(&self) -> bool {
        self.left > self.allowed && self.turned <= self.allowed
    }
}

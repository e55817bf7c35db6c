//! Where the search looks: a box with one coordinate for each thing that may differ, each from -1 to 1.
//!
//! | coordinate | what |
//! |---|---|
//! | 0..17 | the envelope's values from their lower to their upper edge, in the order of [`Deviations`] |
//! | 17 | which of [`SEEDS`] seeds of part thicknesses and noise |
//! | 18 | which disturbance of those that the requirement bears |
//! | 19 | when it comes |
//! | 20 | how large it is |
//!
//! A point beyond the box counts as the nearest point on its edge.

use super::Target;
use super::disturb::{Disturbance, Kind, Window, borne_by, windows};
use twinplate_sim::bench::Job;
use twinplate_sim::math::limit;
use twinplate_sim::model::{Deviations, Scenario};
use twinplate_sim::plant::envelope::{WIDTHS, at};
use twinplate_sim::plant::seed::substream;

/// Coordinates.
pub const COORDINATES: usize = WIDTHS as usize + 4;
/// Seeds of part thicknesses and noise among which the search chooses. More would be more places, each looked at less. Invented.
pub const SEEDS: usize = 8;

/// One case: everything that a run is made of beside the files.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trial {
    /// How machine and batch differ from their files.
    pub deviations: Deviations,
    /// Seed of part thicknesses and noise.
    pub seed: u64,
    /// What happens to it.
    pub disturbance: Disturbance,
}

impl Trial {
    /// As a scenario with the operator by the book; `None` when nothing happens.
    #[must_use]
    pub fn scenario(&self, job: &Job) -> Option<Scenario> {
        (self.disturbance.kind != Kind::Nothing).then(|| Scenario {
            id: "sought".into(),
            title: String::new(),
            operator: true,
            longest: 0.0,
            events: self.disturbance.events(&job.machine),
            training: None,
            assessment: None,
        })
    }
}

/// The box of one requirement of one job.
#[derive(Clone, Debug)]
pub struct Space<'a> {
    job: &'a Job,
    target: Target,
    windows: Vec<Window>,
    seed: u64,
}

impl<'a> Space<'a> {
    /// The box. `seed` is the search's.
    #[must_use]
    pub fn new(job: &'a Job, target: Target, seed: u64) -> Self {
        Self {
            job,
            target,
            windows: windows(target, &job.machine, &job.batch, &job.recipe),
            seed,
        }
    }

    /// The case at a point.
    #[must_use]
    pub fn trial(&self, point: &[f64]) -> Trial {
        let share = |extra: usize| {
            let x = point
                .get(WIDTHS as usize + extra)
                .copied()
                .unwrap_or_default();
            // A value that is no number counts as the middle, as it does for the envelope.
            let x = if x.is_nan() { 0.0 } else { x };
            0.5 * (limit(x, -1.0, 1.0) + 1.0)
        };
        let kinds = borne_by(self.target);
        let kind = kinds
            .get(which(share(1), kinds.len()))
            .copied()
            .unwrap_or(Kind::Nothing);
        Trial {
            deviations: at(
                &self.job.machine.envelope,
                point.get(..WIDTHS as usize).unwrap_or(point),
            ),
            seed: substream(self.seed, "seek", "run", which(share(0), SEEDS) as u64),
            disturbance: Disturbance::at(self.target, kind, &self.windows, share(2), share(3)),
        }
    }
}

/// How far a point is outside the box: sum of squares over its coordinates.
#[must_use]
pub fn outside(point: &[f64]) -> f64 {
    point
        .iter()
        .map(|&x| {
            let beyond = x - limit(x, -1.0, 1.0);
            beyond * beyond
        })
        .sum()
}

/// Which of `count` equal parts of 0..=1 a share lies in.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss
)] // a dozen at most
fn which(share: f64, count: usize) -> usize {
    ((share * count as f64) as usize).min(count.saturating_sub(1))
}

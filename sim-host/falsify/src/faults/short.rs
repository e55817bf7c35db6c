//! The shortened job of the fault matrix: everything as the recipe says, but every dwell and the rinse cut to seconds.
//!
//! A fault's answer depends on phase, load and speed, not on how long a dwell has lasted: a matrix of thousands of runs need
//! not lap a whole batch. What takes minutes (a plate that warms without cooling, slurry that settles, a batch lapped under
//! its size) is therefore not seen here; `docs/fault-matrix.md` says so.

use twinplate_check::case::Case;
use twinplate_check::predict::predict;
use twinplate_sim::bench::Job;
use twinplate_sim::compile::CompileError;
use twinplate_sim::math::{max, min};
use twinplate_sim::model::{End, Recipe};

/// In-band time of a shortened step, s. Longer than the longest debounce watched in a dwell (2 s) and what a fault needs to show
/// before it. Invented.
pub const DWELL: f64 = 8.0;
/// Longest time of a shortened step beyond its load ramp, s: what a step costs whose gauge no longer ends it. Invented.
pub const LONGEST: f64 = 30.0;
/// Rinse, s; none where the recipe has none. Invented.
pub const RINSE: f64 = 6.0;

/// The job with its dwells and its rinse cut short. A step that ends by gauge still does: by the stock that [`DWELL`] seconds take off.
///
/// # Errors
/// What the controller's limits refuse.
pub fn shortened(job: &Job) -> Result<Job, CompileError> {
    let case = Case {
        machine: &job.machine,
        batch: &job.batch,
        recipe: &job.recipe,
    };
    let prediction = predict(&case, 1.0);
    let mut recipe: Recipe = job.recipe.clone();
    recipe.rinse = min(recipe.rinse, RINSE);
    for (step, expected) in recipe.steps.iter_mut().zip(&prediction.steps) {
        let rate = (expected.removal_lower_um + expected.removal_upper_um) * 1e-6
            / max(expected.duration_s, 1.0);
        step.end = match step.end {
            End::Time { seconds } => End::Time {
                seconds: min(seconds, DWELL),
            },
            End::Stock { .. } | End::Size { .. } => End::Stock {
                depth: rate * DWELL,
            },
        };
        let ramp = job.machine.control.rated_load / step.ramp;
        step.longest = min(step.longest, LONGEST + ramp);
    }
    let mut short = Job::new(job.machine.clone(), job.batch.clone(), recipe)?;
    short.files.clone_from(&job.files);
    Ok(short)
}

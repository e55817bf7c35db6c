//! The closed-loop trials: compiles the case once, draws machines and batches from its envelope, runs a whole cycle with each on the
//! bench, and judges every run by what is true in the plant.
//!
//! Run 0 is the nominal machine; run `n` is draw `n` of the trials' seed, noise included, so that a run's number and
//! the trials' seed replay it. The number of threads changes nothing but the time.

mod results;

pub use results::{Results, WorstCase};

use super::case::Case;
use twinplate_sim::bench::{Drawn, Job, NoRecorder, Outcome, PortError, ensemble, run_cycle};
use twinplate_sim::compile::CompileError;
use twinplate_sim::requirements::judge;

/// How many trials are made, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TrialPlan {
    /// Draws from the envelope; the nominal run comes on top. The design asks for 200.
    pub draws: usize,
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed of the draws.
    pub seed: u64,
}

/// Why no trial could be made.
#[derive(Clone, Debug, PartialEq)]
pub enum NoTrials {
    /// The controller refuses the machine or the recipe. The static findings should have said why.
    Compile(CompileError),
    /// The controller could not be reached.
    Port(PortError),
}

impl std::fmt::Display for NoTrials {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Compile(error) => write!(f, "{error}"),
            Self::Port(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for NoTrials {}

/// Trials, and the nominal one among them.
#[derive(Clone, Debug)]
pub struct Tried {
    /// What the runs came to.
    pub results: Results,
    /// The nominal run with its trace.
    pub run: Outcome,
}

/// Compiles a case for the bench.
///
/// # Errors
/// [`NoTrials::Compile`] where the controller refuses it.
pub fn job(case: &Case) -> Result<Job, NoTrials> {
    Job::new(
        case.machine.clone(),
        case.batch.clone(),
        case.recipe.clone(),
    )
    .map_err(NoTrials::Compile)
}

/// Runs the trials. `progress` hears how many runs are done, from any thread.
///
/// # Errors
/// Where the case cannot be compiled; a controller in process is always there.
pub(crate) fn run_trials(
    case: &Case,
    plan: &TrialPlan,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Tried, NoTrials> {
    let job = job(case)?;
    let seed = plan.seed;
    let nominal_setup = job.drawn(Drawn { seed, index: 0 });
    let nominal =
        run_cycle(&nominal_setup, None, nominal_setup.recorder(None)).map_err(NoTrials::Port)?;
    progress(1);
    let mut judged = vec![judge(&job, &nominal)];
    let drawn = ensemble(
        plan.draws,
        plan.threads.max(1),
        &|done| progress(done + 1),
        |draw| {
            // Far below 2^64 runs.
            let index = draw as u64 + 1;
            run_cycle(&job.drawn(Drawn { seed, index }), None, NoRecorder)
                .map(|outcome| judge(&job, &outcome))
        },
    );
    for run in drawn {
        judged.push(run.map_err(NoTrials::Port)?);
    }
    Ok(Tried {
        results: Results::of(plan.seed, judged),
        run: nominal,
    })
}

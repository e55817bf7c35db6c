//! The closed-loop trials: compiles the case once, draws machines and batches from its envelope, runs a whole cycle with each on the
//! bench, and judges every run by what is true in the plant.
//!
//! Run 0 is the nominal machine; run `n` is draw `n` of the trials' seed, noise included, so that a run's number and
//! the trials' seed replay it. The nominal machine is run twice, with cold plates and with plates as warm as batches without a pause leave
//! them; of the draws, those with an odd number begin warm. The number of threads changes nothing but the time.

mod results;

pub use results::{Results, TrialRun, WorstCase};

use super::case::Case;
use super::lot::{Feed, Left};
use twinplate_sim::bench::{
    Drawn, Job, NoRecorder, Outcome, PortError, Settled, Setup, ensemble, run_after, run_cycle,
};
use twinplate_sim::compile::CompileError;
use twinplate_sim::requirements::{RunJudgement, judge};

/// How many trials are made, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TrialPlan {
    /// Draws from the envelope; the nominal runs come on top. The design asks for 200.
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
    /// What each run left of its parts: the nominal machine cold, then warm, then the draws in their order.
    pub left: Vec<Left>,
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

/// Runs made beside the draws: the nominal machine, cold and warm.
pub const NOMINAL_RUNS: usize = 2;

/// Whether this draw begins with warm plates; of the nominal machine, its second run.
const fn begins_warm(draw: u64) -> bool {
    draw == 0 || draw % 2 == 1
}

/// The setup of a draw, its plates as warm as it begins with.
pub(crate) fn setup<'a>(feed: &Feed, job: &'a Job, drawn: Drawn, settled: &Settled) -> Setup<'a> {
    let setup = feed.setup(job, drawn);
    if begins_warm(drawn.index) {
        setup.warm(settled)
    } else {
        setup
    }
}

/// Runs the trials, each with the parts that `feed` has for it. `progress` hears how many runs are done, `heard` each of them as it
/// comes, the nominal one first; both from any thread.
///
/// # Errors
/// Where the case cannot be compiled; a controller in process is always there.
pub(crate) fn run_trials(
    case: &Case,
    plan: &TrialPlan,
    feed: &Feed,
    progress: &(dyn Fn(usize) + Sync),
    heard: &(dyn Fn(&RunJudgement) + Sync),
) -> Result<Tried, NoTrials> {
    let job = job(case)?;
    let seed = plan.seed;
    let fed = feed.job(&job, 0);
    let nominal_setup = feed.setup(&fed, Drawn { seed, index: 0 });
    let (nominal, after) = run_after(
        nominal_setup.unused(),
        nominal_setup.controller(),
        &nominal_setup,
        None,
        nominal_setup.recorder(None),
    )
    .map_err(NoTrials::Port)?;
    let first = judge(&job, &nominal);
    heard(&first);
    progress(1);
    let settled = Settled::after_cold(&job.machine, &nominal, &after);
    let mut left = vec![Left::of(&job.batch, &nominal, &first)];
    let mut judged = vec![first];
    let drawn = ensemble(
        plan.draws + 1,
        plan.threads.max(1),
        &|done| progress(done + 1),
        |index| {
            // Far below 2^64 runs.
            let drawn = Drawn {
                seed,
                index: index as u64,
            };
            // The runs begin with the one that is made already.
            let fed = feed.job(&job, index + 1);
            let setup = setup(feed, &fed, drawn, &settled);
            run_cycle(&setup, None, NoRecorder).map(|outcome| {
                let judgement = judge(&job, &outcome);
                heard(&judgement);
                let left = Left::of(&job.batch, &outcome, &judgement);
                (judgement, left)
            })
        },
    );
    for run in drawn {
        let (judgement, lot) = run.map_err(NoTrials::Port)?;
        judged.push(judgement);
        left.push(lot);
    }
    Ok(Tried {
        results: Results::of(plan.seed, judged),
        run: nominal,
        left,
    })
}

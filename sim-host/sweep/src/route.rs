//! A route: recipes one after another on the same parts. What trial `k` of a stage leaves, trial `k` of the next stage begins with.

use twinplate_check::check::{Checked, Request, check_fed};
use twinplate_check::lot::{Feed, Left, Lot, LotValue};
use twinplate_check::trials::{NOMINAL_RUNS, TrialPlan, TrialRun};
use twinplate_check::verdict::{CheckReport, Verdict};
use twinplate_check::{Case, locate};
use twinplate_sim::bench::{
    Drawn, Job, NoRecorder, Outcome, PortError, Settled, Setup, run_after, run_cycle,
};
use twinplate_sim::compile::CompileError;
use twinplate_sim::files::{RouteSet, Set};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::{Batch, micrometres};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::requirements::{RunJudgement, judge};

/// Difference of what a batch file says of incoming parts from what comes, share of the larger, under which nothing is said of it.
const SAME: f64 = 0.005;

/// One stage, checked.
#[derive(Clone, Debug)]
pub struct Stage {
    /// Its check.
    pub checked: Checked,
    /// What comes to it from the nominal run before, beside what its batch file says; empty of the first stage.
    pub incoming: Vec<LotValue>,
    /// What the nominal run leaves; nothing where no run was made.
    pub left: Option<Lot>,
    /// The spread of what came to it over the trials: least and most of each number of `incoming`, µm.
    pub ranges: Vec<[f64; 2]>,
    /// It passes with the incoming parts that its own batch file tells of; `None` of the first stage, or where that was not asked.
    pub alone: Option<Verdict>,
}

/// A route, checked.
#[derive(Clone, Debug)]
pub struct Checkup {
    /// Identifier of the route.
    pub id: String,
    /// Its title.
    pub title: String,
    /// Stages in order, as far as they could be judged.
    pub stages: Vec<Stage>,
    /// Stages that the route has.
    pub count: usize,
    /// Trials of the whole route, and how many of them broke a requirement in any stage.
    pub runs: usize,
    /// See `runs`.
    pub failed: usize,
    /// What to mind between the stages.
    pub cautions: Vec<String>,
}

impl Checkup {
    /// The worst verdict of its stages; a stage that could not be judged fails it.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let worst = self
            .stages
            .iter()
            .map(|stage| stage.checked.report.verdict)
            .max();
        match worst {
            Some(worst) if self.stages.len() == self.count => worst,
            _ => Verdict::Fail,
        }
    }

    /// The first stage with an error, from 0.
    #[must_use]
    pub fn first_failing(&self) -> Option<usize> {
        let fails = |stage: &Stage| stage.checked.report.verdict == Verdict::Fail;
        let judged = self.stages.iter().position(fails);
        judged.or((self.stages.len() < self.count).then_some(self.stages.len()))
    }

    /// The stage whose tightest requirement uses most of its bound, from 0.
    #[must_use]
    pub fn tightest(&self) -> Option<usize> {
        let used = |stage: &Stage| {
            let worst = stage.checked.report.envelope.worst.as_ref();
            worst.map_or(f64::INFINITY, |case| {
                case.value / max(case.limit, f64::MIN_POSITIVE)
            })
        };
        (0..self.stages.len()).max_by(|a, b| {
            let both = [*a, *b].map(|stage| used(&self.stages[stage]));
            // Of equals the first.
            both[0].total_cmp(&both[1]).then(b.cmp(a))
        })
    }

    /// Cycle times of the nominal machine together, s; loading, cleaning and changing plates not counted.
    #[must_use]
    pub fn time(&self) -> f64 {
        let times = self
            .stages
            .iter()
            .map(|stage| stage.checked.report.prediction.cycle_s);
        times.sum()
    }

    /// The check of the last stage, where it was judged: its targets are the route's.
    #[must_use]
    pub fn last(&self) -> Option<&CheckReport> {
        let last = self.stages.last()?;
        (self.stages.len() == self.count).then_some(&last.checked.report)
    }
}

/// How a route is checked.
pub struct Plan<'a> {
    /// Draws, threads and seed.
    pub trials: TrialPlan,
    /// The command that runs a numbered trial of the whole route again.
    pub replay: &'a dyn Fn(TrialRun) -> String,
    /// Hears how many runs are done.
    pub progress: &'a (dyn Fn(usize) + Sync),
    /// Check each later stage with its own file's incoming parts as well, to say whether what comes makes the difference.
    pub alone: bool,
}

/// Checks a route, stage after stage. It ends where a stage makes no run: what it would leave nobody knows.
///
/// # Errors
/// A controller that is not there.
pub fn check_route(set: &RouteSet, plan: &Plan) -> Result<Checkup, PortError> {
    let mut stages: Vec<Stage> = Vec::new();
    let mut held: Vec<bool> = Vec::new();
    let mut left: Vec<Left> = Vec::new();
    let each = plan.trials.draws + NOMINAL_RUNS;
    for (number, files) in set.stages.iter().enumerate() {
        let trials = trials(set, number, plan.trials);
        let progress = |done: usize| (plan.progress)(number * each + done);
        let place = |place: &twinplate_check::Place| locate(files, place);
        let request = |replay| Request {
            trials,
            locate: &place,
            waivers: &[],
            replay,
            progress: &progress,
            judged: &|_| (),
        };
        // As in the nominal run before; the first stage's as its file says.
        let batch = incoming_batch(files, left.first());
        let case = Case {
            batch: &batch,
            ..Case::of(files)
        };
        let feed = feed(&left, number);
        let checked = check_fed(&case, &request(plan.replay), &feed)?;
        let alone = if plan.alone && number > 0 {
            let own = check_fed(&Case::of(files), &request(plan.replay), &Feed::none())?;
            Some(own.report.verdict)
        } else {
            None
        };
        let told = |left: &Left| left.lot.beside(&files.batch.value);
        let incoming = left
            .first()
            .map_or(Vec::new(), |first| told(first).to_vec());
        let ranges = ranges(&left, |left| told(left).map(|value| value.came_um).to_vec());
        left.clone_from(&checked.left);
        held.resize(left.len(), true);
        for (all, stage) in held.iter_mut().zip(&left) {
            *all = *all && stage.held;
        }
        let ran = !left.is_empty();
        stages.push(Stage {
            left: left.first().map(|left| left.lot),
            checked,
            incoming,
            ranges,
            alone,
        });
        if !ran {
            break;
        }
    }
    Ok(Checkup {
        id: set.route.value.id.clone(),
        title: set.route.value.title.clone(),
        count: set.stages.len(),
        runs: held.len(),
        failed: held.iter().filter(|held| !**held).count(),
        cautions: cautions(&set.stages),
        stages,
    })
}

fn incoming_batch(files: &Set, left: Option<&Left>) -> Batch {
    let file = &files.batch.value;
    left.map_or_else(|| file.clone(), |left| left.lot.in_batch(file))
}

fn feed(left: &[Left], number: usize) -> Feed {
    if number == 0 {
        Feed::none()
    } else {
        Feed::of(left, number as u64)
    }
}

/// The plan of a stage. A machine that the route comes back to is the same draw again; another machine is drawn for itself.
fn trials(set: &RouteSet, number: usize, plan: TrialPlan) -> TrialPlan {
    TrialPlan {
        seed: seed_of(set, number, plan.seed),
        ..plan
    }
}

fn seed_of(set: &RouteSet, number: usize, seed: u64) -> u64 {
    let machine = |stage: &Set| stage.machine.value.id.clone();
    let own = machine(&set.stages[number]);
    match set.stages.iter().position(|stage| machine(stage) == own) {
        Some(0) | None => seed,
        Some(first) => substream(seed, "route", "machine", first as u64),
    }
}

fn ranges(left: &[Left], numbers: impl Fn(&Left) -> Vec<f64>) -> Vec<[f64; 2]> {
    let mut ranges: Vec<[f64; 2]> = Vec::new();
    for left in left {
        for (index, number) in numbers(left).into_iter().enumerate() {
            match ranges.get_mut(index) {
                Some([least, most]) => {
                    *least = twinplate_sim::math::min(*least, number);
                    *most = max(*most, number);
                }
                None => ranges.push([number; 2]),
            }
        }
    }
    ranges
}

/// Whether what comes is not what the batch file says, by more than is worth telling.
#[must_use]
pub fn differs(value: &LotValue) -> bool {
    abs(value.came_um - value.file_um) > SAME * max(abs(value.came_um), abs(value.file_um))
}

/// What to mind between two stages. Common practice, no source.
fn cautions(stages: &[Set]) -> Vec<String> {
    let pairs = stages.iter().zip(stages.iter().skip(1)).enumerate();
    pairs
        .map(|(index, (before, after))| {
            let mixes = [before, after].map(|set| &set.recipe.value.consumables);
            let grains = mixes.map(|mix| micrometres(mix.grain));
            let between = format!("between stages {} and {}", index + 1, index + 2);
            let mut told = if grains[1] < grains[0] {
                format!(
                    "{between}: clean parts, carriers and hands of every grain before; one of {} µm that is carried over scores faces \
                     that {} µm are to finish",
                    twinplate_check::finding::significant(grains[0], 3),
                    twinplate_check::finding::significant(grains[1], 3)
                )
            } else {
                format!("{between}: clean parts and carriers")
            };
            if before.machine.value.id == after.machine.value.id && mixes[0].grade != mixes[1].grade
            {
                told.push_str(
                    "; the same machine runs another abrasive: its own plates or pads, tank and lines for each, or all of them cleaned",
                );
            }
            told.push('.');
            told
        })
        .collect()
}

/// One stage of one route that was run.
#[derive(Debug)]
pub struct StageRun {
    /// What was run.
    pub job: Job,
    /// How it went.
    pub outcome: Outcome,
    /// How it was judged.
    pub judged: RunJudgement,
    /// What came to it beside what its batch file says; empty of the first stage.
    pub incoming: Vec<LotValue>,
    /// What it left.
    pub left: Lot,
}

/// Why a route cannot be run.
#[derive(Clone, Debug, PartialEq)]
pub enum NoRun {
    /// The controller refuses the recipe of this stage, from 0.
    Refused(usize, CompileError),
    /// The controller could not be reached.
    Port(PortError),
}

/// Runs a route once: draw 0 is every machine as its file says; `warm`, and its plates are as warm as batches before leave them. It ends
/// after a stage that does not complete.
///
/// # Errors
/// A recipe that the controller refuses; a controller that is not there.
pub fn run_route(set: &RouteSet, drawn: Drawn, warm: bool) -> Result<Vec<StageRun>, NoRun> {
    let mut runs: Vec<StageRun> = Vec::new();
    // The recipe is compiled, and the plates get as warm, as the nominal machine with what its stages before have left has it.
    let mut nominal: Option<Lot> = None;
    for (number, files) in set.stages.iter().enumerate() {
        let before = runs.last().map(|run| run.left);
        let seed = seed_of(set, number, drawn.seed);
        let cold_job = job_of(files, number, nominal)?;
        let file = &files.batch.value;
        let job = Job {
            batch: before.map_or_else(|| file.clone(), |lot| lot.in_batch(file)),
            ..cold_job.clone()
        };
        let mut setup = fed(&job, before, number, Drawn { seed, ..drawn });
        if warm || drawn.index > 0 {
            let cold = fed(&cold_job, nominal, number, Drawn { seed, index: 0 });
            let (port, unused) = (cold.controller(), cold.unused());
            let (outcome, after) =
                run_after(unused, port, &cold, None, NoRecorder).map_err(NoRun::Port)?;
            if warm {
                setup = setup.warm(&Settled::after_cold(&job.machine, &outcome, &after));
            }
            nominal = Some(Lot::of(&cold_job.batch, &outcome));
        }
        let outcome = run_cycle(&setup, None, setup.recorder(None)).map_err(NoRun::Port)?;
        let judged = judge(&job, &outcome);
        let left = Lot::of(&job.batch, &outcome);
        let complete = outcome.summary.cycle.is_some();
        if !warm && drawn.index == 0 {
            nominal = Some(left);
        }
        runs.push(StageRun {
            incoming: before.map_or(Vec::new(), |lot| lot.beside(file).to_vec()),
            left,
            judged,
            outcome,
            job,
        });
        if !complete {
            break;
        }
    }
    Ok(runs)
}

/// The job of a stage with what came to it.
fn job_of(files: &Set, number: usize, before: Option<Lot>) -> Result<Job, NoRun> {
    let file = &files.batch.value;
    let batch = before.map_or_else(|| file.clone(), |lot| lot.in_batch(file));
    let (machine, recipe) = (files.machine.value.clone(), files.recipe.value.clone());
    Job::new(machine, batch, recipe).map_err(|error| NoRun::Refused(number, error))
}

fn fed(job: &Job, before: Option<Lot>, number: usize, drawn: Drawn) -> Setup<'_> {
    Feed::of_lots(before.into_iter().collect(), number as u64).setup(job, drawn)
}

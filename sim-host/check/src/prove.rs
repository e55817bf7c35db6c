//! Runs the proof: compiles the case once, draws machines and batches from its envelope, runs a whole cycle with each on the
//! bench, and judges every run by what is true in the plant.
//!
//! Run 0 is the nominal machine; run `n` is draw `n` of the proof's seed, noise included, so that a run's number and the
//! proof's seed replay it. The number of threads changes nothing but the time.

use super::case::{Case, micrometres};
use super::predict::{PhaseSpan, Prediction};
use super::proof::{Judged, Proof, Requirement, RunJudgement};
use super::verdict::{PredictionReport, Thickness};
use firmware_core::interlock::row_of;
use firmware_core::sequence::Phase;
use twinplate_sim::bench::summary::{PartsSummary, StepSummary};
use twinplate_sim::bench::{
    Ended, Job, NoRecorder, Outcome, PortError, Setup, Summary, ensemble, run_cycle,
};
use twinplate_sim::compile::CompileError;
use twinplate_sim::math::max;
use twinplate_sim::model::{Batch, Machine};
use twinplate_sim::plant::envelope::draw;
use twinplate_sim::plant::harm::DRY;
use twinplate_sim::plant::seed::substream;

/// What to prove, and how.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
    /// Draws from the envelope; the nominal run comes on top. The design asks for 200.
    pub draws: usize,
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed of the proof.
    pub seed: u64,
}

/// Why no proof could be made.
#[derive(Clone, Debug, PartialEq)]
pub enum ProveError {
    /// The controller refuses the machine or the recipe. The static findings should have said why.
    Compile(CompileError),
    /// The controller could not be reached.
    Port(PortError),
}

impl std::fmt::Display for ProveError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Compile(error) => write!(f, "{error}"),
            Self::Port(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for ProveError {}

/// A proof and the nominal run that goes with it.
#[derive(Clone, Debug)]
pub struct Proved {
    /// What the runs came to.
    pub proof: Proof,
    /// The nominal run with its trace.
    pub run: Outcome,
    /// What the nominal run gave, over the closed form.
    pub nominal: PredictionReport,
}

/// Compiles a case for the bench.
///
/// # Errors
/// [`ProveError::Compile`] where the controller refuses it.
pub fn job(case: &Case) -> Result<Job, ProveError> {
    Job::new(
        case.machine.clone(),
        case.batch.clone(),
        case.recipe.clone(),
    )
    .map_err(ProveError::Compile)
}

/// The setup of one numbered run of a proof.
#[must_use]
pub fn setup(job: &Job, seed: u64, index: u64) -> Setup<'_> {
    let noise = substream(seed, "proof", "run", index);
    if index == 0 {
        job.nominal(noise)
    } else {
        job.setup(draw(&job.machine.envelope, seed, index), noise)
    }
}

/// Runs the proof. `progress` hears how many runs are done, from any thread.
///
/// # Errors
/// Where the case cannot be compiled; a controller in process is always there.
pub fn prove(
    case: &Case,
    prediction: &Prediction,
    options: &Options,
    progress: &(dyn Fn(usize) + Sync),
) -> Result<Proved, ProveError> {
    let job = job(case)?;
    let nominal_setup = setup(&job, options.seed, 0);
    let nominal =
        run_cycle(&nominal_setup, None, nominal_setup.recorder(None)).map_err(ProveError::Port)?;
    progress(1);
    let mut judged = vec![judge(case.machine, case.batch, 0, &nominal)];
    let drawn = ensemble(
        options.draws,
        options.threads.max(1),
        &|done| progress(done + 1),
        |draw| {
            // Far below 2^64 runs.
            let index = draw as u64 + 1;
            run_cycle(&setup(&job, options.seed, index), None, NoRecorder)
                .map(|outcome| judge(case.machine, case.batch, index, &outcome))
        },
    );
    for run in drawn {
        judged.push(run.map_err(ProveError::Port)?);
    }
    Ok(Proved {
        proof: Proof::of(options.seed, judged),
        nominal: report_of(case, &nominal.summary, prediction),
        run: nominal,
    })
}

/// Judges one run by what was true in the plant.
#[must_use]
pub fn judge(machine: &Machine, batch: &Batch, index: u64, outcome: &Outcome) -> RunJudgement {
    let summary = &outcome.summary;
    let complete = outcome.ended == Ended::Complete;
    let item = |requirement, value, limit| Judged {
        requirement,
        value,
        limit,
        step: None,
    };
    let of_step = |requirement, (step, value, limit)| Judged {
        step: Some(step),
        ..item(requirement, value, limit)
    };
    let mut items = vec![item(
        Requirement::Completes,
        f64::from(u8::from(!complete)),
        0.0,
    )];
    items.extend(nearest_limit(summary).map(|found| of_step(Requirement::LoadLimit, found)));
    items.extend(worst_overshoot(summary).map(|found| of_step(Requirement::Overshoot, found)));
    let (harm, control) = (&summary.harm, &machine.control);
    items.push(item(
        Requirement::RatedLoad,
        summary.peak_load.value,
        control.rated_load,
    ));
    items.push(item(
        Requirement::FirstContact,
        summary.first_contact,
        control.first_contact_limit,
    ));
    items.push(item(
        Requirement::PartStrength,
        max(
            harm.part_overload.worst * batch.strength,
            summary.first_contact_part,
        ),
        batch.strength,
    ));
    items.push(item(Requirement::Dry, harm.dry_turning.worst, DRY));
    let others = harm
        .marks()
        .iter()
        .filter(|(name, mark)| mark.happened() && !matches!(*name, "part overload" | "dry turning"))
        .count();
    // Nine monitors at most.
    #[allow(clippy::cast_precision_loss)]
    items.push(item(Requirement::Harm, others as f64, 0.0));
    // A batch that was not finished has no size to judge; that it was not finished is judged above.
    if complete {
        finished(batch, summary, &mut items);
    }
    RunJudgement {
        index,
        items,
        ending: ending(outcome),
        control_hash: outcome.control_hash,
    }
}

/// Size, spread and finish of a finished batch. Six standard deviations of the thickness are held against the whole width of the size
/// tolerance (a process capability of 1, common practice, no source); how the thickness differs within a part is not computed.
fn finished(batch: &Batch, summary: &Summary, items: &mut Vec<Judged>) {
    let parts = &summary.parts;
    let off = max(parts.max - batch.target, batch.target - parts.min);
    for (requirement, value, limit) in [
        (Requirement::Size, off, batch.tolerance),
        (Requirement::Spread, spread_of(parts), spread_limit(batch)),
        (Requirement::Finish, summary.roughness, batch.finish),
    ] {
        items.push(Judged {
            requirement,
            value: micrometres(value),
            limit: micrometres(limit),
            step: None,
        });
    }
}

/// Thickness spread of the parts, m: six standard deviations.
#[must_use]
pub fn spread_of(parts: &PartsSummary) -> f64 {
    6.0 * parts.sd
}

/// What it must keep, m: the width of the size tolerance.
#[must_use]
pub fn spread_limit(batch: &Batch) -> f64 {
    2.0 * batch.tolerance
}

/// The step that came nearest to its limit, with its peak and limit.
fn nearest_limit(summary: &Summary) -> Option<(usize, f64, f64)> {
    let mut nearest: Option<(usize, f64, f64)> = None;
    for (index, step) in summary.steps.iter().enumerate() {
        let Some(margin) = step.margin else { continue };
        let used = 1.0 - margin.value / step.limit;
        if nearest.is_none_or(|(_, peak, limit)| used > peak / limit) {
            nearest = Some((index, step.limit - margin.value, step.limit));
        }
    }
    nearest
}

/// The step that used most of its allowance, with its overshoot and allowance.
fn worst_overshoot(summary: &Summary) -> Option<(usize, f64, f64)> {
    let mut worst: Option<(usize, f64, f64)> = None;
    for (index, step) in summary.steps.iter().enumerate() {
        let Some(overshoot) = step.overshoot else {
            continue;
        };
        let (value, allowed) = (overshoot.value, step.overshoot_allowed());
        if worst.is_none_or(|(_, other, bound)| value / allowed > other / bound) {
            worst = Some((index, value, allowed));
        }
    }
    worst
}

/// Name of an interlock row by its number, as the controller's table has it.
#[must_use]
pub fn row_name(id: u16) -> &'static str {
    row_of(id).map_or("unknown", |row| row.name)
}

/// How a run ended, in words.
fn ending(outcome: &Outcome) -> String {
    let word = outcome.ended.word();
    match outcome.summary.cause {
        Some((cause, tick)) => format!(
            "{word} in {}, first cause {} at {:.1} s",
            outcome.summary.phase.word(),
            row_name(cause),
            f64::from(tick) / 1e3
        ),
        None => format!("{word} in {}", outcome.summary.phase.word()),
    }
}

/// What the nominal run gave; where it did not complete, the closed form keeps the word on size, finish and time.
#[must_use]
pub fn report_of(case: &Case, summary: &Summary, prediction: &Prediction) -> PredictionReport {
    let mut report = PredictionReport::closed_form(prediction);
    report.peak_load_n = summary
        .steps
        .iter()
        .filter_map(|step| step.peak)
        .map(|peak| peak.value)
        .fold(None, |top: Option<f64>, peak| {
            Some(top.map_or(peak, |top| max(top, peak)))
        });
    report.peak_overshoot_pct = summary
        .steps
        .iter()
        .filter_map(StepSummary::overshoot_share)
        .map(|share| max(share, 0.0) * 100.0)
        .fold(None, |top: Option<f64>, share| {
            Some(top.map_or(share, |top| max(top, share)))
        });
    report.phases = spans(summary);
    if let Some(cycle) = summary.cycle {
        let parts = &summary.parts;
        report.cycle_s = cycle;
        report.thickness_um = Thickness {
            mean: micrometres(parts.mean),
            sd: micrometres(parts.sd),
            min: micrometres(parts.min),
            max: micrometres(parts.max),
        };
        report.roughness_um = micrometres(summary.roughness);
        report.slurry_l = summary.slurry_used * 1e3;
        report.parts_per_hour = f64::from(case.batch.parts) * 3600.0 / max(cycle, 1.0);
    }
    report
}

/// Phases of a run on the time line.
#[must_use]
pub fn spans(summary: &Summary) -> Vec<PhaseSpan> {
    summary
        .intervals
        .iter()
        .map(|interval| PhaseSpan {
            phase: interval.phase,
            step: if interval.phase.in_step() || interval.phase == Phase::RunUp {
                interval.step + 1
            } else {
                0
            },
            start_s: f64::from(interval.start) / 1e3,
            end_s: f64::from(interval.end) / 1e3,
        })
        .collect()
}

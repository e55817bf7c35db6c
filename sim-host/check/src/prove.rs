//! Runs the proof: compiles the case once, draws machines and batches from its envelope, runs a whole cycle with each on the
//! bench, and judges every run by what is true in the plant.
//!
//! Run 0 is the nominal machine; run `n` is draw `n` of the proof's seed, noise included, so that a run's number and the
//! proof's seed replay it. The number of threads changes nothing but the time.

use super::case::Case;
use super::predict::{PhaseSpan, Prediction};
use super::proof::Proof;
use super::verdict::{PredictionReport, Thickness};
use firmware_core::sequence::Phase;
use twinplate_sim::bench::summary::StepSummary;
use twinplate_sim::bench::{
    Drawn, Job, NoRecorder, Outcome, PortError, Summary, ensemble, run_cycle,
};
use twinplate_sim::compile::CompileError;
use twinplate_sim::math::{max, round};
use twinplate_sim::model::micrometres;
use twinplate_sim::plant::FormTruth;
use twinplate_sim::plant::part_form::bands;
use twinplate_sim::requirements::{judge, seen_um};

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
    let seed = options.seed;
    let nominal_setup = job.drawn(Drawn { seed, index: 0 });
    let nominal =
        run_cycle(&nominal_setup, None, nominal_setup.recorder(None)).map_err(ProveError::Port)?;
    progress(1);
    let mut judged = vec![judge(&job, &nominal)];
    let drawn = ensemble(
        options.draws,
        options.threads.max(1),
        &|done| progress(done + 1),
        |draw| {
            // Far below 2^64 runs.
            let index = draw as u64 + 1;
            run_cycle(&job.drawn(Drawn { seed, index }), None, NoRecorder)
                .map(|outcome| judge(&job, &outcome))
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
        told_form(&mut report, &summary.form, case.batch.wavelength);
        report.slurry_l = summary.slurry_used * 1e3;
        report.parts_per_hour = f64::from(case.batch.parts) * 3600.0 / max(cycle, 1.0);
    }
    report
}

/// Form of plates and parts, no finer than a gauge sees it.
fn told_form(report: &mut PredictionReport, form: &FormTruth, wavelength: f64) {
    report.flatness_um = Some(seen_um(form.flatness));
    report.flatness_bands = Some(round(bands(form.flatness, wavelength) * 10.0) / 10.0);
    report.parallelism_um = Some(seen_um(form.variation));
    report.roll_off_um = Some(seen_um(form.roll));
    report.pressure_pct = Some(form.contact.map(|share| round(share * 100.0)));
    report.plates_um = Some(form.warm.map(seen_um));
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

//! What a case comes to: a run on the bench that ends where the requirement's question is answered, and the margin that is left.

use super::Target;
use super::space::Trial;
use crate::bench::run::{AFTER_STOP, AWAIT_START};
use crate::bench::{Bench, Ended, InProcess, Job, Journal, NoRecorder, Player, PortError, Summary};
use crate::math::{abs, max, min};
use crate::plant::harm::TURNING;
use crate::plant::{FILM_FULL, Plant};
use crate::study::case::micrometres;
use crate::study::prove::row_name;
use firmware_core::sequence::{Phase, State};
use firmware_core::units::TICKS_PER_SECOND;

/// Share of the film that may be missing while turning: the harm monitor's own threshold.
const MISSING: f64 = 0.02;
/// The gap is looked at every so many ticks: the plant's slurry moves no faster.
const LOOK: u32 = 10;
/// A hold that nobody ends is watched this long, ticks.
const HELD: u32 = 60 * TICKS_PER_SECOND;
/// Drives that coast after a stop are watched at most this long, ticks: longer than any demo machine coasts (22 s).
const COAST: u32 = 40 * TICKS_PER_SECOND;

/// What a case came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// How far the run stayed from the limit, in the target's unit; negative beyond it.
    pub margin: f64,
    /// The limit, same unit.
    pub limit: f64,
    /// How the run ended, for people.
    pub ending: String,
    /// The run's journal with the case in its header: replayed with the same files it gives the same hash.
    pub journal: Journal,
}

/// Runs a case.
///
/// # Errors
/// What the port reports; a controller in this process is always there.
pub fn measure(job: &Job, target: Target, trial: &Trial) -> Result<Measured, PortError> {
    let setup = job.setup(trial.deviations, trial.seed);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    let scenario = trial.scenario(job);
    bench.play(Player::new(scenario.as_ref(), job.compiled.pieces));
    let film = advance(&mut bench, target, setup.longest(None))?;
    let ticks = bench.tick();
    let control_hash = bench.control_hash();
    let outcome = bench.finish(Ended::LongestTime)?;
    let mut journal = outcome.journal;
    journal.deviations = Some(trial.deviations);
    journal.end = Some(crate::bench::End {
        ticks,
        control_hash,
    });
    let (margin, limit) = margin(job, target, &outcome.summary, film);
    Ok(Measured {
        margin,
        limit,
        ending: ending(&outcome.summary),
        journal,
    })
}

/// Runs until the target's question is answered; gives the margin of the film where that is the question.
fn advance(
    bench: &mut Bench<InProcess, NoRecorder>,
    target: Target,
    longest: u32,
) -> Result<f64, PortError> {
    let mut film = MISSING + 1.0 - FILM_FULL;
    let (mut state, mut since, mut ran) = (State::Idle, 0, false);
    while bench.tick() < longest {
        let status = bench.step()?;
        let (now, phase) = (status.state, status.phase);
        if now != state {
            (state, since) = (now, bench.tick());
        }
        if target == Target::Film && bench.tick().is_multiple_of(LOOK) {
            film = min(film, film_margin(bench.plant()));
        }
        let lasted = bench.tick().wrapping_sub(since);
        let over = match state {
            State::Running => {
                ran = true;
                answered(target, phase)
            }
            State::Complete => true,
            State::Stopped | State::Aborted | State::Idle if ran => {
                lasted >= AFTER_STOP && (at_rest(bench.plant()) || lasted >= COAST)
            }
            State::Stopped | State::Aborted | State::Idle => lasted >= AWAIT_START,
            State::Held => lasted >= HELD,
            State::Holding | State::Restarting | State::Stopping | State::Aborting => false,
        };
        if over {
            break;
        }
    }
    Ok(film)
}

/// Whether nothing that a running cycle still does can change the target's margin.
const fn answered(target: Target, phase: Phase) -> bool {
    match target {
        Target::FirstContact | Target::PartContact => !matches!(
            phase,
            Phase::Rest | Phase::Precheck | Phase::Lower | Phase::TouchDown | Phase::Manual
        ),
        Target::LoadLimit => matches!(
            phase,
            Phase::Rinse | Phase::RunDown | Phase::SlurryStop | Phase::Lift
        ),
        Target::Film => matches!(phase, Phase::SlurryStop | Phase::Lift),
        Target::Size | Target::Spread => false,
    }
}

fn at_rest(plant: &Plant) -> bool {
    plant
        .fast_truth()
        .speeds
        .iter()
        .all(|speed| abs(*speed) <= TURNING)
}

/// Wetness left before the film begins to go, and once it goes, what is left of the share that may be missing. One number without a
/// step: at [`FILM_FULL`] nothing is missing and all of [`MISSING`] is left.
fn film_margin(plant: &Plant) -> f64 {
    let truth = plant.truth();
    if truth.load <= 0.0 || at_rest(plant) {
        return f64::INFINITY;
    }
    MISSING + max(truth.wetness - FILM_FULL, 0.0) - (1.0 - truth.film)
}

/// Margin and limit. A question that never came up (a step that was not reached, a batch that was not finished) leaves the whole
/// limit: other requirements speak about that.
fn margin(job: &Job, target: Target, summary: &Summary, film: f64) -> (f64, f64) {
    let batch = &job.batch;
    match target {
        Target::LoadLimit => nearest_limit(summary),
        Target::FirstContact => {
            let limit = job.machine.control.first_contact_limit;
            (limit - summary.first_contact, limit)
        }
        Target::PartContact => (batch.strength - summary.first_contact_part, batch.strength),
        Target::Film => (film, MISSING),
        Target::Size => {
            let parts = &summary.parts;
            let off = max(parts.max - batch.target, batch.target - parts.min);
            finished(summary, batch.tolerance, off)
        }
        Target::Spread => finished(summary, batch.parallelism, 6.0 * summary.parts.sd),
    }
}

fn nearest_limit(summary: &Summary) -> (f64, f64) {
    let mut nearest: Option<(f64, f64)> = None;
    for step in &summary.steps {
        let margin = step.margin.map_or(step.limit, |worst| worst.value);
        if nearest.is_none_or(|(least, _)| margin < least) {
            nearest = Some((margin, step.limit));
        }
    }
    nearest.unwrap_or((0.0, 0.0))
}

fn finished(summary: &Summary, limit: f64, value: f64) -> (f64, f64) {
    let limit = micrometres(limit);
    if summary.state == State::Complete {
        (limit - micrometres(value), limit)
    } else {
        (limit, limit)
    }
}

fn ending(summary: &Summary) -> String {
    let mut text = format!("{:?} in {}", summary.state, summary.phase.name()).to_lowercase();
    if let Some((cause, tick)) = summary.cause {
        text.push_str(&format!(
            ", first-out {} at {:.1} s",
            row_name(cause),
            f64::from(tick) / f64::from(TICKS_PER_SECOND)
        ));
    }
    text
}

//! What a case comes to: a run on the bench that ends where the requirement's question is answered, and the margin that is left.

use super::Target;
use super::space::Trial;
use firmware_core::sequence::{Phase, State};
use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::bench::run::{AFTER_STOP, AWAIT_START};
use twinplate_sim::bench::{
    Bench, Ended, InProcess, Job, Journal, NoRecorder, Player, PortError, Recorder, Sought,
    Summary, row_name,
};
use twinplate_sim::math::{abs, max, min};
use twinplate_sim::model::micrometres;
use twinplate_sim::plant::harm::{DRY, TURNING};
use twinplate_sim::plant::{FILM_FULL, Plant};
use twinplate_sim::requirements::{spread_limit, spread_of};

/// Margin of a gap that is full: there is no more.
const FILM_WHOLE: f64 = DRY + 1.0 - FILM_FULL;
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

/// A case that was run, before anything is asked of it.
#[derive(Clone, Debug)]
pub struct Run {
    summary: Summary,
    /// Least margin of the film over the run; of no meaning where the film was not the question.
    film: f64,
    /// The journal, complete but for the requirement.
    journal: Journal,
}

impl Run {
    /// What the run says about a target. It must be one that the run was made for.
    #[must_use]
    pub fn measured(&self, job: &Job, target: Target) -> Measured {
        let (margin, limit) = of(job, target, &self.summary, self.film);
        let mut journal = self.journal.clone();
        journal.sought = Some(Sought {
            requirement: target.word().to_owned(),
            margin,
        });
        Measured {
            margin,
            limit,
            ending: ending(&self.summary),
            journal,
        }
    }
}

/// Runs a case and asks it for its target.
///
/// # Errors
/// What the port reports; a controller in this process is always there.
pub fn measure(job: &Job, target: Target, trial: &Trial) -> Result<Measured, PortError> {
    Ok(evaluate(job, target, trial)?.measured(job, target))
}

/// Runs a case until its target's question is answered.
///
/// # Errors
/// What the port reports; a controller in this process is always there.
pub(crate) fn evaluate(job: &Job, target: Target, trial: &Trial) -> Result<Run, PortError> {
    let setup = job.setup(trial.deviations, trial.seed);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    let scenario = trial.scenario(job);
    bench.play(Player::new(scenario.as_ref(), job.compiled.pieces));
    let film = advance(&mut bench, target, setup.longest(None))?;
    let outcome = bench.finish(Ended::LongestTime)?;
    let mut journal = outcome.journal;
    journal.deviations = Some(trial.deviations);
    Ok(Run {
        summary: outcome.summary,
        film,
        journal,
    })
}

/// The least margin of the film over a run, looked at as the search does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film(f64);

impl Default for Film {
    fn default() -> Self {
        Self(FILM_WHOLE)
    }
}

impl Film {
    /// Looks after a tick, where it is due.
    pub fn look<R: Recorder>(&mut self, bench: &Bench<InProcess, R>) {
        if bench.tick().is_multiple_of(LOOK) {
            self.0 = min(self.0, film_margin(bench.plant()));
        }
    }

    /// The least margin so far, as a share.
    #[must_use]
    pub const fn margin(self) -> f64 {
        self.0
    }
}

/// Runs until the target's question is answered; gives the margin of the film where that is the question.
fn advance(
    bench: &mut Bench<InProcess, NoRecorder>,
    target: Target,
    longest: u32,
) -> Result<f64, PortError> {
    let mut film = Film::default();
    let (mut state, mut since, mut ran) = (State::Idle, 0, false);
    while bench.tick() < longest {
        let status = bench.step()?;
        let (now, phase) = (status.state, status.phase);
        if now != state {
            (state, since) = (now, bench.tick());
        }
        if target == Target::Film {
            film.look(bench);
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
    Ok(film.margin())
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
/// step: at [`FILM_FULL`] nothing is missing and all of [`DRY`] is left.
fn film_margin(plant: &Plant) -> f64 {
    let truth = plant.truth();
    if truth.load <= 0.0 || at_rest(plant) {
        return f64::INFINITY;
    }
    DRY + max(truth.wetness - FILM_FULL, 0.0) - (1.0 - truth.film)
}

/// Margin and limit; `film` is the least [margin of the film](Film). A question that never came up (a step that was not reached, a batch that was not
/// finished) leaves the whole limit: other requirements speak about that.
#[must_use]
pub fn of(job: &Job, target: Target, summary: &Summary, film: f64) -> (f64, f64) {
    let batch = &job.batch;
    match target {
        Target::LoadLimit => nearest_limit(summary),
        Target::FirstContact => {
            let limit = job.machine.control.first_contact_limit;
            (limit - summary.first_contact, limit)
        }
        Target::PartContact => (batch.strength - summary.first_contact_part, batch.strength),
        Target::Film => (film, DRY),
        Target::Size => {
            let parts = &summary.parts;
            let off = max(parts.max - batch.target, batch.target - parts.min);
            finished(summary, batch.tolerance, off)
        }
        Target::Spread => finished(summary, spread_limit(batch), spread_of(&summary.parts)),
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
    let mut text = format!("{} in {}", summary.state.name(), summary.phase.word());
    if let Some((cause, tick)) = summary.cause {
        text.push_str(&format!(
            ", first cause {} at {:.1} s",
            row_name(cause),
            f64::from(tick) / f64::from(TICKS_PER_SECOND)
        ));
    }
    text
}

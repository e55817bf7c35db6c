//! Shortening a failing case: takes out of a journal what its failure does not need, so that what is handed over is short
//! enough to read.
//!
//! A failure is the set of harms done and bounds broken by the run. A change is kept when the changed run still shows all of them.
//! Tried, until nothing more goes: leaving out an entry (a fault, an action, a hand), every deviation of the drawn machine back to nominal,
//! fewer parts, and an earlier end. Deterministic; the number of runs is bounded.

use crate::seek::Target;
use crate::seek::margin::of as margin_of;
use firmware_core::sequence::Request;
use firmware_core::units::Newtons;
use twinplate_sim::bench::{
    Action, End, Ended, Job, Journal, NoRecorder, Outcome, PortError, journal::Pieces, replay,
};
use twinplate_sim::compile::CompileError;
use twinplate_sim::math::max;
use twinplate_sim::model::Deviations;
use twinplate_sim::plant::envelope::WIDTHS;

/// Runs that a shortening may take, and ticks that they may last together: some seconds of work. Invented.
pub const RUNS: u32 = 600;
const TICKS: u64 = 30_000_000;
/// Ticks that a shortened run goes on after the last of its failures.
const AFTER: u32 = 100;
/// Load that may be above the step's limit without counting as a failure, N: rounding of the wire's single precision. Invented.
const LIMIT_SLACK: f64 = 0.01;

/// What a run does wrong, by name; sorted.
pub type Failure = Vec<&'static str>;

/// Why a journal could not be shortened.
#[derive(Clone, Debug, PartialEq)]
pub enum ShrinkError {
    /// The machine or recipe is refused by the controller.
    Compile(CompileError),
    /// The controller could not be reached.
    Port(PortError),
}

impl std::fmt::Display for ShrinkError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Compile(error) => write!(f, "{error}"),
            Self::Port(error) => write!(f, "{error}"),
        }
    }
}

impl std::error::Error for ShrinkError {}

/// A shortened journal.
#[derive(Clone, Debug)]
pub struct Short {
    /// The journal, with its new end and hash.
    pub journal: Journal,
    /// What it still does wrong: all that the long one did.
    pub failure: Failure,
    /// Runs that it took.
    pub runs: u32,
}

/// What an outcome does wrong.
#[must_use]
pub fn failure(job: &Job, outcome: &Outcome) -> Failure {
    let summary = &outcome.summary;
    let control = &job.machine.control;
    let mut found: Failure = summary
        .harm
        .marks()
        .into_iter()
        .filter(|(_, mark)| mark.happened())
        .map(|(name, _)| name)
        .collect();
    if summary
        .worst_margin()
        .is_some_and(|worst| worst.value < -LIMIT_SLACK)
    {
        found.push("above the step's limit");
    }
    if summary.peak_load.value > control.rated_load {
        found.push("above rated load");
    }
    if summary.first_contact > control.first_contact_limit {
        found.push("above the first-contact limit");
    }
    // Only a finished batch has a size.
    if summary.cycle.is_some() {
        for (target, name) in [
            (Target::Size, "a part out of size"),
            (Target::Spread, "thickness spread over its limit"),
        ] {
            if margin_of(job, target, summary, 0.0).0 < 0.0 {
                found.push(name);
            }
        }
    }
    found.sort_unstable();
    found
}

struct Shrinker<'a> {
    job: &'a Job,
    target: Failure,
    runs: u32,
    ticks: u64,
}

/// Shortens `journal`. `None` where its run does nothing wrong.
///
/// # Errors
/// [`ShrinkError`].
pub fn shrink(job: &Job, journal: &Journal) -> Result<Option<Short>, ShrinkError> {
    let mut shrinker = Shrinker {
        job,
        target: Vec::new(),
        runs: 0,
        ticks: 0,
    };
    let mut best = journal.clone();
    if best.end.is_none() {
        let ticks = job.setup_of_journal(journal).longest(None);
        best.end = Some(End {
            ticks,
            control_hash: 0,
        });
    }
    let Some(outcome) = shrinker.run(&best)? else {
        return Ok(None);
    };
    shrinker.target = failure(
        &job.of_journal(&best).map_err(ShrinkError::Compile)?,
        &outcome,
    );
    if shrinker.target.is_empty() {
        return Ok(None);
    }
    // A shorter run has another margin: what was sought in it is no longer its claim.
    best.sought = None;
    let drawn = job.setup_of_journal(&best);
    (best.seed, best.deviations) = (drawn.seed, Some(drawn.deviations));
    let (as_drawn, loaded) = (drawn.deviations, job_pieces(job));
    best.pieces = Some(best.pieces.unwrap_or(loaded));
    loop {
        let before = best.clone();
        best = shrinker.entries(best)?;
        best = shrinker.deviations(best)?;
        best = shrinker.parts(best)?;
        best = shrinker.earlier(best)?;
        if best == before || shrinker.spent() {
            break;
        }
    }
    if best.pieces == Some(loaded) {
        best.pieces = None;
    }
    if best.deviations == Some(as_drawn) {
        best.deviations = journal.deviations;
    }
    if let Some(outcome) = shrinker.run(&best)? {
        best.end = outcome.journal.end;
    }
    Ok(Some(Short {
        journal: best,
        failure: shrinker.target,
        runs: shrinker.runs,
    }))
}

/// What the batch file loads.
const fn job_pieces(job: &Job) -> Pieces {
    Pieces {
        parts: job.batch.parts,
        dummies: job.batch.dummies,
    }
}

impl Shrinker<'_> {
    /// Runs a journal; `None` where its parts make a job that the controller refuses.
    fn run(&mut self, journal: &Journal) -> Result<Option<Outcome>, ShrinkError> {
        self.runs += 1;
        let Ok(job) = self.job.of_journal(journal) else {
            return Ok(None);
        };
        let setup = job.setup_of_journal(journal);
        let ticks = journal
            .end
            .map_or_else(|| setup.longest(None), |end| end.ticks);
        self.ticks += u64::from(ticks);
        let bench = replay(setup.controller(), &setup, journal, ticks, NoRecorder)
            .map_err(ShrinkError::Port)?;
        bench
            .finish(Ended::LongestTime)
            .map(Some)
            .map_err(ShrinkError::Port)
    }

    /// Nothing more may be tried.
    const fn spent(&self) -> bool {
        self.runs >= RUNS || self.ticks >= TICKS
    }

    /// Whether a journal still shows all of the failure.
    fn fails(&mut self, journal: &Journal) -> Result<bool, ShrinkError> {
        if self.spent() {
            return Ok(false);
        }
        let Some(outcome) = self.run(journal)? else {
            return Ok(false);
        };
        let shown = failure(self.job, &outcome);
        Ok(self.target.iter().all(|what| shown.contains(what)))
    }

    /// Leaves out entries, the last first.
    fn entries(&mut self, mut best: Journal) -> Result<Journal, ShrinkError> {
        for index in (0..best.entries.len()).rev() {
            let mut shorter = best.clone();
            shorter.entries.remove(index);
            if self.fails(&shorter)? {
                best = shorter;
            }
        }
        Ok(best)
    }

    /// Takes deviations back to nominal: all at once, or else each by itself.
    fn deviations(&mut self, mut best: Journal) -> Result<Journal, ShrinkError> {
        let Some(before) = best.deviations else {
            return Ok(best);
        };
        let mut candidates = vec![Deviations::NOMINAL];
        for index in 0..fields(&mut Deviations::NOMINAL.clone()).len() {
            let mut one = before;
            if let (Some(field), Some(nominal)) = (
                fields(&mut one).into_iter().nth(index),
                fields(&mut Deviations::NOMINAL.clone())
                    .into_iter()
                    .nth(index),
            ) {
                *field = *nominal;
            }
            candidates.push(one);
        }
        for (index, candidate) in candidates.into_iter().enumerate() {
            let Some(now) = best.deviations else { break };
            let deviations = if index == 0 {
                candidate
            } else {
                merge(now, before, candidate)
            };
            if deviations == now {
                continue;
            }
            let shorter = Journal {
                deviations: Some(deviations),
                ..best.clone()
            };
            if self.fails(&shorter)? {
                best = shorter;
            }
        }
        Ok(best)
    }

    /// Fewer parts: halves them while the failure stays; the recipe in the journal is fitted to what is left.
    fn parts(&mut self, mut best: Journal) -> Result<Journal, ShrinkError> {
        while let Some(now) = best.pieces {
            let candidate = if now.dummies > 0 {
                Pieces { dummies: 0, ..now }
            } else {
                Pieces {
                    parts: now.parts / 2,
                    ..now
                }
            };
            if candidate.parts < 3 {
                break;
            }
            let shorter = fitted(&best, candidate);
            if !self.fails(&shorter)? {
                break;
            }
            best = shorter;
        }
        Ok(best)
    }

    /// Ends the run soon after its last failure has begun: by halving the ticks that are too many.
    fn earlier(&mut self, mut best: Journal) -> Result<Journal, ShrinkError> {
        let Some(end) = best.end else { return Ok(best) };
        let (mut fails, mut passes) = (end.ticks, 0);
        while fails - passes > AFTER {
            let middle = passes + (fails - passes) / 2;
            if self.fails(&ended(&best, middle, end))? {
                fails = middle;
            } else {
                passes = middle;
            }
        }
        let ticks = (fails + AFTER).min(end.ticks);
        let shorter = ended(&best, ticks, end);
        if ticks < end.ticks && self.fails(&shorter)? {
            best = shorter;
        }
        Ok(best)
    }
}

/// The journal with its run ended at a tick; what would act after it goes.
fn ended(journal: &Journal, ticks: u32, end: End) -> Journal {
    let mut shorter = journal.clone();
    shorter.entries.retain(|entry| entry.tick < ticks);
    shorter.end = Some(End { ticks, ..end });
    shorter
}

/// The journal with another number of parts: count and loads of the recipes and confirmations in it follow.
fn fitted(journal: &Journal, left: Pieces) -> Journal {
    let mut changed = journal.clone();
    let old = journal
        .pieces
        .map_or(1, |pieces| (pieces.parts + pieces.dummies).max(1));
    let new = left.parts + left.dummies;
    let ratio = f64::from(new) / max(f64::from(old), 1.0);
    let pieces = u16::try_from(new).unwrap_or(u16::MAX);
    for entry in &mut changed.entries {
        let Action::Request(request) = &mut entry.action else {
            continue;
        };
        match request.as_mut() {
            Request::LoadRecipe(wire) => {
                wire.pieces = pieces;
                for step in &mut wire.steps {
                    #[allow(clippy::cast_possible_truncation)]
                    // loads of the wire are single precision
                    let load = (f64::from(step.load.get()) * ratio) as f32;
                    step.load = Newtons::new(load);
                }
            }
            Request::ConfirmParts { pieces: confirmed } => *confirmed = pieces,
            Request::Raise
            | Request::UnlockGuard
            | Request::LockGuard
            | Request::Acknowledge
            | Request::SetMode(_)
            | Request::SelectMove(_)
            | Request::ArmRemote(_)
            | Request::ReportForm { .. } => {}
        }
    }
    changed.pieces = Some(left);
    changed
}

/// `now` with the one field taken over in which `candidate` differs from `origin`.
fn merge(now: Deviations, mut origin: Deviations, mut candidate: Deviations) -> Deviations {
    let mut merged = now;
    for ((field, from), to) in fields(&mut merged)
        .into_iter()
        .zip(fields(&mut origin))
        .zip(fields(&mut candidate))
    {
        if from != to {
            *field = *to;
        }
    }
    merged
}

/// All deviations, in the order of their declaration.
fn fields(d: &mut Deviations) -> [&mut f64; WIDTHS as usize] {
    [
        &mut d.regulator_gain,
        &mut d.regulator_offset,
        &mut d.weight,
        &mut d.counterbalance,
        &mut d.seal_friction,
        &mut d.lag,
        &mut d.dead_time,
        &mut d.stiffness,
        &mut d.supply,
        &mut d.cell_span,
        &mut d.noise,
        &mut d.friction,
        &mut d.removal,
        &mut d.spread,
        &mut d.gauge_bias,
        &mut d.gauge_drift,
        &mut d.gauge_temperature,
    ]
}

//! A journal's run, again and judged: also that of a search, whose margin must come out as it was.

use crate::seek::Target;
use crate::seek::margin::{self, Film};
use twinplate_sim::bench::{self, Job, Journal, Outcome, PortError, same_run};
use twinplate_sim::compile::CompileError;
use twinplate_sim::requirements::{RunJudgement, Verdict, judge};

/// The margin of what a search drove down, measured again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Regained {
    /// What was sought.
    pub target: Target,
    /// Margin now, in the target's unit; negative beyond the limit.
    pub margin: f64,
    /// The limit, same unit.
    pub limit: f64,
    /// Margin that the journal tells of.
    pub journal: f64,
}

impl Regained {
    /// Whether it is the journal's, to the last bit.
    #[must_use]
    pub fn same(&self) -> bool {
        self.margin.to_bits() == self.journal.to_bits()
    }
}

/// A run that was made again.
#[derive(Clone, Debug)]
pub struct Again {
    /// The job that the journal runs.
    pub job: Job,
    /// What the run left.
    pub outcome: Outcome,
    /// What it held.
    pub judged: RunJudgement,
    /// The margin of what was sought in it, where it is the journal of a search.
    pub regained: Option<Regained>,
    /// Whether the journal's run came out again: ticks, control hash and margin. `None` where the journal does not say how it ended.
    pub same: Option<bool>,
}

impl Again {
    /// The verdict: `pass` where the run holds what it must, the margin that was sought is none beyond its limit, and it is the
    /// journal's run.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        let kept = self.regained.is_none_or(|sought| sought.margin >= 0.0);
        Verdict::of(self.judged.holds() && kept && self.same != Some(false))
    }
}

/// Why a journal could not be run again.
#[derive(Clone, Debug, PartialEq)]
pub enum AgainError {
    /// The controller refuses the parts that the journal leaves.
    Compile(CompileError),
    /// The controller could not be reached.
    Port(PortError),
    /// The journal tells of a longer run than there can be.
    TooLong {
        /// Its ticks.
        ticks: u32,
        /// Most ticks of a run of its recipe.
        most: u32,
    },
    /// The journal names a sought requirement that this program cannot measure.
    Unknown(String),
}

impl std::fmt::Display for AgainError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Compile(error) => {
                write!(
                    f,
                    "the parts that the journal leaves cannot be run: {error}"
                )
            }
            Self::Port(error) => write!(f, "{error}"),
            Self::TooLong { ticks, most } => write!(
                f,
                "line 1 ends the run after {ticks} ticks; a run of this recipe has at most {most}"
            ),
            Self::Unknown(word) => write!(f, "line 1 has the sought requirement `{word}`"),
        }
    }
}

impl std::error::Error for AgainError {}

/// Runs a journal again on the job of its files, and judges the run.
///
/// # Errors
/// [`AgainError`].
pub fn again(job: &Job, journal: &Journal) -> Result<Again, AgainError> {
    let target = target_of(journal)?;
    let job = job.of_journal(journal).map_err(AgainError::Compile)?;
    let setup = job.setup_of_journal(journal);
    let most = setup.longest_of_any();
    if let Some(end) = journal.end.filter(|end| end.ticks > most) {
        return Err(AgainError::TooLong {
            ticks: end.ticks,
            most,
        });
    }
    let mut film = Film::default();
    let outcome = bench::again(&setup, journal, |bench| {
        film.look(bench);
    })
    .map_err(AgainError::Port)?;
    let regained = journal.sought.as_ref().zip(target).map(|(sought, target)| {
        let (margin, limit) = margin::of(&job, target, &outcome.summary, film.margin());
        Regained {
            target,
            margin,
            limit,
            journal: sought.margin,
        }
    });
    let same = same_run(journal, &outcome)
        .map(|same| same && regained.as_ref().is_none_or(Regained::same));
    Ok(Again {
        judged: judge(&job, &outcome),
        job,
        outcome,
        regained,
        same,
    })
}

/// What was sought in a journal's run; `None` where nothing was.
///
/// # Errors
/// A requirement that this program cannot measure.
fn target_of(journal: &Journal) -> Result<Option<Target>, AgainError> {
    let Some(sought) = &journal.sought else {
        return Ok(None);
    };
    Target::from_word(&sought.requirement)
        .map(Some)
        .ok_or_else(|| AgainError::Unknown(sought.requirement.clone()))
}

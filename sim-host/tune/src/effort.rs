//! How much work a tuning may be, who hears of it, and what keeps it from an answer.

use super::judge::JudgeError;
use std::sync::atomic::{AtomicUsize, Ordering};
use twinplate_linear::line::Defect;
use twinplate_sim::model::Shown;

/// How the work is done, and in which units it is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// Machines drawn from the envelope for the chosen set, beside the nominal one.
    pub runs: usize,
    /// The same for every other candidate.
    pub compare: usize,
    /// The same for every point of the gain plane.
    pub shade: usize,
    /// Columns and rows of the gain plane's margins.
    pub plane: [usize; 2],
    /// Columns and rows of its pass rates.
    pub shades: [usize; 2],
    /// Threads, 1 or more.
    pub threads: usize,
    /// Seed of draws and noise.
    pub seed: u64,
    /// Units of the sentences about a machine.
    pub shown: Shown,
}

impl Effort {
    /// What the verb does unless told otherwise.
    #[must_use]
    pub fn usual(threads: usize) -> Self {
        Self {
            runs: 500,
            compare: 60,
            shade: 8,
            plane: [40, 30],
            shades: [10, 8],
            threads,
            seed: 1,
            shown: Shown::default(),
        }
    }
}

/// Why there is no answer.
#[derive(Clone, Debug, PartialEq)]
pub enum TuneError {
    /// A number that no loop can be built from.
    Defect(Defect),
    /// The machine cannot be put to the trial, or the controller did not answer.
    Judge(JudgeError),
}

impl std::fmt::Display for TuneError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Defect(defect) => defect.fmt(f),
            Self::Judge(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for TuneError {}

impl From<Defect> for TuneError {
    fn from(defect: Defect) -> Self {
        Self::Defect(defect)
    }
}

impl From<JudgeError> for TuneError {
    fn from(error: JudgeError) -> Self {
        Self::Judge(error)
    }
}

/// Runs done and runs there will be, from any thread.
pub type Progress<'a> = &'a (dyn Fn(usize, usize) + Sync);

/// Counts runs over all stages.
pub(crate) struct Count<'a> {
    done: AtomicUsize,
    total: usize,
    tell: Progress<'a>,
}

impl<'a> Count<'a> {
    pub(crate) const fn new(total: usize, tell: Progress<'a>) -> Self {
        Self {
            done: AtomicUsize::new(0),
            total,
            tell,
        }
    }

    pub(crate) fn one(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        (self.tell)(done, max_usize(self.total, done));
    }
}

const fn max_usize(a: usize, b: usize) -> usize {
    if a > b { a } else { b }
}

//! From candidates to one recommended gain set, with reasons and what limits it; or to what keeps every set from passing.
//!
//! Every candidate is measured on the nominal line and its corners, and, where there is a machine, judged on the real controller
//! against the nonlinear plant over a few machines of the envelope. Of those that hold every limit the one with the least worst-case
//! integral error under a load disturbance is judged on all machines asked for; if it fails there, the next.

mod choose;
mod make;
mod words;

pub use words::best_rule_below;

use super::candidates::{Broken, Lines, Named, OnLines, broken_on_lines, on_lines};
use super::free::Freeing;
use super::judge::{self, Demand, JudgeError, Judgement};
use super::optimum::Active;
use super::plane::{Frequency, LinearBands, Plane, frequency, linear_bands, plane};
use super::trial::Trial;
use choose::choose;
use make::all;
use std::sync::atomic::{AtomicUsize, Ordering};
use twinplate_linear::line::Defect;
use twinplate_sim::model::Gains;

/// How the work is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Options {
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
}

impl Options {
    /// What the verb does unless told otherwise.
    #[must_use]
    pub const fn usual(threads: usize) -> Self {
        Self {
            runs: 500,
            compare: 60,
            shade: 8,
            plane: [40, 30],
            shades: [10, 8],
            threads,
            seed: 1,
        }
    }
}

/// A candidate with everything that was found out about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Name, source, gains.
    pub named: Named,
    /// On the lines.
    pub on_lines: OnLines,
    /// On the real controller, over [`Options::compare`] machines; none without a machine, and none where the loop is unstable on the
    /// nominal line.
    pub judged: Option<Judgement>,
    /// Limits that it breaks.
    pub broken: Vec<Broken>,
    /// Limits that an optimum touches.
    pub active: Vec<Active>,
}

impl Candidate {
    /// Worst-case integral error under a load disturbance: on the real controller, N·s, or else on the lines for a unit step. Infinite
    /// where a run tripped: its error was not measured to the end.
    #[must_use]
    pub fn worst_iae(&self) -> f64 {
        let Some(judged) = &self.judged else {
            return self.on_lines.worst_iae;
        };
        let tripped = judged
            .demands
            .iter()
            .any(|worst| worst.demand == Demand::NoTrip && worst.failed > 0);
        if tripped {
            f64::INFINITY
        } else {
            judged.iae_disturbance.value
        }
    }

    /// Whether it holds every limit.
    #[must_use]
    pub const fn passes(&self) -> bool {
        self.broken.is_empty()
    }
}

/// The recommended set.
#[derive(Clone, Debug, PartialEq)]
pub struct Chosen {
    /// Index into the candidates.
    pub index: usize,
    /// Judged over [`Options::runs`] machines, responses kept; none without a machine.
    pub judged: Option<Judgement>,
    /// Why it, one sentence each.
    pub reasons: Vec<String>,
    /// What limits it, one sentence each.
    pub limited_by: Vec<String>,
}

/// Why no set is recommended.
#[derive(Clone, Debug, PartialEq)]
pub struct Nothing {
    /// The set that comes nearest, an index into the candidates.
    pub nearest: usize,
    /// The limit that binds.
    pub binds: Broken,
    /// What was tried to free it, and whether it did.
    pub freeing: Vec<Freeing>,
}

/// The whole answer.
#[derive(Clone, Debug, PartialEq)]
pub struct Recommendation {
    /// What was tuned for.
    pub lines: Lines,
    /// All candidates, in the order in which they were made.
    pub candidates: Vec<Candidate>,
    /// Why the search for an optimum found none, where it did.
    pub no_optimum: Option<String>,
    /// The recommended set, or why there is none.
    pub answer: Result<Chosen, Nothing>,
    /// The plane of gains about the recommended (or nearest) set.
    pub plane: Plane,
    /// Frequency response of the recommended (or nearest) loop.
    pub frequency: Vec<Frequency>,
    /// Its responses on nominal line and corners, linear.
    pub linear: Option<LinearBands>,
}

impl Recommendation {
    /// Index of the set that pictures are drawn for: the recommended or the nearest.
    #[must_use]
    pub fn shown_index(&self) -> usize {
        match &self.answer {
            Ok(chosen) => chosen.index,
            Err(nothing) => nothing.nearest,
        }
    }

    /// The set that pictures are drawn for.
    #[must_use]
    pub fn shown(&self) -> &Candidate {
        &self.candidates[self.shown_index()]
    }

    /// The recommended gains.
    #[must_use]
    pub fn gains(&self) -> Option<Gains> {
        self.answer
            .as_ref()
            .ok()
            .map(|chosen| self.candidates[chosen.index].named.gains)
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
pub(super) struct Count<'a> {
    done: AtomicUsize,
    total: usize,
    tell: Progress<'a>,
}

impl Count<'_> {
    pub(super) fn one(&self) {
        let done = self.done.fetch_add(1, Ordering::Relaxed) + 1;
        (self.tell)(done, max_usize(self.total, done));
    }
}

const fn max_usize(a: usize, b: usize) -> usize {
    if a > b { a } else { b }
}

/// Finds the recommended gains for lines, and for a machine's trial where there is one. `present` are gains in force now.
///
/// # Errors
/// Lines that no loop can be closed around; a machine that cannot be put to the trial.
pub fn recommend(
    lines: &Lines,
    trial: Option<&Trial>,
    present: Option<Gains>,
    options: &Options,
    progress: Progress,
) -> Result<Recommendation, TuneError> {
    let (named, no_optimum) = all(lines, present, options.threads)?;
    let mut candidates = Vec::with_capacity(named.len());
    let per_set = options.compare + 1;
    let shades = options.shades[0] * options.shades[1];
    let count = Count {
        done: AtomicUsize::new(0),
        total: if trial.is_some() {
            named.len() * per_set + options.runs + 1 + shades * (options.shade + 1)
        } else {
            0
        },
        tell: progress,
    };
    for (named, active) in named {
        candidates.push(measure(lines, trial, named, active, options, &count)?);
    }
    let answer = choose(lines, trial, &mut candidates, options, &count)?;
    let shown = match &answer {
        Ok(chosen) => chosen.index,
        Err(nothing) => nothing.nearest,
    };
    let gains = candidates[shown].named.gains;
    Ok(Recommendation {
        plane: plane(lines, trial, &gains, options, &count)?,
        frequency: frequency(&lines.nominal, &gains)?,
        linear: linear_bands(lines, &gains),
        lines: lines.clone(),
        candidates,
        no_optimum,
        answer,
    })
}

fn measure(
    lines: &Lines,
    trial: Option<&Trial>,
    named: Named,
    active: Vec<Active>,
    options: &Options,
    count: &Count,
) -> Result<Candidate, TuneError> {
    let found = on_lines(lines, &named.gains)?;
    let mut broken = broken_on_lines(&found, &lines.limits);
    let judged = match trial {
        Some(trial) if found.nominal.stable => {
            let how = judge::Options {
                draws: options.compare,
                threads: options.threads,
                seed: options.seed,
                responses: false,
            };
            Some(judge::judge(trial, named.gains, &how, &|_| count.one())?)
        }
        _ => None,
    };
    broken.extend(judged.iter().flat_map(broken_in_trial));
    Ok(Candidate {
        named,
        on_lines: found,
        judged,
        broken,
        active,
    })
}

/// Demands of the trial that a set breaks, worst case each.
#[must_use]
pub fn broken_in_trial(judged: &Judgement) -> Vec<Broken> {
    judged
        .demands
        .iter()
        .filter(|worst| worst.failed > 0)
        .map(|worst| Broken {
            what: worst.demand.what().to_owned(),
            value: worst.value,
            bound: worst.bound,
            unit: worst.demand.unit(),
            at: match &worst.ending {
                Some(ending) => format!("run {}: {ending}", worst.run),
                None => format!(
                    "run {}, {} of {} failed",
                    worst.run, worst.failed, judged.runs
                ),
            },
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::demo;
    use twinplate_sim::model::Machine;

    fn few(threads: usize) -> Options {
        Options {
            runs: 4,
            compare: 2,
            shade: 0,
            plane: [5, 4],
            shades: [3, 2],
            ..Options::usual(threads)
        }
    }

    fn of(machine: &Machine, threads: usize) -> Recommendation {
        let trial = Trial::new(machine, None).expect("trial");
        recommend(
            &Lines::declared(machine),
            Some(&trial),
            machine.gains,
            &few(threads),
            &|_, _| (),
        )
        .expect("answer")
    }

    #[test]
    fn the_answer_is_the_same_on_any_number_of_threads() {
        let machine = demo::machine("machine-a");
        // As text: margins that do not exist are no numbers, and those equal nothing.
        let [one, three] = [1, 3].map(|threads| format!("{:?}", of(&machine, threads)));
        assert!(one == three);
    }

    #[test]
    fn where_nothing_passes_it_says_what_binds_and_what_would_free_it() {
        let mut machine = demo::machine("machine-a");
        // Hardly anything is known of lag and dead time.
        machine.envelope.lag = 0.85;
        machine.envelope.dead_time = 0.9;
        machine.envelope.regulator_gain = 0.05;
        machine.actuator.lag = 0.03;
        machine.control.filter = 4.0;
        machine.actuator.resolution = 0.000_02;
        let found = of(&machine, 2);
        let Err(nothing) = &found.answer else {
            panic!("{:?}", found.answer);
        };
        assert!(found.gains().is_none());
        assert!(nothing.binds.value > nothing.binds.bound, "{nothing:?}");
        assert_eq!(nothing.freeing.len(), 8);
        assert!(
            nothing.freeing.iter().any(|tried| tried.frees),
            "{nothing:?}"
        );
    }
}

//! From candidates to one recommended gain set, with reasons and what limits it; or to what keeps every set from passing.
//!
//! Every candidate is measured on the nominal line and its corners, and, where there is a machine, judged on the real controller
//! against the nonlinear plant over a few machines of the envelope. Of those that hold every limit the one with the least worst-case
//! integral error under a load disturbance is judged on all machines asked for; if it fails there, the next.

mod choose;
mod make;
mod words;

pub use words::best_rule_below;

use super::candidates::{
    Broken, Lines, Named, OnLines, broken_in_trial, broken_on_lines, on_lines,
};
use super::effort::{Count, Effort, Progress, TuneError};
use super::free::Freeing;
use super::judge::{self, Demand, Judgement};
use super::optimum::Active;
use super::plane::{Frequency, LinearBands, Plane, frequency, linear_bands, plane};
use super::trial::Trial;
use choose::choose;
use make::all;

use twinplate_sim::model::Gains;

/// A candidate with everything that was found out about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// Name, source, gains.
    pub named: Named,
    /// On the lines.
    pub on_lines: OnLines,
    /// On the real controller, over [`Effort::compare`] machines; none without a machine, and none where the loop is unstable on the
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
    /// Judged over [`Effort::runs`] machines, responses kept; none without a machine.
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

/// Finds the recommended gains for lines, and for a machine's trial where there is one. `present` are gains in force now.
///
/// # Errors
/// Lines that no loop can be closed around; a machine that cannot be put to the trial.
pub fn recommend(
    lines: &Lines,
    trial: Option<&Trial>,
    present: Option<Gains>,
    options: &Effort,
    progress: Progress,
) -> Result<Recommendation, TuneError> {
    let (named, no_optimum) = all(lines, present, options.threads)?;
    let mut candidates = Vec::with_capacity(named.len());
    let per_set = options.compare + 1;
    let shades = options.shades[0] * options.shades[1];
    let total = if trial.is_some() {
        named.len() * per_set + options.runs + 1 + shades * (options.shade + 1)
    } else {
        0
    };
    let count = Count::new(total, progress);
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
    options: &Effort,
    count: &Count,
) -> Result<Candidate, TuneError> {
    let found = on_lines(lines, &named.gains)?;
    let mut broken = broken_on_lines(&found, &lines.limits);
    let judged = match trial {
        Some(trial) if found.nominal.stable => {
            let how = judge::DrawPlan {
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

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::demo;
    use twinplate_sim::model::Machine;

    fn few(threads: usize) -> Effort {
        Effort {
            runs: 4,
            compare: 2,
            shade: 0,
            plane: [5, 4],
            shades: [3, 2],
            ..Effort::usual(threads)
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

//! From candidates to one recommended gain set, with reasons and what limits it; or to what keeps every set from passing.
//!
//! Every candidate is measured on the nominal line and its corners, and, where there is a machine, judged on the real controller
//! against the nonlinear plant over a few machines of the envelope. Of those that hold every limit the one with the least worst-case
//! integral error under a load disturbance is judged on all machines asked for; if it fails there, the next.

use super::candidates::{
    Broken, Family, Lines, Named, OnLines, broken_on_lines, by_rules, on_lines, optimum,
};
use super::free::{Freeing, freeing};
use super::judge::{self, JudgeError, Judgement};
use super::linear::line::Defect;
use super::optimum::{Active, Constraint, NoOptimum};
use super::plane::{Frequency, LinearBands, Plane, frequency, linear_bands, plane};
use super::trial::Trial;
use crate::bench::ensemble;
use crate::math::max;
use crate::model::Gains;
use crate::study::finding::significant;
use std::sync::atomic::{AtomicUsize, Ordering};

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
    /// Worst-case integral error under a load disturbance: on the real controller, N·s, or else on the lines for a unit step.
    #[must_use]
    pub fn worst_iae(&self) -> f64 {
        self.judged
            .as_ref()
            .map_or(self.on_lines.worst_iae, |judged| {
                judged.iae_disturbance.value
            })
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
    /// The set that pictures are drawn for: the recommended or the nearest.
    #[must_use]
    pub fn shown(&self) -> &Candidate {
        let index = match &self.answer {
            Ok(chosen) => chosen.index,
            Err(nothing) => nothing.nearest,
        };
        &self.candidates[index]
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

/// Candidates with the limits that an optimum touches, and why there is no optimum where there is none.
type Made = (Vec<(Named, Vec<Active>)>, Option<String>);

/// All candidates: those by rule, the optimum under the limits, the optimum at each rule's own Ms, and what is in force.
fn all(lines: &Lines, present: Option<Gains>, threads: usize) -> Result<Made, Defect> {
    let rules = by_rules(lines)?;
    // The optimum at a rule's own sensitivity shows what the rule gives away; and a tighter loop may pass where the limit does not.
    let mut levels = vec![(lines.limits.sensitivity, "optimum".to_owned())];
    for rule in &rules {
        if matches!(rule.family, Family::Simc | Family::Amigo) {
            let found = on_lines(lines, &rule.gains)?.nominal;
            if found.stable && found.sensitivity < lines.limits.sensitivity {
                levels.push((
                    found.sensitivity,
                    format!("optimum {:.2}", found.sensitivity),
                ));
            }
        }
    }
    let optima = ensemble(levels.len(), threads, &|_| (), |n| {
        optimum(lines, levels[n].0, 1.0)
    });
    let mut made: Vec<(Named, Vec<Active>)> =
        rules.into_iter().map(|rule| (rule, Vec::new())).collect();
    let mut none = None;
    for ((sensitivity, name), found) in levels.iter().zip(optima) {
        match found {
            Ok(found) => {
                let gains = found.score.gains;
                // Where another limit binds first, several levels end in the same set.
                let known = made.iter().any(|(other, _)| {
                    other.family == Family::Optimum && near(&other.gains, &gains)
                });
                if !known {
                    made.push((
                        Named {
                            name: name.clone(),
                            from: format!(
                                "least worst-case error under a load disturbance, nominal Ms at most {}",
                                significant(*sensitivity, 3)
                            ),
                            family: Family::Optimum,
                            gains,
                        },
                        found.active,
                    ));
                }
            }
            Err(NoOptimum::Defect(defect)) => return Err(defect),
            Err(error @ NoOptimum::Nothing(..)) => {
                none.get_or_insert_with(|| error.to_string());
            }
        }
    }
    for (named, _) in &mut made {
        named.gains = rounded(named.gains);
    }
    if let Some(gains) = present {
        made.push((
            Named {
                name: "in force".into(),
                from: "the machine file's gains".into(),
                family: Family::Present,
                gains,
            },
            Vec::new(),
        ));
    }
    Ok((made, none))
}

/// Digits of the gains: what is judged is what is written into a file.
const DIGITS: usize = 5;

/// Gains as a file will say them.
fn rounded(gains: Gains) -> Gains {
    let round = |x: f64| format!("{x:.*e}", DIGITS - 1).parse().unwrap_or(x);
    Gains {
        kc: round(gains.kc),
        ti: round(gains.ti),
        weight: gains.weight,
    }
}

/// Within half a percent of each other.
fn near(a: &Gains, b: &Gains) -> bool {
    let close = |x: f64, y: f64| crate::math::abs(x / y - 1.0) < 5e-3;
    close(a.kc, b.kc) && close(a.ti, b.ti)
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

/// Picks the best that passes, judging it in full; or says what is in the way.
fn choose(
    lines: &Lines,
    trial: Option<&Trial>,
    candidates: &mut [Candidate],
    options: &Options,
    count: &Count,
) -> Result<Result<Chosen, Nothing>, TuneError> {
    loop {
        let best = (0..candidates.len())
            .filter(|&n| candidates[n].passes())
            .min_by(|&a, &b| {
                candidates[a]
                    .worst_iae()
                    .total_cmp(&candidates[b].worst_iae())
            });
        let Some(index) = best else {
            return Ok(Err(nothing(lines, trial, candidates, options)?));
        };
        let Some(trial) = trial else {
            return Ok(Ok(chosen(lines, candidates, index, None)));
        };
        let how = judge::Options {
            draws: options.runs,
            threads: options.threads,
            seed: options.seed,
            responses: true,
        };
        let gains = candidates[index].named.gains;
        let judged = judge::judge(trial, gains, &how, &|_| count.one())?;
        if judged.passes() {
            return Ok(Ok(chosen(lines, candidates, index, Some(judged))));
        }
        // What few machines did not show, many did.
        candidates[index].broken = broken_in_trial(&judged);
    }
}

/// The chosen set with its reasons.
fn chosen(
    lines: &Lines,
    candidates: &[Candidate],
    index: usize,
    judged: Option<Judgement>,
) -> Chosen {
    let this = &candidates[index];
    let unit = if judged.is_some() { " N·s" } else { "" };
    let number = |x: f64| significant(x, 3);
    let mut reasons = vec![format!(
        "Of {} sets that hold every limit it has the least worst-case integral error under a load disturbance: {}{unit}.",
        candidates.iter().filter(|c| c.passes()).count(),
        number(this.worst_iae())
    )];
    reasons.extend(against_rules(candidates, index, unit));
    if let Some(judged) = &judged {
        reasons.push(format!(
            "All {} runs on the real controller held: no trip, no harm, overshoot and hunting within their bounds.",
            judged.runs
        ));
    }
    Chosen {
        index,
        limited_by: limited_by(lines, candidates, index, judged.as_ref()),
        judged,
        reasons,
    }
}

/// Against the best of SIMC and AMIGO at equal or smaller Ms.
fn against_rules(candidates: &[Candidate], index: usize, unit: &str) -> Option<String> {
    let this = &candidates[index];
    let best = best_rule_below(candidates, this.on_lines.nominal.sensitivity)?;
    let rule = &candidates[best];
    Some(format!(
        "The best of SIMC and AMIGO at equal or smaller Ms, {} (Ms {}), has {}{unit}.",
        rule.named.name,
        significant(rule.on_lines.nominal.sensitivity, 3),
        significant(rule.worst_iae(), 3)
    ))
}

/// The SIMC or AMIGO set of the least worst-case error among those with a nominal Ms of at most `ms`.
#[must_use]
pub fn best_rule_below(candidates: &[Candidate], ms: f64) -> Option<usize> {
    (0..candidates.len())
        .filter(|&n| {
            let candidate = &candidates[n];
            matches!(candidate.named.family, Family::Simc | Family::Amigo)
                && candidate.on_lines.nominal.stable
                && candidate.on_lines.nominal.sensitivity <= ms
        })
        .min_by(|&a, &b| {
            candidates[a]
                .worst_iae()
                .total_cmp(&candidates[b].worst_iae())
        })
}

/// A limit that is used so far is named as one that binds.
const BINDS: f64 = 0.98;

/// What limits the chosen set: limits that it touches, and quicker sets with what they break.
fn limited_by(
    lines: &Lines,
    candidates: &[Candidate],
    index: usize,
    judged: Option<&Judgement>,
) -> Vec<String> {
    let this = &candidates[index];
    let mut found = Vec::new();
    // An optimum at a rule's own Ms touches that, which is no limit of ours.
    let ours = |active: &&Active| active.limit >= lines.limits.get(active.constraint);
    for active in this.active.iter().filter(ours) {
        found.push(format!(
            "{} is at its limit of {}: a tenth more would lower the worst-case error by {} %.",
            active.constraint.name(),
            significant(active.limit, 3),
            significant(active.relief * 100.0, 2)
        ));
    }
    if let Some(judged) = judged {
        for demand in &judged.demands {
            if demand.bound > 0.0 && demand.value >= BINDS * demand.bound {
                found.push(format!(
                    "{}: {} of {} {} in run {}.",
                    demand.demand.what(),
                    significant(demand.value, 3),
                    significant(demand.bound, 3),
                    demand.demand.unit(),
                    demand.run
                ));
            }
        }
    }
    for other in candidates {
        let Some(broken) = other.broken.first() else {
            continue;
        };
        if other.worst_iae() < this.worst_iae() {
            found.push(format!(
                "{} would have {} but breaks {}: {} against {}{} ({}).",
                other.named.name,
                significant(other.worst_iae(), 3),
                broken.what,
                significant(broken.value, 3),
                significant(broken.bound, 3),
                give(broken),
                broken.at
            ));
        }
    }
    if found.is_empty() {
        let nearest = nearest_limit(lines, this);
        found.push(format!("No limit binds; the nearest is {nearest}."));
    }
    found
}

/// By how much a bound would have to give.
fn give(broken: &Broken) -> String {
    if broken.bound > 0.0 {
        let share = 100.0 * (broken.value / broken.bound - 1.0);
        format!(", which would have to give by {} %", significant(share, 2))
    } else {
        String::new()
    }
}

/// The limit of lines that is used most.
fn nearest_limit(lines: &Lines, this: &Candidate) -> String {
    let mut nearest = ("none".to_owned(), 0.0);
    for constraint in Constraint::ALL {
        let bound = lines.limits.get(constraint);
        let Some(value) = this.on_lines.get(constraint) else {
            continue;
        };
        if bound.is_finite() && value / bound > nearest.1 {
            let words = format!(
                "{}, {} of {}",
                constraint.name(),
                significant(value, 3),
                significant(bound, 3)
            );
            nearest = (words, value / bound);
        }
    }
    nearest.0
}

/// How far a set is over its limits: the largest excess as a share, a trip or harm counting as everything.
fn excess(candidate: &Candidate) -> f64 {
    candidate.broken.iter().fold(0.0, |most, broken| {
        let over = if broken.bound > 0.0 {
            broken.value / broken.bound - 1.0
        } else {
            10.0
        };
        max(most, over)
    })
}

fn nothing(
    lines: &Lines,
    trial: Option<&Trial>,
    candidates: &[Candidate],
    options: &Options,
) -> Result<Nothing, TuneError> {
    let nearest = (0..candidates.len())
        .min_by(|&a, &b| excess(&candidates[a]).total_cmp(&excess(&candidates[b])))
        .unwrap_or(0);
    let worst = |a: &Broken| {
        if a.bound > 0.0 {
            a.value / a.bound
        } else {
            f64::INFINITY
        }
    };
    let binds = candidates
        .get(nearest)
        .and_then(|c| c.broken.iter().max_by(|a, b| worst(a).total_cmp(&worst(b))))
        .cloned()
        .unwrap_or_else(|| Broken {
            what: "no rule has gains for this line".to_owned(),
            value: 1.0,
            bound: 0.0,
            unit: "",
            at: "nominal".to_owned(),
        });
    let freeing = match trial {
        Some(trial) => freeing(trial, options)?,
        None => super::free::freeing_lines(lines)?,
    };
    Ok(Nothing {
        nearest,
        binds,
        freeing,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::model::Machine;

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

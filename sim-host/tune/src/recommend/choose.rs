//! The pick among candidates, or what is in the way of every one.

use super::words::{best_rule_below, chosen};
use super::{Candidate, Chosen, Nothing};
use crate::candidates::broken_in_trial;
use crate::candidates::{Broken, Lines};
use crate::compare::EQUAL;
use crate::effort::{Count, Effort, TuneError};
use crate::free::{freeing, freeing_lines};
use crate::judge;
use crate::trial::Trial;
use twinplate_sim::math::max;

/// Picks the best that passes, judging it in full; or says what is in the way.
pub(super) fn choose(
    lines: &Lines,
    trial: Option<&Trial>,
    candidates: &mut [Candidate],
    options: &Effort,
    count: &Count,
) -> Result<Result<Chosen, Nothing>, TuneError> {
    loop {
        let Some(index) = best(candidates) else {
            return Ok(Err(nothing(lines, trial, candidates, options)?));
        };
        let Some(trial) = trial else {
            return Ok(Ok(chosen(lines, candidates, index, None, &options.shown)));
        };
        let how = judge::DrawPlan {
            draws: options.runs,
            threads: options.threads,
            seed: options.seed,
            responses: true,
        };
        let gains = candidates[index].named.gains;
        let judged = judge::judge(trial, gains, &how, &|_| count.one())?;
        if judged.passes() {
            return Ok(Ok(chosen(
                lines,
                candidates,
                index,
                Some(judged),
                &options.shown,
            )));
        }
        // What few machines did not show, many did.
        candidates[index].broken = broken_in_trial(&judged);
    }
}

/// The best of those that pass: the least worst-case error, and of all within [`EQUAL`] of it the one with the most robust corner.
/// Noise and draws decide no more than that share, and the number of runs must not decide either.
pub(super) fn best(candidates: &[Candidate]) -> Option<usize> {
    let passing = || (0..candidates.len()).filter(|&n| candidates[n].passes());
    let error = |n: usize| candidates[n].worst_iae();
    let least = passing().map(error).min_by(f64::total_cmp)?;
    let index = passing()
        .filter(|&n| error(n) <= least * (1.0 + EQUAL))
        .min_by(|&a, &b| {
            let worst = |n: usize| candidates[n].on_lines.worst.sensitivity;
            worst(a).total_cmp(&worst(b))
        })
        // Errors without a number are equal to nothing: the first that passes.
        .or_else(|| passing().next())?;
    // A published rule of no larger Ms and a smaller error would put the set to shame, by however little.
    let rule = best_rule_below(candidates, candidates[index].on_lines.nominal.sensitivity);
    Some(match rule {
        Some(rule) if candidates[rule].passes() && error(rule) < error(index) => rule,
        _ => index,
    })
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
    options: &Effort,
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
            of: None,
            at: "nominal".to_owned(),
        });
    let freeing = match trial {
        Some(trial) => freeing(trial, options)?,
        None => freeing_lines(lines)?,
    };
    Ok(Nothing {
        nearest,
        binds,
        freeing,
    })
}

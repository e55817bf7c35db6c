//! Searches from a start: the library's trust region, with a memory of the best that was seen.

use super::NoOptimum;
use super::limits::{Constraint, Limits};
use super::score::{Score, Scorer};
use cobyla::{Func, RhoBeg, StopTols, minimize};
use std::cell::RefCell;
use twinplate_linear::line::Defect;
use twinplate_sim::math::{exp, log};
use twinplate_sim::model::Gains;

/// Farthest that a search goes from its first start, as a factor on each gain.
const FARTHEST: f64 = 60.0;
/// Searches are kept this far inside the limits (ln), so that their last step does not end outside.
const INSIDE: f64 = 2e-5;
/// The optimum near another with one limit times `factor`.
pub(super) fn ease(
    scorer: &mut Scorer,
    limits: &Limits,
    from: &Score,
    constraint: Constraint,
    factor: f64,
) -> Result<Score, NoOptimum> {
    let limits = limits.with(constraint, limits.get(constraint) * factor);
    let mut best = Some(*from);
    for found in search(scorer, &limits, &from.gains, 0.1, 100)? {
        best = Some(better(best, found, &limits));
    }
    refine(scorer, &limits, best)
}

/// Searches again from the best, in small steps.
pub(super) fn refine(
    scorer: &mut Scorer,
    limits: &Limits,
    best: Option<Score>,
) -> Result<Score, NoOptimum> {
    let Some(mut best) = best else {
        return Err(NoOptimum::Defect(Defect {
            place: "starts of the search",
            found: 0.0,
            expected: "at least one rule must give gains for the line: give it a lag, an integrator or dead time",
        }));
    };
    for size in [0.05, 0.01] {
        for found in search(scorer, limits, &best.gains, size, 80)? {
            best = better(Some(best), found, limits);
        }
    }
    Ok(best)
}

/// The better of two: limits kept first, then the error; if neither keeps them the nearer miss.
pub(super) fn better(best: Option<Score>, other: Score, limits: &Limits) -> Score {
    let Some(best) = best else { return other };
    let wins = match (best.keeps(limits), other.keeps(limits)) {
        (true, true) => other.worst_iae < best.worst_iae,
        (true, false) => false,
        (false, true) => true,
        (false, false) => {
            let miss = |s: &Score| s.room(s.worst(limits), limits.get(s.worst(limits)));
            miss(&other) > miss(&best)
        }
    };
    if wins { other } else { best }
}

/// One search from a start: where it ended, and the best that it saw on its way.
pub(super) fn search(
    scorer: &mut Scorer,
    limits: &Limits,
    start: &Gains,
    size: f64,
    most: usize,
) -> Result<Vec<Score>, NoOptimum> {
    // The library asks for objective and limits one by one, at the same place.
    struct Memory<'a> {
        scorer: &'a mut Scorer,
        last: Option<([f64; 2], Score)>,
        best: Option<Score>,
        failed: Option<Defect>,
    }
    let memory = RefCell::new(Memory {
        scorer,
        last: None,
        best: None,
        failed: None,
    });
    let at = |x: &[f64]| -> Option<Score> {
        let place = [x[0], x[1]];
        let memory = &mut *memory.borrow_mut();
        if let Some((last, score)) = memory.last
            && last == place
        {
            return Some(score);
        }
        match memory
            .scorer
            .score(start.kc * exp(place[0]), start.ti * exp(place[1]))
        {
            Ok(score) => {
                memory.last = Some((place, score));
                memory.best = Some(better(memory.best, score, limits));
                Some(score)
            }
            Err(defect) => {
                memory.failed = Some(defect);
                None
            }
        }
    };
    let scale = at(&[0.0, 0.0]).map_or(1.0, |s| s.worst_iae);
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let objective = |x: &[f64], (): &mut ()| match at(x) {
        Some(s) if s.worst_iae.is_finite() => log(s.worst_iae / scale),
        _ => 5.0,
    };
    let rooms = Constraint::ALL.map(|constraint| {
        let at = &at;
        move |x: &[f64], (): &mut ()| {
            at(x).map_or(-5.0, |s| {
                s.room(constraint, limits.get(constraint)) - INSIDE
            })
        }
    });
    let constraints: Vec<&dyn Func<()>> = rooms.iter().map(|r| r as &dyn Func<()>).collect();
    let far = log(FARTHEST);
    let tolerances = StopTols {
        xtol_abs: vec![1e-6; 2],
        ..StopTols::default()
    };
    // Where it ended does not matter, nor how: the memory knows the best of all that it saw.
    let _ = minimize(
        objective,
        &[0.0, 0.0],
        &[(-far, far), (-far, far)],
        &constraints,
        (),
        most,
        RhoBeg::All(size),
        Some(tolerances),
    );
    let memory = memory.into_inner();
    match memory.failed {
        Some(defect) => Err(defect.into()),
        None => Ok(memory.best.into_iter().collect()),
    }
}

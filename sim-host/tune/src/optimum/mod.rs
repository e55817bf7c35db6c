//! The robust optimum: PI gains of least integrated error for load disturbances, under limits.
//!
//! Minimised is the largest IAE of a unit step at the plant's input over the nominal line and the corners of the envelope; kept are
//! limits on Ms (nominal and corners), setpoint overshoot, travel of the command and noise. The formulation with Ms as the limit is
//! Åström, Panagopoulos & Hägglund, Automatica 34 (1998) 585–601 (from memory); theirs minimises `Ti/Kc`, which is the IAE where
//! nothing swings. Solved by linear approximations in a trust region (Powell 1994) from several starts; deterministic.

mod limits;
mod score;
mod search;

pub use limits::{Constraint, Limits};
pub use score::{Score, Scorer};

use super::rules;
use search::{better, ease, refine, search};
use std::fmt;
use twinplate_linear::limit::ultimate;
use twinplate_linear::line::{Defect, Line};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::Gains;

/// What is to be tuned.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The line as known.
    pub line: Line,
    /// Lines at the corners of the envelope; may be empty.
    pub corners: Vec<Line>,
    /// Limits.
    pub limits: Limits,
    /// Setpoint weight of the controller, 0..=1.
    pub weight: f64,
}

/// A limit that the optimum touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Active {
    /// Which.
    pub constraint: Constraint,
    /// Its value.
    pub limit: f64,
    /// Share by which the worst IAE would fall if the limit gave by a tenth.
    pub relief: f64,
}

/// The optimum.
#[derive(Clone, Debug, PartialEq)]
pub struct Optimum {
    /// Gains and what they do.
    pub score: Score,
    /// Limits that bind; none is an optimum inside all limits.
    pub active: Vec<Active>,
    /// Gains that were looked at.
    pub evaluations: usize,
}

/// Why there is none.
#[derive(Clone, Debug, PartialEq)]
pub enum NoOptimum {
    /// A number that no loop can be built from.
    Defect(Defect),
    /// No gains keep every limit: the nearest miss and the limit that it breaks farthest.
    Nothing(Box<Score>, Constraint, f64),
}

impl fmt::Display for NoOptimum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Defect(defect) => defect.fmt(f),
            Self::Nothing(score, constraint, limit) => write!(
                f,
                "no gains keep every limit: the nearest have {} {:.3} where {limit:.3} is allowed; raise that limit, \
                 narrow the envelope, or shorten dead time and filters",
                constraint.name(),
                score.get(*constraint)
            ),
        }
    }
}

impl std::error::Error for NoOptimum {}

impl From<Defect> for NoOptimum {
    fn from(defect: Defect) -> Self {
        Self::Defect(defect)
    }
}

/// A limit with less room than this (ln) binds.
const BINDS: f64 = 3e-3;

/// Finds the optimum. `progress` gets the share done, 0 to 1.
///
/// # Errors
///
/// A number that no loop can be built from, or no gains that keep every limit.
pub fn robust_optimum(
    problem: &Problem,
    mut progress: impl FnMut(f64),
) -> Result<Optimum, NoOptimum> {
    problem.limits.check()?;
    let mut scorer = Scorer::new(problem)?;
    let starts = starts(&problem.line)?;
    let count = starts.len() as f64;
    let mut best: Option<Score> = None;
    for (n, start) in starts.iter().enumerate() {
        for found in search(&mut scorer, &problem.limits, start, 0.3, 150)? {
            best = Some(better(best, found, &problem.limits));
        }
        progress((n as f64 + 1.0) / (count + 1.0));
    }
    let best = refine(&mut scorer, &problem.limits, best)?;
    if !best.keeps(&problem.limits) {
        let worst = best.worst(&problem.limits);
        let limit = problem.limits.get(worst);
        return Err(NoOptimum::Nothing(Box::new(best), worst, limit));
    }
    let mut active = vec![];
    for constraint in Constraint::ALL {
        let limit = problem.limits.get(constraint);
        if best.room(constraint, limit) < BINDS {
            let eased = ease(&mut scorer, &problem.limits, &best, constraint, 1.1)?;
            let relief = max(1.0 - eased.worst_iae / best.worst_iae, 0.0);
            active.push(Active {
                constraint,
                limit,
                relief,
            });
        }
    }
    progress(1.0);
    Ok(Optimum {
        score: best,
        active,
        evaluations: scorer.count,
    })
}

/// Value that a limit would need for the worst IAE to come down to `iae`; None where a threefold limit does not do it alone.
///
/// # Errors
///
/// A number that no loop can be built from.
pub fn limit_for(
    problem: &Problem,
    optimum: &Optimum,
    constraint: Constraint,
    iae: f64,
) -> Result<Option<f64>, NoOptimum> {
    let mut scorer = Scorer::new(problem)?;
    let mut reaches = |factor: f64| -> Result<bool, NoOptimum> {
        let eased = ease(
            &mut scorer,
            &problem.limits,
            &optimum.score,
            constraint,
            factor,
        )?;
        Ok(eased.worst_iae <= iae)
    };
    let (mut low, mut high) = (1.0, 3.0);
    if !reaches(high)? {
        return Ok(None);
    }
    for _ in 0..12 {
        let middle = twinplate_sim::math::sqrt(low * high);
        if reaches(middle)? {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(Some(problem.limits.get(constraint) * high))
}

/// Gains to start from: the rules that have an answer for the line.
fn starts(line: &Line) -> Result<Vec<Gains>, Defect> {
    let extra = rules::overhead(line);
    let model = rules::half_rule(&line.process, extra)?;
    let mut all = vec![];
    let lag = max(model.dead_time, 0.05 * max(model.tau1, line.slowness()));
    for (share, _) in rules::CLOSED_LOOP_TIMES {
        all.extend(rules::simc(&model, share * lag));
    }
    all.extend(rules::amigo(&model));
    if let Some(ultimate) = ultimate(line)? {
        // Half of it: a start that is stable with room.
        let mut gains = rules::ziegler_nichols(&ultimate);
        gains.kc *= 0.5;
        all.push(gains);
    }
    all.retain(|g| g.kc.is_finite() && abs(g.kc) > 0.0 && g.ti.is_finite() && g.ti > 0.0);
    Ok(all)
}

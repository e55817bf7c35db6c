//! The next two trials: those that shrink the joint uncertainty of the law most (D-optimal), of a grid over what was tried.
//!
//! The grid spans pressures, speeds and times of the trials. What was hardly varied is spread by [`WIDER`] either way, because nothing can
//! be told of it else. A weak prior (exponents 1 ± 0.5, decline of a middle trial 0 ± 0.5) keeps the sum finite where terms are unknown.

use super::model::{Law, Terms, VARIED, VARIED_TIME, row};
use super::trials::Trial;
use nalgebra::{DMatrix, DVector};
use twinplate_sim::distribution::t_95;
use twinplate_sim::math::{exp, log, max, min, sqrt};

/// What was hardly varied is tried this much lower and higher.
pub const WIDER: f64 = 1.5;
/// Steps of pressure and speed, and of time.
const STEPS: [usize; 3] = [5, 5, 3];
/// Standard deviation of an exponent, and of the decline in a middle trial, before anything is known.
const PRIOR: f64 = 0.5;
/// Scatter of a rate, share, where the trials show none. Common practice, no source.
const SCATTER: f64 = 0.05;
/// Scatter under which there is none but that of rounding.
const LEAST: f64 = 1e-7;

/// A trial to make.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposed {
    /// The trial, with what it should remove from a face.
    pub trial: Trial,
    /// Line of the trial with the nearest speed, and what all its speeds are to be multiplied by.
    pub like: (usize, f64),
}

/// An interval's half-width before and after the two trials.
#[derive(Clone, Debug, PartialEq)]
pub struct Gain {
    /// Which number.
    pub of: Unknown,
    /// Half-width now; `None` where the trials say nothing of it.
    pub before: Option<f64>,
    /// Half-width expected after them.
    pub after: f64,
}

/// A number of the law.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// Logarithm of the coefficient with fresh slurry, of an abrasive by its number.
    Coefficient(usize),
    /// Exponent of the pressure.
    Pressure,
    /// Exponent of the speed.
    Speed,
    /// Decline of the rate, 1/s.
    Decline,
}

/// Two trials and what they would bring.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The trials.
    pub trials: [Proposed; 2],
    /// What each number gains.
    pub gains: Vec<Gain>,
    /// Volume of the joint region after over before.
    pub volume: f64,
    /// Pressure, speed or time goes beyond what was tried.
    pub beyond: [bool; 3],
}

/// Values from low to high, apart by equal ratios; wider where they were hardly varied.
fn steps(trials: &[Trial], value: fn(&Trial) -> f64, least: f64, count: usize) -> (Vec<f64>, bool) {
    let (low, high) = trials
        .iter()
        .fold((f64::INFINITY, 0.0), |(low, high), trial| {
            (min(low, value(trial)), max(high, value(trial)))
        });
    let beyond = high / low <= least;
    let (low, high) = if beyond {
        (low / WIDER, high * WIDER)
    } else {
        (low, high)
    };
    let rise = log(high / low);
    let values = (0..count)
        .map(|at| low * exp(rise * at as f64 / max(count as f64 - 1.0, 1.0)))
        .collect();
    (values, beyond)
}

/// Every term there is.
const EVERY: Terms = Terms {
    pressure: true,
    speed: true,
    decline: true,
};

/// The laws that were fitted: with exponents, and the one that the coefficients come from.
pub(super) struct Fitted<'a> {
    pub free: &'a Law,
    pub used: &'a Law,
}

/// Scatter about a law, share.
fn scatter(law: &Law) -> f64 {
    let seen = law.fit.deviation();
    if seen > LEAST { seen } else { SCATTER }
}

/// Information of trials on the terms of a law, times the square of the scatter, with the prior.
fn information(trials: &[Trial], law: &Law, terms: Terms) -> DMatrix<f64> {
    let scatter = scatter(law);
    let size = law.abrasives + terms.count();
    let mut sum = DMatrix::zeros(size, size);
    for at in law.abrasives..size {
        sum[(at, at)] = scatter * scatter / (PRIOR * PRIOR);
    }
    for trial in trials {
        let x = regressors(trial, law, terms);
        sum += &x * x.transpose();
    }
    sum
}

fn regressors(trial: &Trial, law: &Law, terms: Terms) -> DVector<f64> {
    DVector::from_vec(row(trial, law.abrasives, terms, &law.middle, law.decline))
}

/// Half-widths as they are told now, and as they will be with the trials made: exponents and decline of the law with every term, the
/// coefficients of the law that they come from, which by then knows the decline.
fn gains(laws: &Fitted<'_>, made: &[Trial]) -> Option<Vec<Gain>> {
    let then = |law: &Law, terms: Terms| -> Option<Vec<f64>> {
        let inverse = information(made, law, terms).try_inverse()?;
        let freedom = made.len() as f64 - inverse.nrows() as f64;
        let t = t_95(max(freedom, 1.0));
        let own = |at: usize| t * scatter(law) * sqrt(max(inverse[(at, at)], 0.0));
        Some((0..inverse.nrows()).map(own).collect())
    };
    let now = |law: &Law, at: usize| {
        let found = law.fit.coefficient(at);
        0.5 * (found.high - found.low)
    };
    let (free, used) = (laws.free, laws.used);
    let proportional = Terms {
        pressure: used.terms.pressure,
        speed: used.terms.speed,
        decline: true,
    };
    let coefficients = then(used, proportional)?;
    let exponents = then(free, EVERY)?;
    let mut gains: Vec<Gain> = (0..used.abrasives)
        .map(|at| Gain {
            of: Unknown::Coefficient(at),
            before: Some(now(used, at)),
            after: coefficients[at],
        })
        .collect();
    let terms = [
        (Unknown::Pressure, 1.0),
        (Unknown::Speed, 1.0),
        (Unknown::Decline, 1.0 / free.middle.time),
    ];
    for (n, ((of, scale), place)) in terms.into_iter().zip(free.places()).enumerate() {
        gains.push(Gain {
            of,
            before: place.map(|at| scale * now(free, at)),
            after: scale * exponents[free.abrasives + n],
        });
    }
    Some(gains)
}

/// The best pair of the grid.
pub(super) fn plan(trials: &[Trial], laws: &Fitted<'_>) -> Option<Plan> {
    let law = laws.free;
    let inverse = information(trials, law, EVERY).try_inverse()?;
    let (grid, beyond) = grid(trials, law.abrasives);
    let all: Vec<DVector<f64>> = grid
        .iter()
        .map(|trial| regressors(trial, law, EVERY))
        .collect();
    let turned: Vec<DVector<f64>> = all.iter().map(|x| &inverse * x).collect();
    let own: Vec<f64> = all.iter().zip(&turned).map(|(x, y)| x.dot(y)).collect();
    let mut best: Option<(f64, usize, usize)> = None;
    for i in 0..all.len() {
        for j in i..all.len() {
            let both = all[i].dot(&turned[j]);
            let grows = (1.0 + own[i]) * (1.0 + own[j]) - both * both;
            // The first of equals: a rounding is no reason.
            if best.is_none_or(|(most, ..)| grows > most * (1.0 + 1e-9)) {
                best = Some((grows, i, j));
            }
        }
    }
    let (grows, i, j) = best?;
    let chosen = [&grid[i], &grid[j]];
    let made: Vec<Trial> = trials.iter().chain(chosen).cloned().collect();
    Some(Plan {
        trials: [i, j].map(|at| proposed(&grid[at], trials, law)),
        gains: gains(laws, &made)?,
        volume: 1.0 / sqrt(grows),
        beyond,
    })
}

fn grid(trials: &[Trial], abrasives: usize) -> (Vec<Trial>, [bool; 3]) {
    let (pressures, wide_pressure) = steps(trials, |trial| trial.pressure, VARIED, STEPS[0]);
    let (speeds, wide_speed) = steps(trials, |trial| trial.speed, VARIED, STEPS[1]);
    let (times, wide_time) = steps(trials, |trial| trial.time, VARIED_TIME, STEPS[2]);
    let mut grid = Vec::new();
    for abrasive in 0..abrasives {
        for pressure in &pressures {
            for speed in &speeds {
                for time in &times {
                    grid.push(Trial {
                        line: 0,
                        pressure: *pressure,
                        speed: *speed,
                        time: *time,
                        removed: 0.0,
                        abrasive,
                    });
                }
            }
        }
    }
    (grid, [wide_pressure, wide_speed, wide_time])
}

fn proposed(trial: &Trial, trials: &[Trial], law: &Law) -> Proposed {
    let off = |other: &Trial| (log(other.speed / trial.speed)) * (log(other.speed / trial.speed));
    let nearest = trials.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
    let rate = exp(law.predicted(trial)) * law.middle.pressure * law.middle.speed;
    Proposed {
        trial: Trial {
            removed: rate * trial.time,
            ..trial.clone()
        },
        like: nearest.map_or((0, 1.0), |near| (near.line, trial.speed / near.speed)),
    }
}

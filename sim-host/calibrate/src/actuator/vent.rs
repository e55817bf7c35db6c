//! Venting: the load falls to that at rest as the dump valve lets the cap side out.

use super::log::Run;
use crate::least_squares::{Estimate, Fit, fit};
use crate::serial::widening;
use twinplate_sim::math::{abs, exp, limit, max, sqrt};

/// The dump valve's time constant and the load that is left.
#[derive(Clone, Debug, PartialEq)]
pub struct Vent {
    /// Time constant, s.
    pub lag: Estimate,
    /// Load at rest, N: mean of what the ventings settle on.
    pub rest: Estimate,
    /// Standard deviation of what is left over, N.
    pub deviation: f64,
    /// Time since the valve opened, measured and fitted load of the first venting.
    pub curve: Vec<[f64; 3]>,
}

/// Rounds of Gauss and Newton.
const ROUNDS: usize = 60;

/// Fits `rest + fall exp(-t/lag)` to all ventings, each with its own rest and fall; `begin` s after a venting's first row, so that the cell's
/// filter has let go of the load before. `None` where there is no exponential in them.
pub(super) fn vent(runs: &[&Run], begin: f64, guess: f64) -> Option<Vent> {
    let parts: Vec<Vec<[f64; 2]>> = runs
        .iter()
        .map(|run| {
            let start = run.samples.first().map_or(0.0, |first| first.time);
            let since = run.samples.iter().map(|s| [s.time - start, s.load]);
            since.filter(|[time, _]| *time >= begin).collect()
        })
        .collect();
    let loads: Vec<f64> = parts.iter().flatten().map(|[_, load]| *load).collect();
    let (mut lag, mut last): (f64, Option<Fit>) = (guess, None);
    for _ in 0..ROUNDS {
        let found = fit(&rows(&parts, lag), &loads)?;
        let falls: f64 = (0..parts.len())
            .map(|n| abs(found.coefficients[2 * n + 1]))
            .sum::<f64>()
            / parts.len() as f64;
        // The last column is the slope in the lag per newton of mean fall.
        let step = found.coefficients[2 * parts.len()] / max(falls, 1e-9);
        let next = limit(lag + step, 0.5 * lag, 2.0 * lag);
        let settled = abs(next - lag) < 1e-10 * lag;
        lag = next;
        last = Some(found);
        if settled {
            break;
        }
    }
    let found = last?;
    let falls: Vec<f64> = (0..parts.len())
        .map(|n| found.coefficients[2 * n + 1])
        .collect();
    let mean_fall = falls.iter().map(|fall| abs(*fall)).sum::<f64>() / falls.len() as f64;
    // A venting that fell by less than its scatter has no time constant.
    if !lag.is_finite() || mean_fall < 5.0 * found.deviation() || lag > 100.0 {
        return None;
    }
    let mut residuals = Vec::new();
    let mut from = 0;
    for part in &parts {
        residuals.push(found.residuals.get(from..from + part.len())?);
        from += part.len();
    }
    let widened = widening(&residuals);
    let freedom = found.freedom as f64;
    let slope = found.coefficient(2 * parts.len());
    let mut weights = vec![0.0; 2 * parts.len() + 1];
    for n in 0..parts.len() {
        weights[2 * n] = 1.0 / parts.len() as f64;
    }
    let rest = found.combined(&weights);
    let rests: Vec<f64> = (0..parts.len())
        .map(|n| found.coefficients[2 * n])
        .collect();
    let between = rests
        .iter()
        .map(|r| (r - rest.value) * (r - rest.value))
        .sum::<f64>()
        / (max(parts.len() as f64 - 1.0, 1.0) * parts.len() as f64);
    let first = parts.first()?;
    let curve = first
        .iter()
        .zip(&found.residuals)
        .map(|([time, load], residual)| [*time, *load, load - residual])
        .collect();
    Some(Vent {
        lag: Estimate::new(lag, widened * slope.deviation / mean_fall, freedom),
        rest: Estimate::new(
            rest.value,
            max(widened * rest.deviation, sqrt(between)),
            freedom,
        ),
        deviation: found.deviation(),
        curve,
    })
}

/// Regressors: rest and fall of each venting, and the common slope in the lag, weighted by each fall's share of the mean.
fn rows(parts: &[Vec<[f64; 2]>], lag: f64) -> Vec<Vec<f64>> {
    let fall = |part: &Vec<[f64; 2]>| {
        let load = |row: Option<&[f64; 2]>| row.map_or(0.0, |[_, load]| *load);
        load(part.first()) - load(part.last())
    };
    let falls: Vec<f64> = parts.iter().map(fall).collect();
    let mean = falls.iter().map(|fall| abs(*fall)).sum::<f64>() / falls.len().max(1) as f64;
    let mut rows = Vec::new();
    for (n, part) in parts.iter().enumerate() {
        for [time, _] in part {
            let mut row = vec![0.0; 2 * parts.len() + 1];
            let share = exp(-time / lag);
            row[2 * n] = 1.0;
            row[2 * n + 1] = share;
            row[2 * parts.len()] = falls[n] / max(mean, 1e-9) * share * time / (lag * lag);
            rows.push(row);
        }
    }
    rows
}

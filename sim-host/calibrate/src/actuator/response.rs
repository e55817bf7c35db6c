//! Steps of the command: dead time, lag and slew of the regulator. The load answers a step as a ramp of `|step| / slew` seconds behind the
//! dead time, smoothed by a first-order lag. Small and large steps together tell slew from dead time: a ramp grows with the step.

use super::log::Run;
use crate::least_squares::{Estimate, Fit, fit};
use crate::serial::widening;
use twinplate_sim::math::{abs, exp, limit, max, sqrt};

/// A change of the command that counts as a step, share of full scale.
const STEP: f64 = 0.005;
/// Rounds of Gauss and Newton.
const ROUNDS: usize = 80;
/// Change over which slopes are taken, share of the value or of its scale.
const SLOPE: f64 = 1e-5;
/// A scatter beyond this share of a step is more than the model leaves.
const MOST_LEFT: f64 = 0.03;
/// A round that gains less than this share is the last.
const SETTLED: f64 = 1e-9;
/// Why there is no fit.
const NO_FIT: &str = "the steps do not tell dead time, lag and slew apart: let the load settle after each, small ones and large";
/// Tries of halving a round's change until it is a gain.
const HALVINGS: usize = 12;

/// What steps tell.
#[derive(Clone, Debug, PartialEq)]
pub struct Response {
    /// Dead time without the cell's filter, s.
    pub dead_time: Estimate,
    /// Lag, s.
    pub lag: Estimate,
    /// Seconds that a full scale takes at the fastest change.
    pub ramp: Estimate,
    /// Standard deviation of what is left over, N.
    pub deviation: f64,
    /// That over the mean step of the load.
    pub share: f64,
    /// Factor by which intervals are wider because residuals hang together.
    pub widened: f64,
    /// Steps.
    pub steps: usize,
    /// Seconds between two rows: the dead time is not known finer than this allows.
    pub interval: f64,
    /// Time, measured and fitted load.
    pub curve: Vec<[f64; 3]>,
}

impl Response {
    /// The model says what the log does.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.share <= MOST_LEFT
    }

    /// Slew, full scales per second, where the log shows that there is one.
    #[must_use]
    pub fn slew(&self) -> Option<Estimate> {
        (self.ramp.low > 0.0).then(|| Estimate {
            value: 1.0 / self.ramp.value,
            deviation: self.ramp.deviation / (self.ramp.value * self.ramp.value),
            low: 1.0 / self.ramp.high,
            high: 1.0 / self.ramp.low,
        })
    }
}

/// One step: its time, its size, its run, and by how much it came later than the middle between two rows.
#[derive(Clone)]
struct Step {
    time: f64,
    size: f64,
    run: usize,
    late: f64,
}

/// Dead time, lag, seconds of a full scale.
type Shape = [f64; 3];

/// Fits all steps. `filter` is the delay of the cell's filter, s; `play` is by how much a step back is smaller; `guess` what the
/// machine file has.
pub(super) fn response(
    runs: &[&Run],
    filter: f64,
    play: f64,
    guess: Shape,
) -> Result<Response, String> {
    let (mut steps, interval) = steps(runs, play);
    if steps.len() < 2 {
        return Err("the command jumps less than twice by 0.5 % or more".to_owned());
    }
    let loads: Vec<f64> = runs
        .iter()
        .flat_map(|run| run.samples.iter().map(|s| s.load))
        .collect();
    // A step lies anywhere between the row before and the first that has it: so sure is its middle.
    let placed = interval / sqrt(12.0);
    let weight = noise(runs) / max(placed, 1e-9);
    let [dead, lag, ramp] = guess;
    let mut shape = [dead + filter, lag, ramp];
    (steps, shape) = settled(runs, steps, shape, &loads, weight).ok_or(NO_FIT)?;
    let whole = linearised(runs, &steps, shape, &loads, weight).ok_or(NO_FIT)?;
    let mut parts = Vec::new();
    let mut from = 0;
    for run in runs {
        parts.push(
            whole
                .residuals
                .get(from..from + run.samples.len())
                .unwrap_or(&[]),
        );
        from += run.samples.len();
    }
    let widened = widening(&parts);
    let first = runs.len() + steps.len();
    let freedom = whole.freedom as f64;
    let estimate = |at: usize, value: f64| {
        let own = widened * whole.coefficient(first + at).deviation;
        Estimate::new(value, own, freedom)
    };
    let sizes = whole.coefficients[runs.len()..runs.len() + steps.len()]
        .iter()
        .map(|s| abs(*s));
    let mean = sizes.sum::<f64>() / steps.len() as f64;
    let deviation = whole.deviation();
    let curve = runs
        .iter()
        .flat_map(|run| run.samples.iter())
        .zip(&whole.residuals)
        .map(|(sample, residual)| [sample.time, sample.load, sample.load - residual])
        .collect();
    Ok(Response {
        dead_time: estimate(0, shape[0] - filter),
        lag: estimate(1, shape[1]),
        ramp: estimate(2, shape[2]),
        deviation,
        share: left_over(whole.residuals.get(..loads.len()).unwrap_or(&[])) / max(mean, 1e-9),
        widened,
        steps: steps.len(),
        interval,
        curve,
    })
}

/// Rounds of Gauss and Newton from a first shape until no gain is left.
fn settled(
    runs: &[&Run],
    mut steps: Vec<Step>,
    mut shape: Shape,
    loads: &[f64],
    weight: f64,
) -> Option<(Vec<Step>, Shape)> {
    let squares = |steps: &[Step], shape: Shape| {
        let off: f64 = steps.iter().map(|s| s.late * s.late).sum();
        fit(&rows(runs, steps, shape), loads).map(|fit| fit.squares + weight * weight * off)
    };
    let mut last = squares(&steps, shape)?;
    for _ in 0..ROUNDS {
        let whole = linearised(runs, &steps, shape, loads, weight)?;
        let change = whole.coefficients[runs.len() + steps.len()..].to_vec();
        let mut share = 1.0;
        let mut moved = false;
        for _ in 0..HALVINGS {
            let next = [
                limit(shape[0] + share * change[0], 0.0, 2.0),
                limit(shape[1] + share * change[1], 1e-4, 20.0),
                limit(shape[2] + share * change[2], -0.05, 20.0),
            ];
            let mut later = steps.clone();
            for (step, change) in later.iter_mut().zip(&change[3..]) {
                step.late += share * change;
            }
            if let Some(now) = squares(&later, next)
                && now <= last
            {
                moved = last - now > SETTLED * last;
                (shape, steps, last) = (next, later, now);
                break;
            }
            share *= 0.5;
        }
        if !moved {
            break;
        }
    }
    Some((steps, shape))
}

/// What of the residuals is not noise: the deviation of means of eight that follow each other.
fn left_over(residuals: &[f64]) -> f64 {
    let means = residuals
        .chunks_exact(8)
        .map(|part| part.iter().sum::<f64>() / 8.0);
    let (count, squares) = means.fold((0.0, 0.0), |(n, sum), mean| (n + 1.0, sum + mean * mean));
    sqrt(squares / max(count, 1.0))
}

/// Steps of the command and the usual time between two rows.
fn steps(runs: &[&Run], play: f64) -> (Vec<Step>, f64) {
    let (mut found, mut intervals): (Vec<Step>, Vec<f64>) = (Vec::new(), Vec::new());
    for (number, run) in runs.iter().enumerate() {
        let mut sense = 0.0;
        for pair in run.samples.windows(2) {
            let (before, after) = (&pair[0], &pair[1]);
            intervals.push(after.time - before.time);
            let change = after.command - before.command;
            if abs(change) < STEP {
                continue;
            }
            let now = if change > 0.0 { 1.0 } else { -1.0 };
            let turned = sense != 0.0 && sense != now;
            sense = now;
            found.push(Step {
                time: 0.5 * (before.time + after.time),
                size: max(abs(change) - if turned { play } else { 0.0 }, STEP),
                run: number,
                late: 0.0,
            });
        }
    }
    intervals.sort_by(f64::total_cmp);
    let middle = intervals.get(intervals.len() / 2).copied().unwrap_or(0.0);
    (found, middle)
}

/// Share of a step that has come through `t` seconds after it.
fn come(t: f64, size: f64, [dead, lag, ramp]: Shape) -> f64 {
    let (t, ramp) = (t - dead, abs(ramp) * size);
    if t <= 0.0 {
        return 0.0;
    }
    if ramp < 1e-6 * lag {
        return 1.0 - exp(-t / lag);
    }
    if t < ramp {
        return (t - lag * (1.0 - exp(-t / lag))) / ramp;
    }
    1.0 - lag / ramp * (exp(-(t - ramp) / lag) - exp(-t / lag))
}

/// Regressors: a level for each run, a size for each step.
fn rows(runs: &[&Run], steps: &[Step], shape: Shape) -> Vec<Vec<f64>> {
    let mut rows = Vec::new();
    for (number, run) in runs.iter().enumerate() {
        for sample in &run.samples {
            let mut row = vec![0.0; runs.len() + steps.len()];
            row[number] = 1.0;
            for (at, step) in steps.iter().enumerate() {
                if step.run == number {
                    row[runs.len() + at] =
                        come(sample.time - step.time - step.late, step.size, shape);
                }
            }
            rows.push(row);
        }
    }
    rows
}

/// Noise of the loads, N: from second differences, in which slow changes are not.
fn noise(runs: &[&Run]) -> f64 {
    let (mut squares, mut count) = (0.0, 0.0);
    for run in runs {
        for three in run.samples.windows(3) {
            let bend = three[0].load - 2.0 * three[1].load + three[2].load;
            squares += bend * bend;
            count += 1.0;
        }
    }
    max(sqrt(squares / (6.0 * max(count, 1.0))), 1e-9)
}

/// The fit with the slopes in the three numbers of the shape and in each step's lateness beside it: their coefficients are the changes of a
/// round. The lateness is known to be about nothing, which is a row for each step.
fn linearised(
    runs: &[&Run],
    steps: &[Step],
    shape: Shape,
    loads: &[f64],
    weight: f64,
) -> Option<Fit> {
    let plain = rows(runs, steps, shape);
    let sizes = fit(&plain, loads)?.coefficients;
    let mut all = plain;
    let scales = [max(shape[0], 1e-3), shape[1], max(abs(shape[2]), 1e-2)];
    let mut arrival = Vec::new();
    for which in 0..3 {
        let change = SLOPE * scales[which];
        let (mut up, mut down) = (shape, shape);
        up[which] += change;
        down[which] -= change;
        let (up, down) = (rows(runs, steps, up), rows(runs, steps, down));
        for ((row, up), down) in all.iter_mut().zip(up).zip(down) {
            let slopes = up.iter().zip(&down).zip(&sizes);
            let slopes: Vec<f64> = slopes
                .map(|((u, d), size)| size * (u - d) / (2.0 * change))
                .collect();
            row.push(slopes.iter().sum());
            if which == 0 {
                // A later step is a longer dead time of its own.
                arrival.push(slopes[runs.len()..].to_vec());
            }
        }
    }
    for (row, slopes) in all.iter_mut().zip(arrival) {
        row.extend(slopes);
    }
    let mut values = loads.to_vec();
    for (n, step) in steps.iter().enumerate() {
        let mut row = vec![0.0; runs.len() + 2 * steps.len() + 3];
        row[runs.len() + steps.len() + 3 + n] = weight;
        all.push(row);
        values.push(-weight * step.late);
    }
    fit(&all, &values)
}

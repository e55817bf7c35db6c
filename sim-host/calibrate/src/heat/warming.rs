//! One capacity that is warmed and cooled, fitted to its temperatures.
//!
//! `T' = ((k P - (T - Ta))/τ`, `τ` capacity over cooling, `k` kelvins a watt. For a given `τ` the temperatures are linear in everything
//! else: the beginning, the room and `k`. `τ` is found by Gauss and Newton in its logarithm, begun on a grid.

use crate::least_squares::{Estimate, Fit, fit};
use twinplate_sim::math::{abs, exp, log, max, min, sqrt};

/// A log in SI units and °C.
#[derive(Clone, Debug, Default)]
pub(super) struct Log {
    pub time: Vec<f64>,
    /// Mean of the plates.
    pub plate: Vec<f64>,
    pub ambient: Option<Vec<f64>>,
    /// Friction power of a face, W.
    pub power: Option<Vec<f64>>,
    /// Heat that the cooling takes from both plates, W; NaN where it was not measured.
    pub carried: Option<Vec<f64>>,
    pub lines: Vec<usize>,
}

/// What the temperatures say.
#[derive(Clone, Debug)]
pub(super) struct Warming {
    pub fit: Fit,
    /// Capacity over cooling, s.
    pub lag: f64,
    pub room: Option<usize>,
    pub gain: Option<usize>,
    /// Place of the lag's logarithm.
    pub at: usize,
    /// Factor on deviations, and the degrees of freedom, for residuals that hang together.
    pub stretch: f64,
    pub freedom: f64,
    pub fitted: Vec<f64>,
    /// Temperature of the room at each row.
    pub surroundings: Vec<f64>,
}

/// Columns of the linear part at a lag, and what is known: the room's share where the room was measured.
struct Columns {
    rows: Vec<Vec<f64>>,
    known: Vec<f64>,
}

/// What a first-order lag makes of an input that runs straight from row to row.
fn lagged(time: &[f64], input: &[f64], lag: f64) -> Vec<f64> {
    let mut state = 0.0;
    let mut out = Vec::with_capacity(time.len());
    for n in 0..time.len() {
        if n > 0 {
            let step = (time[n] - time[n - 1]) / lag;
            let keep = exp(-step);
            let mean = if step > 1e-6 {
                (1.0 - keep) / step
            } else {
                1.0 - 0.5 * step
            };
            let rise = input[n] - input[n - 1];
            state = keep * state + (1.0 - keep) * input[n - 1] + rise * (1.0 - mean);
        }
        out.push(state);
    }
    out
}

impl Log {
    fn columns(&self, lag: f64) -> Columns {
        let start = self.time.first().copied().unwrap_or(0.0);
        let decay: Vec<f64> = self.time.iter().map(|t| exp((start - t) / lag)).collect();
        let power = self.power.as_ref().map(|p| lagged(&self.time, p, lag));
        let known = match &self.ambient {
            Some(room) => lagged(&self.time, room, lag),
            None => vec![0.0; self.time.len()],
        };
        let rows = decay
            .iter()
            .enumerate()
            .map(|(n, decay)| {
                let room = self.ambient.is_none().then_some(1.0 - decay);
                let power = power.as_ref().map(|power| power[n]);
                [Some(*decay), room, power].into_iter().flatten().collect()
            })
            .collect();
        Columns { rows, known }
    }

    fn linear(&self, lag: f64) -> Option<(Columns, Fit)> {
        let columns = self.columns(lag);
        let values: Vec<f64> = self
            .plate
            .iter()
            .zip(&columns.known)
            .map(|(t, known)| t - known)
            .collect();
        let found = fit(&columns.rows, &values)?;
        Some((columns, found))
    }

    /// Temperatures at a lag with given linear coefficients.
    fn predicted(&self, lag: f64, coefficients: &[f64]) -> Vec<f64> {
        let columns = self.columns(lag);
        let rows = columns.rows.iter().zip(&columns.known);
        rows.map(|(row, known)| {
            known
                + row
                    .iter()
                    .zip(coefficients)
                    .map(|(x, c)| x * c)
                    .sum::<f64>()
        })
        .collect()
    }

    /// Fits; `None` where the temperatures cannot tell.
    pub(super) fn fitted(&self) -> Option<Warming> {
        let long = self.time.last()? - self.time.first()?;
        let mut best: Option<(f64, f64)> = None;
        for n in 0..=60 {
            let lag = long * exp(-5.0 + 8.0 * f64::from(n) / 60.0);
            if let Some((_, found)) = self.linear(lag)
                && best.is_none_or(|(_, squares)| found.squares < squares)
            {
                best = Some((lag, found.squares));
            }
        }
        let mut lag = best?.0;
        for _ in 0..60 {
            let (columns, found) = self.linear(lag)?;
            let step = 1e-4;
            let [up, down] =
                [step, -step].map(|d| self.predicted(lag * exp(d), &found.coefficients));
            let rows: Vec<Vec<f64>> = columns
                .rows
                .iter()
                .zip(up.iter().zip(&down))
                .map(|(row, (up, down))| {
                    let mut row = row.clone();
                    row.push((up - down) / (2.0 * step));
                    row
                })
                .collect();
            // The linear terms as they are, the logarithm's change by its tangent.
            let values: Vec<f64> = self
                .plate
                .iter()
                .zip(&columns.known)
                .map(|(t, known)| t - known)
                .collect();
            let joint = fit(&rows, &values)?;
            let change = *joint.coefficients.last()?;
            if abs(change) < 1e-9 {
                return Some(self.finished(lag, joint));
            }
            lag *= exp(max(min(change, 0.5), -0.5));
            if !(long * 1e-4..long * 1e4).contains(&lag) {
                return None;
            }
        }
        None
    }

    fn finished(&self, lag: f64, fit: Fit) -> Warming {
        let room = self.ambient.is_none().then_some(1);
        let gain = self.power.as_ref().map(|_| 1 + usize::from(room.is_some()));
        let squares: f64 = fit.squares;
        let next: f64 = fit.residuals.windows(2).map(|w| w[0] * w[1]).sum();
        // Residuals that hang together count for fewer.
        let alike = if squares > 0.0 {
            max(min(next / squares, 0.99), 0.0)
        } else {
            0.0
        };
        let surroundings = match (&self.ambient, room) {
            (Some(measured), _) => measured.clone(),
            (None, Some(at)) => vec![fit.coefficients[at]; self.time.len()],
            (None, None) => Vec::new(),
        };
        Warming {
            lag,
            room,
            gain,
            at: fit.coefficients.len() - 1,
            stretch: sqrt((1.0 + alike) / (1.0 - alike)),
            freedom: max(fit.freedom as f64 * (1.0 - alike) / (1.0 + alike), 2.0),
            fitted: self
                .plate
                .iter()
                .zip(&fit.residuals)
                .map(|(t, left)| t - left)
                .collect(),
            surroundings,
            fit,
        }
    }
}

impl Warming {
    /// Variance of a combination of coefficients.
    fn variance(&self, weights: &[f64]) -> f64 {
        let deviation = self.fit.deviation() * self.stretch;
        deviation * deviation * max(self.fit.form(weights), 0.0)
    }

    fn weights(&self, of: &[(usize, f64)]) -> Vec<f64> {
        let mut weights = vec![0.0; self.fit.coefficients.len()];
        for (at, weight) in of {
            weights[*at] = *weight;
        }
        weights
    }

    /// A coefficient.
    pub(super) fn coefficient(&self, at: usize) -> Estimate {
        let deviation = sqrt(self.variance(&self.weights(&[(at, 1.0)])));
        Estimate::new(self.fit.coefficients[at], deviation, self.freedom)
    }

    /// Logarithm of the lag.
    pub(super) fn log_lag(&self) -> Estimate {
        let deviation = sqrt(self.variance(&self.weights(&[(self.at, 1.0)])));
        Estimate::new(log(self.lag), deviation, self.freedom)
    }

    /// `lag` times the logarithm of the lag, with `gain` that of kelvins a watt, and `steep` times what the room is off. `None` where the
    /// plates do not warm.
    pub(super) fn logarithm(&self, lag: f64, gain: bool, steep: f64) -> Option<Estimate> {
        let mut of = vec![(self.at, lag)];
        let mut value = lag * log(self.lag);
        if gain {
            let at = self.gain?;
            let gain = self.fit.coefficients[at];
            if gain <= 0.0 {
                return None;
            }
            of.push((at, 1.0 / gain));
            value += log(gain);
        }
        of.extend(self.room.map(|at| (at, steep)));
        let deviation = sqrt(self.variance(&self.weights(&of)));
        Some(Estimate::new(value, deviation, self.freedom))
    }
}

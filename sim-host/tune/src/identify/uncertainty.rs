//! How well the data fix the parameters: covariance from the derivatives at the optimum, and 95 % intervals.
//!
//! White residuals: `σ² (JᵀJ)⁻¹`. Coloured ones: `(JᵀJ)⁻¹ Jᵀ R J (JᵀJ)⁻¹`, `R` being the covariance of the AR(1) process that has
//! the residuals' correlation time. Half-widths by Student's t, with the effective number of samples less the parameters.

use super::data::Data;
use super::fit::{Form, LONGEST_DEAD_TIME, Problem, bounds};
use super::residuals::Colour;
use nalgebra::{DMatrix, DVector};
use std::f64::consts::TAU;
use twinplate_linear::model::Order;
use twinplate_sim::distribution::t_95;
use twinplate_sim::math::{abs, cos, log, max, min, sin, sqrt};

/// A number and the interval that holds the truth in 95 of 100 logs like this one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Best value.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Estimate {
    /// Half the width of the interval.
    #[must_use]
    pub fn half_width(&self) -> f64 {
        0.5 * (self.high - self.low)
    }
    /// True if `value` lies inside.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        value >= self.low && value <= self.high
    }
    const fn exactly(value: f64) -> Self {
        Self {
            value,
            low: value,
            high: value,
        }
    }
    fn scaled(self, by: f64, zero: f64) -> Self {
        let [value, a, b] = [self.value, self.low, self.high].map(|v| v * by + zero);
        Self {
            value,
            low: min(a, b),
            high: max(a, b),
        }
    }
}

/// Parameters of a fit in real units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Parameters {
    /// Output unit per command unit; per second when integrating.
    pub gain: Estimate,
    /// Larger lag, s; 0 when integrating.
    pub tau1: Estimate,
    /// Smaller lag, s; 0 unless second order.
    pub tau2: Estimate,
    /// Dead time, s.
    pub dead_time: Estimate,
    /// Output at the log's first sample without noise, output unit.
    pub start: Estimate,
    /// Drift, output unit per second; 0 where the fit has none.
    pub drift: Estimate,
}

/// Below this share of their sum, half the difference of two lags is taken for it where derivatives are formed: at equal lags
/// the answer does not change with the difference, and the derivative by its square needs a difference to be formed from.
const LEAST_DIFFERENCE: f64 = 0.02;
/// Samples under which a lag's interval does not reach: an answer with a fifth of a sample for its lag is over, but for 0.7 %, at the
/// next sample, and no log tells it from one without any. Without an end loops on it could not be followed in time.
const LEAST_LAG: f64 = 0.2;
/// Points on the ellipse on which the ends of the lags' intervals are looked for.
const ELLIPSE: u32 = 720;

/// Derivatives of all samples; for two lags by their sum and a quarter of their squared difference, in which equal lags are
/// nothing special.
fn derivatives(data: &Data, problem: &Problem<'_>, sum: f64, square: f64) -> DMatrix<f64> {
    let form = problem.form();
    let count = form.count();
    let lag = form.first_lag();
    let half = max(sqrt(square), LEAST_DIFFERENCE * sum);
    let mut at = problem.clone();
    if form.order == Order::Second {
        let mut params = problem.values().clone();
        params[lag] = log(0.5 * sum + half);
        params[lag + 1] = log(max(0.5 * sum - half, 1e-9));
        at = Problem::new(data, form, params);
    }
    let tau = at.dynamics().tau;
    let mut all = DMatrix::zeros(data.t.len(), count);
    let mut line = [0.0; 6];
    for i in 0..data.t.len() {
        at.gradient(i, &mut line);
        if form.order == Order::Second {
            let (one, two) = (line[lag] / tau[0], line[lag + 1] / tau[1]);
            line[lag] = 0.5 * (one + two);
            line[lag + 1] = (one - two) / (2.0 * half);
        } else if form.order == Order::First {
            line[lag] /= tau[0];
        }
        for (j, value) in line.iter().take(count).enumerate() {
            all[(i, j)] = *value;
        }
    }
    all
}

/// Inverse of a symmetric positive matrix whose rows may differ by many orders of size; `None` where it has none.
fn inverse(matrix: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let size: DVector<f64> = matrix.diagonal().map(sqrt);
    if size.iter().any(|s| !s.is_finite() || *s <= 0.0) {
        return None;
    }
    let n = matrix.nrows();
    let scaled = DMatrix::from_fn(n, n, |i, j| matrix[(i, j)] / (size[i] * size[j]));
    let inverse = scaled.cholesky()?.inverse();
    Some(DMatrix::from_fn(n, n, |i, j| {
        inverse[(i, j)] / (size[i] * size[j])
    }))
}

/// `Jᵀ R J` for residuals of variance 1 whose neighbours correlate by `rho`.
fn coloured(jacobian: &DMatrix<f64>, rho: f64) -> DMatrix<f64> {
    let n = jacobian.ncols();
    let mut sum = DMatrix::zeros(n, n);
    let mut faded = DVector::<f64>::zeros(n);
    for row in jacobian.row_iter() {
        for i in 0..n {
            for j in 0..n {
                sum[(i, j)] += row[i] * row[j] + row[i] * faded[j] + faded[i] * row[j];
            }
        }
        for i in 0..n {
            faded[i] = rho * (faded[i] + row[i]);
        }
    }
    sum
}

/// Covariance in the coordinates of [`derivatives`] without the dead time where it stands at zero; and Student's t.
fn covariance(
    jacobian: &DMatrix<f64>,
    colour: &Colour,
    sum_of_squares: f64,
) -> Option<(DMatrix<f64>, f64)> {
    let (n, p) = (jacobian.nrows() as f64, jacobian.ncols() as f64);
    let bread = inverse(&(jacobian.transpose() * jacobian))?;
    if colour.whiteness.white() {
        let freedom = max(n - p, 1.0);
        return Some((bread * (sum_of_squares / freedom), t_95(freedom)));
    }
    let freedom = max(colour.effective - p, 1.0);
    let variance = sum_of_squares / n * colour.effective / freedom;
    let meat = coloured(jacobian, colour.rho);
    Some((&bread * meat * &bread * variance, t_95(freedom)))
}

/// Best values and intervals of a fit. Where the data do not fix the parameters at all the gain's interval is infinite; those of the
/// first lag and of the dead time end where no data can tell one from another ([`LEAST_LAG`]; the fit's own bounds): a lag of zero or
/// without end is no process.
pub(super) fn parameters(data: &Data, problem: &Problem<'_>, colour: &Colour) -> Parameters {
    let form = problem.form();
    let (dynamics, values) = (problem.dynamics(), problem.values());
    let lag = form.first_lag();
    let sum = dynamics.tau[0] + dynamics.tau[1];
    let half = 0.5 * abs(dynamics.tau[0] - dynamics.tau[1]);
    let mut jacobian = derivatives(data, problem, sum, half * half);
    let at_zero = dynamics.dead_time <= 0.0;
    if let Some(last) = form.dead_time()
        && at_zero
    {
        // Against its bound it does not move when the noise is another.
        jacobian = jacobian.remove_column(last);
    }
    let found = covariance(&jacobian, colour, problem.sum_of_squares());
    let (_, most) = bounds(data);
    let least = LEAST_LAG * data.step();
    let within = |lag: Estimate| Estimate {
        low: max(lag.low, min(least, lag.value)),
        high: max(min(lag.high, most), lag.value),
        ..lag
    };
    let width = |i: usize| match &found {
        Some((covariance, t)) => t * sqrt(max(covariance[(i, i)], 0.0)),
        None => f64::INFINITY,
    };
    let around = |value: f64, width: f64| Estimate {
        value,
        low: value - width,
        high: value + width,
    };
    let dead_time = match form.dead_time() {
        None => Estimate::exactly(dynamics.dead_time),
        Some(_) if at_zero => Estimate {
            high: min(one_sided(data, problem, colour), LONGEST_DEAD_TIME),
            ..Estimate::exactly(0.0)
        },
        Some(last) => {
            let free = around(dynamics.dead_time, width(last));
            Estimate {
                low: max(free.low, 0.0),
                high: min(free.high, LONGEST_DEAD_TIME),
                ..free
            }
        }
    };
    let [tau1, tau2] = match form.order {
        Order::Integrating => [Estimate::exactly(0.0); 2],
        Order::First => [
            within(around(dynamics.tau[0], width(lag))),
            Estimate::exactly(0.0),
        ],
        Order::Second => {
            let [larger, smaller] = lags(sum, half, lag, found.as_ref());
            [within(larger), smaller]
        }
    };
    let [span, output, command] = data.scale;
    let per_second = if form.order == Order::Integrating {
        1.0 / span
    } else {
        1.0
    };
    let drift = if form.drift {
        around(values[2], width(2))
    } else {
        Estimate::exactly(0.0)
    };
    Parameters {
        gain: around(values[0], width(0)).scaled(output / command * per_second, 0.0),
        tau1: tau1.scaled(span, 0.0),
        tau2: tau2.scaled(span, 0.0),
        dead_time: dead_time.scaled(span, 0.0),
        start: around(values[1], width(1)).scaled(output, data.zero[1]),
        drift: drift.scaled(output / span, 0.0),
    }
}

/// How far a dead time of zero may be from the truth, from its derivative as though it were free.
fn one_sided(data: &Data, problem: &Problem<'_>, colour: &Colour) -> f64 {
    let dynamics = problem.dynamics();
    let (sum, half) = (
        dynamics.tau[0] + dynamics.tau[1],
        0.5 * abs(dynamics.tau[0] - dynamics.tau[1]),
    );
    let jacobian = derivatives(data, problem, sum, half * half);
    let last = problem.form().count() - 1;
    covariance(&jacobian, colour, problem.sum_of_squares())
        .map_or(f64::INFINITY, |(covariance, t)| {
            t * sqrt(max(covariance[(last, last)], 0.0))
        })
}

/// Two lags: the ellipse of their sum and squared difference, carried over to the lags point by point. Where the lags are well
/// apart this is the usual interval; where they may be equal it is as lopsided as it should be.
fn lags(sum: f64, half: f64, lag: usize, found: Option<&(DMatrix<f64>, f64)>) -> [Estimate; 2] {
    let [mut tau1, mut tau2] = [
        Estimate::exactly(0.5 * sum + half),
        Estimate::exactly(0.5 * sum - half),
    ];
    let Some((covariance, t)) = found else {
        return [
            Estimate {
                low: 0.0,
                high: f64::INFINITY,
                ..tau1
            },
            Estimate {
                low: 0.0,
                high: tau1.value,
                ..tau2
            },
        ];
    };
    let [ss, sd, dd] = [(0, 0), (0, 1), (1, 1)].map(|(i, j)| covariance[(lag + i, lag + j)]);
    let side = sqrt(max(ss, 1e-300));
    let across = sqrt(max(dd - sd * sd / max(ss, 1e-300), 0.0));
    for i in 0..ELLIPSE {
        let angle = TAU * f64::from(i) / f64::from(ELLIPSE);
        let (along, off) = (t * cos(angle), t * sin(angle));
        let new_sum = max(sum + along * side, 0.0);
        let square = half * half + along * sd / side + off * across;
        let half = min(sqrt(max(square, 0.0)), 0.5 * new_sum);
        let (one, two) = (0.5 * new_sum + half, 0.5 * new_sum - half);
        tau1 = Estimate {
            low: min(tau1.low, one),
            high: max(tau1.high, one),
            ..tau1
        };
        tau2 = Estimate {
            low: min(tau2.low, two),
            high: max(tau2.high, two),
            ..tau2
        };
    }
    [tau1, tau2]
}

impl Form {
    /// Words for people.
    pub fn words(self) -> String {
        let order = match self.order {
            Order::Integrating => "integrating",
            Order::First => "first order",
            Order::Second => "second order",
        };
        if self.drift {
            format!("{order} with drift")
        } else {
            order.to_owned()
        }
    }
}

//! The prediction-error fit: least squares of the simulated answer against the output (output error), all parameters at once,
//! by Levenberg and Marquardt's method with exact derivatives.

use super::data::Data;
use super::response::{Dynamics, Row, respond};
use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, storage::Owned};
use twinplate_linear::model::Order;
use twinplate_sim::math::{abs, exp, limit, log, max};

/// More samples than this are thinned for the search of starts; the last fit always takes all of them.
const SEARCH_SAMPLES: usize = 3000;
/// Lags tried as starts, and dead times (besides none). Nine lags over four decades: neighbours differ by less than 4.
const START_LAGS: u32 = 9;
const START_DEAD_TIMES: u32 = 11;
/// Starts that are followed up.
const FOLLOWED: usize = 2;
/// Relative change of the sum of squares, and of the parameters, at which a fit is done.
const TOLERANCE: f64 = 1e-10;

/// Which parameters a fit has.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Form {
    pub order: Order,
    /// With a linear drift of the output.
    pub drift: bool,
    /// The dead time is known and held, scaled time; `None` where it is fitted.
    pub held: Option<f64>,
}

impl Form {
    /// Number of lags.
    pub const fn lags(self) -> usize {
        match self.order {
            Order::Integrating => 0,
            Order::First => 1,
            Order::Second => 2,
        }
    }
    /// Where the lags begin among the parameters: behind gain, initial value and drift.
    pub(crate) const fn first_lag(self) -> usize {
        if self.drift { 3 } else { 2 }
    }
    /// Number of parameters.
    pub const fn count(self) -> usize {
        self.first_lag() + self.lags() + if self.held.is_none() { 1 } else { 0 }
    }
    /// Where the dead time stands among the parameters: last, if it is one.
    pub const fn dead_time(self) -> Option<usize> {
        match self.held {
            None => Some(self.first_lag() + self.lags()),
            Some(_) => None,
        }
    }
}

/// Gain, initial value, (drift,) logarithms of the lags, (dead time): all in scaled units.
pub(super) type Params = DVector<f64>;

/// One fit, as the library wants it.
#[derive(Clone, Debug)]
pub(super) struct Problem<'a> {
    data: &'a Data,
    form: Form,
    params: Params,
    rows: Vec<Row>,
}

/// Dead time at most, scaled: the whole log.
pub(super) const LONGEST_DEAD_TIME: f64 = 1.0;

/// Lags that make sense in scaled time: from far below the sampling to far beyond the log.
pub(super) fn bounds(data: &Data) -> (f64, f64) {
    (0.02 * data.step(), 50.0)
}

impl<'a> Problem<'a> {
    pub fn new(data: &'a Data, form: Form, params: Params) -> Self {
        let mut problem = Self {
            data,
            form,
            params,
            rows: Vec::with_capacity(data.t.len()),
        };
        problem.respond();
        problem
    }

    /// Lags and dead time, held within what makes sense.
    pub(crate) fn dynamics(&self) -> Dynamics {
        let (low, high) = bounds(self.data);
        let first = self.form.first_lag();
        let lag = |i: usize| {
            if i < self.form.lags() {
                limit(exp(self.params[first + i]), low, high)
            } else {
                1.0
            }
        };
        Dynamics {
            order: self.form.order,
            tau: [lag(0), lag(1)],
            dead_time: match self.form.held {
                Some(known) => known,
                None => limit(self.params[self.form.count() - 1], 0.0, LONGEST_DEAD_TIME),
            },
        }
    }

    fn respond(&mut self) {
        let dynamics = self.dynamics();
        respond(&self.data.t, &self.data.changes, &dynamics, &mut self.rows);
    }

    pub(crate) fn sum_of_squares(&self) -> f64 {
        self.errors().map(|e| e * e).sum()
    }

    /// Model minus output.
    fn errors(&self) -> impl Iterator<Item = f64> + '_ {
        let [gain, start] = [self.params[0], self.params[1]];
        let drift = if self.form.drift { self.params[2] } else { 0.0 };
        self.rows
            .iter()
            .zip(self.data.t.iter().zip(&self.data.y))
            .map(move |(row, (t, y))| gain * row.x + start + drift * t - y)
    }

    /// Derivatives of one sample by every parameter.
    pub(crate) fn gradient(&self, i: usize, into: &mut [f64]) {
        let row = &self.rows[i];
        let gain = self.params[0];
        into[0] = row.x;
        into[1] = 1.0;
        if self.form.drift {
            into[2] = self.data.t[i];
        }
        let first = self.form.first_lag();
        for lag in 0..self.form.lags() {
            into[first + lag] = gain * row.by_log_tau[lag];
        }
        if let Some(last) = self.form.dead_time() {
            into[last] = gain * row.by_dead_time;
        }
    }
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, params: &Params) {
        self.params.copy_from(params);
        self.respond();
    }
    fn params(&self) -> Params {
        self.params.clone()
    }
    fn residuals(&self) -> Option<DVector<f64>> {
        Some(DVector::from_iterator(self.rows.len(), self.errors()))
    }
    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let count = self.form.count();
        let mut all = DMatrix::zeros(self.rows.len(), count);
        let mut line = [0.0; 6];
        for i in 0..self.rows.len() {
            self.gradient(i, &mut line);
            for (j, value) in line.iter().take(count).enumerate() {
                all[(i, j)] = *value;
            }
        }
        Some(all)
    }
}

/// Follows one start down. A start on which the method breaks off still gives its best point.
fn descend<'a>(data: &'a Data, form: Form, start: Params) -> Problem<'a> {
    let method = LevenbergMarquardt::new()
        .with_ftol(TOLERANCE)
        .with_xtol(TOLERANCE)
        .with_gtol(TOLERANCE)
        .with_patience(40);
    let (mut found, _) = method.minimize(Problem::new(data, form, start));
    // Held at a bound, the parameter must say so too.
    let dynamics = found.dynamics();
    let first = form.first_lag();
    for lag in 0..form.lags() {
        found.params[first + lag] = log(dynamics.tau[lag]);
    }
    if let Some(last) = form.dead_time() {
        found.params[last] = dynamics.dead_time;
    }
    found
}

/// Best gain, initial value and drift for given lags and dead time (linear least squares); sum of squares and parameters.
fn linear(
    data: &Data,
    form: Form,
    dynamics: &Dynamics,
    rows: &mut Vec<Row>,
) -> Option<(f64, Params)> {
    respond(&data.t, &data.changes, dynamics, rows);
    let count = form.first_lag();
    let mut normal = DMatrix::<f64>::zeros(count, count);
    let mut right = DVector::<f64>::zeros(count);
    let mut square = 0.0;
    for (row, (t, y)) in rows.iter().zip(data.t.iter().zip(&data.y)) {
        let line = [row.x, 1.0, *t];
        for i in 0..count {
            for j in 0..count {
                normal[(i, j)] += line[i] * line[j];
            }
            right[i] += line[i] * y;
        }
        square += y * y;
    }
    let solved = normal.clone().cholesky()?.solve(&right);
    let left = square - solved.dot(&right);
    let mut params = DVector::zeros(form.count());
    for i in 0..count {
        params[i] = solved[i];
    }
    for lag in 0..form.lags() {
        params[count + lag] = log(dynamics.tau[lag]);
    }
    if let Some(last) = form.dead_time() {
        params[last] = dynamics.dead_time;
    }
    left.is_finite().then_some((left, params))
}

/// Lags and dead times from a grid, the best first.
fn starts(data: &Data, form: Form) -> Vec<Params> {
    let mut rows = Vec::with_capacity(data.t.len());
    let mut tried = Vec::new();
    let step = data.step();
    let spread = |from: f64, to: f64, n: u32, i: u32| {
        from * exp(log(to / from) * f64::from(i) / f64::from(n - 1))
    };
    let lags = if form.lags() == 0 { 1 } else { START_LAGS };
    for i in 0..lags {
        let tau = spread(max(0.5 * step, 2e-4), 2.0, START_LAGS, i);
        let dead_times = if form.held.is_some() {
            0
        } else {
            START_DEAD_TIMES
        };
        for j in 0..=dead_times {
            let dead_time = match form.held {
                Some(known) => known,
                None if j == 0 => 0.0,
                None => spread(0.5 * step, 0.7, START_DEAD_TIMES, j - 1),
            };
            let dynamics = Dynamics {
                order: form.order,
                tau: [tau, 0.4 * tau],
                dead_time,
            };
            tried.extend(linear(data, form, &dynamics, &mut rows));
        }
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    tried.truncate(FOLLOWED);
    tried.into_iter().map(|(_, params)| params).collect()
}

/// The best fit of a form. `hint` is the fit of a simpler one (same drift), whose answer is a start for this one.
pub(super) fn fit<'a>(
    data: &'a Data,
    form: Form,
    hint: Option<&Problem<'_>>,
) -> Option<Problem<'a>> {
    let thinning = data.t.len() / SEARCH_SAMPLES + 1;
    let thin = data.thinned(thinning);
    let mut starts = starts(&thin, form);
    if let (Some(hint), Order::Second) = (hint, form.order) {
        starts.extend(split_lag(hint, form));
    }
    let mut best = better(
        None,
        starts.into_iter().map(|start| descend(&thin, form, start)),
    );
    // The sum of squares has a kink wherever the front of the answer crosses a sample (not with two lags, whose answer begins
    // softly): look beyond the nearest ones.
    if let (Some(found), Some(last)) = (&best, form.dead_time())
        && form.order != Order::Second
    {
        let nearby = [-2.0, -1.0, -0.5, 0.5, 1.0, 2.0].map(|n| {
            let mut start = found.params.clone();
            start[last] = max(start[last] + n * thin.step(), 0.0);
            start
        });
        let tried: Vec<_> = nearby
            .into_iter()
            .map(|start| descend(&thin, form, start))
            .collect();
        best = better(best, tried.into_iter());
    }
    best.map(|found| {
        if thinning == 1 {
            Problem::new(data, form, found.params)
        } else {
            descend(data, form, found.params)
        }
    })
}

fn better<'a>(
    best: Option<Problem<'a>>,
    more: impl Iterator<Item = Problem<'a>>,
) -> Option<Problem<'a>> {
    more.filter(|p| p.sum_of_squares().is_finite())
        .fold(best, |best, next| match best {
            Some(best) if best.sum_of_squares() <= next.sum_of_squares() => Some(best),
            _ => Some(next),
        })
}

/// Starts for two lags from a fit with one: part of the lag, or part of the dead time, is the second lag.
fn split_lag(first: &Problem<'_>, form: Form) -> Vec<Params> {
    let dynamics = first.dynamics();
    [0.05, 0.3, 0.9]
        .map(|share| {
            let mut start = DVector::zeros(form.count());
            let lag = form.first_lag();
            for i in 0..lag {
                start[i] = first.params[i];
            }
            start[lag] = log(dynamics.tau[0] / (1.0 + 0.3 * share));
            start[lag + 1] = log(dynamics.tau[0] * share);
            if let Some(last) = form.dead_time() {
                start[last] = max(
                    dynamics.dead_time - 0.7 * share * dynamics.tau[0],
                    0.2 * dynamics.dead_time,
                );
            }
            start
        })
        .into()
}

impl Problem<'_> {
    pub const fn form(&self) -> Form {
        self.form
    }
    pub const fn values(&self) -> &Params {
        &self.params
    }
    /// Output minus model, scaled.
    pub(crate) fn residual_values(&self) -> Vec<f64> {
        self.errors().map(|e| -e).collect()
    }
    /// Size of the model's part that the command explains, scaled output.
    pub fn swing(&self) -> f64 {
        let (mut low, mut high) = (0.0, 0.0);
        for row in &self.rows {
            low = twinplate_sim::math::min(low, row.x);
            high = max(high, row.x);
        }
        abs(self.params[0]) * (high - low)
    }
}

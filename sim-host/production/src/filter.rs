//! A quantity that wanders from batch to batch and is measured with errors: a scalar Kalman filter whose variances are those under which
//! the record is likeliest.
//!
//! Before each batch the level takes a step of the walk's variance, and of the step's variance too where something was done to the
//! machine. A value is the level, plus a slope along something known where there is one, plus an error: its known variance, and a scatter
//! that nobody told. The first value starts the level (nothing is known before it); level and slope are generalised least squares under
//! the variances, and the likelihood is that of what is left (Harvey, Forecasting, Structural Time Series Models and the Kalman Filter,
//! 1989, from memory).

use twinplate_calibrate::least_squares::Estimate;
use twinplate_sim::distribution::t_95;
use twinplate_sim::math::{exp, limit, log, max, sqrt};

/// A measured quantity, a place for each batch.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Values; none where nothing was measured.
    pub values: Vec<Option<f64>>,
    /// Known variance of each value's error.
    pub known: Vec<f64>,
    /// The unknown scatter's variance times this is in each value's error.
    pub weight: Vec<f64>,
    /// Something was done before the batch that may shift the level.
    pub steps: Vec<bool>,
    /// What the quantity may change along, in proportion.
    pub along: Option<Vec<f64>>,
}

/// Variances of a series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Variances {
    /// Of the walk's step, from batch to batch.
    pub walk: f64,
    /// Of the scatter, for a weight of one.
    pub scatter: f64,
    /// Of the step where something was done.
    pub step: f64,
}

/// What is known of the level: a linear function of the values, kept for them and for what they may change along.
#[derive(Clone, Copy, Debug, PartialEq)]
struct State {
    value: f64,
    along: f64,
    variance: f64,
}

/// A series under its variances.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// The variances.
    pub variances: Variances,
    /// Slope along what was given, with its interval.
    pub slope: Option<Estimate>,
    /// Logarithm of the likelihood, but for a constant.
    pub likelihood: f64,
    /// Degrees of freedom behind the intervals.
    pub freedom: f64,
    /// State before and after each batch; none before the first value.
    states: Vec<[Option<State>; 2]>,
    last: State,
}

/// Sums over the innovations.
#[derive(Default)]
struct Sums {
    logs: f64,
    vv: f64,
    vz: f64,
    zz: f64,
    count: f64,
}

impl Sums {
    fn slope(&self) -> f64 {
        if self.zz > 0.0 {
            self.vz / self.zz
        } else {
            0.0
        }
    }

    fn likelihood(&self) -> f64 {
        let (gain, logs) = if self.zz > 0.0 {
            (self.vz * self.vz / self.zz, log(self.zz))
        } else {
            (0.0, 0.0)
        };
        -0.5 * (self.logs + logs + self.vv - gain)
    }
}

impl Series {
    /// A series of values that are equally good, without steps.
    #[must_use]
    pub fn plain(values: Vec<Option<f64>>) -> Self {
        let n = values.len();
        Self {
            values,
            known: vec![0.0; n],
            weight: vec![1.0; n],
            steps: vec![false; n],
            along: None,
        }
    }

    /// The series from its end to its beginning.
    pub(crate) fn reversed(&self) -> Self {
        let turned = |v: &[f64]| v.iter().rev().copied().collect::<Vec<f64>>();
        let mut steps: Vec<bool> = self.steps.iter().rev().copied().collect();
        // A step before a batch lies before its neighbour, seen from the end.
        steps.rotate_right(1);
        if let Some(first) = steps.first_mut() {
            *first = false;
        }
        Self {
            values: self.values.iter().rev().copied().collect(),
            known: turned(&self.known),
            weight: turned(&self.weight),
            steps,
            along: self.along.as_deref().map(turned),
        }
    }

    pub(crate) fn along(&self, at: usize) -> f64 {
        self.along
            .as_ref()
            .and_then(|all| all.get(at).copied())
            .unwrap_or(0.0)
    }

    /// Variance of a value's error.
    pub(crate) fn error(&self, at: usize, scatter: f64) -> f64 {
        self.known[at] + scatter * self.weight[at]
    }

    /// Runs the filter; `seen` gets the state before and after each batch.
    fn pass(
        &self,
        under: Variances,
        mut seen: impl FnMut([Option<State>; 2]),
    ) -> (Sums, Option<State>) {
        let mut sums = Sums::default();
        let mut state: Option<State> = None;
        for at in 0..self.values.len() {
            if let Some(state) = &mut state {
                state.variance += under.walk + if self.steps[at] { under.step } else { 0.0 };
            }
            let before = state;
            if let Some(value) = self.values[at] {
                let error = self.error(at, under.scatter);
                let along = self.along(at);
                state = Some(match before {
                    None => State {
                        value,
                        along,
                        variance: error,
                    },
                    Some(now) => {
                        let [v, z] = [value - now.value, along - now.along];
                        let whole = now.variance + error;
                        sums.logs += log(whole);
                        sums.vv += v * v / whole;
                        sums.vz += v * z / whole;
                        sums.zz += z * z / whole;
                        sums.count += 1.0;
                        let gain = now.variance / whole;
                        State {
                            value: now.value + gain * v,
                            along: now.along + gain * z,
                            variance: now.variance * (1.0 - gain),
                        }
                    }
                });
            }
            seen([before, state]);
        }
        (sums, state)
    }

    /// The size by which variances of this series are measured: half of the mean square of what it changes from value to value.
    fn size(&self) -> f64 {
        let found: Vec<f64> = self.values.iter().flatten().copied().collect();
        let squares: f64 = found
            .windows(2)
            .map(|w| (w[1] - w[0]) * (w[1] - w[0]))
            .sum();
        let pairs = found.len().saturating_sub(1) as f64;
        let mean = found.iter().sum::<f64>() / max(found.len() as f64, 1.0);
        // What never changes is known to a millionth, or a filter has nothing to stand on.
        max(
            0.5 * squares / max(pairs, 1.0),
            max(1e-12 * mean * mean, 1e-300),
        )
    }

    /// The series under the variances that make it likeliest. `None` with fewer than two values.
    #[must_use]
    pub fn fit(&self) -> Option<Fit> {
        self.under(self.likeliest())
    }

    /// The series under variances that are known. `None` with fewer than two values.
    #[must_use]
    pub fn under(&self, variances: Variances) -> Option<Fit> {
        let mut states = Vec::with_capacity(self.values.len());
        let (sums, last) = self.pass(variances, |pair| states.push(pair));
        let last = last?;
        let told = self.along.is_some() && sums.zz > 0.0;
        let freedom = sums.count - f64::from(u8::from(told));
        if freedom < 1.0 {
            return None;
        }
        let slope = told.then(|| {
            let (value, deviation) = (sums.slope(), 1.0 / sqrt(sums.zz));
            estimate(value, deviation, freedom)
        });
        Some(Fit {
            variances,
            slope,
            likelihood: sums.likelihood(),
            freedom,
            states,
            last,
        })
    }

    /// Variances under which the series is likeliest: the best of a coarse grid, then a search with ever smaller steps about it. All on
    /// the scale of logarithms, whose lower end is as good as nothing.
    fn likeliest(&self) -> Variances {
        const LOW: f64 = -16.0;
        const HIGH: f64 = 5.0;
        const SMALLEST: f64 = 0.02;
        let size = self.size();
        let weight = self.weight.iter().sum::<f64>() / max(self.weight.len() as f64, 1.0);
        let of = |p: [f64; 3]| Variances {
            walk: size * exp(p[0]),
            scatter: size / max(weight, 1e-300) * exp(p[1]),
            step: size * exp(p[2]),
        };
        let value = |p: [f64; 3]| self.pass(of(p), |_| ()).0.likelihood();
        let first = self.values.iter().position(Option::is_some).unwrap_or(0);
        let stepped = self.steps.iter().skip(first + 1).any(|step| *step);
        let mut best = [LOW, 0.0, LOW];
        let mut highest = f64::NEG_INFINITY;
        for walk in [LOW, -5.0, -3.0, -1.5, 0.0] {
            for scatter in [LOW, -3.0, -1.0, 0.3] {
                for step in if stepped {
                    &[LOW, 0.0, 2.5][..]
                } else {
                    &[LOW]
                } {
                    let found = value([walk, scatter, *step]);
                    if found > highest {
                        (best, highest) = ([walk, scatter, *step], found);
                    }
                }
            }
        }
        let mut stride = 1.0;
        while stride > SMALLEST {
            let mut moved = false;
            for place in 0..if stepped { 3 } else { 2 } {
                for way in [stride, -stride] {
                    let mut tried = best;
                    tried[place] = limit(best[place] + way, LOW, HIGH);
                    let found = value(tried);
                    if found > highest {
                        (best, highest, moved) = (tried, found, true);
                    }
                }
            }
            if !moved {
                stride *= 0.5;
            }
        }
        of(best)
    }
}

/// An estimate with its two-sided 95 % interval.
pub(crate) fn estimate(value: f64, deviation: f64, freedom: f64) -> Estimate {
    let half = t_95(freedom) * deviation;
    Estimate {
        value,
        deviation,
        low: value - half,
        high: value + half,
    }
}

impl Fit {
    fn seen(&self, state: State, along: f64) -> [f64; 2] {
        let off = along - state.along;
        let (slope, unsure) = self
            .slope
            .map_or((0.0, 0.0), |slope| (slope.value, slope.deviation));
        [
            state.value + slope * off,
            state.variance + off * off * unsure * unsure,
        ]
    }

    /// Quantity and its variance so many batches (1, 2, …) after the last one, without the error of measuring it; `stepped` where
    /// something is done before, and how far along it is then.
    #[must_use]
    pub fn ahead(&self, batches: f64, stepped: bool, along: f64) -> [f64; 2] {
        let more = batches * self.variances.walk + if stepped { self.variances.step } else { 0.0 };
        let [value, variance] = self.seen(self.last, along);
        [value, variance + more]
    }

    /// Quantity and its variance as known after batch `at`.
    #[must_use]
    pub fn after(&self, at: usize, series: &Series) -> Option<[f64; 2]> {
        let state = (*self.states.get(at)?)[1]?;
        Some(self.seen(state, series.along(at)))
    }

    /// Quantity and its variance as known before batch `at`.
    #[must_use]
    pub fn before(&self, at: usize, series: &Series) -> Option<[f64; 2]> {
        let state = (*self.states.get(at)?)[0]?;
        Some(self.seen(state, series.along(at)))
    }

    /// The share of what a further value (weight `weight`, known variance `known`) is off by which the level follows.
    #[must_use]
    pub fn gain(&self, weight: f64, known: f64) -> f64 {
        let [_, variance] = self.ahead(1.0, false, self.last.along);
        variance / (variance + known + self.variances.scatter * weight)
    }
}

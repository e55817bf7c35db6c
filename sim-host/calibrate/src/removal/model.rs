//! Removal as a law of powers with a rate that declines, fitted to the logarithm of the mean rate.
//!
//! Over a trial of length `t` the mean rate of a face is `k p^a v^b (1 - exp(-λ t))/(λ t)`: Preston's law has `a = b = 1` and `λ = 0`. Errors
//! are taken to be a share of the rate. Everything but `λ` is linear in the logarithm; `λ` is found by Gauss and Newton.

use super::trials::Trial;
use crate::least_squares::{Fit, fit};
use twinplate_sim::math::{abs, exp, log, max, min};

/// Least ratio of largest to smallest value with which an exponent is asked for.
pub(super) const VARIED: f64 = 1.1;
/// The same of the times, for the decline: with less it would only blur the coefficient.
pub(super) const VARIED_TIME: f64 = 1.5;

/// Decline in a middle time beyond which no trial could have seen it: nothing would be left to lap with.
const FARTHEST: f64 = 20.0;

/// Which terms a fit has beside a coefficient for each abrasive.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Terms {
    pub pressure: bool,
    pub speed: bool,
    pub decline: bool,
}

impl Terms {
    pub(super) fn count(self) -> usize {
        usize::from(self.pressure) + usize::from(self.speed) + usize::from(self.decline)
    }
}

/// Middle of the trials: geometric means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Middle {
    /// Pressure, Pa.
    pub pressure: f64,
    /// Sliding speed, m/s.
    pub speed: f64,
    /// Time, s.
    pub time: f64,
}

impl Middle {
    pub(super) fn of(trials: &[Trial]) -> Self {
        let mean = |value: fn(&Trial) -> f64| {
            exp(trials.iter().map(|trial| log(value(trial))).sum::<f64>()
                / max(trials.len() as f64, 1.0))
        };
        Self {
            pressure: mean(|trial| trial.pressure),
            speed: mean(|trial| trial.speed),
            time: mean(|trial| trial.time),
        }
    }
}

/// A fitted law.
#[derive(Clone, Debug)]
pub(super) struct Law {
    pub fit: Fit,
    pub terms: Terms,
    pub abrasives: usize,
    pub middle: Middle,
    /// Decline in a middle time; zero without the term.
    pub decline: f64,
}

/// `ln((1 - exp(-x))/x)`: what a mean over a declining rate has lost.
pub(super) fn lost(x: f64) -> f64 {
    if abs(x) < 1e-3 {
        -0.5 * x + x * x / 24.0
    } else {
        log((1.0 - exp(-x)) / x)
    }
}

/// Its slope.
pub(super) fn slope(x: f64) -> f64 {
    if abs(x) < 1e-3 {
        -0.5 + x / 12.0
    } else {
        1.0 / (exp(x) - 1.0) - 1.0 / x
    }
}

impl Law {
    /// Fits the terms; `None` where the trials cannot tell them apart, or are too few.
    pub(super) fn new(trials: &[Trial], abrasives: usize, terms: Terms) -> Option<Self> {
        let middle = Middle::of(trials);
        let mut decline = 0.0;
        let mut last = None;
        for _ in 0..60 {
            let rows: Vec<Vec<f64>> = trials
                .iter()
                .map(|trial| row(trial, abrasives, terms, &middle, decline))
                .collect();
            // The linear terms' own values; the decline's by its tangent.
            let values: Vec<f64> = trials
                .iter()
                .map(|trial| {
                    let share = trial.time / middle.time;
                    let x = decline * share;
                    let known = [
                        (terms.pressure, trial.pressure / middle.pressure),
                        (terms.speed, trial.speed / middle.speed),
                    ];
                    let fixed: f64 = known
                        .iter()
                        .map(|(free, ratio)| if *free { 0.0 } else { log(*ratio) })
                        .sum();
                    let rate = log(trial.removed / (trial.time * middle.pressure * middle.speed));
                    let bent = if terms.decline {
                        lost(x) - slope(x) * x
                    } else {
                        0.0
                    };
                    rate - fixed - bent
                })
                .collect();
            let found = fit(&rows, &values)?;
            let next = if terms.decline {
                *found.coefficients.last()?
            } else {
                0.0
            };
            // A step that is far too long is cut.
            let next = max(min(next, decline + 2.0), decline - 2.0);
            let settled = abs(next - decline) < 1e-12 * max(abs(next), 1.0);
            decline = next;
            if settled {
                last = Some(found);
                break;
            }
            if abs(decline) > FARTHEST {
                return None;
            }
        }
        let fit = last.filter(|fit| fit.coefficients.iter().all(|c| c.is_finite()))?;
        Some(Self {
            fit,
            terms,
            abrasives,
            middle,
            decline,
        })
    }

    /// Place of the pressure's, the speed's and the decline's coefficient.
    pub(super) fn places(&self) -> [Option<usize>; 3] {
        let mut next = self.abrasives;
        [self.terms.pressure, self.terms.speed, self.terms.decline].map(|there| {
            let at = there.then_some(next);
            next += usize::from(there);
            at
        })
    }

    /// Weights of the logarithm of a mean rate after `time` s, at the middle pressure and speed, of an abrasive.
    pub(super) fn at_middle(&self, abrasive: usize, time: f64) -> Vec<f64> {
        let mut weights = vec![0.0; self.fit.coefficients.len()];
        if let Some(own) = weights.get_mut(abrasive) {
            *own = 1.0;
        }
        if let [_, _, Some(at)] = self.places() {
            let share = time / self.middle.time;
            weights[at] = slope(self.decline * share) * share;
        }
        weights
    }

    /// Logarithm of removal from a face over pressure, speed and time, as fitted.
    pub(super) fn predicted(&self, trial: &Trial) -> f64 {
        let ratio = [
            trial.pressure / self.middle.pressure,
            trial.speed / self.middle.speed,
        ];
        let [pressure, speed, _] = self.places();
        let own = self
            .fit
            .coefficients
            .get(trial.abrasive)
            .copied()
            .unwrap_or(f64::NAN);
        let mut sum = own;
        for (place, ratio) in [pressure, speed].into_iter().zip(ratio) {
            sum += place.map_or(1.0, |at| self.fit.coefficients[at]) * log(ratio);
        }
        sum + lost(self.decline * trial.time / self.middle.time)
    }
}

/// Regressors of a trial.
pub(super) fn row(
    trial: &Trial,
    abrasives: usize,
    terms: Terms,
    middle: &Middle,
    decline: f64,
) -> Vec<f64> {
    let mut row: Vec<f64> = (0..abrasives)
        .map(|a| f64::from(u8::from(a == trial.abrasive)))
        .collect();
    if terms.pressure {
        row.push(log(trial.pressure / middle.pressure));
    }
    if terms.speed {
        row.push(log(trial.speed / middle.speed));
    }
    if terms.decline {
        let share = trial.time / middle.time;
        row.push(slope(decline * share) * share);
    }
    row
}

/// Which terms the trials vary enough to ask for.
pub(super) fn varied(trials: &[Trial]) -> Terms {
    let ratio = |value: fn(&Trial) -> f64| {
        let (low, high) = trials
            .iter()
            .fold((f64::INFINITY, 0.0), |(low, high), trial| {
                (min(low, value(trial)), max(high, value(trial)))
            });
        high / low
    };
    Terms {
        pressure: ratio(|trial| trial.pressure) > VARIED,
        speed: ratio(|trial| trial.speed) > VARIED,
        decline: ratio(|trial| trial.time) > VARIED_TIME,
    }
}

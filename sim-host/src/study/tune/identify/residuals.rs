//! What is left over: is it white, and if not, how many independent samples is it worth?

use super::distribution::chi_square_tail;
use crate::math::{max, sqrt};

/// Lags of the whiteness test at most; fewer where the log is short (a fifth of its samples).
const LAGS: usize = 20;
/// A whiteness test that would come out worse in fewer than this share of white logs has failed.
pub const SIGNIFICANCE: f64 = 0.05;

/// Ljung and Box's test that residuals are white.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Whiteness {
    /// Lags of the autocorrelation that were summed, samples.
    pub lags: usize,
    /// The test's statistic, chi-square with `lags` degrees of freedom if white.
    pub statistic: f64,
    /// Share of white logs that would give more.
    pub p_value: f64,
    /// Autocorrelation of neighbouring residuals, -1..1.
    pub neighbour: f64,
}

impl Whiteness {
    /// True unless the test has failed at [`SIGNIFICANCE`].
    #[must_use]
    pub fn white(&self) -> bool {
        self.p_value >= SIGNIFICANCE
    }
}

/// What the residuals of a fit are like.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Colour {
    pub whiteness: Whiteness,
    /// Autocorrelation of neighbours in the AR(1) process that has the same correlation time.
    pub rho: f64,
    /// Independent samples that the residuals are worth.
    pub effective: f64,
}

fn autocorrelation(residuals: &[f64], lag: usize, square: f64) -> f64 {
    let sum: f64 = residuals
        .iter()
        .zip(residuals.iter().skip(lag))
        .map(|(a, b)| a * b)
        .sum();
    sum / square
}

/// Judges residuals in the order of time (the spacing is not looked at).
///
/// Correlation time: 1 + 2 Σ of the autocorrelations, summed in pairs as long as a pair is positive (Geyer, *Statistical Science*
/// 7 (1992) 473-483, initial positive sequence; from memory). An AR(1) process with the same sum stands for the residuals.
pub(super) fn colour(residuals: &[f64], parameters: usize) -> Colour {
    let n = residuals.len() as f64;
    let square = max(residuals.iter().map(|r| r * r).sum(), 1e-300);
    let lags = LAGS.min(residuals.len() / 5).max(1);
    let sum: f64 = (1..=lags)
        .map(|lag| {
            let r = autocorrelation(residuals, lag, square);
            r * r / (n - lag as f64)
        })
        .sum();
    let statistic = n * (n + 2.0) * sum;
    let whiteness = Whiteness {
        lags,
        statistic,
        p_value: chi_square_tail(statistic, lags as f64),
        neighbour: autocorrelation(residuals, 1, square),
    };
    let mut time = 1.0;
    if !whiteness.white() {
        time = -1.0;
        for pair in 0..residuals.len() / 4 {
            let both = autocorrelation(residuals, 2 * pair, square)
                + autocorrelation(residuals, 2 * pair + 1, square);
            if both <= 0.0 {
                break;
            }
            time += 2.0 * both;
        }
        // The fit has taken away what it could explain: correlations of residuals are short by about parameters/n each.
        time = max(time * (1.0 + parameters as f64 * time / n), 1.0);
    }
    Colour {
        whiteness,
        rho: (time - 1.0) / (time + 1.0),
        effective: max(n / time, parameters as f64 + 2.0),
    }
}

/// Root mean square.
pub(super) fn rms(values: &[f64]) -> f64 {
    sqrt(values.iter().map(|v| v * v).sum::<f64>() / max(values.len() as f64, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plant::seed::stream;
    use rand_distr::{Distribution, StandardNormal};

    fn noise(seed: u64, rho: f64) -> Vec<f64> {
        let mut random = stream(seed, "test", "noise", 0);
        let mut last = 0.0;
        (0..400)
            .map(|_| {
                let z: f64 = StandardNormal.sample(&mut random);
                last = rho * last + z;
                last
            })
            .collect()
    }

    /// By the test's own definition 5 % of white logs fail; correlated ones all do, and their correlation time is (1+ρ)/(1-ρ).
    #[test]
    fn white_passes_and_coloured_fails() {
        let failed = (0..400)
            .filter(|&seed| !colour(&noise(seed, 0.0), 4).whiteness.white())
            .count();
        assert!(
            (8..=34).contains(&failed),
            "{failed} of 400 white logs failed"
        );
        let mut times: Vec<f64> = (0..100)
            .map(|seed| {
                let found = colour(&noise(seed, 0.8), 0);
                assert!(!found.whiteness.white());
                400.0 / found.effective
            })
            .collect();
        times.sort_by(f64::total_cmp);
        assert!((times[50] / 9.0 - 1.0).abs() < 0.25, "{}", times[50]);
    }
}

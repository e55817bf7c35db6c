//! What is left over: is it white, and if not, how many independent samples is it worth?

use twinplate_sim::distribution::chi_square_tail;
use twinplate_sim::math::{max, min, sqrt};

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

/// Correlation time in samples, at least 1: the longer of two estimates, because both fall short of the truth in short logs.
///
/// One is 1 + 2 Σ of the autocorrelations, summed in pairs as long as a pair is positive (Geyer, *Statistical Science* 7 (1992)
/// 473-483, initial positive sequence; from memory). The other is that of an AR(1) process, from the neighbours' correlation
/// corrected for what it lacks on average: `2ρ/n` of itself, `(1 + ρ)/n` for every fitted parameter (Marriott & Pope, *Biometrika*
/// 41 (1954) 390-402, for a mean; from memory).
fn correlation_time(residuals: &[f64], square: f64, neighbour: f64, parameters: usize) -> f64 {
    let n = residuals.len() as f64;
    let mut summed = -1.0;
    for pair in 0..residuals.len() / 4 {
        let both = autocorrelation(residuals, 2 * pair, square)
            + autocorrelation(residuals, 2 * pair + 1, square);
        if both <= 0.0 {
            break;
        }
        summed += 2.0 * both;
    }
    let p = parameters as f64;
    let rho = min((neighbour + p / n) / max(1.0 - (2.0 + p) / n, 0.5), 0.99);
    max(max(summed, (1.0 + rho) / (1.0 - rho)), 1.0)
}

/// Judges residuals in the order of time (the spacing is not looked at). An AR(1) process with their correlation time stands for
/// them where the covariance of the parameters is formed.
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
    let time = if whiteness.white() {
        1.0
    } else {
        correlation_time(residuals, square, whiteness.neighbour, parameters)
    };
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
    use rand_distr::{Distribution, StandardNormal};
    use twinplate_sim::plant::seed::stream;

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

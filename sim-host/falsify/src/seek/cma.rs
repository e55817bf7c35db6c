//! The optimiser: CMA-ES (Hansen and Ostermeier, Evolutionary Computation 9 (2001) 159–195) from the crate `cmaes`, which nothing
//! else here names.
//!
//! That crate calls its objective itself, one point at a time or on threads of its own. Here the population is evaluated by
//! [`twinplate_sim::bench::ensemble`], so [`Descent::ask`] walks a fresh optimiser of the same seed through the values of the generations
//! already known and takes the points that it asks for next. A generation costs microseconds, a run on the bench milliseconds.

use cmaes::{CMAESOptions, DVector};

/// One descent from a starting point: ask for a population, tell its values, until it has come to rest.
#[derive(Clone, Debug)]
pub struct Descent {
    start: Vec<f64>,
    step: f64,
    population: usize,
    seed: u64,
    /// Values of the generations told, in the order in which their points were asked for.
    values: Vec<f64>,
}

/// Generations after which a descent is ended in any case: a fresh start finds more by then, and walking through the known
/// generations stays cheap.
const GENERATIONS: usize = 80;
/// Differences of the value below which a descent has come to rest. Values are margins as a share of their limit.
const REST: f64 = 1e-6;

impl Descent {
    /// From `start` with a first standard deviation of `step` in every coordinate and `population` points a generation (at least
    /// 4). The same arguments and the same values give the same points.
    #[must_use]
    pub fn new(start: Vec<f64>, step: f64, population: usize, seed: u64) -> Self {
        Self {
            start,
            step,
            population: population.max(4),
            seed,
            values: Vec::new(),
        }
    }

    /// Population that the method's authors recommend for so many coordinates: `4 + 3 ln n`.
    #[must_use]
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss
    )] // a dozen
    pub(crate) fn population(coordinates: usize) -> usize {
        4 + (3.0 * twinplate_sim::math::log(coordinates.max(1) as f64)) as usize
    }

    /// Points of the next generation; `None` once the descent has come to rest.
    #[must_use]
    pub fn ask(&self) -> Option<Vec<Vec<f64>>> {
        let known = &self.values;
        let told = known.len() / self.population;
        if told >= GENERATIONS {
            return None;
        }
        let mut points = Vec::with_capacity(self.population);
        let mut asked = 0;
        let objective = |point: &DVector<f64>| {
            let value = known.get(asked).copied();
            asked += 1;
            value.unwrap_or_else(|| {
                points.push(point.iter().copied().collect());
                0.0
            })
        };
        let mut optimiser = CMAESOptions::new(self.start.clone(), self.step)
            .population_size(self.population)
            .tol_fun(REST)
            .tol_fun_hist(REST)
            .seed(self.seed)
            .build(objective)
            .ok()?;
        for _ in 0..told {
            if optimiser.next().is_some() {
                return None;
            }
        }
        // What it makes of the values that stand in for the unknown ones is thrown away with it.
        let _ = optimiser.next();
        drop(optimiser);
        Some(points)
    }

    /// The values of the points asked for last, in their order. A value that is no number counts as the worst there is.
    pub fn tell(&mut self, values: impl IntoIterator<Item = f64>) {
        let whole = |value: f64| if value.is_nan() { f64::MAX } else { value };
        self.values.extend(values.into_iter().map(whole));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn descend(seed: u64, value: impl Fn(&[f64]) -> f64) -> (f64, usize) {
        let mut descent = Descent::new(vec![0.5; 6], 0.4, Descent::population(6), seed);
        let (mut best, mut evaluations) = (f64::INFINITY, 0);
        while let Some(points) = descent.ask() {
            assert_eq!(points.len(), Descent::population(6));
            let values: Vec<f64> = points.iter().map(|point| value(point)).collect();
            evaluations += values.len();
            best = values.iter().copied().fold(best, twinplate_sim::math::min);
            descent.tell(values);
        }
        (best, evaluations)
    }

    #[test]
    fn a_narrow_valley_is_walked_to_its_end() {
        // An ellipsoid of axis ratio 100, minimum 0 at 0.2: a standard test function of evolution strategies.
        let ellipsoid = |x: &[f64]| {
            let weights = [1.0, 6.3, 39.8, 251.2, 1584.9, 10_000.0];
            x.iter()
                .zip(weights)
                .map(|(x, w)| w * (x - 0.2) * (x - 0.2))
                .sum::<f64>()
        };
        let (best, evaluations) = descend(1, ellipsoid);
        assert!(best < 1.0, "{best} after {evaluations}");
        assert_eq!(descend(1, ellipsoid), (best, evaluations));
        assert_ne!(descend(2, ellipsoid).0, best);
    }

    #[test]
    fn a_value_that_is_no_number_does_not_end_it() {
        let (best, _) = descend(3, |x| if x[0] > 0.5 { f64::NAN } else { x[0] * x[0] });
        assert!(best < 0.05, "{best}");
    }
}

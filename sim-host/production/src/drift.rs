//! Drift told from noise, and values that are off by more than chance.

use crate::filter::{Fit, Series, Variances};
use rand_distr::{Distribution, StandardNormal};
use twinplate_sim::distribution::t_tail;
use twinplate_sim::math::{abs, sqrt};
use twinplate_sim::plant::seed::stream;

/// Chance of a false alarm: a constant rate is said to drift, or a good record to have an outlier.
pub const LEVEL: f64 = 0.05;
/// Records of a constant rate that a statistic is held against; with the record itself a thousand.
const RECORDS: u32 = 999;
/// Outliers at most, as a share of the values; with more of them something else is the matter.
const OUTLIERS: f64 = 0.1;

/// Whether a quantity drifts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drift {
    /// Sum of the squares of the cumulated residuals from a constant, each stretch between steps for itself, over the variance and the
    /// number of values squared (Nyblom and Mäkeläinen's statistic, from memory).
    pub statistic: f64,
    /// Chance of so large a one where nothing drifts: from records of the same batches, drawn with a constant rate. The test is exact,
    /// whatever the number of batches and steps.
    pub chance: f64,
}

impl Drift {
    /// It drifts, with [`LEVEL`] as the chance of a false alarm.
    #[must_use]
    pub fn told(&self) -> bool {
        self.chance <= LEVEL
    }
}

/// Values with their weights (one over the variance of each error), stretch by stretch.
struct Constant {
    weights: Vec<f64>,
    along: Option<Vec<f64>>,
    stretch: Vec<usize>,
    stretches: usize,
}

impl Constant {
    /// Takes off the weighted mean of each stretch.
    fn centre(&self, values: &mut [f64]) {
        let mut sums = vec![[0.0; 2]; self.stretches];
        for ((value, weight), at) in values.iter().zip(&self.weights).zip(&self.stretch) {
            sums[*at][0] += weight * value;
            sums[*at][1] += weight;
        }
        for (value, at) in values.iter_mut().zip(&self.stretch) {
            *value -= sums[*at][0] / sums[*at][1];
        }
    }

    /// Residuals of a constant for each stretch, and of the slope along what was given.
    fn residuals(&self, mut values: Vec<f64>) -> Vec<f64> {
        self.centre(&mut values);
        if let Some(along) = &self.along {
            let [mut vz, mut zz] = [0.0; 2];
            for ((value, z), weight) in values.iter().zip(along).zip(&self.weights) {
                vz += weight * value * z;
                zz += weight * z * z;
            }
            if zz > 0.0 {
                for (value, z) in values.iter_mut().zip(along) {
                    *value -= vz / zz * z;
                }
            }
        }
        values
    }

    fn statistic(&self, values: Vec<f64>) -> f64 {
        let residuals = self.residuals(values);
        let n = residuals.len() as f64;
        let [mut sum, mut squares, mut weighted] = [0.0; 3];
        let mut at = 0;
        for ((residual, weight), stretch) in residuals.iter().zip(&self.weights).zip(&self.stretch)
        {
            if *stretch != at {
                (at, sum) = (*stretch, 0.0);
            }
            sum += weight * residual;
            squares += sum * sum;
            weighted += weight * residual * residual;
        }
        let mean = self.weights.iter().sum::<f64>() / n;
        if weighted > 0.0 {
            squares / (mean * n * weighted)
        } else {
            0.0
        }
    }
}

/// Whether a series drifts between its steps. `scatter` is the variance of the unknown scatter for a weight of one. `None` where there are
/// too few values: a stretch tells nothing with one.
#[must_use]
pub fn drift(series: &Series, scatter: f64) -> Option<Drift> {
    let mut found = Constant {
        weights: Vec::new(),
        along: series.along.as_ref().map(|_| Vec::new()),
        stretch: Vec::new(),
        stretches: 0,
    };
    let mut values = Vec::new();
    let mut stepped = true;
    for (at, value) in series.values.iter().enumerate() {
        stepped |= series.steps[at];
        let Some(value) = value else { continue };
        if stepped {
            found.stretches += 1;
        }
        stepped = false;
        values.push(*value);
        found.weights.push(1.0 / series.error(at, scatter));
        found.stretch.push(found.stretches - 1);
        if let Some(along) = &mut found.along {
            along.push(series.along(at));
        }
    }
    if values.len() < found.stretches + 3 {
        return None;
    }
    if let Some(mut along) = found.along.take() {
        found.centre(&mut along);
        found.along = Some(along);
    }
    let statistic = found.statistic(values);
    let mut noise = stream(1, "production", "constant", found.weights.len() as u64);
    let mut larger = 0_u32;
    for _ in 0..RECORDS {
        let drawn: Vec<f64> = found
            .weights
            .iter()
            .map(|weight| {
                let x: f64 = StandardNormal.sample(&mut noise);
                x / sqrt(*weight)
            })
            .collect();
        larger += u32::from(found.statistic(drawn) >= statistic);
    }
    Some(Drift {
        statistic,
        chance: f64::from(larger + 1) / f64::from(RECORDS + 1),
    })
}

/// A value that is off by more than chance allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outlier {
    /// Its place in the series.
    pub at: usize,
    /// By how much it is off from what the batches before and after it say.
    pub off: f64,
    /// The same over its own deviation.
    pub deviations: f64,
}

/// Values that are off by more than chance allows for so many, each held against what all others say, the worst first. The chance that a
/// good record has one is [`LEVEL`]: records of the same batches are drawn that scatter and do not wander, where the worst is largest, and the
/// worst of each is held against it.
/// Where there are [`MANY`] values or more, the variances are known well enough for Student's t, divided among them all (Bonferroni).
#[must_use]
pub fn outliers(series: &Series) -> Vec<Outlier> {
    let count = series.values.iter().flatten().count() as f64;
    let mut left = series.clone();
    let mut found = Vec::new();
    while (found.len() as f64) < OUTLIERS * count {
        let Some(worst) = worst(&left) else {
            break;
        };
        left.values[worst.at] = None;
        found.push(worst);
    }
    found
}

/// Records that the worst value is held against; with the record itself two hundred.
const DRAWN: u32 = 199;
/// So many values need no drawn records.
pub const MANY: usize = 300;

/// The worst value, where it is off by more than chance.
fn worst(series: &Series) -> Option<Outlier> {
    let fit = series.fit()?;
    let (at, surprise) = largest(series, &fit)?;
    let mut others = series.clone();
    others.values[at] = None;
    let without = others.fit()?;
    let count = series.values.iter().flatten().count();
    let chance = if count < MANY {
        chance_of(series, &fit, surprise)
    } else {
        count as f64 * t_tail(surprise, without.freedom)
    };
    let (off, deviation) = against_others(series, &without, &others, at)?;
    (chance <= LEVEL).then_some(Outlier {
        at,
        off,
        deviations: off / deviation,
    })
}

/// The value that surprises most, seen from what all others say under the variances of the whole, and by how many deviations.
fn largest(series: &Series, fit: &Fit) -> Option<(usize, f64)> {
    let back = series.reversed();
    let mirrored = back.under(fit.variances)?;
    let last = series.values.len() - 1;
    (0..=last)
        .filter_map(|at| {
            let value = series.values[at]?;
            let told = [fit.before(at, series), mirrored.before(last - at, &back)];
            let (off, deviation) = off(value, told, series.error(at, fit.variances.scatter))?;
            Some((at, abs(off) / deviation))
        })
        .max_by(|a, b| a.1.total_cmp(&b.1))
}

/// A value against what all others say of it, under their variances.
fn against_others(series: &Series, fit: &Fit, others: &Series, at: usize) -> Option<(f64, f64)> {
    let back = others.reversed();
    let mirrored = back.under(fit.variances)?;
    let there = series.values.len() - 1 - at;
    let told = [fit.before(at, others), mirrored.before(there, &back)];
    off(
        series.values[at]?,
        told,
        series.error(at, fit.variances.scatter),
    )
}

/// By how much a value is off from what is known of it from before and from behind, and the deviation that goes with that.
fn off(value: f64, told: [Option<[f64; 2]>; 2], error: f64) -> Option<(f64, f64)> {
    let known = || told.iter().flatten();
    let weight: f64 = known().map(|[_, variance]| 1.0 / variance).sum();
    if weight <= 0.0 || !weight.is_finite() {
        return None;
    }
    let expected = known().map(|[v, variance]| v / variance).sum::<f64>() / weight;
    Some((value - expected, sqrt(1.0 / weight + error)))
}

/// Chance that the worst value of a record like this one surprises as much where nothing is the matter.
fn chance_of(series: &Series, fit: &Fit, surprise: f64) -> f64 {
    let mut noise = stream(1, "production", "worst", series.values.len() as u64);
    let mut normal = |variance: f64| -> f64 {
        let x: f64 = StandardNormal.sample(&mut noise);
        x * sqrt(variance)
    };
    let Variances {
        walk,
        scatter,
        step,
    } = fit.variances;
    // All of it scatter: how a record wanders is least known where one value is off, and a walk would excuse it.
    let weight = series.weight.iter().sum::<f64>() / series.weight.len() as f64;
    let scatter = scatter + walk / weight;
    let mut larger = 0_u32;
    for _ in 0..DRAWN {
        let mut drawn = series.clone();
        let mut level = 0.0;
        for at in 0..drawn.values.len() {
            if drawn.steps[at] {
                level += normal(step);
            }
            let error = normal(series.error(at, scatter));
            drawn.values[at] = drawn.values[at].map(|_| level + error);
        }
        let worst = drawn.fit().and_then(|fit| largest(&drawn, &fit));
        larger += u32::from(worst.is_some_and(|(_, worst)| worst >= surprise));
    }
    f64::from(larger + 1) / f64::from(DRAWN + 1)
}

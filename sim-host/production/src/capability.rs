//! Performance and capability of the size, as ISO 22514-2 has them (from memory), with the gauge's share taken out.
//!
//! The variance that is observed is the parts' and the gauge's together. What is left without the gauge is the parts' own; where more than
//! half of it is the gauge's, nothing is claimed. Intervals take the variances for chi-square, with the degrees of freedom of Welch and
//! Satterthwaite, because batches and not parts decide how well what lies between batches is known.

use twinplate_calibrate::least_squares::Estimate;
use twinplate_sim::distribution::chi_square_tail;
use twinplate_sim::math::{max, min, sqrt};

/// Share of the observed variance that may be the gauge's. Judgement: beyond it the difference is mostly guessed.
pub const GAUGE_SHARE: f64 = 0.5;
/// Two-sided 95 % quantile of the normal distribution.
const NORMAL_95: f64 = 1.959_963_984_540_054;
/// Shares of a distribution at whose ends its width is taken: those of six standard deviations of the normal one.
const ENDS: [f64; 3] = [0.001_349_898_031_630_1, 0.5, 0.998_650_101_968_369_9];

/// A batch: mean, standard deviation of its parts and how many were measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Group {
    /// Mean.
    pub mean: f64,
    /// Standard deviation; none where means alone were written down.
    pub sd: Option<f64>,
    /// Parts measured.
    pub parts: f64,
}

/// The index of the width and that of the nearer limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Indices {
    /// Tolerance over six standard deviations.
    pub width: Estimate,
    /// Distance to the nearer limit over three.
    pub nearer: Estimate,
}

/// What a record says of the size.
#[derive(Clone, Debug, PartialEq)]
pub struct Capability {
    /// Mean of all.
    pub mean: f64,
    /// Standard deviation of the parts, all variation, without the gauge.
    pub sd: f64,
    /// The same as observed.
    pub observed: f64,
    /// Share of the observed variance that is the gauge's.
    pub gauge_share: f64,
    /// Six standard deviations of the gauge over the tolerance; none where the gauge is not known.
    pub gauge_width: Option<f64>,
    /// Batches and parts.
    pub counted: [f64; 2],
    /// It is of the means of batches alone: the record has no standard deviations.
    pub of_means: bool,
    /// Pp and Ppk: all variation of the record.
    pub performance: Indices,
    /// Cp and Cpk: the variation within batches alone.
    pub within: Option<Indices>,
    /// Pp and Ppk by percentiles of the batches put together, each normal: where the means wander the whole is not.
    pub by_percentiles: Option<[f64; 2]>,
}

/// Why nothing is claimed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Refused {
    /// Fewer than two batches, or a single value.
    TooFew,
    /// More than [`GAUGE_SHARE`] of the observed variance is the gauge's: its share.
    Gauge(f64),
    /// Nothing varies.
    NoSpread,
}

/// A variance with its degrees of freedom.
#[derive(Clone, Copy)]
struct Variance {
    value: f64,
    freedom: f64,
}

impl Variance {
    /// A sum of two, with the degrees of freedom of Welch and Satterthwaite.
    fn and(self, other: Self) -> Self {
        let value = self.value + other.value;
        let share = |v: Self| {
            if v.freedom > 0.0 {
                v.value * v.value / v.freedom
            } else {
                0.0
            }
        };
        let squares = share(self) + share(other);
        Self {
            value,
            freedom: if squares > 0.0 {
                value * value / squares
            } else {
                0.0
            },
        }
    }

    /// Without a part that is known: what is left is as unsure as the whole.
    fn without(self, known: f64) -> Self {
        let value = self.value - known;
        let share = value / self.value;
        Self {
            value,
            freedom: self.freedom * share * share,
        }
    }
}

/// The indices of batches against two limits. `gauge` is the standard deviation with which the gauge repeats on one part.
///
/// # Errors
/// Why nothing is claimed.
pub fn capability(
    groups: &[Group],
    limits: [f64; 2],
    gauge: Option<f64>,
) -> Result<Capability, Refused> {
    let batches = groups.len() as f64;
    let parts: f64 = groups.iter().map(|group| group.parts).sum();
    if groups.is_empty() || parts < 2.0 {
        return Err(Refused::TooFew);
    }
    let mean = groups.iter().map(|g| g.parts * g.mean).sum::<f64>() / parts;
    let within = pooled(groups);
    let between = between(groups);
    let size = parts / batches;
    let whole = match (within, between) {
        (Some(within), Some(between)) => between.and(Variance {
            value: within.value * (1.0 - 1.0 / size),
            freedom: within.freedom,
        }),
        (Some(within), None) => within,
        (None, Some(between)) => between,
        (None, None) => return Err(Refused::TooFew),
    };
    if whole.value <= 0.0 {
        return Err(Refused::NoSpread);
    }
    let of_means = within.is_none();
    let noise = gauge.map_or(0.0, |sd| sd * sd) / if of_means { size } else { 1.0 };
    let share = noise / whole.value;
    if share > GAUGE_SHARE {
        return Err(Refused::Gauge(share));
    }
    let own = whole.without(noise);
    let of_mean = between.map_or(whole.value / parts, |between| between.value / batches);
    let tolerance = limits[1] - limits[0];
    Ok(Capability {
        mean,
        sd: sqrt(own.value),
        observed: sqrt(whole.value),
        gauge_share: share,
        gauge_width: gauge.map(|sd| 6.0 * sd / tolerance),
        counted: [batches, parts],
        of_means,
        performance: indices(mean, own, of_mean, limits),
        within: within
            .filter(|within| noise <= GAUGE_SHARE * within.value)
            .map(|within| indices(mean, within.without(noise), of_mean, limits)),
        by_percentiles: (!of_means).then(|| by_percentiles(groups, noise, limits)),
    })
}

/// Variance within batches, all of them together.
fn pooled(groups: &[Group]) -> Option<Variance> {
    let mut squares = 0.0;
    let mut freedom = 0.0;
    for group in groups {
        let sd = group.sd?;
        squares += (group.parts - 1.0) * sd * sd;
        freedom += group.parts - 1.0;
    }
    (freedom > 0.0).then(|| Variance {
        value: squares / freedom,
        freedom,
    })
}

/// Variance of the batches' means.
fn between(groups: &[Group]) -> Option<Variance> {
    let freedom = groups.len() as f64 - 1.0;
    if freedom < 1.0 {
        return None;
    }
    let mean = groups.iter().map(|g| g.mean).sum::<f64>() / groups.len() as f64;
    let squares: f64 = groups
        .iter()
        .map(|g| (g.mean - mean) * (g.mean - mean))
        .sum();
    Some(Variance {
        value: squares / freedom,
        freedom,
    })
}

fn indices(mean: f64, own: Variance, of_mean: f64, [low, high]: [f64; 2]) -> Indices {
    let sd = sqrt(own.value);
    let width = (high - low) / (6.0 * sd);
    let nearer = min(high - mean, mean - low) / (3.0 * sd);
    let freedom = max(own.freedom, 1.0);
    let [few, many] = [0.975, 0.025].map(|tail| sqrt(chi_square_quantile(tail, freedom) / freedom));
    // The interval of the nearer index to first order (Bissell, from memory).
    let deviation = sqrt(of_mean / (9.0 * own.value) + nearer * nearer / (2.0 * freedom));
    Indices {
        width: Estimate {
            value: width,
            deviation: width / sqrt(2.0 * freedom),
            low: width * few,
            high: width * many,
        },
        nearer: Estimate {
            value: nearer,
            deviation,
            low: nearer - NORMAL_95 * deviation,
            high: nearer + NORMAL_95 * deviation,
        },
    }
}

/// Value that chi-square exceeds with this chance, by bisection.
fn chi_square_quantile(tail: f64, freedom: f64) -> f64 {
    let (mut low, mut high) = (0.0, 10.0 * freedom + 100.0);
    for _ in 0..100 {
        let middle = 0.5 * (low + high);
        if chi_square_tail(middle, freedom) > tail {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Share of a normal distribution under `z` standard deviations.
fn normal(z: f64) -> f64 {
    let beyond = 0.5 * chi_square_tail(z * z, 1.0);
    if z < 0.0 { beyond } else { 1.0 - beyond }
}

/// Width and nearer index from the percentiles of all batches put together.
fn by_percentiles(groups: &[Group], noise: f64, [low, high]: [f64; 2]) -> [f64; 2] {
    let parts: f64 = groups.iter().map(|group| group.parts).sum();
    let spread = |group: &Group| {
        let sd = group.sd.unwrap_or(0.0);
        // A batch whose scatter is less than the gauge's has next to none of its own.
        sqrt(max(sd * sd - noise, 1e-6 * max(sd * sd, noise) + 1e-30))
    };
    let under = |x: f64| -> f64 {
        let sum: f64 = groups
            .iter()
            .map(|group| group.parts * normal((x - group.mean) / spread(group)))
            .sum();
        sum / parts
    };
    let ends = groups
        .iter()
        .fold([f64::INFINITY, f64::NEG_INFINITY], |ends, group| {
            let room = 10.0 * spread(group);
            [
                min(ends[0], group.mean - room),
                max(ends[1], group.mean + room),
            ]
        });
    let [first, middle, last] = ENDS.map(|share| {
        let [mut from, mut to] = ends;
        for _ in 0..100 {
            let half = 0.5 * (from + to);
            if under(half) < share {
                from = half;
            } else {
                to = half;
            }
        }
        0.5 * (from + to)
    });
    [
        (high - low) / (last - first),
        min(
            (high - middle) / (last - middle),
            (middle - low) / (middle - first),
        ),
    ]
}

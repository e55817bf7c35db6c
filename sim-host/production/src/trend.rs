//! When something is due: a quantity on its way to a limit.

use crate::filter::{Fit, Series, estimate};
use crate::record::Batch;
use twinplate_calibrate::least_squares::Estimate;
use twinplate_sim::distribution::{t_95, t_tail};
use twinplate_sim::math::sqrt;

/// Batches that are looked ahead at most.
pub const AHEAD: u32 = 500;
/// A slope is told where chance alone would give it no more often.
const LEVEL: f64 = 0.05;
/// Fewest values of a trend.
const LEAST: usize = 4;

/// How many batches from now a limit is reached; none where not within [`AHEAD`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Due {
    /// At the earliest, 95 % interval.
    pub soonest: Option<u32>,
    /// As it looks.
    pub expected: Option<u32>,
    /// At the latest.
    pub latest: Option<u32>,
}

/// What changes over the batches since something was last done.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// What it is.
    pub what: &'static str,
    /// Values that there are.
    pub count: usize,
    /// What it is now, m.
    pub now: Estimate,
    /// Growth a batch, m; the trend is told from none where `told`.
    pub growth: Estimate,
    /// The growth is told from none.
    pub told: bool,
    /// Limit, m.
    pub limit: f64,
    /// When it is reached.
    pub due: Due,
}

/// Whether a slope is told from none.
pub(crate) fn told(slope: &Estimate, freedom: f64) -> bool {
    slope.deviation > 0.0 && t_tail(slope.value / slope.deviation, freedom) < LEVEL
}

/// When a fitted quantity reaches a limit that lies above it (`sign` 1) or under it (-1): the next batch is `from` along, each one after it
/// `by` further.
pub(crate) fn due(fit: &Fit, from: f64, by: f64, limit: f64, sign: f64) -> Due {
    let quantile = t_95(fit.freedom);
    let reached = |share: f64| {
        (1..=AHEAD).find(|k| {
            let batches = f64::from(*k);
            let [value, variance] = fit.ahead(batches, false, from + (batches - 1.0) * by);
            sign * (value - limit) + share * quantile * sqrt(variance) >= 0.0
        })
    };
    Due {
        soonest: reached(1.0),
        expected: reached(0.0),
        latest: reached(-1.0),
    }
}

/// The trend of something measured after each batch since the plates were last conditioned, to a limit on either side of zero where it is
/// `signed`. None where the record does not show it.
pub(crate) fn form(
    what: &'static str,
    batches: &[Batch],
    of: impl Fn(&Batch) -> Option<f64>,
    limit: f64,
    signed: bool,
) -> Option<Trend> {
    let mut series = Series::plain(batches.iter().map(of).collect());
    let count = series.values.iter().flatten().count();
    if count < LEAST {
        return None;
    }
    series.steps = batches.iter().map(|batch| batch.done.conditioned).collect();
    let mut since = 0.0;
    let mut along = Vec::with_capacity(batches.len());
    for batch in batches {
        since = if batch.done.conditioned {
            1.0
        } else {
            since + 1.0
        };
        along.push(since);
    }
    series.along = Some(along);
    let fit = series.fit()?;
    let growth = fit.slope?;
    let [now, variance] = fit.after(batches.len() - 1, &series)?;
    // A form may hollow as well as rise; what is never negative has its limit above.
    let sign = if signed && growth.value < 0.0 && now < limit {
        -1.0
    } else {
        1.0
    };
    Some(Trend {
        what,
        count,
        now: estimate(now, sqrt(variance), fit.freedom),
        growth,
        told: told(&growth, fit.freedom),
        limit: sign * limit,
        due: due(&fit, since + 1.0, 1.0, sign * limit, sign),
    })
}

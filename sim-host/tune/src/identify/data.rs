//! A log made ready for a fit: the samples that may be used, the command's changes, everything scaled to about 1.

use super::response::Change;
use crate::import::Log;
use twinplate_sim::math::{abs, max, min};

/// Samples and changes in scaled units: time in spans of the log from its first sample, output in its own ranges from its first
/// value, command in its own ranges. A fit in these is well conditioned whatever the units of the log.
#[derive(Clone, Debug)]
pub(super) struct Data {
    /// Times of used samples.
    pub t: Vec<f64>,
    /// Output of used samples.
    pub y: Vec<f64>,
    /// Changes of the command.
    pub changes: Vec<Change>,
    /// Real size of a scaled unit of time (s), output and command.
    pub scale: [f64; 3],
    /// Real time (s) and output at scaled zero.
    pub zero: [f64; 2],
    /// Index into the log of every used sample.
    pub index: Vec<usize>,
}

/// Median of the distances between neighbours; 0 for fewer than two.
pub(super) fn median_step(times: &[f64]) -> f64 {
    let mut steps: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
    median(&mut steps)
}

/// Median, sorting what it is given; 0 of nothing.
pub(super) fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}

/// Smallest and largest value; `None` of nothing.
pub(super) fn range(values: &[f64]) -> Option<(f64, f64)> {
    let first = *values.first()?;
    Some(values.iter().fold((first, first), |(low, high), &v| {
        (min(low, v), max(high, v))
    }))
}

/// Changes of the command, real units: the value of a row holds from the time of that row.
pub(super) fn changes(log: &Log) -> Vec<Change> {
    let mut found = Vec::new();
    let mut last = log.before();
    for (&time, &command) in log.time_s.iter().zip(&log.command) {
        if command != last {
            found.push(Change {
                time,
                by: command - last,
            });
            last = command;
        }
    }
    found
}

impl Data {
    /// Scales a log; `None` where command or output never change, or there is no time in it.
    pub fn new(log: &Log, changes: &[Change]) -> Option<Self> {
        let usable = log.usable();
        let index: Vec<usize> = (0..log.time_s.len()).filter(|&i| usable[i]).collect();
        let used: Vec<f64> = index.iter().map(|&i| log.output[i]).collect();
        let (low, high) = range(&used)?;
        let (start, end) = (*log.time_s.first()?, *log.time_s.last()?);
        let mut level = 0.0;
        let mut levels = vec![0.0];
        for change in changes {
            level += change.by;
            levels.push(level);
        }
        let (least, most) = range(&levels)?;
        let scale = [end - start, high - low, most - least];
        if scale.iter().any(|s| !s.is_finite() || *s <= 0.0) {
            return None;
        }
        let zero = [start, used[0]];
        Some(Self {
            t: index
                .iter()
                .map(|&i| (log.time_s[i] - start) / scale[0])
                .collect(),
            y: used.iter().map(|y| (y - zero[1]) / scale[1]).collect(),
            changes: changes
                .iter()
                .map(|c| Change {
                    time: (c.time - start) / scale[0],
                    by: c.by / scale[2],
                })
                .collect(),
            scale,
            zero,
            index,
        })
    }

    /// Every `n`th sample.
    pub(crate) fn thinned(&self, n: usize) -> Self {
        let every = |all: &[f64]| all.iter().copied().step_by(n).collect();
        Self {
            t: every(&self.t),
            y: every(&self.y),
            index: self.index.iter().copied().step_by(n).collect(),
            ..self.clone()
        }
    }

    /// Median distance of samples, scaled time.
    pub fn step(&self) -> f64 {
        max(median_step(&self.t), 1e-12)
    }
}

/// Changes big enough to be meant: the command of a recorder may tremble. A twentieth of the command's range.
pub(super) fn steps(changes: &[Change]) -> Vec<Change> {
    let (mut level, mut low, mut high) = (0.0, 0.0, 0.0);
    for change in changes {
        level += change.by;
        low = min(low, level);
        high = max(high, level);
    }
    let least = 0.05 * (high - low);
    changes
        .iter()
        .copied()
        .filter(|change| abs(change.by) >= least)
        .collect()
}

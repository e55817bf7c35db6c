//! Gaps, clipped and stuck stretches of a log.

use super::{Defect, Log};
use twinplate_sim::math::{abs, log, max, min};

/// A distance between samples of more than so many usual ones is a gap.
const GAP: f64 = 4.0;
/// Samples at the end of the range from which on they may be called clipped.
const LEAST_CLIPPED: usize = 5;
/// Share of the output's range that the three samples before must cover for a stretch to have been run into.
const RUN_IN: f64 = 0.03;
/// Samples without any change from which on the output may be called stuck.
const LEAST_STUCK: usize = 12;
/// Chance that a log without defect has a stretch as long as one that is called stuck.
const CHANCE: f64 = 1e-4;

/// Everything that is wrong with a log whose times rise, in the order of time.
pub(super) fn find(log: &Log) -> Vec<Defect> {
    let mut found = gaps(log);
    let stretches = stretches(&log.output);
    let clipped = clipped(log, &stretches);
    found.extend(stuck(log, &stretches, &clipped));
    found.extend(clipped);
    found
}

fn gaps(log: &Log) -> Vec<Defect> {
    let mut steps: Vec<f64> = log
        .time_s
        .windows(2)
        .map(|pair| pair[1] - pair[0])
        .collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied().unwrap_or(0.0);
    log.time_s
        .windows(2)
        .zip(log.rows.iter().skip(1))
        .filter(|(pair, _)| pair[1] - pair[0] > GAP * usual)
        .map(|(pair, row)| Defect::Gap {
            row: *row,
            at: pair[0],
            length: pair[1] - pair[0],
        })
        .collect()
}

/// Stretches of one and the same value: first and last sample.
fn stretches(values: &[f64]) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut from = 0;
    for i in 1..=values.len() {
        if i == values.len() || values[i] != values[from] {
            found.push((from, i - 1));
            from = i;
        }
    }
    found
}

/// At an end of the range, and run into: a signal that settles comes to rest slowly, one that is cut off does not.
fn clipped(log: &Log, stretches: &[(usize, usize)]) -> Vec<Defect> {
    let y = &log.output;
    let (low, high) = y.iter().fold((f64::MAX, f64::MIN), |(low, high), &v| {
        (min(low, v), max(high, v))
    });
    // A scale so coarse that any plateau repeats one value: three times the longest repeat inside the range is not yet clipped.
    let inside = stretches
        .iter()
        .filter(|(from, _)| y[*from] != low && y[*from] != high);
    let usual = inside.map(|(from, to)| to - from + 1).max().unwrap_or(0);
    let least = LEAST_CLIPPED.max(3 * usual.min(20));
    let at_end: Vec<(usize, usize)> = stretches
        .iter()
        .copied()
        .filter(|&(from, to)| (y[from] == low || y[from] == high) && to - from + 1 >= least)
        .collect();
    let ran_in = |&&(from, _): &&(usize, usize)| {
        let Some(before) = from.checked_sub(3) else {
            return false;
        };
        let rise = y[from] - y[before];
        let way = [before, before + 1, before + 2]
            .iter()
            .all(|&i| (y[i + 1] - y[i]) * rise > 0.0);
        way && abs(rise) > RUN_IN * (high - low)
    };
    let Some(&(first, _)) = at_end.iter().find(ran_in) else {
        return Vec::new();
    };
    // Once it is known to be cut off at a value, every stretch there is.
    let level = y[first];
    at_end
        .iter()
        .filter(|(from, _)| y[*from] == level)
        .map(|&(from, to)| Defect::Clipped {
            row: log.rows[from],
            from,
            to,
            time: [log.time_s[from], log.time_s[to]],
            at: y[from],
        })
        .collect()
}

/// Longer without a change than chance allows, going by how often neighbours are equal elsewhere. Where they mostly are (no
/// noise, or a coarse scale) nothing can be said.
fn stuck(log: &Log, stretches: &[(usize, usize)], clipped: &[Defect]) -> Vec<Defect> {
    let n = log.output.len() as f64;
    let long = |&&(from, to): &&(usize, usize)| to - from + 1 >= LEAST_STUCK;
    let in_long: usize = stretches
        .iter()
        .filter(long)
        .map(|(from, to)| to - from)
        .sum();
    let equal = stretches.iter().map(|(from, to)| to - from).sum::<usize>() - in_long;
    let others = n - 1.0 - in_long as f64;
    // One more than counted: a log without an equal pair says only that they are rare.
    let share = (equal as f64 + 1.0) / max(others + 1.0, 1.0);
    if share > 0.5 || others < 0.3 * n {
        return Vec::new();
    }
    let least = log_ratio(n, share);
    stretches
        .iter()
        .filter(long)
        .filter(|(from, to)| (to - from) as f64 > least)
        .filter(|(from, _)| {
            !clipped
                .iter()
                .any(|d| matches!(d, Defect::Clipped { from: c, .. } if c == from))
        })
        .map(|&(from, to)| Defect::Stuck {
            row: log.rows[from],
            from,
            to,
            time: [log.time_s[from], log.time_s[to]],
            at: log.output[from],
        })
        .collect()
}

/// Length `L` at which `n share^L` falls below [`CHANCE`].
fn log_ratio(n: f64, share: f64) -> f64 {
    log(CHANCE / n) / log(share)
}

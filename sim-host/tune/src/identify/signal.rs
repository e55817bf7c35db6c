//! What the output is like apart from any model: noise from sample to sample, resolution, hysteresis.

use super::data::range;
use super::response::Change;
use crate::import::Log;
use twinplate_linear::model::ProcessModel;
use twinplate_sim::math::{abs, max, nearest, sqrt};

/// Noise and resolution of the output, in its unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Noise {
    /// Standard deviation from sample to sample, without what is slow.
    pub deviation: f64,
    /// Distance of the values that the output can take; `None` where none is seen.
    pub resolution: Option<f64>,
}

/// Difference between arriving at a command from above and from below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hysteresis {
    /// In output units: level after a falling command less level after a rising one (the other way about for a negative gain).
    pub width: f64,
    /// What noise alone may make of it, output units (two standard deviations).
    pub uncertainty: f64,
    /// The same in command units: width over gain.
    pub command: f64,
    /// Pairs of levels that were compared.
    pub pairs: usize,
    /// False where one of each pair is the level at the log's beginning, of which it is not known how it was reached: the
    /// hysteresis may then be as large as this or larger.
    pub both_known: bool,
}

/// True where the sample lies away from every answer to a step.
fn quiet(time: f64, steps: &[Change], busy: f64) -> bool {
    !steps
        .iter()
        .any(|step| time >= step.time && time < step.time + busy)
}

/// Noise from second differences (a slope or a slow curve leaves them alone; of white noise their variance is six times its own),
/// where no step is being answered; everywhere if that leaves too little.
pub(super) fn noise(log: &Log, used: &[usize], steps: &[Change], busy: f64) -> Noise {
    let square = |only_quiet: bool| {
        let (mut sum, mut n) = (0.0, 0.0);
        for three in used.windows(3) {
            let whole = three[2] == three[0] + 2;
            if whole && (!only_quiet || three.iter().all(|&i| quiet(log.time_s[i], steps, busy))) {
                let [a, b, c] = [0, 1, 2].map(|i| log.output[three[i]]);
                let second = a - 2.0 * b + c;
                sum += second * second;
                n += 1.0;
            }
        }
        (sum, n)
    };
    let (sum, n) = match square(true) {
        (_, n) if n < 20.0 => square(false),
        enough => enough,
    };
    let values: Vec<f64> = used.iter().map(|&i| log.output[i]).collect();
    Noise {
        deviation: sqrt(sum / max(6.0 * n, 1.0)),
        resolution: resolution(&values),
    }
}

/// Values that repeat at least this often on average are taken for those of a scale.
const REPEATS: usize = 4;

/// Distance of the values of a signal that takes only some: nine tenths of the gaps between neighbouring values must be whole
/// multiples of the median gap, to a fifth.
pub(super) fn resolution(values: &[f64]) -> Option<f64> {
    let mut levels = values.to_vec();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    if levels.len() < 3 || levels.len() * REPEATS > values.len() {
        return None;
    }
    let (low, high) = range(&levels)?;
    let gaps: Vec<f64> = levels.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let typical = super::data::median(&mut gaps.clone());
    if typical <= 1e-12 * max(abs(low), abs(high)) {
        return None;
    }
    let (mut count, mut whole) = (0, 0);
    for gap in &gaps {
        let n = nearest(gap / typical).max(1);
        count += n;
        if abs(gap / typical - f64::from(n)) < 0.2 {
            whole += 1;
        }
    }
    (whole * 10 >= gaps.len() * 9).then(|| (high - low) / f64::from(count))
}

/// A level at which the output has settled.
struct Level {
    command: f64,
    mean: f64,
    /// Mean time, s.
    time: f64,
    samples: f64,
    /// +1 reached by a rising command, -1 by a falling one, 0 unknown.
    from: f64,
}

/// Settled levels: the later half of what is left of a stretch between steps when the answer is over.
fn levels(log: &Log, used: &[usize], steps: &[Change], busy: f64) -> Vec<Level> {
    let start = log.time_s.first().copied().unwrap_or(0.0);
    let end = log.time_s.last().copied().unwrap_or(0.0);
    let mut found = Vec::new();
    let mut command = log.before();
    let mut begins = vec![(start - 2.0 * busy, 0.0)];
    begins.extend(steps.iter().map(|step| (step.time, step.by)));
    for (i, &(begin, by)) in begins.iter().enumerate() {
        command += by;
        let until = begins.get(i + 1).map_or(end + 1e-9, |next| next.0);
        let from = max(begin + busy, start);
        let from = from + 0.5 * max(until - from, 0.0);
        let inside: Vec<usize> = used
            .iter()
            .copied()
            .filter(|&i| log.time_s[i] >= from && log.time_s[i] < until)
            .collect();
        let samples = inside.len() as f64;
        if inside.len() >= 5 {
            found.push(Level {
                command,
                mean: inside.iter().map(|&i| log.output[i]).sum::<f64>() / samples,
                time: inside.iter().map(|&i| log.time_s[i]).sum::<f64>() / samples,
                samples,
                from: if by == 0.0 { 0.0 } else { by.signum() },
            });
        }
    }
    found
}

/// Two visits of one command: falling less rising level, time between them with the sign of that difference, variance.
struct Pair {
    width: f64,
    apart: f64,
    variance: f64,
}

fn pairs(levels: &[Level], known: bool, near: f64, sign: f64, noise: f64) -> Vec<Pair> {
    let mut found = Vec::new();
    for (i, one) in levels.iter().enumerate() {
        for two in &levels[i + 1..] {
            let wanted = if known {
                one.from * two.from < 0.0
            } else {
                one.from == 0.0 && two.from != 0.0
            };
            if wanted && abs(one.command - two.command) < near {
                // Falling less rising; the unknown one counts as the opposite of the known.
                let way = if two.from < 0.0 { sign } else { -sign };
                found.push(Pair {
                    width: way * (two.mean - one.mean),
                    apart: way * (two.time - one.time),
                    variance: noise * noise * (1.0 / one.samples + 1.0 / two.samples),
                });
            }
        }
    }
    found
}

/// Hysteresis from levels of one command that were reached from both sides. Going up and then down drifts as hysteresis does: pairs
/// that lie apart by different times tell the two from each other (a straight line through their differences); otherwise the
/// fit's drift (output units per second) is taken off.
pub(super) fn hysteresis(
    log: &Log,
    used: &[usize],
    steps: &[Change],
    model: &ProcessModel,
    drift: f64,
    noise: f64,
) -> Option<Hysteresis> {
    let busy = model.dead_time + 5.0 * (model.tau1 + model.tau2);
    let levels = levels(log, used, steps, busy);
    let near = 0.01 * steps.iter().map(|step| abs(step.by)).fold(0.0, max);
    let sign = if model.gain < 0.0 { -1.0 } else { 1.0 };
    let (pairs, both_known) = [true, false]
        .map(|known| (pairs(&levels, known, near, sign, noise), known))
        .into_iter()
        .find(|(pairs, _)| !pairs.is_empty())?;
    let n = pairs.len() as f64;
    let mean = |what: fn(&Pair) -> f64| pairs.iter().map(what).sum::<f64>() / n;
    let (width, apart, variance) = (mean(|p| p.width), mean(|p| p.apart), mean(|p| p.variance));
    let spread: f64 = pairs
        .iter()
        .map(|p| (p.apart - apart) * (p.apart - apart))
        .sum();
    // Without a spread of times there is nothing to tell drift by.
    let (slope, more) = if spread > 0.01 * apart * apart {
        let both: f64 = pairs
            .iter()
            .map(|p| (p.apart - apart) * (p.width - width))
            .sum();
        (both / spread, apart * apart / spread)
    } else {
        (drift, 0.0)
    };
    let width = width - slope * apart;
    Some(Hysteresis {
        width,
        uncertainty: 2.0 * sqrt(variance * (1.0 / n + more)),
        command: width / abs(model.gain),
        pairs: pairs.len(),
        both_known,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn resolution_of_a_scale_is_found_and_of_none_is_not() {
        let fine: Vec<f64> = (0..400)
            .map(|i| 20.0 + 3.0 * (0.37 * f64::from(i)).sin())
            .collect();
        assert_eq!(resolution(&fine), None);
        // Printed with two digits, so that the gaps are 0.32 and 0.33.
        let coarse: Vec<f64> = fine
            .iter()
            .map(|v| ((v / 0.3223).round() * 0.3223 * 100.0).round() / 100.0)
            .collect();
        let found = resolution(&coarse).expect("a scale");
        assert!((found / 0.3223 - 1.0).abs() < 0.01, "{found}");
    }
}

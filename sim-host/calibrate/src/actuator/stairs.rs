//! Stairs in a slow sweep: the regulator stays where it is until the command has gone on by its resolution, then jumps. What is left over
//! of the line is then a sawtooth over the command, and its period is the resolution.

use crate::least_squares::Estimate;
use std::f64::consts::{PI, TAU};
use twinplate_sim::math::{abs, atan2, cos, exp, floor, log, max, sin, sqrt};

/// A count of the command, share of full scale: the machine's outputs have sixteen bits.
pub(super) const COUNT: f64 = 1.0 / 65_535.0;
/// Chance with which noise alone would be taken for stairs.
const FALSE: f64 = 1e-3;
/// Longest period looked for, share of full scale.
const LONGEST: f64 = 0.02;
/// Rows that a stair must have at least.
const FEWEST_ROWS: f64 = 2.2;
/// Stairs that the sweep must have at least.
const FEWEST_STAIRS: f64 = 8.0;
/// How far the height of the sawtooth may be from that of stairs of its period: beyond, it is something else, or a finer one seen through
/// too few rows.
const HEIGHT: [f64; 2] = [0.6, 1.6];
/// Harmonics of a stair that are taken off: the lag leaves nothing of those above.
const HARMONICS: u32 = 12;
/// Steps of the search for each whole stair.
const STEPS: f64 = 4.0;

/// One row on its way up or down, its command as the regulator has answered it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    pub line: usize,
    /// Number of the branch: from one turn to the next.
    pub branch: usize,
    pub command: f64,
    pub load: f64,
    /// 1 up, -1 down.
    pub sense: f64,
    /// How far the command has come since the branch began.
    pub since: f64,
}

/// The stairs of a sweep.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stairs {
    /// Resolution, share of full command.
    pub resolution: Estimate,
    /// Height of the sawtooth, over that of stairs of this period.
    pub height: f64,
}

/// Looks for stairs about a line `[intercept, gain, half hysteresis]`; the command moves by `rate` (share/s) and by `smoothed` in one lag of the
/// regulator.
pub(super) fn stairs(
    places: &[Place],
    line: &[f64],
    smoothed: f64,
    rate: f64,
) -> Result<(Stairs, Vec<f64>), String> {
    let [intercept, gain, half] = line[..] else {
        return Err("there is no line".to_owned());
    };
    let left: Vec<[f64; 2]> = places
        .iter()
        .map(|p| {
            [
                p.command,
                p.load - intercept - gain * p.command - half * p.sense,
            ]
        })
        .collect();
    let parts = branches(places, &left);
    let longest = parts.iter().map(|part| span(part)).fold(0.0, max);
    let rows: usize = parts.iter().map(|part| part.len()).sum();
    let travelled: f64 = parts.iter().map(|part| span(part)).sum();
    let each = travelled / max(rows as f64, 1.0);
    let ends = [
        max(1.0 / LONGEST, FEWEST_STAIRS / max(longest, 1e-9)),
        1.0 / max(FEWEST_ROWS * each, COUNT),
    ];
    if ends[1] <= ends[0] {
        return Err("the sweep is too short or has too few rows for its stairs".to_owned());
    }
    let square = left.iter().map(|[_, e]| e * e).sum::<f64>() / max(rows as f64, 1.0);
    let (best, power) = highest(&parts, ends, 1.0 / (STEPS * longest), square);
    // The sum of `n` powers, each of mean one where there is noise alone.
    let tries = (ends[1] - ends[0]) * longest;
    let alone = tail(power, parts.len()) * tries;
    if alone > FALSE {
        return Err("no stairs stand out of the noise: sweep slower or over more, or write more rows a second".to_owned());
    }
    let frequency = refined(&parts, best, 1.0 / (STEPS * longest), square);
    let amplitude = sqrt(
        parts
            .iter()
            .map(|part| {
                let (re, im) = transform(part, frequency);
                4.0 * (re * re + im * im) / part.len() as f64
            })
            .sum::<f64>()
            / rows as f64,
    );
    let turns = TAU * frequency * smoothed;
    let period = 1.0 / frequency;
    let height = amplitude * PI * sqrt(1.0 + turns * turns) / (gain * period);
    if !(HEIGHT[0]..=HEIGHT[1]).contains(&height) {
        return Err(format!(
            "something repeats itself every {:.3} % of the command ({:.2} s), but {height:.2} times as high as stairs would be",
            100.0 * period,
            period / max(rate, 1e-9)
        ));
    }
    let deviation = sureness(&parts, amplitude, square);
    let own = deviation * period * period;
    let counted = COUNT / sqrt(12.0);
    let found = Stairs {
        // It jumps with the first count beyond its resolution.
        resolution: Estimate::new(
            period - 0.5 * COUNT,
            sqrt(own * own + counted * counted),
            max(rows as f64 - 4.0, 1.0),
        ),
        height,
    };
    let shape = Shape {
        frequency,
        height: gain / frequency,
        smoothed,
    };
    Ok((found, shape.over(places, &left)))
}

/// Command from the first row of a branch to its last.
fn span(part: &[[f64; 2]]) -> f64 {
    match (part.first(), part.last()) {
        (Some(a), Some(b)) => abs(b[0] - a[0]),
        _ => 0.0,
    }
}

/// Standard deviation of the frequency of a sinusoid of some amplitude in residuals of some mean square.
fn sureness(parts: &[&[[f64; 2]]], amplitude: f64, square: f64) -> f64 {
    // What the sinusoid leaves is noise and higher harmonics. Bound of Cramér and Rao for the frequency of one of unknown phase.
    let noise = max(square - 0.5 * amplitude * amplitude, 1e-4 * square);
    let cubes: f64 = parts
        .iter()
        .map(|part| span(part) * span(part) * part.len() as f64)
        .sum();
    sqrt(24.0 * noise / (amplitude * amplitude * cubes)) / TAU
}

/// What is left of each branch that has some rows.
fn branches<'a>(places: &[Place], left: &'a [[f64; 2]]) -> Vec<&'a [[f64; 2]]> {
    let mut parts: Vec<&[[f64; 2]]> = Vec::new();
    let mut from = 0;
    for n in 1..=places.len() {
        if n == places.len() || places[n].branch != places[from].branch {
            parts.extend(left.get(from..n));
            from = n;
        }
    }
    parts.retain(|part| part.len() > 20);
    parts
}

/// Stairs behind a lag: their frequency over the command, height of one, N, and the command gone in one lag.
struct Shape {
    frequency: f64,
    height: f64,
    smoothed: f64,
}

impl Shape {
    /// What they add at each place, about nothing in the mean; where they begin is read from what is `left` of each branch. Few rows on a stair
    /// hit it at the same places again and again, and means over them would not be those of the stair.
    fn over(&self, places: &[Place], left: &[[f64; 2]]) -> Vec<f64> {
        let mut all = Vec::with_capacity(places.len());
        let mut from = 0;
        for n in 1..=places.len() {
            if n < places.len() && places[n].branch == places[from].branch {
                continue;
            }
            let sense = places[from].sense;
            let (re, im) = transform(&left[from..n], self.frequency);
            let begin = atan2(im, re) + sense * self.ahead(1.0) - 0.5 * PI;
            for place in &places[from..n] {
                let angle = TAU * self.frequency * place.command - begin;
                let sum: f64 = (1..=HARMONICS)
                    .map(f64::from)
                    .map(|h| {
                        let turns = TAU * self.frequency * self.smoothed * h;
                        sin(h * angle + sense * self.ahead(h)) / (h * sqrt(1.0 + turns * turns))
                    })
                    .sum();
                all.push(self.height / PI * sum);
            }
            from = n;
        }
        all
    }

    /// By how much a harmonic is ahead of one that were only later by the lag, rad.
    fn ahead(&self, harmonic: f64) -> f64 {
        let turns = TAU * self.frequency * self.smoothed * harmonic;
        turns - atan2(turns, 1.0)
    }
}

/// Power that the sum of `n` exponential variables of mean one exceeds, its chance.
fn tail(power: f64, n: usize) -> f64 {
    let (mut term, mut sum) = (1.0, 0.0);
    for k in 0..n {
        sum += term;
        term *= power / (k as f64 + 1.0);
    }
    sum * exp(-power)
}

/// Frequency between two ends with the highest power, in steps; every row turns on by its own angle from step to step.
fn highest(parts: &[&[[f64; 2]]], [low, high]: [f64; 2], step: f64, square: f64) -> (f64, f64) {
    let count = floor((high - low) / step) as usize + 1;
    let mut powers = vec![0.0; count];
    for part in parts {
        let mut turning: Vec<[f64; 4]> = part
            .iter()
            .map(|[u, _]| {
                let (at, by) = (TAU * low * u, TAU * step * u);
                [cos(at), sin(at), cos(by), sin(by)]
            })
            .collect();
        for power in &mut powers {
            let (mut re, mut im) = (0.0, 0.0);
            for (turn, [_, e]) in turning.iter_mut().zip(part.iter()) {
                let [c, s, dc, ds] = *turn;
                re += e * c;
                im += e * s;
                turn[0] = c * dc - s * ds;
                turn[1] = s * dc + c * ds;
            }
            *power += (re * re + im * im) / (part.len() as f64 * max(square, 1e-30));
        }
    }
    let mut best = (low, 0.0);
    for (n, power) in powers.iter().enumerate() {
        if *power > best.1 {
            best = (low + step * n as f64, *power);
        }
    }
    best
}

fn transform(part: &[[f64; 2]], frequency: f64) -> (f64, f64) {
    part.iter().fold((0.0, 0.0), |(re, im), [u, e]| {
        let angle = TAU * frequency * u;
        (re + e * cos(angle), im + e * sin(angle))
    })
}

/// The top of a peak, by golden section between its neighbours.
fn refined(parts: &[&[[f64; 2]]], about: f64, step: f64, square: f64) -> f64 {
    let power = |frequency: f64| {
        parts
            .iter()
            .map(|part| {
                let (re, im) = transform(part, frequency);
                (re * re + im * im) / (part.len() as f64 * max(square, 1e-30))
            })
            .sum::<f64>()
    };
    let golden = 0.5 * (sqrt(5.0) - 1.0);
    let (mut low, mut high) = (about - step, about + step);
    let rounds = floor(log(1e-7) / log(golden)) as usize;
    let mut inner = [high - golden * (high - low), low + golden * (high - low)];
    let mut values = inner.map(power);
    for _ in 0..rounds {
        if values[0] > values[1] {
            high = inner[1];
            inner = [high - golden * (high - low), inner[0]];
            values = [power(inner[0]), values[0]];
        } else {
            low = inner[0];
            inner = [inner[1], low + golden * (high - low)];
            values = [values[1], power(inner[1])];
        }
    }
    0.5 * (low + high)
}

//! The slow sweep: gain and intercept of the line, the width of its hysteresis, and the stairs that the regulator climbs.

use super::log::Run;
use super::stairs::{COUNT, Place, Stairs, stairs};
use crate::least_squares::{Estimate, FTest, Row, fit};
use twinplate_sim::math::{abs, floor, max, min, sqrt};

/// Command over which rows are averaged, share of full scale: several stairs of any usual regulator.
const BLOCK: f64 = 0.02;
/// The command has turned when it has come back by this share of full scale.
const TURNED: f64 = 0.005;
/// Rows are left out after a turn until the command has come back by this share at least, or by [`ROOM`] hysteresis widths: play is being
/// taken up there.
const BACK: f64 = 0.02;
/// See [`BACK`].
const ROOM: f64 = 1.5;
/// Fewest blocks of either direction.
const FEWEST: usize = 4;
/// Fewest rows in a block.
const ROWS: usize = 3;

/// What a sweep tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Swept {
    /// Load for a full command, N.
    pub gain: Estimate,
    /// Load at no command on the line, N: middle of up and down.
    pub intercept: Estimate,
    /// Width of the hysteresis, share of full command.
    pub hysteresis: Estimate,
    /// Resolution, where the stairs stand out of the noise; otherwise why it is not told.
    pub stairs: Result<Stairs, String>,
    /// Standard deviation of the block means about the line, N.
    pub deviation: f64,
    /// Whether the loads bend: a square of the command beside the line.
    pub bend: Option<FTest>,
    /// Largest distance of that bend from the line, share of the span.
    pub bent: f64,
    /// Commands swept over, share.
    pub range: [f64; 2],
    /// Block means with their leverage and residual, N; their first lines.
    pub rows: Vec<Row>,
    /// Command, load in N, +1 up or -1 down, and residual of each block.
    pub points: Vec<[f64; 4]>,
}

/// Fits the line. `delay` is by how much the load comes after a slow command, s, with its deviation; `lag` s of it smooths the stairs.
pub(super) fn swept(runs: &[&Run], delay: [f64; 2], lag: f64) -> Result<Swept, String> {
    let (all, rate) = placed(runs, delay[0]);
    let first = line(&all, BACK)?;
    let (gain, width) = (first.fit.coefficients[1], first.fit.coefficients[2]);
    let room = max(BACK, ROOM * 2.0 * abs(width / gain));
    let used: Vec<Place> = all.iter().copied().filter(|p| p.since >= room).collect();
    let rough = line(&used, room)?;
    let stairs = stairs(&used, &rough.fit.coefficients, rate * lag, rate);
    let mut even = used.clone();
    if let Ok((_, added)) = &stairs {
        for (place, added) in even.iter_mut().zip(added) {
            place.load -= added;
        }
    }
    let found = line(&even, room)?;
    let fit = &found.fit;
    let gain = fit.coefficient(1);
    if gain.value <= 0.0 {
        return Err("the load does not rise with the command".to_owned());
    }
    let half = fit.coefficient(2);
    // Up it lags below, down above: the load differs by twice the coefficient.
    let width = -2.0 * half.value / gain.value;
    let sloping = 2.0 * rate * delay[1];
    let counted = COUNT / sqrt(12.0);
    let deviation = sqrt(
        4.0 * half.deviation * half.deviation / (gain.value * gain.value)
            + sloping * sloping
            + counted * counted,
    );
    let (bend, bent) = bend(&found);
    let commands = used.iter().map(|place| place.command);
    let range = commands.fold([1.0, 0.0], |[low, high], u| [min(low, u), max(high, u)]);
    Ok(Swept {
        gain,
        intercept: fit.coefficient(0),
        // A stair of whole counts is passed in one count less than it has, and has half of one more than the resolution in the mean.
        hysteresis: Estimate::new(width + 0.5 * COUNT, deviation, fit.freedom as f64),
        stairs: stairs.map(|(found, _)| found),
        deviation: fit.deviation(),
        bend,
        bent,
        range,
        rows: fit.rows(&found.lines),
        points: found
            .blocks
            .iter()
            .zip(&fit.residuals)
            .map(|([command, load, sense], residual)| [*command, *load, *sense, *residual])
            .collect(),
    })
}

/// Rows with the command that the load answers to, and how fast it goes, share of full scale per second.
fn placed(runs: &[&Run], delay: f64) -> (Vec<Place>, f64) {
    let (mut all, mut branch) = (Vec::new(), 0);
    let (mut travelled, mut passed) = (0.0, 0.0);
    for run in runs {
        let samples = &run.samples;
        let commands: Vec<f64> = samples
            .iter()
            .map(|sample| {
                let at = sample.time - delay;
                let next = samples.partition_point(|s| s.time < at);
                match (
                    next.checked_sub(1).and_then(|n| samples.get(n)),
                    samples.get(next),
                ) {
                    (Some(a), Some(b)) => {
                        a.command + (b.command - a.command) * (at - a.time) / (b.time - a.time)
                    }
                    (None, Some(only)) | (Some(only), None) => only.command,
                    (None, None) => f64::NAN,
                }
            })
            .collect();
        let turns = turns(&commands);
        for pair in turns.windows(2) {
            let (from, to) = (pair[0], pair[1]);
            let (start, end) = (commands[from], commands[to]);
            branch += 1;
            travelled += abs(end - start);
            passed += samples[to].time - samples[from].time;
            for n in from..to {
                all.push(Place {
                    line: samples[n].line,
                    branch,
                    command: commands[n],
                    load: samples[n].load,
                    sense: if end > start { 1.0 } else { -1.0 },
                    since: abs(commands[n] - start),
                });
            }
        }
    }
    (all, travelled / max(passed, 1e-9))
}

/// Places at which the command turns, first and last row included.
fn turns(commands: &[f64]) -> Vec<usize> {
    let mut found = vec![0];
    let (mut extreme, mut sense) = (0, 0.0);
    for (n, command) in commands.iter().enumerate() {
        let off = command - commands[extreme];
        if sense == 0.0 {
            if abs(off) > TURNED {
                sense = if off > 0.0 { 1.0 } else { -1.0 };
                extreme = n;
            }
        } else if off * sense >= 0.0 {
            extreme = n;
        } else if -off * sense > TURNED {
            found.push(extreme);
            sense = -sense;
            extreme = n;
        }
    }
    if commands.len() > 1 {
        found.push(commands.len() - 1);
    }
    found
}

/// A line through block means.
struct Line {
    fit: crate::least_squares::Fit,
    /// Command, load and sense of each block.
    blocks: Vec<[f64; 3]>,
    lines: Vec<usize>,
}

fn line(all: &[Place], room: f64) -> Result<Line, String> {
    let (mut blocks, mut lines) = (Vec::new(), Vec::new());
    let mut at = 0;
    while let Some(first) = all.get(at) {
        let number = |place: &Place| floor((place.since - room) / BLOCK);
        let same = |place: &Place| place.branch == first.branch && number(place) == number(first);
        let count = all[at..]
            .iter()
            .take_while(|place| same(place))
            .count()
            .max(1);
        let block = &all[at..at + count];
        at += count;
        if first.since < room || count < ROWS {
            continue;
        }
        let mean = |value: fn(&Place) -> f64| block.iter().map(value).sum::<f64>() / count as f64;
        blocks.push([mean(|p| p.command), mean(|p| p.load), first.sense]);
        lines.push(first.line);
    }
    for (sense, word) in [(1.0, "up"), (-1.0, "down")] {
        let count = blocks.iter().filter(|block| block[2] == sense).count();
        if count < FEWEST {
            return Err(format!(
                "the sweep goes {word} over {count} blocks of {} % and {ROWS} rows or more; {FEWEST} are needed, up and down",
                100.0 * BLOCK
            ));
        }
    }
    let rows: Vec<Vec<f64>> = blocks
        .iter()
        .map(|[u, _, sense]| vec![1.0, *u, *sense])
        .collect();
    let loads: Vec<f64> = blocks.iter().map(|block| block[1]).collect();
    let fit = fit(&rows, &loads).ok_or("the commands of the sweep cannot be told apart")?;
    Ok(Line { fit, blocks, lines })
}

/// Whether a square of the command takes more off the residuals than chance, and how far it bends, share of the span.
fn bend(line: &Line) -> (Option<FTest>, f64) {
    let [low, high] = line.blocks.iter().fold([1.0, 0.0], |[low, high], block| {
        [min(low, block[0]), max(high, block[0])]
    });
    let (middle, half) = (0.5 * (low + high), max(0.5 * (high - low), 1e-6));
    let square = |u: f64| (u - middle) * (u - middle) / (half * half);
    let rows: Vec<Vec<f64>> = line
        .blocks
        .iter()
        .map(|[u, _, sense]| vec![1.0, *u, *sense, square(*u)])
        .collect();
    let loads: Vec<f64> = line.blocks.iter().map(|block| block[1]).collect();
    let Some(bent) = fit(&rows, &loads) else {
        return (None, 0.0);
    };
    let gained = (line.fit.squares - bent.squares, 1);
    let span = abs(2.0 * half * line.fit.coefficients[1]);
    // A parabola over -1..1 is at most half of itself from the line through it.
    let share = 0.5 * abs(bent.coefficients[3]) / max(span, 1e-9);
    (FTest::new(gained, (bent.squares, bent.freedom)), share)
}

//! What is assumed of a log whose command never changes in it: that the step came at its first sample, if the output says so.

use super::Log;
use twinplate_sim::math::{abs, max, sqrt};

/// Share of the samples in a mean at the begin, middle and end.
const WINDOW: usize = 20;
/// The output must have moved by so many times its noise.
const MOVED: f64 = 10.0;
/// Share of the way that is covered in the first half of the log by an answer that settles: 0.5 would be a straight line.
const FIRST_HALF: f64 = 0.6;

/// Takes a constant command for a step from 0 at the first sample, if nothing was told and the output moves as one that answers
/// and settles. Says so in the notes.
pub(super) fn step_at_the_beginning(log: &mut Log) {
    let command = log.command.first().copied().unwrap_or(0.0);
    if log.before.is_some()
        || command == 0.0
        || log.command.iter().any(|&c| c != command)
        || !answers(&log.output)
    {
        return;
    }
    log.before = Some(0.0);
    log.notes.push(format!(
        "the command is {command} all along and the output moves from the first row on: taken for a step from 0 at the first row. The gain \
         rests on that; if the command was another before, say so with `--before`"
    ));
}

fn answers(output: &[f64]) -> bool {
    let n = output.len();
    let few = (n / WINDOW).max(1);
    if n < 2 * WINDOW {
        return false;
    }
    let mean =
        |from: usize, count: usize| output[from..from + count].iter().sum::<f64>() / count as f64;
    let begin = mean(0, few.min(3));
    let middle = mean(n / 2 - few / 2, few);
    let end = mean(n - few, few);
    let square: f64 = output
        .windows(3)
        .map(|w| (w[0] - 2.0 * w[1] + w[2]) * (w[0] - 2.0 * w[1] + w[2]))
        .sum();
    let noise = sqrt(square / (6.0 * max(n as f64 - 2.0, 1.0)));
    let way = end - begin;
    abs(way) > MOVED * noise && (middle - begin) / way > FIRST_HALF
}

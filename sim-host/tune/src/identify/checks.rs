//! When a log is refused, and what is said about one that is not.

use super::data::{Data, median_step, range};
use super::refusal::Refusal;
use super::residuals::rms;
use super::response::Change;
use super::warning::Warning;
use super::{CLEARLY, Fitted, Identification, signal};
use crate::import::{Defect, Log};
use twinplate_linear::model::Order;
use twinplate_sim::math::{abs, log as ln, max, sqrt};

/// Usable samples from the first step on that a fit needs: with six parameters, fewer say nothing.
const LEAST_SAMPLES: usize = 20;
/// Share of samples at a limit beyond which a log is refused.
const MOST_CLIPPED: f64 = 0.6;
/// Share of the output's variation (beyond a straight line) that a model must explain.
const LEAST_EXPLAINED: f64 = 0.3;
/// 1 - NRMSE that an integrating model must reach.
const LEAST_FIT: f64 = 0.5;
/// Drift over the log, in answers, beyond which it is refused.
const MOST_DRIFT: f64 = 5.0;
/// Samples per lag below which the answer's shape is not in the log (three samples while it covers 95 % of its way).
const LEAST_PER_LAG: f64 = 1.0;
/// Dead times after a step for which an answer that does not bend must be seen to count as integrating: beyond a lag of eight
/// dead times a tuning rule makes no difference between the two (Skogestad, *J. Process Control* 13 (2003) 291-309).
const DEAD_TIMES_OF_RAMP: f64 = 8.0;
/// Relative half-width of the gain beyond which the answer counts as not finished.
const VAGUEST_GAIN: f64 = 0.5;
/// Drift over the log that is worth a warning, share of the answer.
const NOTABLE_DRIFT: f64 = 0.05;
/// Hysteresis that is worth a warning, share of the answer to the largest step.
const MOST_HYSTERESIS: f64 = 0.05;
/// Relative half-width that is worth a warning.
const VAGUE: f64 = 0.2;

/// What can be said without a fit.
pub(super) fn before(log: &Log, steps: &[Change]) -> Result<(), Refusal> {
    let Some(first) = steps.first() else {
        return Err(Refusal::NoExcitation {
            command: log.before(),
        });
    };
    let usable = log.usable();
    let after: Vec<usize> = (0..log.time_s.len())
        .filter(|&i| log.time_s[i] >= first.time)
        .collect();
    swapped(log)?;
    if let Some((low, high)) = range(&log.output)
        && low >= high
    {
        return Err(Refusal::StuckOutput {
            value: low,
            samples: log.output.len(),
        });
    }
    clipped(log, &after)?;
    let found = after.iter().filter(|&&i| usable[i]).count();
    if found < LEAST_SAMPLES {
        return Err(Refusal::TooFewSamples {
            found,
            needed: LEAST_SAMPLES,
        });
    }
    Ok(())
}

/// A command is held between steps, an output is not: the other way about, the columns are exchanged.
fn swapped(log: &Log) -> Result<(), Refusal> {
    let moves = |values: &[f64]| {
        let moved = values.windows(2).filter(|pair| pair[0] != pair[1]).count();
        moved as f64 / max(values.len() as f64, 1.0)
    };
    let (command_moves, output_moves) = (moves(&log.command), moves(&log.output));
    let few = 20.0 / max(log.output.len() as f64, 1.0);
    if output_moves > 0.0
        && output_moves <= few
        && command_moves > 0.3
        && command_moves > 4.0 * output_moves
    {
        return Err(Refusal::Swapped {
            command_moves,
            output_moves,
        });
    }
    Ok(())
}

fn clipped(log: &Log, after: &[usize]) -> Result<(), Refusal> {
    let (mut count, mut longest) = (0, (0, 0.0));
    for defect in &log.defects {
        if let Defect::Clipped { from, to, at, .. } = defect {
            let inside = after.iter().filter(|&&i| i >= *from && i <= *to).count();
            count += inside;
            if inside > longest.0 {
                longest = (inside, *at);
            }
        }
    }
    let share = count as f64 / max(after.len() as f64, 1.0);
    if share > MOST_CLIPPED {
        return Err(Refusal::ClippedThroughout {
            share,
            at: longest.1,
        });
    }
    Ok(())
}

/// Sum of squares about a straight line, scaled.
fn about_a_line(data: &Data) -> f64 {
    let n = data.t.len() as f64;
    let (mt, my) = (
        data.t.iter().sum::<f64>() / n,
        data.y.iter().sum::<f64>() / n,
    );
    let (mut tt, mut ty, mut yy) = (0.0, 0.0, 0.0);
    for (t, y) in data.t.iter().zip(&data.y) {
        tt += (t - mt) * (t - mt);
        ty += (t - mt) * (y - my);
        yy += (y - my) * (y - my);
    }
    yy - ty * ty / max(tt, 1e-300)
}

/// Whether the output has to do with the command at all.
pub(super) fn connected(
    log: &Log,
    data: &Data,
    steps: &[Change],
    left: f64,
    fit: &Fitted,
) -> Result<(), Refusal> {
    let line = about_a_line(data);
    let explained = 1.0 - left / max(line, 1e-300);
    // A straight line follows an integrating answer far: what it leaves must then speak clearly, if not loudly.
    let evidence = fit.effective * ln(max(line, 1e-300) / max(left, 1e-300));
    let clear = evidence > CLEARLY + 2.0 * ln(fit.effective);
    let loud = explained >= LEAST_EXPLAINED
        || fit.model.order == Order::Integrating && fit.fit > LEAST_FIT;
    if clear && loud && !fit.parameters.gain.holds(0.0) {
        return Ok(());
    }
    let noise = signal::noise(log, &data.index, &[], 0.0).deviation;
    let drift = abs(fit.parameters.drift.value) * data.scale[0];
    if drift > MOST_DRIFT * fit.response
        && sqrt(line / data.t.len() as f64) * data.scale[1] < 3.0 * noise
    {
        return Err(Refusal::DriftDwarfs {
            drift,
            response: fit.response,
        });
    }
    let first = steps[0].time;
    let mean = |after: bool| {
        let inside: Vec<f64> = data
            .index
            .iter()
            .filter(|&&i| (log.time_s[i] >= first) == after)
            .map(|&i| log.output[i])
            .collect();
        inside.iter().sum::<f64>() / max(inside.len() as f64, 1.0)
    };
    if rms(&data
        .y
        .iter()
        .map(|y| y - data.y.iter().sum::<f64>() / data.y.len() as f64)
        .collect::<Vec<_>>())
        * data.scale[1]
        < 1.5 * noise
    {
        return Err(Refusal::NoResponse {
            waited: data.zero[0] + data.scale[0] - first,
            noise,
            moved: abs(mean(true) - mean(false)),
        });
    }
    Err(Refusal::Uncorrelated {
        explained: max(explained, 0.0),
        needed: LEAST_EXPLAINED,
    })
}

/// What only a fit can tell.
pub(super) fn after(
    log: &Log,
    data: &Data,
    steps: &[Change],
    fits: &[Fitted],
) -> Result<(), Refusal> {
    let fit = &fits[0];
    let model = fit.model;
    let drift = abs(fit.parameters.drift.value) * data.scale[0];
    if drift > MOST_DRIFT * fit.response {
        return Err(Refusal::DriftDwarfs {
            drift,
            response: fit.response,
        });
    }
    gap(log, steps, fit)?;
    let lag = model.tau1 + model.tau2;
    let step = median_step(&log.time_s);
    if model.order != Order::Integrating && lag < LEAST_PER_LAG * step {
        return Err(Refusal::SamplingTooSlow { step, lag });
    }
    let waited = waited(log, steps);
    let needed = if model.order == Order::Integrating {
        model.dead_time * (1.0 + DEAD_TIMES_OF_RAMP)
    } else if fit.parameters.gain.half_width() > VAGUEST_GAIN * abs(model.gain) {
        max(model.dead_time + 3.0 * lag, 2.0 * waited)
    } else {
        0.0
    };
    if waited < needed {
        return Err(Refusal::StepNotFinished { waited, needed });
    }
    Ok(())
}

/// Longest time that the log waits after a step, until the next or the end, s.
fn waited(log: &Log, steps: &[Change]) -> f64 {
    let end = log.time_s.last().copied().unwrap_or(0.0);
    let mut longest = 0.0;
    for (i, step) in steps.iter().enumerate() {
        longest = max(
            longest,
            steps.get(i + 1).map_or(end, |next| next.time) - step.time,
        );
    }
    longest
}

/// Refuses if every step has a gap where the output answers.
fn gap(log: &Log, steps: &[Change], fit: &Fitted) -> Result<(), Refusal> {
    let lag = fit.model.tau1 + fit.model.tau2;
    let mut worst: Option<(u64, f64, f64)> = None;
    for step in steps {
        let until = step.time + fit.model.dead_time + 1.5 * lag;
        let hole = log.defects.iter().find_map(|defect| match defect {
            Defect::Gap { row, at, length } => {
                let hurts = *at < until && at + length > step.time + 0.2 * fit.model.dead_time;
                let long = *length > 0.3 * (fit.model.dead_time + lag);
                (hurts && long).then_some((*row, *at, *length))
            }
            _ => None,
        });
        match hole {
            None => return Ok(()),
            found => worst = worst.or(found),
        }
    }
    worst.map_or(Ok(()), |(line, at, length)| {
        Err(Refusal::GapInRise { line, at, length })
    })
}

/// What should be known about a fit that stands.
pub(super) fn warnings(log: &Log, found: &Identification) -> Vec<Warning> {
    let mut all = Vec::new();
    let fit = found.chosen();
    let model = fit.model;
    all.extend(start_missed(log, found));
    if let Some(resolution) = found.noise.resolution
        && resolution > found.noise.deviation
    {
        all.push(Warning::ResolutionDominates {
            resolution,
            noise: found.noise.deviation,
        });
    }
    if !fit.whiteness.white() {
        all.push(Warning::Coloured {
            p_value: fit.whiteness.p_value,
            effective: fit.effective,
            samples: fit.residuals.len(),
        });
    }
    if found.used.len() < log.time_s.len() {
        all.push(Warning::LeftOut {
            samples: log.time_s.len() - found.used.len(),
            of: log.time_s.len(),
        });
    }
    let step = median_step(&log.time_s);
    if step > 0.1 * model.dead_time {
        all.push(Warning::StepInstant {
            step,
            dead_time: model.dead_time,
        });
    }
    let lag = model.tau1 + model.tau2;
    let waited = waited(log, &found.steps);
    if model.order == Order::Integrating {
        all.push(Warning::NoSettlingSeen { waited });
    } else if waited < model.dead_time + 3.0 * lag {
        all.push(Warning::NotSettled {
            waited,
            settled: model.dead_time + 3.0 * lag,
        });
    }
    let span = log.time_s.last().unwrap_or(&0.0) - log.time_s.first().unwrap_or(&0.0);
    let drift = fit.parameters.drift.value * span;
    if fit.drift && abs(drift) > NOTABLE_DRIFT * fit.response {
        all.push(Warning::Drift {
            over_log: drift,
            response: fit.response,
        });
    }
    let largest = found.steps.iter().map(|step| abs(step.by)).fold(0.0, max);
    if let Some(hysteresis) = found.hysteresis
        && hysteresis.width
            > max(
                hysteresis.uncertainty,
                MOST_HYSTERESIS * largest * abs(model.gain),
            )
    {
        all.push(Warning::Hysteresis {
            width: hysteresis.width,
            response: largest * abs(model.gain),
        });
    }
    let parameters = &fit.parameters;
    for (what, estimate) in [
        ("gain", parameters.gain),
        ("larger lag", parameters.tau1),
        ("smaller lag", parameters.tau2),
        ("dead time", parameters.dead_time),
    ] {
        let relative = estimate.half_width() / max(abs(estimate.value), 1e-300);
        // A dead time or second lag that is small beside the first may be vague without harm.
        let matters = what == "gain" || estimate.half_width() > 0.05 * (lag + model.dead_time);
        if relative > VAGUE && matters && estimate.half_width() > 0.0 {
            all.push(Warning::Vague { what, relative });
        }
    }
    all
}

/// Whether the first-order model is wrong where the answer begins: twice as far off as the second-order one, over the dead time
/// and half a lag after the first step.
fn start_missed(log: &Log, found: &Identification) -> Option<Warning> {
    let (first, second) = (
        found.of_order(Order::First)?,
        found.of_order(Order::Second)?,
    );
    let step = found.steps.first()?.time;
    let window = first.model.dead_time + 0.5 * first.model.tau1;
    let inside = |fit: &Fitted| {
        let all: Vec<f64> = found
            .used
            .iter()
            .zip(&fit.residuals)
            .filter(|(i, _)| log.time_s[**i] >= step && log.time_s[**i] <= step + window)
            .map(|(_, r)| *r)
            .collect();
        (all.len() >= 5).then(|| rms(&all))
    };
    let (first, second) = (inside(first)?, inside(second)?);
    (first > 2.0 * second).then_some(Warning::FirstOrderMissesStart {
        window,
        first,
        second,
    })
}

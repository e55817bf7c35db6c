//! When no gain set passes: which change of the machine or of a limit would free it. Tried, not argued.

use super::candidates::{Lines, broken_on_lines, by_rules, on_lines, optimum};
use super::effort::{Effort, TuneError};
use super::judge;
use super::trial::Trial;
use twinplate_linear::line::Defect;
use twinplate_sim::model::{Gains, Machine};

/// A change that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Freeing {
    /// What was changed, in words.
    pub change: String,
    /// Some set passes then.
    pub frees: bool,
}

/// Draws for each trial of a change, or as many as candidates get where that is fewer.
const DRAWS: usize = 20;

/// A change: in words, and done.
type Change = (&'static str, fn(&mut Machine));

/// What a machine builder or a planner can change, one at a time.
const CHANGES: [Change; 8] = [
    ("half the fastest ramp (control.ramp-max)", |m| {
        m.control.ramp_max *= 0.5;
    }),
    (
        "a load band twice as wide (control.band, band-share)",
        |m| {
            m.control.band_newtons *= 2.0;
            m.control.band_share *= 2.0;
        },
    ),
    ("a regulator of half the play and resolution", |m| {
        m.actuator.play *= 0.5;
        m.actuator.resolution *= 0.5;
    }),
    ("half the dead time of the regulator", |m| {
        m.actuator.dead_time *= 0.5;
    }),
    ("a load filter twice as fast (control.filter)", |m| {
        m.control.filter *= 2.0;
    }),
    ("half the seal friction", |m| {
        m.actuator.seal_friction *= 0.5;
        m.actuator.seal_breakaway *= 0.5;
    }),
    ("half the noise of the load cell", |m| {
        m.cell.noise *= 0.5;
    }),
    (
        "lag and dead time known twice as well (envelope.lag, envelope.dead-time)",
        |m| {
            m.envelope.lag *= 0.5;
            m.envelope.dead_time *= 0.5;
        },
    ),
];

/// Tries every change on a trial's machine.
///
/// # Errors
/// Lines that no loop can be closed around.
pub(super) fn freeing(trial: &Trial, options: &Effort) -> Result<Vec<Freeing>, TuneError> {
    let mut tried = Vec::with_capacity(CHANGES.len());
    for (words, change) in CHANGES {
        let mut machine = trial.job.machine.clone();
        change(&mut machine);
        let batch = (!trial.plan.stand_in).then_some(&trial.job.batch);
        let frees = match Trial::new(&machine, batch) {
            Ok(trial) => some_set_passes(&trial, options)?,
            // The change makes a machine that the controller refuses.
            Err(_) => false,
        };
        tried.push(Freeing {
            change: words.to_owned(),
            frees,
        });
    }
    Ok(tried)
}

fn some_set_passes(trial: &Trial, options: &Effort) -> Result<bool, TuneError> {
    let lines = Lines::declared(&trial.job.machine);
    for gains in passing_on_lines(&lines)? {
        let how = judge::DrawPlan {
            draws: DRAWS.min(options.compare),
            threads: options.threads,
            seed: options.seed,
            responses: false,
        };
        if judge::judge(trial, gains, &how, &|_| ())?.passes() {
            return Ok(true);
        }
    }
    Ok(false)
}

/// Gain sets that hold every limit of lines: the optimum and the rules.
fn passing_on_lines(lines: &Lines) -> Result<Vec<Gains>, Defect> {
    let mut sets = Vec::new();
    if let Ok(found) = optimum(lines, lines.limits.sensitivity, 1.0) {
        sets.push(found.score.gains);
    }
    for rule in by_rules(lines)? {
        let found = on_lines(lines, &rule.gains)?;
        if broken_on_lines(&found, &lines.limits).is_empty() {
            sets.push(rule.gains);
        }
    }
    Ok(sets)
}

/// Where only a fitted model is known: would a better known model do, or a quicker process?
///
/// # Errors
/// Lines that no loop can be closed around.
pub(super) fn freeing_lines(lines: &Lines) -> Result<Vec<Freeing>, TuneError> {
    let passes = |lines: &Lines| passing_on_lines(lines).map(|sets| !sets.is_empty());
    let certain = Lines {
        corners: Vec::new(),
        ..lines.clone()
    };
    let mut quick = lines.clone();
    quick.nominal.process.dead_time *= 0.5;
    for corner in &mut quick.corners {
        corner.line.process.dead_time *= 0.5;
    }
    Ok(vec![
        Freeing {
            change: "a model without uncertainty (a longer or cleaner log)".to_owned(),
            frees: passes(&certain)?,
        },
        Freeing {
            change: "half the dead time".to_owned(),
            frees: passes(&quick)?,
        },
    ])
}

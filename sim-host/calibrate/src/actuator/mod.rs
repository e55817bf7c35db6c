//! The cylinder, its regulator and valves, from a log of commands and loads: line, hysteresis, friction, dead time, lag, slew, dump time.

mod cell;
mod json;
mod line;
mod log;
mod response;
mod seals;
mod stairs;
mod vent;

pub use json::json;
pub use line::Swept;
pub use log::Test;
pub use response::Response;
pub use seals::Seals;
pub use stairs::Stairs;
pub use vent::Vent;

use crate::least_squares::Estimate;
use crate::removal::Shown;
use log::{Log, Run};
use std::f64::consts::PI;
use twinplate_sim::files::{ActuatorKey, FileError};
use twinplate_sim::math::{abs, max, min, sqrt};
use twinplate_sim::model::{G, Machine};
use twinplate_sim::plant::cell::DAMPING;

/// How wrong lag and dead time of the machine file may be where no step was logged, share. As wide as the demonstration machines' envelopes.
const UNTESTED: f64 = 0.3;
/// Degrees of freedom of what is known from digits, not from scatter.
const KNOWN: f64 = 1e6;
/// A slow motion is slower than this share of the Stribeck speed: friction there is that of standstill to a hundredth.
const SLOW: f64 = 0.3;
/// Level of the test for a bent line.
pub const LEVEL: f64 = 0.01;
/// A bend of this share of the span is more than the machine file's line can carry.
pub const BENT: f64 = 0.005;
/// The cell's filter has let go of what was before after so many of its delays.
const LET_GO: f64 = 5.0;

/// A key of the machine file, and what the log says of it.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The key.
    pub key: ActuatorKey,
    /// Its value in the machine file, SI units.
    pub now: f64,
    /// Estimate in SI units; otherwise why there is none.
    pub found: Result<Estimate, String>,
}

/// Everything that is told of an actuator.
#[derive(Clone, Debug, PartialEq)]
pub struct ActuatorReport {
    /// Name of the sheet.
    pub file: String,
    /// Identifier of the machine.
    pub machine: String,
    /// Unit of the loads.
    pub load: Shown,
    /// Rows of each test, in the order of [`Test::ALL`].
    pub rows: [usize; 6],
    /// Keys, in the machine file's order.
    pub keys: Vec<Told>,
    /// The sweep.
    pub swept: Option<Swept>,
    /// The steps.
    pub response: Option<Response>,
    /// The ventings.
    pub vent: Option<Vent>,
    /// The motions.
    pub seals: Option<Seals>,
    /// Offset of the regulator, share of full scale.
    pub offset: Option<Estimate>,
    /// Load at rest, N: weight less counterbalance.
    pub resting: Option<Estimate>,
    /// Friction in which the seals rested, N: measured load at rest less that. Positive presses down.
    pub held: Option<f64>,
    /// The machine file's model says what the log does.
    pub holds: bool,
    /// Why, where it does not.
    pub breaks: Vec<String>,
    /// What was done to the numbers, and what they stand on.
    pub notes: Vec<String>,
}

/// Reads a sheet and finds what it tells of a machine's actuator.
///
/// # Errors
/// Everything that is wrong with the sheet, with line and column.
pub fn calibrate(
    file: &str,
    bytes: &[u8],
    machine: &Machine,
) -> Result<ActuatorReport, Vec<FileError>> {
    let mut log = log::read(file, bytes)?;
    cell::taken_off(&mut log, machine);
    let rows = Test::ALL.map(|test| log.of(test).map(|run| run.samples.len()).sum());
    Ok(Found::of(&log, machine).report(file, machine, &log, rows))
}

/// What each test tells, or why it tells nothing.
struct Found {
    swept: Result<Swept, String>,
    response: Result<Response, String>,
    vent: Result<Vent, String>,
    seals: Result<Seals, String>,
    counterbalance: Result<Estimate, String>,
    /// Load at rest, as measured.
    rest: Option<Estimate>,
}

impl Found {
    fn of(log: &Log, machine: &Machine) -> Self {
        let a = &machine.actuator;
        // What a second-order filter delays whatever is slower than itself.
        let filter = 2.0 * DAMPING / (2.0 * PI * machine.cell.bandwidth);
        let runs = |test| log.of(test).collect::<Vec<&Run>>();
        let logged = |test: Test| {
            let runs = runs(test);
            if runs.is_empty() {
                Err(format!(
                    "the sheet has no rows of the test `{}`",
                    test.word()
                ))
            } else {
                Ok(runs)
            }
        };
        let guess = [a.dead_time, a.lag, 1.0 / max(a.slew, 1e-3)];
        let respond = |play: f64| response::response(&logged(Test::Step)?, filter, play, guess);
        let first = respond(a.play);
        let swept = logged(Test::Sweep).and_then(|runs| {
            let (delay, lag) = match &first {
                Ok(found) => {
                    let own = [found.dead_time.deviation, found.lag.deviation];
                    let delay = found.dead_time.value + filter + found.lag.value;
                    (
                        [delay, sqrt(own[0] * own[0] + own[1] * own[1])],
                        found.lag.value,
                    )
                }
                Err(_) => {
                    let delay = a.dead_time + filter + a.lag;
                    ([delay, UNTESTED * delay], a.lag)
                }
            };
            line::swept(&runs, delay, lag)
        });
        let response = match &swept {
            // A jump ends on the spool, so that a step back is shorter by the play alone.
            Ok(swept) if first.is_ok() => {
                let stairs = swept.stairs.as_ref();
                let stair = stairs.map_or(a.resolution, |stairs| stairs.resolution.value);
                respond(max(swept.hysteresis.value - stair, 0.0))
            }
            Ok(_) | Err(_) => first,
        };
        let vent = logged(Test::Dump).and_then(|runs| {
            vent::vent(&runs, LET_GO * filter, a.dump_lag)
                .ok_or_else(|| "the load does not fall as a valve vents".to_owned())
        });
        let moved: Vec<&Run> = log
            .runs
            .iter()
            .filter(|run| matches!(run.test, Test::Lower | Test::Lift))
            .collect();
        let seals = seals::seals(&moved, a.area_rod(), log.rod_digit, a.stribeck_speed);
        let still = logged(Test::Rest);
        let mean = |value, digit| still_mean(still.as_ref().ok()?, value, digit);
        Self {
            counterbalance: mean(|sample| sample.rod, log.rod_digit).ok_or_else(|| {
                "it takes the rod side's gauge in rows of the test `rest`".to_owned()
            }),
            rest: at_rest(
                vent.as_ref().ok().map(|vent: &Vent| vent.rest),
                mean(|sample| sample.load, 0.0),
            ),
            swept,
            response,
            vent,
            seals,
        }
    }

    /// What each key is.
    fn key(&self, key: ActuatorKey, machine: &Machine) -> Result<Estimate, String> {
        let a = &machine.actuator;
        let swept = || self.swept.as_ref().map_err(Clone::clone);
        let response = || self.response.as_ref().map_err(Clone::clone);
        let seals = || self.seals.as_ref().map_err(Clone::clone);
        match key {
            ActuatorKey::Mass => Ok(seals()?.weight.mapped(|weight| weight / G)),
            ActuatorKey::ReliefPressure => {
                let gain = swept()?.gain;
                // Plates at standstill stand at some angle of their runout, which is a share of the load.
                let runout = gain.value * machine.geometry.runout_ripple / sqrt(2.0);
                let deviation = sqrt(gain.deviation * gain.deviation + runout * runout);
                let freedom = swept()?.rows.len() as f64 - 3.0;
                let gain = Estimate::new(gain.value, deviation, freedom);
                Ok(gain.mapped(|gain| gain / a.area_cap()))
            }
            ActuatorKey::Counterbalance => self.counterbalance.clone(),
            ActuatorKey::SealBreakaway => {
                let seals = seals()?;
                let slowest = seals
                    .points
                    .iter()
                    .map(|p| abs(p[0]))
                    .fold(f64::INFINITY, min);
                if slowest > SLOW * a.stribeck_speed {
                    return Err(format!(
                        "the slowest motion is faster than {SLOW} of the Stribeck speed of the machine file"
                    ));
                }
                positive(seals.breakaway)
            }
            ActuatorKey::SealFriction => {
                let seals = seals()?;
                let sliding = positive(seals.sliding.clone()?)?;
                // The file's order; where they cannot be told apart they are the same.
                let most = seals.breakaway.value;
                Ok(if sliding.value > most {
                    sliding.mapped(|n| n - sliding.value + most)
                } else {
                    sliding
                })
            }
            ActuatorKey::DeadTime => {
                let found = response()?.dead_time;
                if found.value < 0.0 {
                    return Err("none shows".to_owned());
                }
                Ok(found)
            }
            ActuatorKey::Lag => Ok(response()?.lag),
            ActuatorKey::Slew => response()?.slew().ok_or_else(|| {
                "no step was large enough to show it: the lag alone explains them".to_owned()
            }),
            ActuatorKey::Resolution => Ok(swept()?.stairs.clone()?.resolution),
            ActuatorKey::Play => {
                let swept = swept()?;
                let stairs = swept.stairs.as_ref().map_err(|_| {
                    "the sweep tells play and resolution together, as hysteresis; without stairs not each by itself".to_owned()
                })?;
                let (all, own) = (swept.hysteresis, stairs.resolution);
                let deviation = sqrt(all.deviation * all.deviation + own.deviation * own.deviation);
                let freedom = swept.rows.len() as f64 - 3.0;
                let play = Estimate::new(all.value - own.value, deviation, freedom);
                if play.high < 0.0 {
                    return Err("none shows: the hysteresis is less than a stair".to_owned());
                }
                // What the file can hold.
                Ok(Estimate {
                    value: max(play.value, 0.0),
                    ..play
                })
            }
            ActuatorKey::DumpLag => Ok(self.vent.as_ref().map_err(Clone::clone)?.lag),
        }
    }

    fn report(self, file: &str, machine: &Machine, log: &Log, rows: [usize; 6]) -> ActuatorReport {
        let a = &machine.actuator;
        let keys: Vec<Told> = ActuatorKey::ALL
            .into_iter()
            .map(|key| Told {
                key,
                now: key.of(a),
                found: self.key(key, machine),
            })
            .collect();
        let offset = match (&self.swept, &self.rest) {
            (Ok(swept), Some(rest)) => Some(difference(
                &swept.intercept,
                rest,
                swept.rows.len() as f64 - 3.0,
            ))
            .map(|off| off.mapped(|newtons| newtons / swept.gain.value)),
            _ => None,
        };
        let resting = match (&self.seals, &self.counterbalance) {
            (Ok(seals), Ok(pressure)) => {
                let up = pressure.mapped(|p| a.area_rod() * p);
                Some(difference(&seals.weight, &up, seals.motions as f64 - 2.0))
            }
            _ => None,
        };
        let held = resting
            .as_ref()
            .zip(self.rest.as_ref())
            .map(|(resting, rest)| rest.value - resting.value);
        let breaks = self.breaks();
        let notes = self.notes(machine);
        ActuatorReport {
            file: file.to_owned(),
            machine: machine.id.clone(),
            load: log.load,
            rows,
            keys,
            offset,
            resting,
            held,
            holds: breaks.is_empty(),
            breaks,
            notes,
            swept: self.swept.ok(),
            response: self.response.ok(),
            vent: self.vent.ok(),
            seals: self.seals.ok(),
        }
    }

    /// Where the machine file's model does not say what the log does.
    fn breaks(&self) -> Vec<String> {
        let mut told = Vec::new();
        if let Ok(swept) = &self.swept
            && swept.bent > BENT
            && swept.bend.is_some_and(|test| test.chance < LEVEL)
        {
            told.push(format!(
                "the line bends by {:.1} % of the span: a straight one is wrong by as much, and by more beyond the sweep",
                100.0 * swept.bent
            ));
        }
        if let Ok(response) = &self.response
            && !response.holds()
        {
            told.push(format!(
                "dead time, slew and lag leave {:.1} % of a step: the regulator is of another kind, or something else moved",
                100.0 * response.share
            ));
        }
        told
    }

    fn notes(&self, machine: &Machine) -> Vec<String> {
        let mut told = vec![
            format!(
                "creep, nonlinearity and lash of the cell were taken off as {} has them; its span was not: a cell wrong by 1 % gives a gain wrong by 1 %, so `calibrate cell` comes first",
                machine.id
            ),
            "loads must be tared with the plate hanging free".to_owned(),
        ];
        if self.swept.is_ok() {
            told.push(
                "what the plate stands on must be stiff: the seals take the share of the gain that their presliding stiffness has of it"
                    .to_owned(),
            );
            if machine.geometry.runout_ripple > 0.0 {
                told.push(format!(
                    "plates that stand still have their runout at some angle: up to {:.1} % of the load either way, and the pressure at full command is no surer than that",
                    100.0 * machine.geometry.runout_ripple
                ));
            }
            if self.response.is_err() {
                told.push(
                    "no steps: the load's delay behind the sweep is that of the machine file"
                        .to_owned(),
                );
            }
        }
        if self.seals.is_err() && self.rest.is_some() {
            told.push(
                "the load at rest has the seals' friction in it, up or down by as much as the breakaway: weight and counterbalance are not told by it"
                    .to_owned(),
            );
        }
        told
    }
}

/// Estimates that a key can hold: nothing below zero.
fn positive(found: Estimate) -> Result<Estimate, String> {
    if found.value > 0.0 {
        Ok(found)
    } else {
        Err("none shows: both ways the rod side carries the same".to_owned())
    }
}

/// Mean of rows at rest: its deviation is that of scatter and last digit together.
fn still_mean(runs: &[&Run], value: fn(&log::Sample) -> f64, digit: f64) -> Option<Estimate> {
    let all: Vec<f64> = runs
        .iter()
        .flat_map(|run| run.samples.iter().map(value))
        .collect();
    let count = all.len() as f64;
    let middle = all.iter().sum::<f64>() / count;
    let square = all.iter().map(|x| (x - middle) * (x - middle)).sum::<f64>();
    let own = square / (max(count - 1.0, 1.0) * count);
    let deviation = sqrt(own + digit * digit / 12.0);
    // One row has no scatter; its last digit is all that is known.
    let freedom = if count > 1.0 && own > digit * digit / 12.0 {
        count - 1.0
    } else {
        KNOWN
    };
    Some(Estimate::new(middle, deviation, freedom))
}

/// Load at rest, of the vented plate and of the plate before the tests. The seals creep a little under the tests between the two, and the
/// line's own may lie anywhere between.
fn at_rest(vented: Option<Estimate>, before: Option<Estimate>) -> Option<Estimate> {
    let (Some(a), Some(b)) = (vented, before) else {
        return vented.or(before);
    };
    let crept = a.value - b.value;
    let own = 0.25 * (a.deviation * a.deviation + b.deviation * b.deviation);
    let deviation = sqrt(own + crept * crept / 12.0);
    Some(Estimate::new(0.5 * (a.value + b.value), deviation, KNOWN))
}

/// Difference of two estimates that know nothing of each other.
fn difference(a: &Estimate, b: &Estimate, freedom: f64) -> Estimate {
    let deviation = sqrt(a.deviation * a.deviation + b.deviation * b.deviation);
    Estimate::new(a.value - b.value, deviation, max(freedom, 1.0))
}

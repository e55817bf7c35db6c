//! The trial that a gain set is put through: a short recipe and what happens during it, derived from machine and batch.
//!
//! Initial load → low step → the fastest ramp to a high step → a disturbance at the plant's input, set and cleared → the fastest
//! ramp down → a quiet hold. Everything else (descent, touch-down, wetting, run-up) is what the sequencer makes of any recipe.

mod recipe;

pub use recipe::blocks;

use firmware_core::sequence::{Phase, State};
use recipe::{blocks_title, recipe, recipe_head, scenario, step, tick};
use twinplate_check::case::Case;
use twinplate_sim::bench::row_name;
use twinplate_sim::bench::run::AWAIT_START;
use twinplate_sim::bench::{Bench, ControllerPort, Ended, Job, PortError, Recorder};
use twinplate_sim::compile::{CompileError, filter_lag, lowest_load};
use twinplate_sim::math::{max, min};
use twinplate_sim::model::{Batch, Gains, Machine, Outline, Recipe, Scenario, Shown};

/// Share of the way from the lowest to the highest load at which the low step stands.
const LOW_SHARE: f64 = 0.1;
/// The high step keeps this share of what governor, supply and disturbance leave.
const HIGH_SHARE: f64 = 0.97;
/// Disturbance at the plant's input, share of the line's full scale. Every regulator shifts by as much with supply and warmth
/// (common practice, no source); it lies under what the cell-against-line row lets pass, which compares real pressures anyway.
pub const DISTURBANCE: f64 = 0.03;
/// A window is so many times lag, dead time and filter delay, …
const WINDOW: f64 = 12.0;
/// … but at least this long, s.
const SHORTEST: f64 = 1.5;
/// Quiet hold, s: three periods of the slowest hunting that is told from drift (2.5 s), and what is left out before it.
pub const QUIET: f64 = 10.0;
/// Left out at its beginning, s, until the step down has died away.
pub const QUIET_LEAD: f64 = 2.0;
/// Index of the high step.
pub const HIGH_STEP: u8 = 1;
/// Index of the quiet hold.
pub const QUIET_STEP: u8 = 2;

/// A trial of one machine with one batch. Gains are the machine's.
#[derive(Clone, Debug)]
pub struct Trial {
    /// Compiled job; its machine carries the gains on trial.
    pub job: Job,
    /// What happens in it.
    pub scenario: Scenario,
    /// Loads, sizes and times.
    pub plan: Plan,
}

/// Loads, sizes and times of a trial.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plan {
    /// Load of the low step and of the quiet hold, N.
    pub low: f64,
    /// Load of the high step, N.
    pub high: f64,
    /// Load limit of the high step, N.
    pub limit: f64,
    /// Ramp, N/s.
    pub ramp: f64,
    /// Size of the disturbance at the plant's input, N.
    pub disturbance: f64,
    /// Time for settling, and for the disturbance on and off, s each.
    pub window: f64,
    /// The batch is a stand-in.
    pub stand_in: bool,
}

/// Why a machine cannot be put to the trial.
#[derive(Clone, Debug, PartialEq)]
pub enum NoTrial {
    /// No room between the lowest load that can be held and the highest that the limits leave, N.
    NoRoom {
        /// Lowest load that can be held, N.
        lowest: f64,
        /// Highest that the limits leave, N.
        highest: f64,
    },
    /// The controller refuses the trial's recipe or the machine's parameters.
    Refused(CompileError),
}

impl std::fmt::Display for NoTrial {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoRoom { lowest, highest } => write!(
                f,
                "the machine holds no load under {lowest:.0} N and its limits leave none over {highest:.0} N: raise control.rated-load \
                 or the relief pressure, or lower control.initial-load"
            ),
            Self::Refused(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for NoTrial {}

impl From<CompileError> for NoTrial {
    fn from(error: CompileError) -> Self {
        Self::Refused(error)
    }
}

impl Trial {
    /// Title of what it presses on.
    pub(crate) fn title(&self, shown: &Shown) -> String {
        let batch = &self.job.batch;
        match batch.outline {
            Outline::Disc { diameter } if self.plan.stand_in => {
                blocks_title(batch.parts, diameter, shown)
            }
            _ => batch.title.clone(),
        }
    }

    /// Of a machine with a batch, or with stand-in blocks.
    ///
    /// # Errors
    /// A machine whose limits leave no load to try, or that the controller refuses.
    pub fn new(machine: &Machine, batch: Option<&Batch>) -> Result<Self, NoTrial> {
        let plan = plan(machine, batch)?;
        let batch = batch.cloned().unwrap_or_else(|| blocks(machine, plan.high));
        let recipe = recipe(machine, &batch, &plan);
        let job = Job::new(machine.clone(), batch, recipe)?;
        Ok(Self {
            scenario: scenario(machine, &plan),
            job,
            plan,
        })
    }

    /// The same trial with other gains.
    ///
    /// # Errors
    /// Gains that the controller refuses.
    pub fn with(&self, gains: Gains) -> Result<Self, NoTrial> {
        let mut machine = self.job.machine.clone();
        machine.gains = Some(gains);
        let job = Job::new(machine, self.job.batch.clone(), self.job.recipe.clone())?;
        Ok(Self {
            job,
            scenario: self.scenario.clone(),
            plan: self.plan,
        })
    }
}

/// Loads and times: the high step as near the limits as governor, supply and part strength let it be on the weakest machine.
fn plan(machine: &Machine, batch: Option<&Batch>) -> Result<Plan, NoTrial> {
    let (a, c, e) = (&machine.actuator, &machine.control, &machine.envelope);
    let disturbance = DISTURBANCE * a.line_gain();
    // Twice the governor's half-width below the limit, as the controller's own rule wants it.
    let friction = a.seal_friction * (1.0 + e.seal_friction);
    let under = |limit: f64| limit - 2.0 * (e.regulator_gain * (limit - c.initial_load) + friction);
    let mut limit = c.rated_load;
    if let Some(batch) = batch {
        // No piece may bear more than its strength, uneven as the pieces are.
        let bearable = |limit: f64| share_on_one(machine, batch, limit) <= batch.strength;
        while limit > c.initial_load && !bearable(limit) {
            limit *= 0.98;
        }
    }
    let high = HIGH_SHARE * min(under(limit), reachable(machine) - disturbance);
    let lowest = max(lowest_load(machine), c.initial_load);
    let room = high - lowest;
    if room <= 2.0 * disturbance {
        return Err(NoTrial::NoRoom {
            lowest,
            highest: high,
        });
    }
    let slow = a.lag + a.dead_time + filter_lag(c.filter);
    Ok(Plan {
        low: lowest + LOW_SHARE * room,
        high,
        limit,
        ramp: c.ramp_max,
        disturbance,
        window: tick(max(WINDOW * slow, SHORTEST)),
        stand_in: batch.is_none(),
    })
}

/// The case of a machine and a batch, for what asks no recipe.
fn with_case<T>(machine: &Machine, batch: &Batch, ask: impl FnOnce(&Case) -> T) -> T {
    let recipe = Recipe {
        steps: Vec::new(),
        ..recipe_head(machine, batch)
    };
    ask(&Case {
        machine,
        batch,
        recipe: &recipe,
    })
}

fn reachable(machine: &Machine) -> f64 {
    with_case(
        machine,
        &blocks(machine, machine.control.rated_load),
        |case| case.reachable_load(),
    )
}

fn share_on_one(machine: &Machine, batch: &Batch, load: f64) -> f64 {
    with_case(machine, batch, |case| case.share_on_one(load))
}

/// Steps a bench until the controller runs and `over` says so.
///
/// # Errors
/// What the port reports.
pub fn drive<C: ControllerPort, R: Recorder>(
    bench: &mut Bench<C, R>,
    longest: u32,
    over: impl Fn(Phase, &Bench<C, R>) -> bool,
) -> Result<Ended, PortError> {
    let mut ran = false;
    while bench.tick() < longest {
        let status = bench.step()?;
        let (running, phase) = (status.state == State::Running, status.phase);
        if running && over(phase, bench) {
            return Ok(Ended::Complete);
        }
        if ran && !running {
            return Ok(Ended::Stopped);
        }
        ran |= running;
        // A controller powers up stopped and is reset and started by the operator.
        if !ran && bench.tick() > AWAIT_START {
            return Ok(Ended::NotStarted);
        }
    }
    Ok(Ended::LongestTime)
}

/// Why a driven bench ended before its end, in words; `None` where it did not.
#[must_use]
pub(crate) fn trip_of<C: ControllerPort, R: Recorder>(
    ended: Ended,
    bench: &Bench<C, R>,
) -> Option<String> {
    match ended {
        Ended::Complete => None,
        Ended::LongestTime => Some("not over in its longest time".to_owned()),
        Ended::NotStarted => Some("never started".to_owned()),
        Ended::Stopped | Ended::Aborted | Ended::Idle => bench.status().map(|status| {
            format!(
                "{} in step {} at {:.1} s",
                row_name(status.cause),
                status.step + 1,
                f64::from(bench.tick()) / 1e3
            )
        }),
    }
}

/// Where a machine's open-loop experiment stands: half-way between the trial's loads, in one long step.
///
/// # Errors
/// As [`Trial::new`].
pub fn one_step(
    machine: &Machine,
    batch: Option<&Batch>,
    seconds: f64,
) -> Result<(Job, Plan), NoTrial> {
    let plan = plan(machine, batch)?;
    let batch = batch.cloned().unwrap_or_else(|| blocks(machine, plan.high));
    let load = 0.5 * (plan.low + plan.high);
    let recipe = Recipe {
        id: "experiment".into(),
        title: "An experiment with the load line (computed from machine and batch)".into(),
        steps: vec![step(machine, &batch, &plan, ("hold", load, seconds))],
        ..recipe_head(machine, &batch)
    };
    Ok((Job::new(machine.clone(), batch, recipe)?, plan))
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_check::catalogue::{Code, Severity};
    use twinplate_check::predict::predict;
    use twinplate_check::static_check;
    use twinplate_sim::demo;

    #[test]
    fn the_trial_of_every_demo_machine_breaks_no_static_rule_of_load_and_turning() {
        for name in ["machine-a", "machine-b", "machine-c"] {
            let machine = demo::machine(name);
            let trial = Trial::new(&machine, None).expect(name);
            let case = Case {
                machine: &machine,
                batch: &trial.job.batch,
                recipe: &trial.job.recipe,
            };
            let errors: Vec<_> = static_check::check(&case, &predict(&case, 1.0))
                .into_iter()
                // The blocks have nothing to lose: that there is no stock and nothing that takes it off is meant.
                .filter(|finding| {
                    finding.severity == Severity::Error
                        && ![Code::NoStock, Code::NoAbrasive].contains(&finding.code)
                })
                .map(|finding| (finding.name(), finding.message))
                .collect();
            assert!(errors.is_empty(), "{name}: {errors:#?}");
        }
    }

    #[test]
    fn a_batch_of_thin_parts_keeps_the_high_load_bearable() {
        let machine = demo::machine("machine-a");
        let mut batch = demo::batch("glass-discs");
        batch.strength = 200.0;
        let weak = Trial::new(&machine, Some(&batch)).expect("room").plan;
        let strong = Trial::new(&machine, None).expect("room").plan;
        assert!(weak.high < strong.high, "{weak:?} {strong:?}");
        assert!(share_on_one(&machine, &batch, weak.limit) <= batch.strength);
    }

    #[test]
    fn a_machine_without_room_is_refused_with_a_cure() {
        let mut machine = demo::machine("machine-a");
        machine.control.rated_load = 200.0;
        let refusal = Trial::new(&machine, None).map(|trial| trial.plan);
        assert!(
            matches!(refusal, Err(NoTrial::NoRoom { .. })),
            "{refusal:?}"
        );
    }
}

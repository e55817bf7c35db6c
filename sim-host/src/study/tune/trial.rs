//! The trial that a gain set is put through: a short recipe and what happens during it, derived from machine and batch.
//!
//! Initial load → low step → the fastest ramp to a high step → a disturbance at the plant's input, set and cleared → the fastest
//! ramp down → a quiet hold. Everything else (descent, touch-down, wetting, run-up) is what the sequencer makes of any recipe.

use super::super::case::Case;
use crate::bench::run::AWAIT_START;
use crate::bench::{Bench, ControllerPort, Ended, Job, PortError, Recorder};
use crate::compile::{self, CompileError, filter_lag, lowest_load};
use crate::math::{max, min};
use crate::model::{
    Batch, Component, Consumables, End, Fault, FaultMode, Gains, Machine, Outline, Process, Recipe,
    Scenario, ScenarioEvent, Step, What, When,
};
use crate::study::prove::row_name;
use firmware_core::sequence::{Phase, State};

/// Pressure that the stand-in blocks get at the high load, Pa: middle of what lapping uses (common practice, no source).
const BLOCK_PRESSURE: f64 = 20e3;
/// Contact stiffness of the stand-in blocks per area, N/m³ (invented, as the demonstration set's).
const BLOCK_STIFFNESS: f64 = 1e10;
/// Blocks in a carrier: each carrier stands on three.
const BLOCKS: u32 = 3;
/// Radius of the block centres, share of the carrier's pitch radius: three blocks clear each other and the rim.
const BLOCK_RADIUS: f64 = 0.54;
/// Height of a block, m (invented).
const BLOCK_HEIGHT: f64 = 10e-3;
/// Friction coefficient of the wet blocks, and of dry ones (invented, as the demonstration set's glass).
const FRICTION: [f64; 2] = [0.1, 0.3];

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
/// Rotation, share of what the slowest drive allows.
const SPEED_SHARE: f64 = 0.4;
/// Ratio of the four drives (inner ring, outer ring, lower, upper): plates against each other, carriers slowly round.
const SPEED_RATIO: [f64; 4] = [0.5, 0.18, 1.0, -0.5];
/// Pre-start beyond the line's fill: share of the fill, and wetting times.
const FILL_SPARE: f64 = 1.25;
/// See [`FILL_SPARE`].
const WET_TIMES: f64 = 2.0;

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

/// Whole ticks.
fn tick(seconds: f64) -> f64 {
    f64::from(compile::ticks(seconds).0) / 1e3
}

/// Stand-in blocks: three steel discs a carrier, of an area that gives them [`BLOCK_PRESSURE`] at `load` (N).
#[must_use]
pub fn blocks(machine: &Machine, load: f64) -> Batch {
    let pieces = BLOCKS * machine.geometry.carriers;
    let each = load / BLOCK_PRESSURE / f64::from(pieces);
    let diameter = crate::math::sqrt(4.0 * each / std::f64::consts::PI);
    Batch {
        id: "stand-in-blocks".into(),
        title: format!(
            "Stand-in test blocks: {pieces} steel discs of {:.0} mm (computed from the machine)",
            diameter * 1e3
        ),
        material: "steel".into(),
        // Handbook value, from memory.
        density: 7850.0,
        outline: Outline::Disc { diameter },
        thickness: BLOCK_HEIGHT,
        spread: 1e-6,
        damage: 0.0,
        roughness: 0.3e-6,
        // A block bears whatever the machine can press.
        strength: 10.0 * machine.control.rated_load,
        stiffness_per_area: BLOCK_STIFFNESS,
        target: BLOCK_HEIGHT,
        tolerance: 50e-6,
        parallelism: 50e-6,
        flatness: 50e-6,
        finish: 1e-6,
        carrier_thickness: 0.8 * BLOCK_HEIGHT,
        pockets: BLOCKS,
        pocket_radius: BLOCK_RADIUS * machine.geometry.radius_carrier(),
        parts: pieces,
        dummies: 0,
    }
}

/// Turning speeds, rad/s.
fn speeds(machine: &Machine) -> [f64; 4] {
    let mut base = f64::INFINITY;
    for (drive, ratio) in machine.drives.iter().zip(SPEED_RATIO) {
        if !drive.fixed {
            base = min(base, drive.speed / crate::math::abs(ratio));
        }
    }
    std::array::from_fn(|i| {
        if machine.drives[i].fixed {
            0.0
        } else {
            SPEED_SHARE * base * SPEED_RATIO[i]
        }
    })
}

fn recipe_head(machine: &Machine, batch: &Batch) -> Recipe {
    let s = &machine.slurry;
    Recipe {
        id: "gain-trial".into(),
        title: "Trial of a gain set (computed from machine and batch)".into(),
        machine: machine.id.clone(),
        batch: batch.id.clone(),
        process: Process::LooseAbrasive,
        consumables: Consumables {
            abrasive: "none".into(),
            grade: "none".into(),
            grain: 5e-6,
            vehicle: "water".into(),
            concentration: 0.0,
            // Nothing is taken off: the trial is about the load.
            removal: 1e-18,
            friction: FRICTION[0],
            friction_dry: FRICTION[1],
            breakdown_work: 1e9,
            roughness: batch.roughness,
            damage: 0.0,
            settle_depth: 1e-6,
        },
        prestart: tick(FILL_SPARE * s.line_volume / s.flow_max + WET_TIMES * s.wet_time),
        prestart_flow: s.flow_max,
        rinse: 0.0,
        gauge: false,
        steps: Vec::new(),
    }
}

/// One step: its name, load (N) and time (s).
fn step(
    machine: &Machine,
    batch: &Batch,
    plan: &Plan,
    (name, load, seconds): (&str, f64, f64),
) -> Step {
    Step {
        name: name.into(),
        pressure: load / batch.area(),
        load_limit: plan.limit,
        ramp: plan.ramp,
        speeds: speeds(machine),
        flow: machine.slurry.flow_max,
        end: End::Time { seconds },
        // Time out of the band does not count as the step's.
        longest: 2.0 * seconds + 10.0,
    }
}

fn recipe(machine: &Machine, batch: &Batch, plan: &Plan) -> Recipe {
    Recipe {
        steps: [
            ("low", plan.low, plan.window),
            ("high", plan.high, 3.0 * plan.window),
            ("quiet", plan.low, QUIET),
        ]
        .map(|what| step(machine, batch, plan, what))
        .into(),
        ..recipe_head(machine, batch)
    }
}

/// The disturbance: the regulator gives more pressure than it is told, as if its gain had risen, then it is right again. On any
/// machine of the envelope the same factor makes nearly the same newtons, because command times gain is the load above rest.
fn scenario(machine: &Machine, plan: &Plan) -> Scenario {
    let above_rest = plan.high - machine.actuator.resting_load();
    let after = |delay: f64, what: What| ScenarioEvent {
        when: When::After {
            phase: Phase::Dwell,
            step: Some(HIGH_STEP),
            delay,
        },
        what,
    };
    Scenario {
        id: "gain-trial".into(),
        title: "A disturbance at the plant's input, set and cleared".into(),
        operator: true,
        longest: 600.0,
        events: vec![
            after(
                plan.window,
                What::Fault(Fault {
                    component: Component::Regulator,
                    mode: FaultMode::Wrong,
                    magnitude: Some(1.0 + plan.disturbance / above_rest),
                }),
            ),
            after(2.0 * plan.window, What::Clear(Component::Regulator)),
        ],
    }
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
pub fn trip_of<C: ControllerPort, R: Recorder>(
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
    use crate::demo;
    use crate::study::catalogue::Code;
    use crate::study::finding::Severity;
    use crate::study::predict::predict;
    use crate::study::static_check;

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
                // The blocks have nothing to lose: that there is no stock is meant.
                .filter(|finding| {
                    finding.severity == Severity::Error && finding.code != Code::NoStock
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
        batch.strength = 90.0;
        let weak = Trial::new(&machine, Some(&batch)).expect("room").plan;
        let strong = Trial::new(&machine, None).expect("room").plan;
        assert!(weak.high < strong.high, "{weak:?} {strong:?}");
        assert!(share_on_one(&machine, &batch, weak.limit) <= 90.0);
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

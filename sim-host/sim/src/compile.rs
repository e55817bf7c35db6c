//! From files to the controller: a machine becomes checked parameters, a recipe and its batch a wire recipe.
//!
//! Units are converted once, here (by `convert`). Every derived number says where it comes from.

use crate::convert::{f32_of, ml_min, newtons, rpm, um};
use crate::flatness;
use crate::math;
use crate::model::{Batch, End, Gains, Machine, Recipe};
use firmware_core::judge::CREEP_LIFT;
use firmware_core::params::{CheckedParams, PARAM_RULES, PARAMS_SCHEMA, ParamsWire, machine_id};
use firmware_core::process_image::DRIVES;
use firmware_core::recipe::{
    CheckedRecipe, EndWire, MAX_STEPS, RECIPE_SCHEMA, RecipeWire, StepWire, Violation,
};
use firmware_core::units::{
    Celsius, Hertz, Micrometres, NewtonMetres, NewtonsPerCount, NewtonsPerSecond, PerNewton, Ratio,
    RpmPerSecond, Seconds, Ticks,
};
use std::f64::consts::PI;

/// Share of the lightest load that any plate of the envelope can rest with that counts as contact.
pub const CONTACT_SHARE: f64 = 0.5;
/// The tare may differ from the declared weight by this share beyond the envelope's.
const TARE_SPARE: f64 = 0.01;
/// Accuracy of the pressure transmitters, share of rated load, in the cell-against-line check.
const TRANSMITTER: f64 = 0.01;
/// Setup movements turn at this share of the slowest drive's largest speed.
const SETUP_SHARE: f64 = 0.1;
/// Spare on the travel time, as a factor …
const TRAVEL_SPARE: f64 = 1.5;
/// … and beside it, s.
pub const TRAVEL_EXTRA: f64 = 5.0;
/// At creep flow the rod side takes its time to change pressure before the plate moves or rests: this share of a column of
/// air this long, m, passes the metering valve first. A property test found plates whose lift was called late for the lack of it.
const AIR_SHARE: f64 = 0.15;
const AIR_COLUMN: f64 = 0.065;
/// A plate that hangs heavier than its tare by this share of its weight carries parts.
const STUCK_SHARE: f64 = 0.004;

/// Filtered noise that the dead band and the regulator's stiction let through, in standard deviations.
const NOISE_SIGMAS: f64 = 3.0;
/// Largest amplification of the runout ripple by the loop (maximum complementary sensitivity of the default gains).
const RIPPLE_ANSWER: f64 = 1.3;
/// Overshoot that is allowed in any case, N …
pub const OVERSHOOT_NEWTONS: f64 = 5.0;
/// … and as a share of the setpoint, whichever is more.
pub const OVERSHOOT_SHARE: f64 = 0.02;

/// Why a machine or recipe could not be compiled. The files' own checks come first; what arrives here is a relation
/// between values that no single field shows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CompileError {
    /// The parameters break rules of the controller; each with what it expects.
    Params(Vec<(u16, &'static str)>),
    /// The machine holds no load at all within the overshoot allowance: what keeps it from that.
    NothingHeld(Blame),
    /// The recipe breaks limits of the controller.
    Recipe(Vec<Violation>),
    /// More steps than the controller stores.
    TooManySteps(usize),
    /// The recipe's name does not fit.
    Name(String),
}

impl std::fmt::Display for CompileError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Params(rules) => {
                write!(f, "the controller refuses the machine's parameters:")?;
                let mut between = "";
                for (id, expected) in rules {
                    write!(f, "{between} rule {id} wants {expected}")?;
                    between = ";";
                }
                Ok(())
            }
            Self::NothingHeld(blame) => write!(
                f,
                "the controller refuses the machine: it can hold no load under its rated load within {OVERSHOOT_NEWTONS} N or \
                 {} % of it, because {}; improve `{}`",
                OVERSHOOT_SHARE * 100.0,
                blame.why(),
                blame.key()
            ),
            Self::Recipe(violations) => {
                write!(f, "the controller refuses the recipe:")?;
                let mut between = "";
                for v in violations {
                    let rule = v.rule.word();
                    match v.step {
                        Some(step) => write!(f, "{between} {rule} (step {})", u16::from(step) + 1)?,
                        None => write!(f, "{between} {rule}")?,
                    }
                    between = ";";
                }
                Ok(())
            }
            Self::TooManySteps(n) => {
                write!(f, "{n} steps, the controller stores at most {MAX_STEPS}")
            }
            Self::Name(name) => write!(f, "the recipe's id \"{name}\" is longer than 24 bytes"),
        }
    }
}

impl std::error::Error for CompileError {}

/// Seconds to ticks, rounded to the nearest; saturates at the counter's range.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // `as` saturates; the value is rounded first
pub fn ticks(seconds: f64) -> Ticks {
    Ticks(math::floor(seconds * 1000.0 + 0.5) as u32)
}

/// Lag that the load filter adds at low frequency, s: `2 ζ / ω` of a Butterworth second-order low-pass.
#[must_use]
pub fn filter_lag(corner_hz: f64) -> f64 {
    std::f64::consts::SQRT_2 / (2.0 * PI * corner_hz)
}

/// Default gains: SIMC on the declared line (Skogestad, J. Process Control 13 (2003) 291–309), closed-loop time = dead time
/// plus filter lag, the filter's lag counted as dead time.
#[must_use]
pub fn default_gains(machine: &Machine) -> Gains {
    let a = &machine.actuator;
    let filter = filter_lag(machine.control.filter);
    let theta = a.dead_time + filter;
    let tau_c = theta;
    let kc = a.lag / (a.line_gain() * (tau_c + theta));
    Gains {
        kc,
        ti: math::min(a.lag, 4.0 * (tau_c + theta)),
        weight: 1.0,
    }
}

/// The gains in force: the file's, or the default rule's.
#[must_use]
pub fn gains(machine: &Machine) -> Gains {
    machine.gains.unwrap_or_else(|| default_gains(machine))
}

/// Lightest load with which a plate of the envelope rests on the parts, its seals still holding it up, N. From a property test: a
/// share of the nominal resting load was more than the lightest plate ever showed.
#[must_use]
pub(crate) fn lightest_rest(machine: &Machine) -> f64 {
    let (a, e) = (&machine.actuator, &machine.envelope);
    a.weight() * (1.0 - e.weight)
        - a.area_rod() * a.counterbalance * (1.0 + e.counterbalance)
        - a.seal_breakaway * (1.0 + e.seal_friction)
}

/// Load from which on the controller believes in contact, N.
#[must_use]
pub fn contact_threshold(machine: &Machine) -> f64 {
    CONTACT_SHARE * lightest_rest(machine)
}

/// Dead band of the integral, N: a little over half a jump of the regulator on the strongest line of the envelope.
#[must_use]
pub fn deadband(machine: &Machine) -> f64 {
    let (a, e) = (&machine.actuator, &machine.envelope);
    0.55 * a.resolution * a.line_gain() * (1.0 + e.regulator_gain)
}

/// What a machine spends of the overshoot allowance (5 N or 2 % of the setpoint, whichever is more) before its loop does anything,
/// and the load under which the loop has nothing left to take away.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Holding {
    /// Highest load with which a plate of the envelope rests at no command, N: the heaviest plate on the weakest counterbalance, its
    /// seals pressing down, the regulator's offset and half its jump.
    pub rest: f64,
    /// Half a jump of the regulator, N.
    pub jump: f64,
    /// The loop's answer to the cell's noise, N.
    pub noise: f64,
    /// Span error of the cell, share of the load.
    pub span: f64,
    /// The loop's answer to the runout ripple, share of the load.
    pub ripple: f64,
}

impl Holding {
    /// Of a machine.
    #[must_use]
    pub fn of(machine: &Machine) -> Self {
        let (a, c, e) = (&machine.actuator, &machine.control, &machine.envelope);
        // White noise up to half the tick rate through a Butterworth low-pass: equivalent bandwidth 1.11 corners (textbook value).
        let filtered = machine.cell.noise * e.noise_factor * math::sqrt(1.11 * c.filter / 500.0);
        let jump = deadband(machine);
        Self {
            rest: a.weight() * (1.0 + e.weight)
                - a.area_rod() * a.counterbalance * (1.0 - e.counterbalance)
                + a.seal_breakaway * (1.0 + e.seal_friction)
                + a.line_gain() * e.regulator_offset
                + jump,
            jump,
            noise: NOISE_SIGMAS * filtered,
            span: e.cell_span,
            ripple: RIPPLE_ANSWER * machine.geometry.runout_ripple,
        }
    }

    /// Lowest load from which on the allowance is not yet spent, N; infinite where it is at any load.
    fn accurate(&self) -> f64 {
        let (fixed, share) = (self.jump + self.noise, self.span + self.ripple);
        if share >= OVERSHOOT_SHARE {
            return f64::INFINITY;
        }
        // Up to here the allowance is so many newtons, from here on a share.
        let knee = OVERSHOOT_NEWTONS / OVERSHOOT_SHARE;
        if fixed + share * knee <= OVERSHOOT_NEWTONS {
            0.0
        } else {
            fixed / (OVERSHOOT_SHARE - share)
        }
    }

    /// Lowest load of a step, N; infinite where the machine holds none within the allowance.
    #[must_use]
    pub fn lowest(&self) -> f64 {
        math::max(self.rest, self.accurate())
    }

    /// Largest runout ripple with which a load is held, share of the load; none is left where it is negative.
    #[must_use]
    pub fn largest_ripple(&self, load: f64) -> f64 {
        let allowed = math::max(OVERSHOOT_NEWTONS, OVERSHOOT_SHARE * load);
        ((allowed - self.jump - self.noise) / load - self.span) / RIPPLE_ANSWER
    }

    /// What to change first so that less is the lowest load: the keys of the machine file and their names in the model.
    #[must_use]
    pub fn blame(&self) -> Blame {
        if self.rest >= self.accurate() {
            return Blame::Rest;
        }
        let knee = OVERSHOOT_NEWTONS / OVERSHOOT_SHARE;
        let mut worst = (self.ripple * knee, Blame::Runout);
        for (spent, blame) in [
            (self.span * knee, Blame::Span),
            (self.jump, Blame::Resolution),
            (self.noise, Blame::Noise),
        ] {
            if spent > worst.0 {
                worst = (spent, blame);
            }
        }
        worst.1
    }
}

/// What keeps a machine from holding a lower load.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blame {
    /// The plate rests with as much.
    Rest,
    /// Runout of the plates.
    Runout,
    /// Span error of the cell.
    Span,
    /// Jump of the regulator.
    Resolution,
    /// Noise of the cell.
    Noise,
}

impl Blame {
    /// The key of the machine file.
    #[must_use]
    pub const fn key(self) -> &'static str {
        match self {
            Self::Rest => "actuator.counterbalance",
            Self::Runout => "geometry.runout-ripple",
            Self::Span => "envelope.cell-span",
            Self::Resolution => "actuator.resolution",
            Self::Noise => "cell.noise",
        }
    }

    /// What it does, in words that go on from a load or a machine.
    #[must_use]
    pub const fn why(self) -> &'static str {
        match self {
            Self::Rest => "the heaviest plate of the envelope rests with as much",
            Self::Runout => "the runout of the plates moves the load by more than its allowance",
            Self::Span => "the span error of the cell is more than the load's allowance",
            Self::Resolution => "the regulator jumps by more than the load's allowance",
            Self::Noise => "the noise of the cell is more than the load's allowance",
        }
    }
}

/// Lowest load of a step that the machine can hold without passing the overshoot allowance (5 N or 2 % of the setpoint,
/// whichever is more), N; infinite where it can hold none.
#[must_use]
pub fn lowest_load(machine: &Machine) -> f64 {
    Holding::of(machine).lowest()
}

/// Longest travel of the plate for any part, s: the whole way fast, the approach creeping.
fn travel_time(machine: &Machine) -> f64 {
    let a = &machine.actuator;
    let creep = a.approach + machine.control.contact_tolerance + AIR_SHARE * AIR_COLUMN;
    (a.height_raised / a.speed_fast + creep / a.speed_creep) * TRAVEL_SPARE + TRAVEL_EXTRA
}

/// Longest lift, s: the creep off the parts, then the whole way at lift speed.
fn lift_time(machine: &Machine) -> f64 {
    let a = &machine.actuator;
    let creep = f64::from(CREEP_LIFT) * 1e-6 + AIR_SHARE * AIR_COLUMN;
    (creep / a.speed_creep + a.height_raised / a.speed_lift) * TRAVEL_SPARE + TRAVEL_EXTRA
}

/// Compiles a machine's controller parameters.
///
/// # Errors
/// [`CompileError::NothingHeld`], or [`CompileError::Params`] with every rule broken.
pub fn params(machine: &Machine) -> Result<CheckedParams, CompileError> {
    let holding = Holding::of(machine);
    if holding.lowest() >= machine.control.rated_load {
        return Err(CompileError::NothingHeld(holding.blame()));
    }
    params_wire(machine).check().map_err(|faults| {
        let rule = |id: u16| {
            PARAM_RULES
                .iter()
                .find(|(n, _)| *n == id)
                .map_or("", |(_, text)| *text)
        };
        CompileError::Params(faults.iter().map(|f| (f.0, rule(f.0))).collect())
    })
}

/// The parameters before their check: for tests that change one.
#[must_use]
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // ranges are the files' checks; `as` saturates
pub fn params_wire(machine: &Machine) -> ParamsWire {
    let (a, c, e) = (&machine.actuator, &machine.control, &machine.envelope);
    let gains = gains(machine);
    let slowest = machine
        .drives
        .iter()
        .filter(|d| !d.fixed)
        .fold(f64::INFINITY, |m, d| math::min(m, d.speed));
    let seal_high = a.seal_breakaway * (1.0 + e.seal_friction);
    // The transmitters see the real pressures, so what is left is friction, span, offset of the tare, and their accuracy.
    let line_tolerance =
        1.5 * seal_high + TRANSMITTER * c.rated_load + (e.cell_span + TARE_SPARE) * a.weight();
    ParamsWire {
        schema: PARAMS_SCHEMA,
        machine_id: machine_id(&machine.id),
        cell_scale: NewtonsPerCount::new(f32_of(machine.cell.range / machine.cell.counts_at_range)),
        cell_range_counts: math::min(machine.cell.counts_at_range * 1.02, 8_388_606.0) as i32,
        weight: newtons(a.weight()),
        tare_band: newtons(a.weight() * (e.weight + e.cell_span + TARE_SPARE)),
        // 0.1 mbar is 10 Pa.
        cap_scale: NewtonsPerCount::new(f32_of(a.area_cap() * 10.0)),
        rod_scale: NewtonsPerCount::new(f32_of(a.area_rod() * 10.0)),
        line_tolerance: newtons(line_tolerance),
        resting: newtons(a.resting_load()),
        line_gain: newtons(a.line_gain()),
        dead_time: ticks(a.dead_time),
        lag: Seconds::new(f32_of(a.lag)),
        slew: Ratio::new(f32_of(a.slew)),
        kc: PerNewton::new(f32_of(gains.kc)),
        ti: Seconds::new(f32_of(gains.ti)),
        setpoint_weight: Ratio::new(f32_of(gains.weight)),
        deadband: newtons(deadband(machine)),
        lowest: newtons(lowest_load(machine)),
        filter: Hertz::new(f32_of(c.filter)),
        governor_gain: Ratio::new(f32_of(1.0 + e.regulator_gain)),
        governor_margin: newtons(a.seal_friction * (1.0 + e.seal_friction)),
        initial: newtons(c.initial_load),
        first_contact: newtons(c.first_contact_limit),
        contact: newtons(contact_threshold(machine)),
        stuck: newtons(STUCK_SHARE * a.weight() + 3.0 * machine.cell.noise),
        rated: newtons(c.rated_load),
        band: newtons(c.band_newtons),
        band_share: Ratio::new(f32_of(c.band_share)),
        ramp_max: NewtonsPerSecond::new(f32_of(c.ramp_max)),
        height_raised: um(a.height_raised),
        approach: um(a.approach),
        contact_tolerance: um(c.contact_tolerance),
        travel_time: ticks(travel_time(machine)),
        lift_time: ticks(lift_time(machine)),
        torque_max: std::array::from_fn(|i| NewtonMetres::new(f32_of(machine.drives[i].torque))),
        speed_max: std::array::from_fn(|i| rpm(machine.drives[i].speed)),
        fixed: std::array::from_fn::<bool, DRIVES, _>(|i| machine.drives[i].fixed),
        drive_ramp: RpmPerSecond::new(rpm(c.drive_ramp).get()),
        speed_tolerance: rpm(c.speed_tolerance),
        setup_speed: rpm(slowest * SETUP_SHARE),
        flow_min: ml_min(machine.slurry.flow_min),
        flow_max: ml_min(machine.slurry.flow_max),
        supply_min: (a.supply_minimum / 100.0) as u16,
        temperature_high: Celsius::new(f32_of(machine.thermal.high)),
        temperature_very_high: Celsius::new(f32_of(machine.thermal.very_high)),
        estop_category: c.estop_category,
        stop_time: ticks(c.stop_time),
        coast_time: ticks(machine.slurry.film_life),
        hold_time: ticks(c.hold_time),
        settle_limit: ticks(c.settle_limit),
    }
}

/// Compiles a recipe for its batch against checked parameters, unchecked: for tests and for the static findings.
///
/// # Errors
/// [`CompileError::TooManySteps`] or [`CompileError::Name`].
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // piece counts are bounded by the files' checks
pub(crate) fn recipe_wire(
    recipe: &Recipe,
    machine: &Machine,
    batch: &Batch,
    params: &CheckedParams,
) -> Result<RecipeWire, CompileError> {
    let mut steps = heapless::Vec::new();
    for step in &recipe.steps {
        let wire = StepWire {
            load: newtons(step.pressure * batch.area()),
            load_limit: newtons(step.load_limit),
            ramp: NewtonsPerSecond::new(f32_of(step.ramp)),
            speeds: step.speeds.map(rpm),
            flow: ml_min(step.flow),
            end: match step.end {
                End::Time { seconds } => EndWire::Time(ticks(seconds)),
                End::Stock { depth } => EndWire::Stock(um(depth)),
                End::Size { thickness } => EndWire::Size(um(thickness)),
            },
            longest: ticks(step.longest),
        };
        steps
            .push(wire)
            .map_err(|_| CompileError::TooManySteps(recipe.steps.len()))?;
    }
    Ok(RecipeWire {
        schema: RECIPE_SCHEMA,
        name: heapless::String::try_from(recipe.id.as_str())
            .map_err(|_| CompileError::Name(recipe.id.clone()))?,
        machine_id: params.get().machine_id,
        params_hash: params.hash(),
        process: recipe.consumables.process,
        pieces: batch.pieces() as u16,
        contact_height: um(batch.thickness),
        prestart: ticks(recipe.prestart),
        prestart_flow: ml_min(recipe.prestart_flow),
        rinse: ticks(recipe.rinse),
        size_lower: if recipe.gauge {
            um(batch.target - batch.tolerance)
        } else {
            Micrometres::ZERO
        },
        flatness: recipe
            .flatness
            .as_ref()
            .map(|control| flatness::form_control(control, recipe, machine, batch)),
        steps,
    })
}

/// Compiles and checks a recipe.
///
/// # Errors
/// Every violation of the controller's limits.
pub fn recipe(
    recipe: &Recipe,
    machine: &Machine,
    batch: &Batch,
    params: &CheckedParams,
) -> Result<CheckedRecipe, CompileError> {
    recipe_wire(recipe, machine, batch, params)?
        .check(params)
        .map_err(|violations| CompileError::Recipe(violations.iter().copied().collect()))
}

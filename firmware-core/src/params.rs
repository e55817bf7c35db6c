//! Machine parameters: limits, gains, calibration, governor edges and filter of one machine, in one versioned block.
//!
//! [`ParamsWire`] is what travels; [`CheckedParams`] is what may run, and only [`ParamsWire::check`] makes one.
//! A compiled recipe carries [`CheckedParams::hash`], so a recipe compiled against other parameters is refused.

mod digest;
mod rules;

pub use digest::{Digest, machine_id};
pub use rules::{PARAM_RULES, ParamFault};

use crate::math::{max, min, to_ticks};
use crate::process_image::DRIVES;
use crate::units::{
    Celsius, Hertz, Micrometres, MillilitresPerMinute, NewtonMetres, Newtons, NewtonsPerCount,
    NewtonsPerSecond, PerNewton, Ratio, Rpm, RpmPerSecond, Seconds, Ticks,
};
use serde::{Deserialize, Serialize};

/// Version of this layout.
pub const PARAMS_SCHEMA: u16 = 1;

/// Longest dead time the model-following reference can hold, ticks; the size of its delay line.
pub const MAX_DEAD_TICKS: u32 = 127;

/// What a ramp of the drives may take longer than half as much again, ticks.
pub const RAMP_SPARE: u32 = 2_000;

/// Share by which a ramp may take longer than at its rate.
const RAMP_FACTOR: f32 = 1.5;

/// Machine parameters as they travel: not yet believed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ParamsWire {
    /// [`PARAMS_SCHEMA`].
    pub schema: u16,
    /// Identity of the machine (hash of its name).
    pub machine_id: u32,
    /// Load cell scale, > 0.
    pub cell_scale: NewtonsPerCount,
    /// Counts beyond which the cell is out of range, > 0.
    pub cell_range_counts: i32,
    /// Weight of the upper plate: the tare expected hanging free is minus this, > 0.
    pub weight: Newtons,
    /// Largest believable difference of the tare from minus the weight, > 0.
    pub tare_band: Newtons,
    /// Cap-side force per 0.1 mbar count, > 0.
    pub cap_scale: NewtonsPerCount,
    /// Rod-side force per 0.1 mbar count, > 0.
    pub rod_scale: NewtonsPerCount,
    /// Largest believable difference of the cell from the pressures' line, > 0.
    pub line_tolerance: Newtons,
    /// Load in contact with the cap side vented, > 0.
    pub resting: Newtons,
    /// Load per full command, > 0.
    pub line_gain: Newtons,
    /// Dead time of the regulator, at most [`MAX_DEAD_TICKS`].
    pub dead_time: Ticks,
    /// Lag of the regulator, > 0.
    pub lag: Seconds,
    /// Fastest command change, shares per second, > 0.
    pub slew: Ratio,
    /// Proportional gain, > 0.
    pub kc: PerNewton,
    /// Integral time, > one tick.
    pub ti: Seconds,
    /// Setpoint weight, 0..=1.
    pub setpoint_weight: Ratio,
    /// Load error within which the integral rests, >= 0: half a jump of the regulator, so that it does not hunt.
    pub deadband: Newtons,
    /// Load filter corner, 0.5..=200 Hz.
    pub filter: Hertz,
    /// Highest line gain of the envelope over the declared one, >= 1.
    pub governor_gain: Ratio,
    /// Seal friction at the worst edge, taken off the governor's limit, >= 0.
    pub governor_margin: Newtons,
    /// Initial load, > resting.
    pub initial: Newtons,
    /// Lowest load of a step that this machine can hold within its tolerance, > resting.
    pub lowest: Newtons,
    /// First-contact limit, > initial.
    pub first_contact: Newtons,
    /// Load that counts as contact, 0 < value < resting.
    pub contact: Newtons,
    /// Weight above the tare, while lifting, that means parts stick to the plate, > 0.
    pub stuck: Newtons,
    /// Rated load, > first contact.
    pub rated: Newtons,
    /// Load band, absolute part, > 0.
    pub band: Newtons,
    /// Load band, share of the setpoint, >= 0.
    pub band_share: Ratio,
    /// Fastest load ramp of a recipe, > 0.
    pub ramp_max: NewtonsPerSecond,
    /// Height of the parked plate, > 0.
    pub height_raised: Micrometres,
    /// Height above expected contact where creep begins, > 0.
    pub approach: Micrometres,
    /// Tolerance of the contact height, > 0.
    pub contact_tolerance: Micrometres,
    /// Longest descent including 50 % spare.
    pub travel_time: Ticks,
    /// Longest lift including 50 % spare.
    pub lift_time: Ticks,
    /// Largest torque of each drive, > 0 (ignored for fixed rings).
    pub torque_max: [NewtonMetres; DRIVES],
    /// Largest speed of each drive, > 0 (ignored for fixed rings).
    pub speed_max: [Rpm; DRIVES],
    /// Rings without a drive.
    pub fixed: [bool; DRIVES],
    /// Acceleration of the fastest drive, > 0.
    pub drive_ramp: RpmPerSecond,
    /// Speed error that counts as out of ratio, > 0.
    pub speed_tolerance: Rpm,
    /// Reduced speed of Setup movements, > 0.
    pub setup_speed: Rpm,
    /// Smallest flow that counts as flow, > 0.
    pub flow_min: MillilitresPerMinute,
    /// Flow at full pump speed, > flow_min.
    pub flow_max: MillilitresPerMinute,
    /// Supply pressure below which the machine stops, mbar.
    pub supply_min: u16,
    /// Plate temperature alarm.
    pub temperature_high: Celsius,
    /// Plate temperature that holds the cycle, > high.
    pub temperature_very_high: Celsius,
    /// Emergency stop category, 0 or 1.
    pub estop_category: u8,
    /// Monitored stop time of a category 1 stop, > 0.
    pub stop_time: Ticks,
    /// Longest coast of a category 0 stop, > 0: the film life, after which the plates would turn dry.
    pub coast_time: Ticks,
    /// Longest hold, > 0.
    pub hold_time: Ticks,
    /// Longest time with the agitator stopped, > 0.
    pub settle_limit: Ticks,
}

impl ParamsWire {
    /// Load band around a setpoint: the larger of the absolute and the relative part.
    #[must_use]
    pub fn band_around(&self, setpoint: Newtons) -> Newtons {
        let share = setpoint.abs().get() * self.band_share.get();
        Newtons::new(max(self.band.get(), share))
    }

    /// Half-width of the governor at a load limit: how far the declared line may be off there. A step's limit must be at least twice
    /// this above its load.
    #[must_use]
    pub fn governor_half_width(&self, limit: Newtons) -> Newtons {
        let span = limit - self.initial;
        Newtons::new(span.get() * (self.governor_gain.get() - 1.0) + self.governor_margin.get())
    }

    /// Lowest limit that a step with this load may have: twice the governor's half-width above it. Very high where no limit is enough.
    #[must_use]
    pub fn least_limit(&self, load: Newtons) -> Newtons {
        // limit - load = 2 (gain (limit - initial) + margin), solved for the limit.
        let gain = self.governor_gain.get() - 1.0;
        let rest = load.get() - 2.0 * gain * self.initial.get() + 2.0 * self.governor_margin.get();
        Newtons::new(rest / max(1.0 - 2.0 * gain, 0.1))
    }
}

/// Machine parameters that passed their check.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedParams {
    wire: ParamsWire,
    hash: u32,
}

impl CheckedParams {
    /// The values.
    #[must_use]
    pub const fn get(&self) -> &ParamsWire {
        &self.wire
    }
    /// Digest that recipes carry.
    #[must_use]
    pub const fn hash(&self) -> u32 {
        self.hash
    }
    /// [`ParamsWire::band_around`].
    #[must_use]
    pub fn band(&self, setpoint: Newtons) -> Newtons {
        self.wire.band_around(setpoint)
    }
    /// [`ParamsWire::governor_half_width`].
    #[must_use]
    pub fn governor_half_width(&self, limit: Newtons) -> Newtons {
        self.wire.governor_half_width(limit)
    }
    /// Load that a step is released to: the initial load, or the step's own where that is less. What was finished at low load is
    /// not pressed again.
    #[must_use]
    pub(crate) fn release_load(&self, step: Newtons) -> Newtons {
        Newtons::new(min(self.wire.initial.get(), step.get()))
    }
    /// Longest time for the drives from rest to the fastest speed given: half as much again as at their rate, and [`RAMP_SPARE`].
    #[must_use]
    pub(crate) fn ramp_deadline(&self, fastest: Rpm) -> Ticks {
        let ramp = fastest.abs().get() / self.wire.drive_ramp.get() * RAMP_FACTOR;
        Ticks(to_ticks(ramp).saturating_add(RAMP_SPARE))
    }
    /// Longest time for the load at a step's rate: over the whole range of loads, for it may come down from any step before, and half as
    /// much again.
    #[must_use]
    pub(crate) fn load_deadline(&self, rate: NewtonsPerSecond) -> Ticks {
        let range = self.wire.rated - self.release_load(self.wire.lowest);
        Ticks(to_ticks(range.get() / rate.get() * RAMP_FACTOR))
    }
}

#[cfg(test)]
pub(crate) mod tests;

//! Machine parameters: limits, gains, calibration, governor edges and filter of one machine, in one versioned block.
//!
//! [`ParamsWire`] is what travels; [`CheckedParams`] is what may run, and only [`ParamsWire::check`] makes one.
//! A compiled recipe carries [`CheckedParams::hash`], so a recipe compiled against other parameters is refused.

use crate::math::to_ticks;
use crate::process_image::DRIVES;
use crate::units::{
    Celsius, Hertz, Micrometres, MillilitresPerMinute, NewtonMetres, Newtons, NewtonsPerCount,
    NewtonsPerSecond, PerNewton, Ratio, Rpm, RpmPerSecond, Seconds, TICK_SECONDS, Ticks,
};
use heapless::Vec;
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

/// A parameter that failed its check, by number; the numbers are never reused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ParamFault(pub u16);

/// Room for a broken rule each.
const MAX_FAULTS: usize = 32;
const _: () = assert!(
    PARAM_RULES.len() <= MAX_FAULTS,
    "every rule may be broken at once"
);

/// Rules of the parameter check: number and what is expected, shown with the fault.
pub const PARAM_RULES: &[(u16, &str)] = &[
    (1, "schema is the one this controller knows"),
    (2, "cell scale and range are positive and finite"),
    (
        3,
        "weight, tare band and stuck weight are positive, the band below the weight",
    ),
    (4, "pressure scales and line tolerance are positive"),
    (5, "resting load is positive and below the weight"),
    (
        6,
        "line gain, lag and slew are positive, dead time fits the delay line",
    ),
    (
        7,
        "kc > 0, ti above one tick, setpoint weight in 0..=1, dead band >= 0",
    ),
    (8, "filter corner is 0.5..=200 Hz"),
    (9, "governor gain >= 1, governor margin >= 0"),
    (
        10,
        "0 < contact threshold < resting < initial < first contact < rated, resting < lowest step load < rated",
    ),
    (11, "load band positive, share >= 0, ramp limit positive"),
    (
        12,
        "heights positive, approach and tolerance below the raised height",
    ),
    (
        13,
        "torque, speed of every driven drive positive; ramp, tolerance and setup speed positive",
    ),
    (14, "0 < flow minimum < flow maximum"),
    (15, "temperature high < very high"),
    (16, "emergency stop category is 0 or 1"),
    (
        17,
        "stop, coast, hold, settle, travel and lift times are positive",
    ),
];

fn positive(values: &[f32]) -> bool {
    values.iter().all(|v| v.is_finite() && *v > 0.0)
}

impl ParamsWire {
    /// Validates every field.
    ///
    /// # Errors
    /// Every rule of [`PARAM_RULES`] that is broken, by number.
    pub fn check(self) -> Result<CheckedParams, Vec<ParamFault, 32>> {
        let p = &self;
        let drives_ok =
            p.torque_max
                .iter()
                .zip(&p.speed_max)
                .zip(&p.fixed)
                .all(|((torque, speed), fixed)| {
                    torque.is_finite()
                        && speed.is_finite()
                        && (*fixed || positive(&[torque.get(), speed.get()]))
                });
        let rules = [
            (1, p.schema == PARAMS_SCHEMA),
            (
                2,
                positive(&[p.cell_scale.get()]) && p.cell_range_counts > 0,
            ),
            (
                3,
                positive(&[p.weight.get(), p.tare_band.get(), p.stuck.get()])
                    && p.tare_band < p.weight,
            ),
            (
                4,
                positive(&[p.cap_scale.get(), p.rod_scale.get(), p.line_tolerance.get()]),
            ),
            (5, positive(&[p.resting.get()]) && p.resting < p.weight),
            (
                6,
                positive(&[p.line_gain.get(), p.lag.get(), p.slew.get()])
                    && p.dead_time.0 <= MAX_DEAD_TICKS,
            ),
            (
                7,
                positive(&[p.kc.get(), p.ti.get()])
                    && p.ti.get() > TICK_SECONDS
                    && p.setpoint_weight.get() >= 0.0
                    && p.setpoint_weight.get() <= 1.0
                    && p.deadband.is_finite()
                    && p.deadband.get() >= 0.0,
            ),
            (8, p.filter.get() >= 0.5 && p.filter.get() <= 200.0),
            (
                9,
                p.governor_gain.is_finite()
                    && p.governor_gain.get() >= 1.0
                    && p.governor_margin.is_finite()
                    && p.governor_margin.get() >= 0.0,
            ),
            (
                10,
                positive(&[p.contact.get(), p.rated.get()])
                    && p.contact < p.resting
                    && p.resting < p.initial
                    && p.resting < p.lowest
                    && p.lowest < p.rated
                    && p.initial < p.first_contact
                    && p.first_contact < p.rated,
            ),
            (
                11,
                positive(&[p.band.get(), p.ramp_max.get()])
                    && p.band_share.get() >= 0.0
                    && p.band_share.is_finite(),
            ),
            (
                12,
                positive(&[
                    p.height_raised.get(),
                    p.approach.get(),
                    p.contact_tolerance.get(),
                ]) && p.approach < p.height_raised
                    && p.contact_tolerance < p.height_raised,
            ),
            (
                13,
                drives_ok
                    && positive(&[
                        p.drive_ramp.get(),
                        p.speed_tolerance.get(),
                        p.setup_speed.get(),
                    ]),
            ),
            (
                14,
                positive(&[p.flow_min.get(), p.flow_max.get()]) && p.flow_min < p.flow_max,
            ),
            (
                15,
                p.temperature_high.is_finite()
                    && p.temperature_very_high.is_finite()
                    && p.temperature_high < p.temperature_very_high,
            ),
            (16, p.estop_category <= 1),
            (
                17,
                p.stop_time.0 > 0
                    && p.coast_time.0 > 0
                    && p.hold_time.0 > 0
                    && p.settle_limit.0 > 0
                    && p.travel_time.0 > 0
                    && p.lift_time.0 > 0,
            ),
        ];
        let mut faults = Vec::new();
        for (id, ok) in rules {
            if !ok {
                // Capacity exceeds the number of rules, so nothing is lost.
                let _ = faults.push(ParamFault(id));
            }
        }
        if faults.is_empty() {
            let hash = self.hash();
            Ok(CheckedParams { wire: self, hash })
        } else {
            Err(faults)
        }
    }

    /// Load band around a setpoint: the larger of the absolute and the relative part.
    #[must_use]
    pub fn band_around(&self, setpoint: Newtons) -> Newtons {
        let share = setpoint.abs().get() * self.band_share.get();
        Newtons::new(crate::math::max(self.band.get(), share))
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
        Newtons::new(rest / crate::math::max(1.0 - 2.0 * gain, 0.1))
    }

    /// Order-dependent 32-bit digest of every field, the same on every target.
    fn hash(&self) -> u32 {
        let mut h = Digest::new();
        h.word(u32::from(self.schema));
        h.word(self.machine_id);
        h.word(self.cell_range_counts.cast_unsigned());
        for f in [
            self.cell_scale.get(),
            self.weight.get(),
            self.tare_band.get(),
            self.cap_scale.get(),
            self.rod_scale.get(),
            self.line_tolerance.get(),
            self.resting.get(),
            self.line_gain.get(),
            self.lag.get(),
            self.slew.get(),
            self.kc.get(),
            self.ti.get(),
            self.setpoint_weight.get(),
            self.deadband.get(),
            self.lowest.get(),
            self.filter.get(),
            self.governor_gain.get(),
            self.governor_margin.get(),
            self.initial.get(),
            self.first_contact.get(),
            self.contact.get(),
            self.stuck.get(),
            self.rated.get(),
            self.band.get(),
            self.band_share.get(),
            self.ramp_max.get(),
            self.height_raised.get(),
            self.approach.get(),
            self.contact_tolerance.get(),
            self.drive_ramp.get(),
            self.speed_tolerance.get(),
            self.setup_speed.get(),
            self.flow_min.get(),
            self.flow_max.get(),
            self.temperature_high.get(),
            self.temperature_very_high.get(),
        ] {
            h.word(f.to_bits());
        }
        for (torque, (speed, fixed)) in self
            .torque_max
            .iter()
            .zip(self.speed_max.iter().zip(&self.fixed))
        {
            h.word(torque.get().to_bits());
            h.word(speed.get().to_bits());
            h.word(u32::from(*fixed));
        }
        for n in [
            self.dead_time.0,
            self.travel_time.0,
            self.lift_time.0,
            u32::from(self.supply_min),
            u32::from(self.estop_category),
            self.stop_time.0,
            self.coast_time.0,
            self.hold_time.0,
            self.settle_limit.0,
        ] {
            h.word(n);
        }
        h.finish()
    }
}

/// A small order-dependent digest: multiply, add, rotate. Not cryptographic: it guards against mix-ups, not malice.
#[derive(Clone, Copy, Debug)]
pub struct Digest(u32);

impl Digest {
    /// A fresh digest.
    #[must_use]
    pub const fn new() -> Self {
        Self(0x9E37_79B9)
    }
    /// Mixes one word in.
    pub const fn word(&mut self, word: u32) {
        self.0 = (self.0.rotate_left(13) ^ word)
            .wrapping_mul(0x85EB_CA6B)
            .wrapping_add(0xC2B2_AE35);
    }
    /// The digest.
    #[must_use]
    pub const fn finish(self) -> u32 {
        let x = (self.0 ^ (self.0 >> 16)).wrapping_mul(0x7FEB_352D);
        x ^ (x >> 15)
    }
}

impl Default for Digest {
    fn default() -> Self {
        Self::new()
    }
}

/// Stable identity of a machine from its name.
#[must_use]
pub fn machine_id(name: &str) -> u32 {
    let mut h = Digest::new();
    for byte in name.bytes() {
        h.word(u32::from(byte));
    }
    h.finish()
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
        if step < self.wire.initial {
            step
        } else {
            self.wire.initial
        }
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
pub(crate) mod tests {
    use super::*;
    use crate::units::TICKS_PER_SECOND;

    const fn seconds(whole: u32) -> Ticks {
        Ticks(whole * TICKS_PER_SECOND)
    }

    /// A small invented machine; `sim-host` compiles the real ones.
    pub(crate) fn sample() -> ParamsWire {
        ParamsWire {
            schema: PARAMS_SCHEMA,
            machine_id: machine_id("sample"),
            cell_scale: NewtonsPerCount::new(1000.0 / 8_000_000.0),
            cell_range_counts: 8_300_000,
            weight: Newtons::new(569.0),
            tare_band: Newtons::new(20.0),
            cap_scale: NewtonsPerCount::new(0.019_63),
            rod_scale: NewtonsPerCount::new(0.016_49),
            line_tolerance: Newtons::new(40.0),
            resting: Newtons::new(60.0),
            line_gain: Newtons::new(825.0),
            dead_time: Ticks(20),
            lag: Seconds::new(0.12),
            slew: Ratio::new(4.0),
            kc: PerNewton::new(0.001_5),
            ti: Seconds::new(0.12),
            setpoint_weight: Ratio::new(1.0),
            deadband: Newtons::new(1.0),
            lowest: Newtons::new(150.0),
            filter: Hertz::new(15.0),
            governor_gain: Ratio::new(1.05),
            governor_margin: Newtons::new(12.0),
            initial: Newtons::new(150.0),
            first_contact: Newtons::new(300.0),
            contact: Newtons::new(24.0),
            stuck: Newtons::new(4.0),
            rated: Newtons::new(900.0),
            band: Newtons::new(8.0),
            band_share: Ratio::new(0.03),
            ramp_max: NewtonsPerSecond::new(100.0),
            height_raised: Micrometres::new(150_000.0),
            approach: Micrometres::new(8_000.0),
            contact_tolerance: Micrometres::new(200.0),
            travel_time: seconds(60),
            lift_time: seconds(60),
            torque_max: [NewtonMetres::new(60.0); DRIVES],
            speed_max: [Rpm::new(60.0); DRIVES],
            fixed: [false; DRIVES],
            drive_ramp: RpmPerSecond::new(6.0),
            speed_tolerance: Rpm::new(2.0),
            setup_speed: Rpm::new(5.0),
            flow_min: MillilitresPerMinute::new(60.0),
            flow_max: MillilitresPerMinute::new(400.0),
            supply_min: 5000,
            temperature_high: Celsius::new(35.0),
            temperature_very_high: Celsius::new(45.0),
            estop_category: 1,
            stop_time: seconds(20),
            coast_time: seconds(40),
            hold_time: seconds(600),
            settle_limit: seconds(60),
        }
    }

    /// Changes one field of a block.
    type Change = fn(&mut ParamsWire, fn(f32) -> f32);
    /// A field's name and its change.
    type Named<C> = (&'static str, C);

    macro_rules! floats {
        ($($field:ident: $unit:ident),* $(,)?; $($array:ident: $of:ident),* $(,)?) => {
            [
                $((stringify!($field), (|p, f| p.$field = $unit::new(f(p.$field.get()))) as Change),)*
                $((stringify!($array), (|p, f| p.$array[3] = $of::new(f(p.$array[3].get()))) as Change),)*
            ]
        };
    }

    /// Every float of the block, by name.
    const FLOATS: [Named<Change>; 38] = floats!(
        cell_scale: NewtonsPerCount,
        weight: Newtons,
        tare_band: Newtons,
        cap_scale: NewtonsPerCount,
        rod_scale: NewtonsPerCount,
        line_tolerance: Newtons,
        resting: Newtons,
        line_gain: Newtons,
        lag: Seconds,
        slew: Ratio,
        kc: PerNewton,
        ti: Seconds,
        setpoint_weight: Ratio,
        deadband: Newtons,
        lowest: Newtons,
        filter: Hertz,
        governor_gain: Ratio,
        governor_margin: Newtons,
        initial: Newtons,
        first_contact: Newtons,
        contact: Newtons,
        stuck: Newtons,
        rated: Newtons,
        band: Newtons,
        band_share: Ratio,
        ramp_max: NewtonsPerSecond,
        height_raised: Micrometres,
        approach: Micrometres,
        contact_tolerance: Micrometres,
        drive_ramp: RpmPerSecond,
        speed_tolerance: Rpm,
        setup_speed: Rpm,
        flow_min: MillilitresPerMinute,
        flow_max: MillilitresPerMinute,
        temperature_high: Celsius,
        temperature_very_high: Celsius;
        torque_max: NewtonMetres,
        speed_max: Rpm
    );

    /// Every other field, changed to a value that is as valid.
    const OTHERS: [Named<fn(&mut ParamsWire)>; 12] = [
        ("machine_id", |p| p.machine_id = machine_id("another")),
        ("cell_range_counts", |p| p.cell_range_counts += 1),
        ("dead_time", |p| p.dead_time.0 += 1),
        ("travel_time", |p| p.travel_time.0 += 1),
        ("lift_time", |p| p.lift_time.0 += 1),
        ("fixed", |p| p.fixed[1] = true),
        ("supply_min", |p| p.supply_min += 1),
        ("estop_category", |p| p.estop_category = 0),
        ("stop_time", |p| p.stop_time.0 += 1),
        ("coast_time", |p| p.coast_time.0 += 1),
        ("hold_time", |p| p.hold_time.0 += 1),
        ("settle_limit", |p| p.settle_limit.0 += 1),
    ];

    #[test]
    fn no_float_may_be_anything_but_a_number() {
        for (name, change) in FLOATS {
            for (what, bad) in [
                ("NaN", (|_| f32::NAN) as fn(f32) -> f32),
                ("infinity", |_| f32::INFINITY),
                ("minus infinity", |_| f32::NEG_INFINITY),
            ] {
                let mut p = sample();
                change(&mut p, bad);
                assert!(p.check().is_err(), "{name} may be {what}");
            }
        }
    }

    /// The least limit is the limit at which the rule of the governor's half-width holds with nothing to spare.
    #[test]
    fn the_least_limit_is_twice_the_half_width_above_the_load() {
        let p = sample();
        for load in [150.0, 265.0, 700.0] {
            let load = Newtons::new(load);
            let limit = p.least_limit(load);
            let spare = limit - load - p.governor_half_width(limit) * 2.0;
            assert!(spare.abs().get() < 1e-3, "{load:?}: {spare:?}");
        }
    }

    #[test]
    fn a_step_is_released_to_the_initial_load_or_its_own_lower_one() {
        let params = sample().check().expect("valid");
        for (step, released) in [(265.0, 150.0), (150.0, 150.0), (110.0, 110.0)] {
            let load = params.release_load(Newtons::new(step));
            assert!((load.get() - released).abs() < f32::EPSILON, "{step}");
        }
    }

    #[test]
    fn the_lowest_load_may_lie_under_the_initial_load_but_not_under_the_resting_load() {
        let mut p = sample();
        p.lowest = Newtons::new(61.0);
        assert!(p.clone().check().is_ok());
        p.lowest = p.resting;
        let faults = p.check().expect_err("must be refused");
        assert_eq!(
            faults.iter().map(|f| f.0).collect::<std::vec::Vec<_>>(),
            [10]
        );
    }

    #[test]
    fn every_broken_rule_is_reported_and_not_only_the_first() {
        let mut p = sample();
        p.weight = Newtons::new(f32::NAN);
        p.kc = PerNewton::new(f32::INFINITY);
        p.estop_category = 2;
        let faults = p.check().expect_err("must be refused");
        let ids: std::vec::Vec<u16> = faults.iter().map(|f| f.0).collect();
        assert_eq!(ids, [3, 5, 7, 16]);
    }

    /// Rule 17, field by field: a time of zero is refused, by this rule alone. A dead time may be zero.
    #[test]
    fn every_time_of_the_machine_is_positive() {
        const TIMES: [Named<fn(&mut ParamsWire)>; 6] = [
            ("travel_time", |p| p.travel_time.0 = 0),
            ("lift_time", |p| p.lift_time.0 = 0),
            ("stop_time", |p| p.stop_time.0 = 0),
            ("coast_time", |p| p.coast_time.0 = 0),
            ("hold_time", |p| p.hold_time.0 = 0),
            ("settle_limit", |p| p.settle_limit.0 = 0),
        ];
        for (name, change) in TIMES {
            let mut p = sample();
            change(&mut p);
            let ids: std::vec::Vec<u16> = p.check().err().map_or(std::vec::Vec::new(), |faults| {
                faults.iter().map(|f| f.0).collect()
            });
            assert_eq!(ids, [17], "{name}");
        }
    }

    #[test]
    fn the_hash_sees_every_field() {
        let base = sample().check().expect("valid").hash();
        for (name, change) in FLOATS {
            let mut p = sample();
            // Down, because the setpoint weight stands at its top; the floors stand at theirs.
            change(&mut p, |x| x * 0.999_9);
            if p.clone().check().is_err() {
                p = sample();
                change(&mut p, |x| x * 1.000_1);
            }
            let hash = p.check().map(|checked| checked.hash());
            assert!(hash.is_ok_and(|hash| hash != base), "{name}");
        }
        for (name, change) in OTHERS {
            let mut p = sample();
            change(&mut p);
            let hash = p.check().map(|checked| checked.hash());
            assert!(hash.is_ok_and(|hash| hash != base), "{name}");
        }
    }

    /// A field that is added must come into one of the lists: this pattern names them all, and their number is the lists'.
    #[test]
    fn the_lists_are_whole() {
        let ParamsWire {
            schema: _,
            machine_id: _,
            cell_scale: _,
            cell_range_counts: _,
            weight: _,
            tare_band: _,
            cap_scale: _,
            rod_scale: _,
            line_tolerance: _,
            resting: _,
            line_gain: _,
            dead_time: _,
            lag: _,
            slew: _,
            kc: _,
            ti: _,
            setpoint_weight: _,
            deadband: _,
            lowest: _,
            filter: _,
            governor_gain: _,
            governor_margin: _,
            initial: _,
            first_contact: _,
            contact: _,
            stuck: _,
            rated: _,
            band: _,
            band_share: _,
            ramp_max: _,
            height_raised: _,
            approach: _,
            contact_tolerance: _,
            travel_time: _,
            lift_time: _,
            torque_max: _,
            speed_max: _,
            fixed: _,
            drive_ramp: _,
            speed_tolerance: _,
            setup_speed: _,
            flow_min: _,
            flow_max: _,
            supply_min: _,
            temperature_high: _,
            temperature_very_high: _,
            estop_category: _,
            stop_time: _,
            coast_time: _,
            hold_time: _,
            settle_limit: _,
        } = sample();
        assert_eq!(FLOATS.len() + OTHERS.len() + 1, 51);
    }
}

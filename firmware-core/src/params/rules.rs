//! The rules that parameters must keep before they may run.

use super::{CheckedParams, MAX_DEAD_TICKS, PARAMS_SCHEMA, ParamsWire};
use crate::math::from_i32;
use crate::units::{NewtonsPerCount, TICK_SECONDS};
use heapless::Vec;
use serde::{Deserialize, Serialize};

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
    (
        2,
        "cell scale and range are positive and finite, and mean at most 1e9 N",
    ),
    (
        3,
        "weight, tare band and stuck weight are positive and at most 1e9 N, the band below the weight",
    ),
    (
        4,
        "pressure scales and line tolerance are positive, and mean at most 1e9 N",
    ),
    (5, "resting load is positive and below the weight"),
    (
        6,
        "line gain, lag and slew are positive, the gain at most 1e9 N, dead time fits the delay line",
    ),
    (
        7,
        "kc > 0, ti above one tick, setpoint weight in 0..=1, dead band >= 0",
    ),
    (8, "filter corner is 0.5..=200 Hz"),
    (9, "governor gain >= 1, governor margin >= 0"),
    (
        10,
        "0 < contact threshold < resting < initial < first contact < rated <= 1e9 N, resting < lowest step load < rated",
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

/// Largest force that a range or a parameter may mean, N: beyond any machine, and so far below the largest float that nothing which the
/// process image can carry makes the load infinite (invented).
const MOST_FORCE: f32 = 1e9;

fn positive(values: &[f32]) -> bool {
    values.iter().all(|v| v.is_finite() && *v > 0.0)
}

/// Forces that a machine can have.
fn forces(values: &[f32]) -> bool {
    positive(values) && values.iter().all(|force| *force <= MOST_FORCE)
}

/// What a pressure's scale comes to at its largest count.
fn at_most_count(scale: NewtonsPerCount) -> f32 {
    scale.get() * f32::from(u16::MAX)
}

/// The layout, and what is measured.
fn measuring(p: &ParamsWire) -> [(u16, bool); 4] {
    [
        (1, p.schema == PARAMS_SCHEMA),
        (
            2,
            positive(&[p.cell_scale.get()])
                && p.cell_range_counts > 0
                && p.cell_scale.get() * from_i32(p.cell_range_counts) <= MOST_FORCE,
        ),
        (
            3,
            forces(&[p.weight.get(), p.tare_band.get(), p.stuck.get()]) && p.tare_band < p.weight,
        ),
        (
            4,
            forces(&[
                at_most_count(p.cap_scale),
                at_most_count(p.rod_scale),
                p.line_tolerance.get(),
            ]),
        ),
    ]
}

/// The load loop and the governor.
fn controlling(p: &ParamsWire) -> [(u16, bool); 5] {
    [
        (5, positive(&[p.resting.get()]) && p.resting < p.weight),
        (
            6,
            forces(&[p.line_gain.get()])
                && positive(&[p.lag.get(), p.slew.get()])
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
    ]
}

/// Loads, their band, and the heights of the plate.
fn loading(p: &ParamsWire) -> [(u16, bool); 3] {
    [
        (
            10,
            forces(&[p.contact.get(), p.rated.get()])
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
    ]
}

/// Drives, fluid, temperatures, stops and times.
fn driving(p: &ParamsWire) -> [(u16, bool); 5] {
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
    [
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
    ]
}

impl ParamsWire {
    /// Validates every field.
    ///
    /// # Errors
    /// Every rule of [`PARAM_RULES`] that is broken, by number.
    pub fn check(self) -> Result<CheckedParams, Vec<ParamFault, MAX_FAULTS>> {
        let rules = measuring(&self)
            .into_iter()
            .chain(controlling(&self))
            .chain(loading(&self))
            .chain(driving(&self));
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
}

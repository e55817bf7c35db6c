//! The harm monitors' look at the plant, every slow step.

use super::Plant;
use super::harm::{
    DRY, FALLING, FALLING_WHILE_HELD, PRESSING, RATIO_ERROR, RATIO_LOAD, TURNING, ratio_error,
};
use crate::math::{abs, max};
use firmware_core::process_image::{DRIVES, FACES, RodValve};
use std::f64::consts::PI;

/// Setpoints whose fastest drive is below this keep the last ratio, rad/s (3 rpm): near zero a ratio has no meaning. Invented.
const RATIO_FROM: f64 = PI / 10.0;
/// The rod side is taken as holding after this time trapped, s: the plate may swing on its air before. Invented.
const HELD_AFTER: f64 = 1.0;
/// Rising speed that counts as lifting, m/s. Invented.
const LIFTING: f64 = 5e-5;
/// Height above the contact from which a new descent has its own first contact, m. Invented.
const NEW_DESCENT: f64 = 5e-3;

/// What the monitors remember between steps.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Watch {
    ratio: [f64; DRIVES],
    trapped_for: f64,
}

impl Plant {
    pub(super) fn monitor(&mut self, power: [f64; FACES]) {
        let step = self.timing.slow;
        let (tick, load) = (self.tick, self.axis.load);
        let fastest = self.drives.fastest_turning();
        let turning = fastest > TURNING;
        if turning && load > 0.0 {
            let missing = 1.0 - self.slurry.film();
            let dry_work = (power[0] + power[1]) * missing * step;
            self.harm.dry_turning.note(tick, missing, DRY, dry_work);
            self.monitor_ratio(load, step);
        }
        let rising = load <= 0.0 && self.axis.v > LIFTING && self.axis.z < self.nominal.raised;
        if rising {
            self.harm.lift_turning.note(tick, fastest, TURNING, step);
        }
        let over =
            max(self.lasting.heat.plates[0], self.lasting.heat.plates[1]) - self.nominal.very_high;
        self.harm.hot.note(tick, max(over, 0.0), 0.0, over * step);
        if load > 0.0 && self.contact.on_carriers(self.axis.z) {
            self.harm.on_carriers.note(tick, load, 0.0, step);
        }
        self.monitor_fall(load, step);
        if self.station.guard_open {
            let pressing = self.area_cap * self.cap.pressure / self.nominal.line_gain;
            self.harm.pressing_open.note(tick, pressing, PRESSING, step);
            let moving = max(
                abs(self.axis.v) / self.nominal.speed_fast * 10.0,
                fastest / TURNING,
            );
            self.harm.moving_open.note(tick, moving, 1.0, step);
        }
        if self.axis.z > self.nominal.thickness + NEW_DESCENT {
            self.first_contact = [0.0; 2];
        }
    }

    fn monitor_ratio(&mut self, load: f64, step: f64) {
        let set = self.orders.drives.map(|d| {
            if d.enable {
                f64::from(d.setpoint) * (PI / 3000.0)
            } else {
                0.0
            }
        });
        // A drive without power is told nothing: the ratio is still the one that all four had.
        let powered = self.orders.drives.iter().all(|d| d.enable);
        if powered && set.iter().any(|s| abs(*s) >= RATIO_FROM) {
            self.watch.ratio = set;
        }
        if load > RATIO_LOAD * self.nominal.resting {
            let error = ratio_error(&self.drives.speed, &self.watch.ratio);
            self.harm
                .out_of_ratio
                .note(self.tick, error, RATIO_ERROR, load * step);
        }
    }

    fn monitor_fall(&mut self, load: f64, step: f64) {
        self.watch.trapped_for = if self.valve == RodValve::Trapped {
            self.watch.trapped_for + step
        } else {
            0.0
        };
        let down = -self.axis.v;
        if down <= 0.0 || load > 0.0 {
            return;
        }
        let held = self.watch.trapped_for > HELD_AFTER;
        let reference = if held {
            FALLING_WHILE_HELD / FALLING
        } else {
            self.nominal.speed_fast
        };
        self.harm
            .falling
            .note(self.tick, down / reference, FALLING, down * step);
    }
}

//! The status after a tick.

use super::Controller;
use crate::interlock::Verdict;
use crate::judge::Found;
use crate::signal::Measured;
use crate::status::{STATUS_VERSION, Status};
use crate::units::{Fraction, Micrometres, Newtons, Ticks};

impl Controller {
    pub(super) fn report(&mut self, m: &Measured, found: &Found, verdict: Verdict) {
        let goals = self.goals;
        let limit = self
            .step_wire()
            .filter(|_| self.seq.phase.is_turning())
            .map_or(Newtons::ZERO, |_| self.limit);
        self.status = Status {
            version: STATUS_VERSION,
            tick: Ticks(self.tick),
            boots: self.boots,
            state: self.seq.state,
            phase: self.seq.phase,
            step: self.step,
            mode: self.mode,
            plate: self.seq.plate,
            load_mode: goals.load,
            drives_in_band: self.drives.in_band(self.params.get().speed_tolerance.get()),
            standstill: m.standstill,
            flow_proven: m.slurry_flow + m.rinse_flow >= self.params.get().flow_min.get(),
            ends_by_time: verdict.end_by_time,
            response: verdict.response,
            cause: self.cause,
            active: self.latch.active(),
            latched: self.latch.latched(),
            unacknowledged: self.alarms().unacknowledged(),
            load_raw: Newtons::new(m.load_raw),
            load: Newtons::new(m.load),
            reference: self.load_loop.reference(),
            load_limit: limit,
            command: self.load_loop.command(),
            governor: Fraction::new(self.load_loop.bound().get()),
            size: if m.size_valid {
                Micrometres::new(m.size)
            } else {
                Micrometres::ZERO
            },
            step_time: self.judge.step_time(),
            missing: found.missing,
            ring_setting: self.flatness.setting(),
            form: self.flatness.form(),
            form_age: self.flatness.age(),
        };
    }
}

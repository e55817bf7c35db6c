//! Measured values against limits: one raw bit a row, undebounced, whether watched or not.

use super::table::Cond;
use crate::motion::DriveCheck;
use crate::params::CheckedParams;
use crate::process_image::Inputs;
use crate::sequence::Plate;
use crate::signal::Measured;
use crate::units::Newtons;

/// Tank level below which the operator is told, per mille; a cycle starts from here on.
pub const TANK_LOW: u16 = 150;
/// Tank level below which the cycle stops at the end of the step, per mille.
pub const TANK_EMPTY: u16 = 50;
const _: () = assert!(TANK_EMPTY < TANK_LOW, "told before it is too late");

/// What the controller knows besides the inputs: limits in force and what judging the phase found.
#[derive(Clone, Copy, Debug, Default)]
pub struct Situation {
    /// Step limit in force, N; infinite when none.
    pub load_limit: f32,
    /// Setpoint of the step, N.
    pub setpoint: f32,
    /// The drives against their references and limits.
    pub drives: DriveCheck,
    /// Drives under power.
    pub powered: bool,
    /// The dump valve was told to be shut in the previous tick.
    pub dump_shut: bool,
    /// The step ends by gauge.
    pub gauge_ends: bool,
    /// Lower size limit, µm; zero without a gauge.
    pub size_lower: f32,
    /// Remote start is armed.
    pub remote_armed: bool,
    /// A recipe is loaded but does not fit.
    pub recipe_wrong: bool,
    /// The form of a plate is beyond the recipe's limit.
    pub form_beyond: bool,
    /// The recipe wants a younger report of the plates' form.
    pub form_overdue: bool,
    /// Plate.
    pub plate: Plate,
    /// What judging the phase found.
    pub found: Conditions,
    /// An invariant broke.
    pub internal: bool,
}

/// Raw condition bits in row order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Conditions(pub u64);

impl Conditions {
    /// A row's condition, without a branch: many are set in every tick.
    pub const fn set(&mut self, on: bool, cond: Cond) {
        self.0 |= (on as u64).wrapping_shl(cond as u32);
    }

    /// Compares everything with its limit.
    #[must_use]
    #[inline(always)]
    pub fn compare(inputs: &Inputs, m: &Measured, now: &Situation, params: &CheckedParams) -> Self {
        let mut c = Self(0);
        c.circuits(inputs, now);
        c.load(m, now, params);
        c.drives(m, now, params);
        c.supplies(inputs, m, params);
        c.found(m, now);
        c
    }

    /// Two-state circuits. In nearly every tick all but the parking pin's are sound, and one question answers for them all.
    fn circuits(&mut self, i: &Inputs, now: &Situation) {
        // Only a parked plate has its pin to hold it: one that Setup lowers, or that hangs or lies, wants none.
        if matches!(now.plate, Plate::Parked) {
            self.set(!(i.pin_in & i.arm_home), Cond::PinParked);
        }
        let dump = i.dump_open == now.dump_shut;
        let link = now.remote_armed & !(i.link_alive & i.local_enable);
        let sound = i.estop_a
            & i.estop_b
            & i.guard_a
            & i.guard_b
            & i.guard_locked
            & i.counterbalance_ok
            & i.arm_home
            & i.agitator_turning;
        if !sound | dump | link {
            self.0 |= Self::unsound(i, dump, link).0;
        }
    }

    #[inline(never)]
    fn unsound(i: &Inputs, dump: bool, link: bool) -> Self {
        let mut c = Self(0);
        c.set(!(i.estop_a && i.estop_b), Cond::Estop);
        c.set(i.estop_a != i.estop_b, Cond::EstopDisagree);
        let open = !(i.guard_a && i.guard_b);
        c.set(open || !i.guard_locked, Cond::GuardMoving);
        c.set(open, Cond::GuardWaiting);
        c.set(i.guard_a != i.guard_b, Cond::GuardDisagree);
        c.set(dump, Cond::DumpFeedback);
        c.set(dump, Cond::DumpInhibit);
        c.set(!i.counterbalance_ok, Cond::Counterbalance);
        c.set(!i.counterbalance_ok, Cond::CounterbalanceStopped);
        c.set(!i.arm_home, Cond::PinLift);
        c.set(!i.agitator_turning, Cond::AgitatorStopped);
        c.set(!i.agitator_turning, Cond::AgitatorSettled);
        c.set(link, Cond::LinkLost);
        c
    }

    fn load(&mut self, m: &Measured, now: &Situation, params: &CheckedParams) {
        let p = params.get();
        // These look at a plate that rests on parts; a movement in the air has phases of the same names.
        let contact = now.plate == Plate::Contact;
        let line = m.line_error.abs() > p.line_tolerance.get();
        let lost = m.load < p.contact.get();
        // A cell that is not valid shows no load: its own row stops the machine, under power, and a reading at the end of its range
        // must not take that power away.
        let above = |limit: f32| !m.cell_lost & (m.load_raw > limit);
        let over = above(now.load_limit) | above(p.rated.get());
        if m.cell_bad | over | (contact & (m.cell_same | line | lost)) {
            self.set(m.cell_bad, Cond::CellInvalid);
            self.set(contact && m.cell_same, Cond::CellStuck);
            self.set(contact && line, Cond::CellLine);
            self.set(above(now.load_limit), Cond::LoadLimit);
            self.set(above(p.rated.get()), Cond::LoadRated);
            self.set(contact && lost, Cond::ContactLost);
        }
        self.set(above(p.first_contact.get()), Cond::FirstContact);
        let band = p.band_around(Newtons::new(now.setpoint)).get();
        self.set((m.load - now.setpoint).abs() > band, Cond::LoadBand);
    }

    fn drives(&mut self, m: &Measured, now: &Situation, params: &CheckedParams) {
        let (p, drives) = (params.get(), &now.drives);
        // Watched in Stopping; its debounce is the monitored stop time.
        self.set(!m.standstill, Cond::StopOverrun);
        // Watched in Aborting; its debounce is the longest coast.
        self.set(!m.standstill, Cond::CoastOverrun);
        let ratio = drives.furthest > p.speed_tolerance.get();
        if m.drive_fault | ratio | drives.wrong_way | drives.torque {
            self.set(m.drive_fault, Cond::DriveFault);
            // A faulted drive coasts and the others follow it: its own row speaks, not the ratio.
            self.set(ratio && now.powered && !m.drive_fault, Cond::DriveRatio);
            self.set(drives.wrong_way, Cond::Direction);
            self.set(drives.torque, Cond::Torque);
            self.set(drives.run_up_torque, Cond::TorqueRunUp);
        }
        // Either wets the gap, and the change from one to the other overlaps.
        let flow = m.slurry_flow + m.rinse_flow;
        // Missed only where something turns, or is about to, on parts.
        let needed = (!m.standstill | drives.turning) & (now.plate == Plate::Contact);
        self.set(needed & (flow < p.flow_min.get()), Cond::Flow);
    }

    /// Supplies, and what else is seldom out of order: one question answers for them all.
    fn supplies(&mut self, i: &Inputs, m: &Measured, params: &CheckedParams) {
        let p = params.get();
        let supply = i.supply_pressure < p.supply_min;
        let tank = m.tank.is_none_or(|level| level < TANK_LOW);
        let hot = m
            .hottest
            .is_none_or(|celsius| celsius > p.temperature_high.get());
        if supply | tank | hot | m.overrun {
            self.set(supply, Cond::SupplyLow);
            self.set(supply, Cond::SupplyInhibit);
            self.set(tank, Cond::TankLow);
            self.set(
                m.tank.is_some_and(|level| level < TANK_EMPTY),
                Cond::TankEmpty,
            );
            self.set(
                m.hottest.is_some_and(|t| t > p.temperature_high.get()),
                Cond::TemperatureHigh,
            );
            self.set(
                m.hottest.is_some_and(|t| t > p.temperature_very_high.get()),
                Cond::TemperatureVeryHigh,
            );
            self.set(m.hottest.is_none(), Cond::TemperatureStale);
            self.set(m.overrun, Cond::TickOverrun);
        }
    }

    fn found(&mut self, m: &Measured, now: &Situation) {
        if now.gauge_ends | (now.size_lower > 0.0) {
            self.set(now.gauge_ends && !m.size_valid, Cond::GaugeInvalid);
            self.set(
                now.size_lower > 0.0 && m.size_valid && m.size < now.size_lower,
                Cond::SizeLow,
            );
        }
        self.0 |= now.found.0;
        if now.recipe_wrong | now.internal | now.form_beyond | now.form_overdue {
            self.set(now.recipe_wrong, Cond::RecipeWrong);
            self.set(now.internal, Cond::Internal);
            self.set(now.form_beyond, Cond::FormLimit);
            self.set(now.form_overdue, Cond::FormOverdue);
        }
    }
}

#[cfg(test)]
mod tests;

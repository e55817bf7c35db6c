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
    #[inline]
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
        self.set(!(i.pin_in & i.arm_home), Cond::PinParked);
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
mod tests {
    use super::*;

    /// One tick's inputs, measured values and situation.
    type Tick = (Inputs, Measured, Situation);
    /// A row and what alone brings it about.
    type Cause = (Cond, fn(&mut Tick));

    /// A plate dwelling on its parts with nothing wrong.
    fn sound() -> Tick {
        let inputs = Inputs {
            estop_a: true,
            estop_b: true,
            guard_a: true,
            guard_b: true,
            guard_locked: true,
            counterbalance_ok: true,
            arm_home: true,
            pin_in: true,
            agitator_turning: true,
            dump_open: false,
            supply_pressure: u16::MAX,
            link_alive: true,
            local_enable: true,
            ..Inputs::default()
        };
        let measured = Measured {
            load_raw: 265.0,
            load: 265.0,
            slurry_flow: 300.0,
            size: 550.0,
            size_valid: true,
            hottest: Some(22.0),
            tank: Some(800),
            standstill: true,
            ..Measured::default()
        };
        let situation = Situation {
            load_limit: 350.0,
            setpoint: 265.0,
            powered: true,
            dump_shut: true,
            gauge_ends: true,
            size_lower: 540.0,
            remote_armed: true,
            plate: Plate::Contact,
            ..Situation::default()
        };
        (inputs, measured, situation)
    }

    /// Rows are asked in groups: a group's first question must let every one of its rows through. Judged as the table of rows says.
    #[test]
    fn each_row_speaks_when_its_own_cause_is_the_only_one() {
        let params = crate::params::tests::sample().check().unwrap();
        let compare = |(i, m, s): &Tick| Conditions::compare(i, m, s, &params).0;
        // Undebounced and unwatched: a load above the first-contact limit is ordinary in a dwell.
        let ordinary = Cond::FirstContact.bit();
        assert_eq!(compare(&sound()) & !ordinary, 0);
        let causes: [Cause; 40] = [
            (Cond::Estop, |t| t.0.estop_a = false),
            (Cond::Estop, |t| t.0.estop_b = false),
            (Cond::EstopDisagree, |t| t.0.estop_b = false),
            (Cond::GuardMoving, |t| t.0.guard_locked = false),
            (Cond::GuardWaiting, |t| t.0.guard_a = false),
            (Cond::GuardDisagree, |t| t.0.guard_b = false),
            (Cond::Counterbalance, |t| t.0.counterbalance_ok = false),
            (Cond::DumpFeedback, |t| t.0.dump_open = true),
            (Cond::DumpInhibit, |t| t.2.dump_shut = false),
            (Cond::PinParked, |t| t.0.pin_in = false),
            (Cond::PinLift, |t| t.0.arm_home = false),
            (Cond::AgitatorStopped, |t| t.0.agitator_turning = false),
            (Cond::AgitatorSettled, |t| t.0.agitator_turning = false),
            (Cond::LinkLost, |t| t.0.link_alive = false),
            (Cond::LinkLost, |t| t.0.local_enable = false),
            (Cond::CellInvalid, |t| t.1.cell_bad = true),
            (Cond::CellStuck, |t| t.1.cell_same = true),
            (Cond::CellLine, |t| t.1.line_error = -1e6),
            (Cond::LoadLimit, |t| t.2.load_limit = 200.0),
            (Cond::LoadRated, |t| {
                (t.1.load_raw, t.2.load_limit) = (1e6, f32::INFINITY);
            }),
            (Cond::LoadBand, |t| t.2.setpoint = 1e3),
            (Cond::ContactLost, |t| t.1.load = 0.0),
            (Cond::DriveFault, |t| t.1.drive_fault = true),
            (Cond::DriveRatio, |t| t.2.drives.furthest = 1e3),
            (Cond::Direction, |t| t.2.drives.wrong_way = true),
            (Cond::Torque, |t| t.2.drives.torque = true),
            (Cond::StopOverrun, |t| t.1.standstill = false),
            (Cond::Flow, |t| {
                (t.1.slurry_flow, t.2.drives.turning) = (0.0, true);
            }),
            (Cond::SupplyLow, |t| t.0.supply_pressure = 0),
            (Cond::SupplyInhibit, |t| t.0.supply_pressure = 0),
            (Cond::TankEmpty, |t| t.1.tank = Some(0)),
            (Cond::TemperatureVeryHigh, |t| t.1.hottest = Some(500.0)),
            (Cond::TemperatureStale, |t| t.1.hottest = None),
            (Cond::TickOverrun, |t| t.1.overrun = true),
            (Cond::GaugeInvalid, |t| {
                (t.1.size_valid, t.2.size_lower) = (false, 0.0);
            }),
            (Cond::SizeLow, |t| {
                (t.1.size, t.2.gauge_ends) = (1.0, false);
            }),
            (Cond::RecipeWrong, |t| t.2.recipe_wrong = true),
            (Cond::Internal, |t| t.2.internal = true),
            (Cond::FormLimit, |t| t.2.form_beyond = true),
            (Cond::FormOverdue, |t| t.2.form_overdue = true),
        ];
        for (row, cause) in causes {
            let mut tick = sound();
            cause(&mut tick);
            assert_ne!(compare(&tick) & row.bit(), 0, "{row:?} is silent");
        }
    }
}

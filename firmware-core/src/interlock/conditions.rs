//! Measured values against limits: one raw bit a row, undebounced, whether watched or not.

use super::table::Cond;
use crate::math;
use crate::params::CheckedParams;
use crate::process_image::{DRIVES, Inputs};
use crate::sequence::Plate;
use crate::signal::Measured;

/// Tank levels, per mille.
const TANK_LOW: u16 = 150;
const TANK_EMPTY: u16 = 50;
/// Extra torque allowed while running up.
const RUN_UP_TORQUE: f32 = 1.1;
/// A drive is turning the wrong way when it turns at least this fast against its reference, rpm.
const WRONG_WAY_RPM: f32 = 1.0;

/// What the controller knows besides the inputs: limits in force and what judging the phase found.
#[derive(Clone, Copy, Debug, Default)]
pub struct Situation {
    /// Step limit in force, N; infinite when none.
    pub load_limit: f32,
    /// Setpoint of the step, N.
    pub setpoint: f32,
    /// Drive references after their ramp, rpm.
    pub references: [f32; DRIVES],
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
    /// Plate.
    pub plate: Plate,
    /// Found by judging: contact above the taught height.
    pub contact_high: bool,
    /// Found by judging: below the taught height without contact.
    pub contact_low: bool,
    /// Found by judging: hanging weight above the tare.
    pub parts_stuck: bool,
    /// Found by judging: the height does not follow the descent.
    pub not_following: bool,
    /// Found by judging: the phase's time is up.
    pub phase_expired: bool,
    /// Found by judging: the hold's time is up.
    pub hold_expired: bool,
    /// Found by judging: the step ended by its longest time.
    pub overtime: bool,
    /// An invariant broke.
    pub internal: bool,
}

/// Raw condition bits in row order.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Conditions(pub u64);

impl Conditions {
    /// Without a branch: this is called for every row in every tick.
    const fn set(&mut self, on: bool, cond: Cond) {
        self.0 |= (on as u64).wrapping_shl(cond as u32);
    }

    /// Compares everything with its limit.
    #[must_use]
    pub fn judge(inputs: &Inputs, m: &Measured, now: &Situation, params: &CheckedParams) -> Self {
        let mut c = Self(0);
        c.safety(inputs, now);
        c.load(m, now, params);
        c.drives(inputs, m, now, params);
        c.supplies(inputs, m, now, params);
        c.found(m, now);
        c
    }

    fn safety(&mut self, i: &Inputs, now: &Situation) {
        self.set(!(i.estop_a && i.estop_b), Cond::Estop);
        self.set(i.estop_a != i.estop_b, Cond::EstopDisagree);
        let open = !(i.guard_a && i.guard_b);
        self.set(open || !i.guard_locked, Cond::GuardMoving);
        self.set(open, Cond::GuardWaiting);
        self.set(i.guard_a != i.guard_b, Cond::GuardDisagree);
        let dump = i.dump_open == now.dump_shut;
        self.set(dump, Cond::DumpFeedback);
        self.set(dump, Cond::DumpInhibit);
        self.set(!i.counterbalance_ok, Cond::Counterbalance);
        self.set(!(i.pin_in && i.arm_home), Cond::PinParked);
        self.set(!i.arm_home, Cond::PinLift);
        self.set(
            now.remote_armed && !(i.link_alive && i.local_enable),
            Cond::LinkLost,
        );
    }

    fn load(&mut self, m: &Measured, now: &Situation, params: &CheckedParams) {
        let p = params.get();
        self.set(m.cell_bad, Cond::CellInvalid);
        // These look at a plate that rests on parts; a movement in the air has phases of the same names.
        let contact = now.plate == Plate::Contact;
        self.set(contact && m.cell_same, Cond::CellStuck);
        self.set(
            contact && m.line_error.abs() > p.line_tolerance.get(),
            Cond::CellLine,
        );
        self.set(m.load_raw > now.load_limit, Cond::LoadLimit);
        self.set(m.load_raw > p.rated.get(), Cond::LoadRated);
        self.set(m.load_raw > p.first_contact.get(), Cond::FirstContact);
        let band = math::max(p.band.get(), now.setpoint * p.band_share.get());
        self.set((m.load - now.setpoint).abs() > band, Cond::LoadBand);
        self.set(contact && m.load < p.contact.get(), Cond::ContactLost);
    }

    fn drives(&mut self, i: &Inputs, m: &Measured, now: &Situation, params: &CheckedParams) {
        let p = params.get();
        self.set(m.drive_fault, Cond::DriveFault);
        // Watched in Stopping; its debounce is the monitored stop time.
        self.set(!m.standstill, Cond::StopOverrun);
        // Watched in Aborting; its debounce is the longest coast.
        self.set(!m.standstill, Cond::CoastOverrun);
        let (mut ratio, mut wrong, mut torque, mut run_up) = (false, false, false, false);
        let tolerance = p.speed_tolerance.get();
        for ((speed, reference), (measured, most)) in m
            .speeds
            .iter()
            .zip(&now.references)
            .zip(m.torques.iter().zip(&p.torque_max))
        {
            ratio |= (speed - reference).abs() > tolerance;
            wrong |= speed * reference < 0.0 && speed.abs() > WRONG_WAY_RPM;
            torque |= *measured > most.get();
            run_up |= *measured > most.get() * RUN_UP_TORQUE;
        }
        // A faulted drive coasts and the others follow it: its own row speaks, not the ratio.
        let coasting = i.drives.iter().any(|d| d.fault);
        self.set(ratio && now.powered && !coasting, Cond::DriveRatio);
        self.set(wrong, Cond::Direction);
        self.set(torque, Cond::Torque);
        self.set(run_up, Cond::TorqueRunUp);
    }

    fn supplies(&mut self, i: &Inputs, m: &Measured, now: &Situation, params: &CheckedParams) {
        let p = params.get();
        // Either wets the gap, and the change from one to the other overlaps.
        let flow = m.slurry_flow + m.rinse_flow;
        // Missed only where something turns, or is about to, on parts.
        let turning = !m.standstill || now.references.iter().any(|r| r.abs() > 0.0);
        let needed = turning && now.plate == Plate::Contact;
        self.set(needed && flow < p.flow_min.get(), Cond::Flow);
        self.set(!i.agitator_turning, Cond::AgitatorStopped);
        self.set(!i.agitator_turning, Cond::AgitatorSettled);
        self.set(m.tank.is_none_or(|level| level < TANK_LOW), Cond::TankLow);
        self.set(
            m.tank.is_some_and(|level| level < TANK_EMPTY),
            Cond::TankEmpty,
        );
        let supply = i.supply_pressure < p.supply_min;
        self.set(supply, Cond::SupplyLow);
        self.set(supply, Cond::SupplyInhibit);
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

    fn found(&mut self, m: &Measured, now: &Situation) {
        self.set(now.gauge_ends && !m.size_valid, Cond::GaugeInvalid);
        self.set(
            now.size_lower > 0.0 && m.size_valid && m.size < now.size_lower,
            Cond::SizeLow,
        );
        self.set(now.parts_stuck, Cond::PartsStuck);
        self.set(now.not_following, Cond::NotFollowing);
        self.set(now.recipe_wrong, Cond::RecipeWrong);
        self.set(now.contact_high, Cond::ContactHigh);
        self.set(now.contact_low, Cond::ContactLow);
        self.set(now.phase_expired, Cond::PhaseTimeout);
        self.set(now.hold_expired, Cond::HoldTimeout);
        self.set(now.overtime, Cond::StepOvertime);
        self.set(now.internal, Cond::Internal);
    }
}

//! The conditions themselves, one bit a row, watched or not.

use super::{Before, Reading, Rules, micrometres, step_of};
use firmware_core::interlock::Cond;
use firmware_core::process_image::{DriveInput, DriveOutput, Inputs, Slow};
use firmware_core::recipe::{EndWire, StepWire};
use firmware_core::sequence::{Phase, Plate, State};
use firmware_core::status::Status;
use firmware_core::units::Micrometres;
use twinplate_sim::bench::TickView;

/// A slow input older than this is as good as none, ticks.
const OLD: u16 = 1000;
/// A cell that was not valid for so many samples shows no load.
const CELL_LOST: u32 = 3;
/// A drive's reference is told in hundredths of a revolution a minute, rounded: it is off by half of one at most, rpm.
const TOLD: f32 = 0.0051;
/// A drive turns the wrong way from this speed on, rpm.
const WRONG_WAY: f32 = 1.0;
/// What a run-up may take more of a drive's torque limit.
const RUN_UP: f32 = 1.1;
/// Three late ticks within so many count.
const LATE_WITHIN: u32 = 1000;
/// Tank levels, per mille: low, empty.
const TANK: [u16; 2] = [150, 50];
/// Ticks for which contact must be felt.
const FELT: u32 = 100;
/// A descent gathers speed over its first part, µm: what the cell feels there is none.
const UNDER_WAY: f32 = 10_000.0;
/// A height that changes by more in one tick jumps, µm.
const JUMP: f32 = 1000.0;
/// A plate lowered fast for this long, ticks, falls by `FALL` µm in every `FALL_TICKS`.
const FALL_FROM: u32 = 3500;
const FALL: f32 = 1000.0;
const FALL_TICKS: u32 = 150;
/// Where in a lift the hanging weight is looked at, µm above its beginning.
const HANGING: [f32; 2] = [1000.0, 2900.0];
/// Ticks over which the plate is weighed in a precheck.
const WEIGHED: u32 = 512;
/// Rounding of that mean, N.
const WEIGHED_TO: f32 = 0.05;
/// Rounding of a deadline, ticks.
const ROUNDED: u32 = 2;

impl Reading {
    /// Conditions that are given now, watched or not.
    pub(super) fn conditions(
        &mut self,
        rules: &Rules,
        before: &Before,
        view: &TickView<'_>,
    ) -> u64 {
        let (i, s) = (view.inputs, view.status);
        let step = step_of(rules, before.step).filter(|_| self.started);
        let mut on = Bits(0);
        circuits(&mut on, i, before);
        supplies(&mut on, rules, i);
        drives(&mut on, rules, i, s, before);
        self.loads(&mut on, rules, i, s, before, step);
        self.gauge(&mut on, rules, i, s, before, step);
        if i.tick_overrun {
            let [_, second, third] = self.late;
            self.late = [second, third, Some(view.tick)];
            let [first, ..] = self.late;
            on.set(
                first.is_some_and(|first| view.tick - first < LATE_WITHIN),
                Cond::TickOverrun,
            );
        }
        self.in_phase += 1;
        self.feel(rules, i, s, before);
        if before.phase == Phase::Lower {
            self.descent(&mut on, rules, i);
        }
        if before.phase == Phase::Lift {
            let risen = micrometres(i.plate_height) - self.began_at;
            let [from, to] = HANGING;
            on.set(
                risen > from && risen < to && s.load.get() < -rules.params.get().stuck.get(),
                Cond::PartsStuck,
            );
        }
        if before.phase == Phase::Precheck {
            self.weigh(rules, i, before);
            on.set(self.weighs_otherwise, Cond::TareChanged);
        }
        self.times(&mut on, rules, before, step);
        self.forms(&mut on, rules, s, before);
        on.0
    }

    fn loads(
        &mut self,
        on: &mut Bits,
        rules: &Rules,
        i: &Inputs,
        s: &Status,
        before: &Before,
        step: Option<&StepWire>,
    ) {
        let p = rules.params.get();
        let (raw, load) = (s.load_raw.get(), s.load.get());
        let most = p.cell_range_counts;
        let bad = !i.cell_ok || i.cell_counts >= most || i.cell_counts <= -most;
        on.set(bad, Cond::CellInvalid);
        // What a cell reads that has lost its validity is no load.
        self.bad_for = if bad { self.bad_for + 1 } else { 0 };
        let raw = if self.bad_for < CELL_LOST { raw } else { 0.0 };
        on.set(raw > p.rated.get(), Cond::LoadRated);
        on.set(raw > p.first_contact.get(), Cond::FirstContact);
        if let Some(step) = step {
            let band = rules.params.band(step.load).get();
            if self
                .old_limit
                .is_some_and(|old| old <= step.load_limit.get() || load <= step.load.get() + band)
            {
                self.old_limit = None;
            }
            let limit = self.old_limit.unwrap_or(step.load_limit.get());
            on.set(raw > limit, Cond::LoadLimit);
            on.set((load - step.load.get()).abs() > band, Cond::LoadBand);
        }
        if before.plate == Plate::Contact {
            on.set(i.cell_counts == before.cell_counts, Cond::CellStuck);
            on.set(load < p.contact.get(), Cond::ContactLost);
            #[allow(clippy::cast_precision_loss)] // 24-bit counts
            let force = i.cell_counts as f32 * p.cell_scale.get();
            let line = f32::from(i.cap_pressure) * p.cap_scale.get()
                - f32::from(i.rod_pressure) * p.rod_scale.get();
            on.set(
                (force - line).abs() > p.line_tolerance.get(),
                Cond::CellLine,
            );
        }
    }

    fn gauge(
        &mut self,
        on: &mut Bits,
        rules: &Rules,
        i: &Inputs,
        s: &Status,
        before: &Before,
        step: Option<&StepWire>,
    ) {
        let Some(step) = step else { return };
        let size = (i.gauge_ok && i.gauge.age <= OLD).then(|| thickness(i.gauge.value));
        on.set(
            size.is_none() && !matches!(step.end, EndWire::Time(_)),
            Cond::GaugeInvalid,
        );
        let lower = rules.recipe.size_lower.get();
        on.set(size.is_some_and(|size| size < lower), Cond::SizeLow);
        if matches!(before.phase, Phase::LoadRamp | Phase::Dwell) {
            self.in_step += 1;
        }
        if before.phase == Phase::Dwell {
            let start = self.size_at_start.or(size);
            self.size_at_start = start;
            let size = size.filter(|_| !before.ends_by_time);
            let done = match step.end {
                EndWire::Time(ticks) => s.step_time.0 >= ticks.0,
                EndWire::Size(goal) => size.is_some_and(|size| size <= goal.get()),
                EndWire::Stock(depth) => size
                    .zip(start)
                    .is_some_and(|(size, start)| start - size >= depth.get()),
            };
            on.set(!done && self.in_step >= step.longest.0, Cond::StepOvertime);
        }
    }

    /// Form of the plates, where the recipe controls it. A recipe that was started is loaded until the power goes. A report acts before
    /// its tick and reckoning after it, so that both ticks' status must say so.
    fn forms(&self, on: &mut Bits, rules: &Rules, s: &Status, before: &Before) {
        let loaded = self.started && self.boots == before.boots;
        let Some(control) = rules.recipe.flatness.as_ref().filter(|_| loaded) else {
            return;
        };
        let beyond = |form: &[Micrometres]| form.iter().any(|form| form.abs() > control.limit);
        on.set(beyond(&before.form) && beyond(&s.form), Cond::FormLimit);
        let old = |age| age > control.longest;
        on.set(old(before.form_age) && old(s.form_age), Cond::FormOverdue);
    }

    /// What the raised plate weighs, against the machine's and the last one's; what weighs otherwise is not remembered.
    fn weigh(&mut self, rules: &Rules, i: &Inputs, before: &Before) {
        if before.state != State::Running || self.weighed_for == WEIGHED {
            return;
        }
        let p = rules.params.get();
        #[allow(clippy::cast_precision_loss)] // 24-bit counts
        let force = i.cell_counts as f32 * p.cell_scale.get();
        self.weighed_for += 1;
        self.weighed += f64::from(force) / f64::from(WEIGHED);
        if self.weighed_for < WEIGHED {
            return;
        }
        #[allow(clippy::cast_possible_truncation)] // some hundreds of newtons
        let weighed = self.weighed as f32;
        let beyond = |from: f32, band: f32| (weighed - from).abs() > band + WEIGHED_TO;
        self.weighs_otherwise = beyond(-p.weight.get(), p.tare_band.get())
            || self
                .last_weighed
                .is_some_and(|last| beyond(last, p.stuck.get()));
        if !self.weighs_otherwise {
            self.last_weighed = Some(weighed);
        }
    }

    /// Contact felt by the cell: a bounce takes away what it gave, twice as fast.
    fn feel(&mut self, rules: &Rules, i: &Inputs, s: &Status, before: &Before) {
        let p = rules.params.get();
        let height = micrometres(i.plate_height);
        let gathers_speed = before.phase == Phase::Lower
            && height > rules.recipe.contact_height.get() + p.approach.get()
            && self.began_at - height < UNDER_WAY;
        self.felt = if s.load > p.contact && !gathers_speed {
            self.felt + 1
        } else {
            self.felt.saturating_sub(2)
        };
    }

    fn descent(&mut self, on: &mut Bits, rules: &Rules, i: &Inputs) {
        let p = rules.params.get();
        let taught = rules.recipe.contact_height.get();
        let tolerance = p.contact_tolerance.get();
        let height = micrometres(i.plate_height);
        on.set(
            self.felt >= FELT && height > taught + tolerance,
            Cond::ContactHigh,
        );
        on.set(
            self.felt == 0 && height < taught - tolerance,
            Cond::ContactLow,
        );
        let jumps = (height - self.height).abs() > JUMP;
        self.height = height;
        let fast = i.pin_out && height > taught + p.approach.get() && self.in_phase > FALL_FROM;
        if fast && self.fall_from - height < FALL {
            self.not_falling += 1;
        } else {
            self.fall_from = height;
            self.not_falling = 0;
        }
        on.set(jumps || self.not_falling > FALL_TICKS, Cond::NotFollowing);
    }

    /// Deadlines of the phases, and the longest hold.
    fn times(&self, on: &mut Bits, rules: &Rules, before: &Before, step: Option<&StepWire>) {
        let p = rules.params.get();
        on.set(
            before.state == State::Held && self.in_phase > p.hold_time.0,
            Cond::HoldTimeout,
        );
        let ends = matches!(
            before.state,
            State::Running | State::Restarting | State::Holding
        ) || before.phase == Phase::Lift && before.plate == Plate::Air;
        // The shortest deadline of all: most ticks need not work theirs out.
        if !ends || self.in_phase <= 2000 {
            return;
        }
        let speeds = || {
            let fastest = step.map_or(0.0, |step| {
                step.speeds
                    .iter()
                    .fold(0.0, |most: f32, speed| most.max(speed.get().abs()))
            });
            seconds(fastest / p.drive_ramp.get() * 1.5 + 2.0)
        };
        // Over the whole range of loads: the load may come down from any step before.
        let loads = || {
            step.map_or(0, |step| {
                // Down to the lowest load of a step, or the initial load where that is less.
                let least = if p.lowest < p.initial {
                    p.lowest
                } else {
                    p.initial
                };
                seconds((p.rated - least).get() / step.ramp.get() * 1.5)
            })
        };
        let deadline = match before.phase {
            Phase::Rest | Phase::Coast | Phase::Manual | Phase::Dwell => return,
            Phase::Precheck => 10_000,
            Phase::Lower => p.travel_time.0,
            Phase::TouchDown => 15_000,
            Phase::SlurryPrestart => rules.recipe.prestart.0 + 30_000,
            Phase::RunUp => speeds(),
            Phase::LoadRamp => loads().max(speeds()) + 5000,
            Phase::LoadRelease => loads() + 15_000,
            Phase::Rinse => rules.recipe.rinse.0 + 30_000,
            Phase::RunDown => speeds().max(p.stop_time.0),
            Phase::SlurryStop if before.state == State::Running => 10_000,
            Phase::SlurryStop => return,
            Phase::Lift => p.lift_time.0,
        };
        on.set(
            self.in_phase > deadline.saturating_add(ROUNDED),
            Cond::PhaseTimeout,
        );
    }
}

/// Conditions, one bit a row.
struct Bits(u64);

impl Bits {
    const fn set(&mut self, on: bool, row: Cond) {
        if on {
            self.0 |= row.bit();
        }
    }
}

fn circuits(on: &mut Bits, i: &Inputs, before: &Before) {
    on.set(!i.estop_a || !i.estop_b, Cond::Estop);
    on.set(i.estop_a != i.estop_b, Cond::EstopDisagree);
    let open = !i.guard_a || !i.guard_b;
    on.set(open || !i.guard_locked, Cond::GuardMoving);
    on.set(open, Cond::GuardWaiting);
    on.set(i.guard_a != i.guard_b, Cond::GuardDisagree);
    on.set(!i.counterbalance_ok, Cond::Counterbalance);
    on.set(!i.counterbalance_ok, Cond::CounterbalanceStopped);
    let dump = i.dump_open == before.dump_shut;
    on.set(dump, Cond::DumpFeedback);
    on.set(dump, Cond::DumpInhibit);
    on.set(!i.agitator_turning, Cond::AgitatorStopped);
    on.set(!i.agitator_turning, Cond::AgitatorSettled);
    let parked = before.plate == Plate::Parked;
    on.set(parked && (!i.pin_in || !i.arm_home), Cond::PinParked);
    on.set(!i.arm_home, Cond::PinLift);
}

fn supplies(on: &mut Bits, rules: &Rules, i: &Inputs) {
    let p = rules.params.get();
    let supply = i.supply_pressure < p.supply_min;
    on.set(supply, Cond::SupplyLow);
    on.set(supply, Cond::SupplyInhibit);
    let [low, empty] = TANK;
    let level = (i.tank_level.age <= OLD).then_some(i.tank_level.value);
    on.set(level.is_none_or(|level| level < low), Cond::TankLow);
    on.set(level.is_some_and(|level| level < empty), Cond::TankEmpty);
    let hottest = i
        .plate_temperature
        .iter()
        .filter(|plate: &&Slow<i16>| plate.age <= OLD)
        .map(|plate| f32::from(plate.value) * 0.01)
        .reduce(f32::max);
    let above = |limit: f32| hottest.is_some_and(|celsius| celsius > limit);
    on.set(above(p.temperature_high.get()), Cond::TemperatureHigh);
    on.set(
        above(p.temperature_very_high.get()),
        Cond::TemperatureVeryHigh,
    );
    on.set(hottest.is_none(), Cond::TemperatureStale);
}

fn drives(on: &mut Bits, rules: &Rules, i: &Inputs, s: &Status, before: &Before) {
    let p = rules.params.get();
    let fault = i.drives.iter().any(|drive| drive.fault);
    on.set(fault, Cond::DriveFault);
    on.set(!s.standstill, Cond::StopOverrun);
    on.set(!s.standstill, Cond::CoastOverrun);
    let reference = |drive: &DriveOutput| f32::from(drive.setpoint) * 0.01;
    let speed = |drive: &DriveInput| f32::from(drive.speed) * 0.01;
    let each = || i.drives.iter().zip(&before.drives);
    let powered = before.drives.iter().any(|drive| drive.enable);
    if powered {
        let off = each().any(|(reports, asked)| {
            (speed(reports) - reference(asked)).abs() > p.speed_tolerance.get() + TOLD
        });
        on.set(off && !fault, Cond::DriveRatio);
        let wrong = each().any(|(reports, asked)| {
            speed(reports) * reference(asked) < 0.0 && speed(reports).abs() > WRONG_WAY
        });
        on.set(wrong, Cond::Direction);
    }
    let above = |share: f32| {
        i.drives
            .iter()
            .zip(&p.torque_max)
            .any(|(drive, most)| (f32::from(drive.torque) * 0.1).abs() > most.get() * share)
    };
    on.set(above(1.0), Cond::Torque);
    on.set(above(RUN_UP), Cond::TorqueRunUp);
    let turns = !s.standstill || before.drives.iter().any(|drive| drive.setpoint != 0);
    on.set(
        turns && before.plate == Plate::Contact && !s.flow_proven,
        Cond::Flow,
    );
}

/// A gauge reading, nm, in µm.
#[allow(clippy::cast_precision_loss)] // the controller rounds alike
fn thickness(nanometres: i32) -> f32 {
    nanometres as f32 * 0.001
}

/// Ticks, rounded up.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // `as` saturates; no negative time
fn seconds(seconds: f32) -> u32 {
    (seconds * 1000.0).ceil() as u32
}

//! Judging the phase: each phase has its own reading of [`View`], its own deadline, and nothing else of the inputs
//! reaches the sequencer.

mod deadline;

pub use deadline::deadline;

use crate::interlock::{Cond, Conditions, TANK_LOW, fixed_debounce};
use crate::math;
use crate::motion::{DriveSet, LoadLoop, SEATING_TICKS};
use crate::params::{CheckedParams, RAMP_SPARE};
use crate::process_image::Inputs;
use crate::recipe::{CheckedRecipe, EndWire, StepWire};
use crate::sequence::{Phase, Plate, Sequencer, State, View};
use crate::signal::{Measured, Signal, TARE_TICKS};
use crate::units::{Newtons, Ticks};

/// Contact must be seen this long, ticks; a bounce takes away what it gave, twice as fast.
pub const CONTACT_CONFIRM: u32 = 100;
/// The first part of a descent, in which the plate gathers speed, µm.
const GETTING_UNDER_WAY: f32 = 10_000.0;
/// Height may change by this much in one tick, µm: 1 m/s, fifty times the descent.
const JUMP: f32 = 1_000.0;
/// A plate that is lowered fast has fallen by `FOLLOW_FALL` µm every `FOLLOW_TICKS`, once it had `FOLLOW_FROM` ticks to get under
/// way. A descent at 20 mm/s takes at most 60 ticks for it, and the slowest of the demo machines' envelopes 2.3 s to begin
/// (measured); the fault matrix found a plate that met its parts at full speed behind a frozen height.
const FOLLOW_FALL: f32 = 1_000.0;
const FOLLOW_TICKS: u32 = 150;
const FOLLOW_FROM: u32 = 3_500;
/// Flow must have been proven this long without a break before anything turns, ticks: a pump that stops and starts proves a
/// moment, not a wetted gap. It runs beside the programmed time and makes an ordinary pre-start no longer.
pub const WETTED: u32 = 5_000;
/// In-band times, ticks: of the initial load at touch-down …
pub const SEATED: u32 = 500;
/// … of the speeds at run-up …
pub const UP_TO_SPEED: u32 = 500;
/// … of load and speeds at the end of a load ramp …
pub const LOADED: u32 = 1000;
/// … and of the initial load after a release.
pub const RELEASED: u32 = 200;
/// Longest precheck, ticks.
const PRECHECK_TIME: u32 = 10_000;
/// Longest touch-down, ticks.
const TOUCH_DOWN_TIME: u32 = 15_000;
/// What a pre-start or a rinse may take longer than it is programmed, ticks: the line fills first.
pub const WETTING_SPARE: u32 = 30_000;
/// What a load release may take longer than its ramp, ticks.
const RELEASE_SPARE: u32 = 15_000;
/// What a load ramp may take longer than the ramps of load and speed, ticks.
pub const LOAD_SPARE: u32 = 5_000;
/// Longest time for the line to stop flowing, ticks.
pub const STOP_LINE_TIME: u32 = 10_000;
/// The line has stopped when its flow is below this share of the minimum.
pub const STOPPED_SHARE: f32 = 0.25;
/// The stuck-part check looks between these heights above where the lift began, µm.
const STUCK_FROM: f32 = 1_000.0;
const STUCK_TO: f32 = 2_900.0;
/// Creep part of a lift, µm.
pub const CREEP_LIFT: f32 = 3_000.0;
/// The plate counts as raised this close below its parked height, µm.
const RAISED_WITHIN: f32 = 500.0;
/// Tank level needed to start, per mille: one that would not give the alarm at once.
const TANK_START: u16 = TANK_LOW;

/// Bits of the precheck list; the order is shown to the operator and never changes.
pub const PRECHECK_ITEMS: [&str; 12] = [
    "guard closed and locked",
    "air supply pressure",
    "counterbalance pressure",
    "slurry level",
    "agitator turning",
    "parking pin and arm",
    "parts counted and confirmed",
    "load cell tare as it was, in its band",
    "load cell valid",
    "emergency stop released",
    "drives ready and still",
    "dump valve where it should be",
];

/// Items proved again on a restart: all but pin, parts and tare, which a plate in contact cannot show.
const QUICK: u16 = 0b1111_0001_1111;

// What is waited for must be able to come before the wait is given up.
const _: () = {
    assert!(
        PRECHECK_TIME > TARE_TICKS,
        "the tare is learned within the precheck"
    );
    assert!(
        TOUCH_DOWN_TIME > SEATING_TICKS + SEATED,
        "the load is taken, then held in band"
    );
    assert!(
        WETTING_SPARE > WETTED,
        "flow that comes at once is proven in time"
    );
    assert!(
        WETTING_SPARE > fixed_debounce(Cond::Flow),
        "a line that fills is given longer than one that fails"
    );
    assert!(
        LOAD_SPARE > LOADED && RELEASE_SPARE > RELEASED,
        "a ramp that arrives is in band in time"
    );
    assert!(
        RAMP_SPARE > UP_TO_SPEED,
        "drives that arrive are in band in time"
    );
    assert!(FOLLOW_FROM > FOLLOW_TICKS, "a plate gets under way first");
    assert!(
        STUCK_FROM < STUCK_TO && STUCK_TO < CREEP_LIFT,
        "parts that stick are felt while the lift creeps"
    );
    assert!(
        QUICK >> PRECHECK_ITEMS.len() == 0,
        "a restart proves items of the list"
    );
    assert!(PRECHECK_ITEMS.len() <= u16::BITS as usize, "a bit each");
};

/// What judging found this tick.
#[derive(Clone, Copy, Debug, Default)]
pub struct Found {
    /// The phase's own view.
    pub view: View,
    /// The phase's time is up.
    pub expired: bool,
    /// Conditions of interlock rows that judging finds.
    pub rows: Conditions,
    /// Contact confirmed by the cell.
    pub contact: bool,
    /// Precheck items missing.
    pub missing: u16,
}

/// Timers of the present phase and step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judge {
    /// Longest time of the present phase, ticks: see [`deadline`].
    deadline: Option<u32>,
    in_phase: u32,
    in_band: u32,
    contact_for: u32,
    flow_for: u32,
    /// Ticks since the step's load ramp began.
    step_elapsed: u32,
    /// In-band ticks of the step's dwell.
    step_time: u32,
    size_at_start: f32,
    size_known: bool,
    lift_from: f32,
    /// Height in the tick before, and where and for how long its fall is measured.
    last_height: f32,
    fall_from: f32,
    falling_for: u32,
}

/// What judging looks at, gathered so that the functions stay readable.
#[derive(Clone, Copy, Debug)]
pub struct Scene<'a> {
    /// Raw inputs (for bits that need no scaling).
    pub inputs: &'a Inputs,
    /// Measured values.
    pub m: &'a Measured,
    /// Sequencer as of last tick.
    pub seq: &'a Sequencer,
    /// Signal chain (tare).
    pub signal: &'a Signal,
    /// Load loop.
    pub load_loop: &'a LoadLoop,
    /// Drives.
    pub drives: &'a DriveSet,
    /// Parameters.
    pub params: &'a CheckedParams,
    /// Recipe, if one is loaded.
    pub recipe: Option<&'a CheckedRecipe>,
    /// Present step.
    pub step: Option<&'a StepWire>,
    /// Pieces the operator confirmed.
    pub pieces: u16,
    /// The dump valve was told to be shut in the previous tick.
    pub dump_shut: bool,
    /// Gauge lost: steps end by their longest time.
    pub end_by_time: bool,
}

impl Judge {
    /// The phase changed: its timers begin anew.
    ///
    /// A descent forgets what was felt before it, with another tare; whatever comes after it does not, so that a plate which is
    /// stopped as it touches is known to rest on the parts.
    ///
    /// `lowest` is the least height that a plate can have, µm: what begins here begins no lower, whatever the height reads, so that a
    /// false reading cannot end the creep off the parts before it began. `deadline` is the phase's [`deadline`].
    pub const fn enter(&mut self, phase: Phase, height: f32, lowest: f32, deadline: Option<u32>) {
        self.deadline = deadline;
        self.in_phase = 0;
        self.in_band = 0;
        if matches!(phase, Phase::Lower) {
            self.contact_for = 0;
        }
        self.flow_for = 0;
        self.lift_from = math::max(height, lowest);
        self.last_height = height;
    }

    /// A new step (or the first) begins.
    pub(crate) const fn begin_step(&mut self) {
        self.step_elapsed = 0;
        self.step_time = 0;
        self.size_known = false;
    }

    /// In-band time of the step, ticks.
    #[must_use]
    pub const fn step_time(&self) -> Ticks {
        Ticks(self.step_time)
    }

    /// Height at which the present phase began, µm.
    #[must_use]
    pub const fn began_at(&self) -> f32 {
        self.lift_from
    }

    /// Judges the phase the sequencer is in.
    #[inline(always)]
    pub fn look(&mut self, s: &Scene<'_>) -> Found {
        self.in_phase = self.in_phase.saturating_add(1);
        let mut found = Found {
            contact: self.feel(s),
            ..Found::default()
        };
        found.expired = self
            .deadline
            .is_some_and(|deadline| self.in_phase > deadline);
        match s.seq.phase {
            Phase::Rest | Phase::Coast | Phase::Manual => {}
            Phase::Precheck => self.precheck(s, &mut found),
            Phase::Lower => self.lower(s, &mut found),
            Phase::TouchDown => {
                let seated = within(s.m.load, s.params.get().initial, s.params);
                self.need(seated, SEATED, &mut found);
            }
            Phase::SlurryPrestart => self.prestart(s, &mut found),
            Phase::RunUp => {
                let ready =
                    s.drives.arrived() && s.drives.in_band(s.params.get().speed_tolerance.get());
                self.need(ready, UP_TO_SPEED, &mut found);
            }
            Phase::LoadRamp => self.load_ramp(s, &mut found),
            Phase::Dwell => self.dwell(s, &mut found),
            Phase::LoadRelease => {
                let initial = s.params.get().initial;
                let target = s
                    .step
                    .map_or(initial, |step| s.params.release_load(step.load));
                let released = within(s.m.load, target, s.params)
                    && within(s.load_loop.reference().get(), target, s.params);
                self.need(released, RELEASED, &mut found);
            }
            Phase::Rinse => self.rinse(s, &mut found),
            Phase::RunDown => found.view = reached(s.m.standstill),
            Phase::SlurryStop => {
                let stopped = s.m.slurry_flow + s.m.rinse_flow
                    < s.params.get().flow_min.get() * STOPPED_SHARE;
                // On the way to a stop or hold nothing is gained by waiting for a line that will not empty.
                let on_ladder = s.seq.state == State::Running;
                found.view = reached(stopped || (found.expired && !on_ladder));
                found.expired &= on_ladder;
            }
            Phase::Lift => self.lift(s, &mut found),
        }
        self.time_up(s, &mut found);
        found
    }

    #[inline(always)]
    fn feel(&mut self, s: &Scene<'_>) -> bool {
        // A plate that gathers speed pulls less on the cell: contact is not believed before the descent is well under way.
        // Below the approach it creeps, and whatever it feels there is contact.
        let taught = s.recipe.map_or(0.0, |r| r.get().contact_height.get());
        let starting = s.seq.phase == Phase::Lower
            && s.m.height > taught + s.params.get().approach.get()
            && self.lift_from - s.m.height < GETTING_UNDER_WAY;
        let touching = s.m.load > s.params.get().contact.get() && !starting;
        self.contact_for = if touching {
            self.contact_for.saturating_add(1)
        } else {
            self.contact_for.saturating_sub(2)
        };
        self.contact_for >= CONTACT_CONFIRM
    }

    #[inline(always)]
    fn need(&mut self, good: bool, long: u32, found: &mut Found) {
        self.in_band = if good {
            self.in_band.saturating_add(1)
        } else {
            0
        };
        found.view = reached(self.in_band >= long);
    }

    #[inline(always)]
    fn precheck(&self, s: &Scene<'_>, found: &mut Found) {
        let p = s.params.get();
        let i = s.inputs;
        let items: [bool; PRECHECK_ITEMS.len()] = [
            i.guard_a && i.guard_b && i.guard_locked,
            i.supply_pressure >= p.supply_min,
            i.counterbalance_ok,
            s.m.tank.is_some_and(|level| level >= TANK_START),
            i.agitator_turning,
            i.pin_in && i.arm_home,
            s.recipe.is_some_and(|r| r.get().pieces == s.pieces),
            s.signal.tare_believed(),
            !s.m.cell_bad,
            i.estop_a && i.estop_b,
            !s.m.drive_fault && s.m.standstill,
            i.dump_open != s.dump_shut,
        ];
        let wanted = if s.seq.state == State::Restarting {
            QUICK
        } else {
            u16::MAX
        };
        let mut bit = 1_u16;
        for ok in items {
            if !ok {
                found.missing |= bit & wanted;
            }
            bit = bit.wrapping_shl(1);
        }
        let changed = s.signal.tared() && !s.signal.tare_believed();
        found.rows.set(changed, Cond::TareChanged);
        found.view = reached(found.missing == 0);
    }

    #[inline(always)]
    fn lower(&mut self, s: &Scene<'_>, found: &mut Found) {
        let p = s.params.get();
        let taught = s.recipe.map_or(0.0, |r| r.get().contact_height.get());
        let tolerance = p.contact_tolerance.get();
        let high = found.contact && s.m.height > taught + tolerance;
        found.rows.set(high, Cond::ContactHigh);
        let low = !found.contact && self.contact_for == 0 && s.m.height < taught - tolerance;
        found.rows.set(low, Cond::ContactLow);
        let fast = s.inputs.pin_out && s.m.height > taught + p.approach.get();
        found
            .rows
            .set(!self.follows(s.m.height, fast), Cond::NotFollowing);
        found.view = reached(found.contact && !high);
    }

    /// Whether the height does what a plate can do.
    #[inline(always)]
    fn follows(&mut self, height: f32, fast: bool) -> bool {
        let jumps = (height - self.last_height).abs() > JUMP;
        self.last_height = height;
        let under_way = fast && self.in_phase > FOLLOW_FROM;
        if under_way && self.fall_from - height < FOLLOW_FALL {
            self.falling_for = self.falling_for.saturating_add(1);
        } else {
            self.fall_from = height;
            self.falling_for = 0;
        }
        !jumps && self.falling_for <= FOLLOW_TICKS
    }

    #[inline(always)]
    fn prestart(&mut self, s: &Scene<'_>, found: &mut Found) {
        let flowing = s.m.slurry_flow >= s.params.get().flow_min.get();
        self.flow_for = if flowing {
            self.flow_for.saturating_add(1)
        } else {
            0
        };
        let programmed = s.recipe.map_or(Ticks::ZERO, |r| r.get().prestart).0;
        found.view = reached(self.flow_for >= WETTED && self.in_phase >= programmed);
    }

    #[inline(always)]
    fn load_ramp(&mut self, s: &Scene<'_>, found: &mut Found) {
        self.step_elapsed = self.step_elapsed.saturating_add(1);
        let Some(step) = s.step else { return };
        let ready = within(s.m.load, step.load, s.params)
            && within(s.load_loop.reference().get(), step.load, s.params)
            && s.drives.arrived()
            && s.drives.in_band(s.params.get().speed_tolerance.get());
        self.need(ready, LOADED, found);
    }

    #[inline(always)]
    fn dwell(&mut self, s: &Scene<'_>, found: &mut Found) {
        let Some(step) = s.step else { return };
        self.step_elapsed = self.step_elapsed.saturating_add(1);
        if within(s.m.load, step.load, s.params)
            && s.drives.in_band(s.params.get().speed_tolerance.get() * 2.0)
        {
            self.step_time = self.step_time.saturating_add(1);
        }
        if !self.size_known && s.m.size_valid {
            self.size_known = true;
            self.size_at_start = s.m.size;
        }
        let gauge = s.m.size_valid && !s.end_by_time;
        let done = match step.end {
            EndWire::Time(ticks) => self.step_time >= ticks.0,
            EndWire::Stock(depth) => {
                gauge && self.size_known && self.size_at_start - s.m.size >= depth.get()
            }
            EndWire::Size(size) => gauge && s.m.size <= size.get(),
        };
        let overtime = !done && self.step_elapsed >= step.longest.0;
        found.rows.set(overtime, Cond::StepOvertime);
        found.view = reached(done || overtime);
    }

    #[inline(always)]
    fn rinse(&mut self, s: &Scene<'_>, found: &mut Found) {
        let flowing = s.m.rinse_flow >= s.params.get().flow_min.get();
        self.flow_for = if flowing {
            self.flow_for.saturating_add(1)
        } else {
            self.flow_for
        };
        let programmed = s.recipe.map_or(Ticks::ZERO, |r| r.get().rinse).0;
        found.view = reached(self.flow_for >= programmed);
    }

    #[inline(always)]
    fn lift(&self, s: &Scene<'_>, found: &mut Found) {
        let p = s.params.get();
        let risen = s.m.height - self.lift_from;
        // Only creeping: there the cell sees the hanging weight and hardly any drag.
        let stuck = risen > STUCK_FROM && risen < STUCK_TO && s.m.load < -p.stuck.get();
        found.rows.set(stuck, Cond::PartsStuck);
        found.view =
            reached(s.m.height >= p.height_raised.get() - RAISED_WITHIN && s.inputs.pin_in);
    }

    /// Whose time is up: of a hold, and of a phase.
    #[inline(always)]
    fn time_up(&self, s: &Scene<'_>, found: &mut Found) {
        if s.seq.state == State::Held {
            let over = self.in_phase > s.params.get().hold_time.0;
            found.rows.set(over, Cond::HoldTimeout);
        }
        if found.expired {
            // Deadlines end phases of a cycle on its way; what waits for the operator, or stops, has its own rules.
            found.expired = matches!(
                s.seq.state,
                State::Running | State::Restarting | State::Holding
            ) || (s.seq.phase == Phase::Lift && s.seq.plate == Plate::Air);
            found.rows.set(found.expired, Cond::PhaseTimeout);
        }
    }
}

const fn reached(yes: bool) -> View {
    if yes { View::Reached } else { View::Waiting }
}

fn within(load: f32, setpoint: Newtons, params: &CheckedParams) -> bool {
    (load - setpoint.get()).abs() <= params.band(setpoint).get()
}

#[cfg(test)]
mod tests;

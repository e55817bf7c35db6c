//! Answers that are owed by one row and no other.
//!
//! Many faults may be answered by any of several rows, and a row that is missing among them would not be missed. So two things are
//! declared beside [`super::answers`]: rows that a fault owes ([`OWED`]), and what the plant's truth owes ([`Witness`]): whenever a
//! limit is truly passed for longer than the debounce of the row that guards it, that row must have asked, whatever the fault.

use super::answers::{CYCLE, EVERYWHERE, at};
use super::moments::Column;
use crate::bench::Job;
use crate::math::{abs, max};
use crate::model::{Component as C, End, FaultMode as M};
use crate::plant::FastTruth;
use firmware_core::interlock::{Cond, ROWS};
use firmware_core::process_image::Outputs;
use firmware_core::sequence::{Phase, State};
use firmware_core::status::Status;

/// Until when a row is owed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Until {
    /// So many seconds after the fault.
    Seconds(f64),
    /// The machine's settling limit and a little after the fault.
    SettleLimit,
    /// Before the cycle ends.
    End,
    /// Before any other row that does more than tell.
    First,
}

/// On which jobs a row is owed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum On {
    /// On all.
    All,
    /// Where the step with the highest setpoint ends by gauge.
    Gauge,
    /// Where a cell with its leads swapped, which reads twice the plate's weight less the load, reads more than every step's limit at
    /// initial load.
    SwappedOverLimit,
}

/// A row that a fault owes.
#[derive(Clone, Copy, Debug)]
pub struct Owed {
    /// Components.
    pub components: &'static [C],
    /// Modes.
    pub modes: &'static [M],
    /// First and last column in which the fault begins.
    pub columns: (Column, Column),
    /// The row.
    pub row: Cond,
    /// Until when.
    pub until: Until,
    /// On which jobs.
    pub on: On,
    /// Why it must.
    pub reason: &'static str,
}

/// The list. A row is owed only if the cycle is still running at that time.
pub const OWED: &[Owed] = &[
    Owed {
        components: &[C::GuardA, C::GuardB],
        modes: &[M::Off],
        columns: EVERYWHERE,
        row: Cond::GuardDisagree,
        until: Until::Seconds(2.05),
        on: On::All,
        reason: "the other channel stays closed: they differ for the 2 s of row 6, which is watched always",
    },
    Owed {
        components: &[C::CapTransmitter],
        modes: &[M::Off],
        columns: (at(Phase::SlurryPrestart), at(Phase::RunDown)),
        row: Cond::CellLine,
        until: Until::Seconds(0.5),
        on: On::All,
        reason: "no cap pressure against a cell that shows the initial load or more: 300 ms of row 9",
    },
    Owed {
        components: &[C::CapTransmitter],
        modes: &[M::Off, M::Stuck],
        columns: (Column::Idle, at(Phase::Lower)),
        row: Cond::CellLine,
        until: Until::End,
        on: On::All,
        reason: "as above, once the parts carry the initial load; a reading that sticks before the cylinder presses is one of none",
    },
    Owed {
        components: &[C::LoadCell],
        modes: &[M::Wrong],
        columns: (at(Phase::SlurryPrestart), at(Phase::RunUp)),
        row: Cond::LoadLimit,
        until: Until::Seconds(0.1),
        on: On::SwappedOverLimit,
        reason: "swapped leads read twice the plate's weight less the load: 20 ms of row 10, where row 11 is not quicker still",
    },
    Owed {
        components: &[C::HeightTransmitter],
        modes: &[M::Off],
        columns: (Column::Idle, at(Phase::Precheck)),
        row: Cond::ContactLow,
        until: Until::First,
        on: On::All,
        reason: "a height of zero before the descent begins neither jumps nor stands, but lies below the parts: 20 ms of row 41",
    },
    Owed {
        components: &[C::Agitator],
        modes: &[M::Off],
        columns: CYCLE,
        row: Cond::AgitatorStopped,
        until: Until::Seconds(5.05),
        on: On::All,
        reason: "5 s of row 19, in any phase of a cycle",
    },
    Owed {
        components: &[C::Agitator],
        modes: &[M::Off],
        columns: CYCLE,
        row: Cond::AgitatorSettled,
        until: Until::SettleLimit,
        on: On::All,
        reason: "the settling limit of row 20",
    },
    Owed {
        components: &[C::Gauge],
        modes: &[M::Off],
        columns: (at(Phase::Dwell), at(Phase::Dwell)),
        row: Cond::GaugeInvalid,
        until: Until::Seconds(1.3),
        on: On::Gauge,
        reason: "a step that ends by gauge has none: 1 s of row 32 and the age of its reading",
    },
    Owed {
        components: &[C::Gauge],
        modes: &[M::Garbage],
        columns: (Column::Idle, at(Phase::SlurryPrestart)),
        row: Cond::SizeLow,
        until: Until::End,
        on: On::Gauge,
        reason: "a size anywhere in the gauge's range lies below the lower limit, for longer than 200 ms, in the first readings of a dwell",
    },
    Owed {
        components: &[C::Gauge],
        modes: &[M::Stuck],
        columns: (Column::Idle, at(Phase::LoadRamp)),
        row: Cond::StepOvertime,
        until: Until::End,
        on: On::Gauge,
        reason: "a size that does not move never ends a step: its longest time does, row 44",
    },
    Owed {
        components: &[C::Arm],
        modes: &[M::Off],
        columns: (at(Phase::Lower), at(Phase::Lift)),
        row: Cond::PinLift,
        until: Until::End,
        on: On::All,
        reason: "every cycle that goes on comes to its lift, where row 35 looks at the arm",
    },
];

/// The row is owed by this fault in this column, on this job.
pub fn owed_by(
    component: C,
    mode: M,
    column: Column,
    job: &Job,
) -> impl Iterator<Item = &'static Owed> {
    OWED.iter().filter(move |owed| {
        owed.components.contains(&component)
            && owed.modes.contains(&mode)
            && (owed.columns.0..=owed.columns.1).contains(&column)
            && owed.on.holds(job)
    })
}

impl On {
    fn holds(self, job: &Job) -> bool {
        let steps = &job.recipe.steps;
        match self {
            Self::All => true,
            // The step that stands for all in the columns of a step.
            Self::Gauge => steps
                .iter()
                .max_by(|a, b| a.pressure.total_cmp(&b.pressure))
                .is_some_and(|step| !matches!(step.end, End::Time { .. })),
            Self::SwappedOverLimit => {
                let reads = 2.0 * job.machine.actuator.weight() - job.machine.control.initial_load;
                steps
                    .iter()
                    .all(|step| reads > step.load_limit * (1.0 + CLEARLY))
            }
        }
    }
}

impl Owed {
    /// Ticks after the fault until which it is owed; `None` for the end of the cycle.
    #[must_use]
    pub fn ticks(&self, job: &Job) -> Option<u32> {
        match self.until {
            Until::Seconds(seconds) => Some(crate::compile::ticks(seconds).0),
            // Five hundredths of a second more, as for the others.
            Until::SettleLimit => {
                Some(crate::compile::ticks(job.machine.control.settle_limit + 0.05).0)
            }
            Until::End | Until::First => None,
        }
    }
}

/// Share of the rated load by which a limit must truly be passed before it counts as passed: noise, runout and the cell's span
/// lie below it. Invented.
const CLEARLY: f64 = 0.02;
/// Share by which the load must be farther off than its band. Invented.
const CLEARLY_OFF: f64 = 1.5;
/// Speed of a drive against its setpoint that counts, rad/s: twice what row 25 asks for.
const AGAINST: f64 = 0.21;

/// Limits of the plant that are watched in truth: the row that guards each, and the ticks for which it must be passed before the row
/// is owed (the row's debounce; filters and noise beside it).
pub const WATCHED: [(Cond, u32); 4] = [
    (Cond::LoadLimit, 20 + 60),
    (Cond::FirstContact, 8 + 40),
    (Cond::LoadBand, 2000 + 500),
    (Cond::Direction, 100 + 60),
];

/// Longest stretches for which the limits were truly passed, and when each row asked first.
#[derive(Clone, Debug)]
pub struct Witness {
    now: [u32; WATCHED.len()],
    /// Longest stretch, ticks, in the order of [`WATCHED`].
    pub longest: [u32; WATCHED.len()],
    /// Ticks after the fault at which each row asked first.
    pub asked: [Option<u32>; ROWS],
    /// Ticks after the fault at which the state was no longer the one in which the fault came.
    pub left: Option<u32>,
}

impl Default for Witness {
    fn default() -> Self {
        Self {
            now: [0; WATCHED.len()],
            longest: [0; WATCHED.len()],
            asked: [None; ROWS],
            left: None,
        }
    }
}

impl Witness {
    /// Looks at one tick, `after` the fault. `rows` are those that ask and did not before it.
    pub fn look(
        &mut self,
        job: &Job,
        after: u32,
        status: &Status,
        outputs: &Outputs,
        truth: &FastTruth,
        rows: u64,
    ) {
        for (asked, index) in
            self.asked
                .iter_mut()
                .zip(0_u32..)
                .take(if rows == 0 { 0 } else { ROWS })
        {
            if rows >> index & 1 == 1 {
                asked.get_or_insert(after);
            }
        }
        let passed = passed(job, status, outputs, truth);
        for ((now, longest), passed) in self.now.iter_mut().zip(&mut self.longest).zip(passed) {
            *now = if passed { *now + 1 } else { 0 };
            *longest = (*longest).max(*now);
        }
    }

    /// The state is no longer the one in which the fault came.
    pub fn leaves(&mut self, after: u32) {
        self.left.get_or_insert(after);
    }

    /// Rows that should have asked by what is true, and did not.
    pub fn unheard(&self) -> impl Iterator<Item = (Cond, u32)> {
        WATCHED
            .iter()
            .zip(self.longest)
            .filter(|((row, ticks), longest)| longest > ticks && self.when(*row).is_none())
            .map(|((row, _), longest)| (*row, longest))
    }

    /// When a row asked first.
    #[must_use]
    pub fn when(&self, row: Cond) -> Option<u32> {
        self.asked.get(row as usize).copied().flatten()
    }
}

fn passed(
    job: &Job,
    status: &Status,
    outputs: &Outputs,
    truth: &FastTruth,
) -> [bool; WATCHED.len()] {
    use Phase::{
        Dwell, LoadRamp, LoadRelease, Lower, Rinse, RunDown, RunUp, SlurryPrestart, TouchDown,
    };
    let control = &job.machine.control;
    let load = truth.load_without_runout;
    let clearly = CLEARLY * control.rated_load;
    let steps = &job.compiled.steps;
    let step = usize::from(status.step);
    let limit_of = |step: usize| {
        steps
            .get(step)
            .map_or(0.0, |s| f64::from(s.load_limit.get()))
    };
    // While the load comes down from the step before, that step's limit is in force.
    let limit = max(limit_of(step), limit_of(step.saturating_sub(1)));
    let running = status.state == State::Running;
    let contact = running
        && matches!(
            status.phase,
            TouchDown | SlurryPrestart | RunUp | LoadRamp | Dwell | LoadRelease | Rinse | RunDown
        );
    let setpoint = steps.get(step).map_or(0.0, |s| f64::from(s.load.get()));
    let band = max(control.band_newtons, control.band_share * setpoint);
    let against = outputs
        .drives
        .iter()
        .zip(truth.speeds)
        .any(|(drive, speed)| {
            drive.enable && f64::from(drive.setpoint) * speed < 0.0 && abs(speed) > AGAINST
        });
    [
        contact && load > limit + clearly,
        running
            && matches!(status.phase, Lower | TouchDown)
            && load > control.first_contact_limit + clearly,
        running && status.phase == Dwell && abs(load - setpoint) > CLEARLY_OFF * band,
        running
            && matches!(
                status.phase,
                RunUp | LoadRamp | Dwell | LoadRelease | Rinse | RunDown
            )
            && against,
    ]
}

//! Which rows are read, where each is watched, and for how long its condition must last.

use super::Rules;
use firmware_core::interlock::{Cond, ROWS};
use firmware_core::sequence::{Phase, State};

/// Rows that are not read: no fault of the matrix brings them about.
pub(super) const NOT_READ: [Cond; 3] = [Cond::RecipeWrong, Cond::LinkLost, Cond::Internal];

/// Rows that are read, in the table's order.
pub(super) const READ: [Cond; ROWS - NOT_READ.len()] = [
    Cond::Estop,
    Cond::EstopDisagree,
    Cond::StopOverrun,
    Cond::GuardMoving,
    Cond::GuardWaiting,
    Cond::GuardDisagree,
    Cond::CellInvalid,
    Cond::CellStuck,
    Cond::CellLine,
    Cond::LoadLimit,
    Cond::LoadRated,
    Cond::FirstContact,
    Cond::LoadBand,
    Cond::ContactLost,
    Cond::Counterbalance,
    Cond::DumpFeedback,
    Cond::DumpInhibit,
    Cond::Flow,
    Cond::AgitatorStopped,
    Cond::AgitatorSettled,
    Cond::TankLow,
    Cond::TankEmpty,
    Cond::DriveFault,
    Cond::DriveRatio,
    Cond::Direction,
    Cond::Torque,
    Cond::TorqueRunUp,
    Cond::SupplyLow,
    Cond::SupplyInhibit,
    Cond::TemperatureHigh,
    Cond::TemperatureVeryHigh,
    Cond::GaugeInvalid,
    Cond::SizeLow,
    Cond::PinParked,
    Cond::PinLift,
    Cond::PartsStuck,
    Cond::TickOverrun,
    Cond::ContactHigh,
    Cond::ContactLow,
    Cond::PhaseTimeout,
    Cond::HoldTimeout,
    Cond::StepOvertime,
    Cond::TemperatureStale,
    Cond::NotFollowing,
    Cond::CoastOverrun,
    Cond::FormLimit,
    Cond::FormOverdue,
    Cond::TareChanged,
    Cond::CounterbalanceStopped,
];

/// Rows that are watched in a state and phase.
pub(super) fn watched(state: State, phase: Phase) -> u64 {
    use Phase::{
        Dwell, Lift, LoadRamp, LoadRelease, Lower, Manual, Rinse, RunDown, RunUp, SlurryPrestart,
        SlurryStop, TouchDown,
    };
    use State::{
        Aborted, Aborting, Complete, Held, Holding, Idle, Restarting, Running, Stopped, Stopping,
    };
    let cycle = matches!(state, Running | Holding | Held | Restarting | Stopping);
    let no_cycle = matches!(state, Idle | Complete | Stopped | Aborted);
    let at_rest = no_cycle || state == Held;
    // What is trapped when the machine has stopped stays so until the plate is raised.
    let stopped = matches!(state, Stopped | Aborted) && matches!(phase, Phase::Rest | Lift);
    let moving = !at_rest || matches!(phase, Lift | Manual | RunDown);
    let turning = matches!(
        phase,
        RunUp | LoadRamp | Dwell | LoadRelease | Rinse | RunDown | Manual
    );
    let contact = turning || matches!(phase, TouchDown | SlurryPrestart | SlurryStop);
    let descending = matches!(phase, Lower | TouchDown | Manual);
    let here = |row: Cond| match row {
        Cond::Estop
        | Cond::EstopDisagree
        | Cond::GuardDisagree
        | Cond::CellInvalid
        | Cond::LoadRated
        | Cond::DriveFault
        | Cond::TickOverrun
        | Cond::Internal
        | Cond::FormOverdue => true,
        Cond::Counterbalance => !stopped,
        Cond::CounterbalanceStopped => stopped,
        Cond::StopOverrun => {
            state == Stopping || matches!(state, Idle | Stopped | Aborted) && phase == RunDown
        }
        Cond::CoastOverrun => state == Aborting,
        Cond::GuardMoving | Cond::PhaseTimeout => moving,
        Cond::GuardWaiting => matches!(state, Held | Stopped | Aborted),
        Cond::SupplyLow => moving || state == Held,
        Cond::SupplyInhibit | Cond::DumpInhibit | Cond::FormLimit => no_cycle,
        Cond::CellStuck | Cond::CellLine | Cond::LoadLimit | Cond::ContactLost => contact,
        Cond::FirstContact | Cond::ContactHigh | Cond::ContactLow | Cond::NotFollowing => {
            descending
        }
        Cond::LoadBand | Cond::GaugeInvalid | Cond::SizeLow => phase == Dwell,
        Cond::DumpFeedback
        | Cond::AgitatorStopped
        | Cond::AgitatorSettled
        | Cond::TankLow
        | Cond::TankEmpty
        | Cond::HoldTimeout
        | Cond::StepOvertime
        | Cond::TemperatureStale
        | Cond::TareChanged => cycle,
        Cond::Flow
        | Cond::DriveRatio
        | Cond::Direction
        | Cond::TemperatureHigh
        | Cond::TemperatureVeryHigh => turning,
        Cond::Torque => turning && phase != RunUp,
        Cond::TorqueRunUp => phase == RunUp,
        Cond::PinParked => matches!(state, Idle | Complete),
        Cond::PinLift | Cond::PartsStuck => phase == Lift,
        Cond::RecipeWrong | Cond::LinkLost => state == Idle,
    };
    READ.into_iter()
        .filter(|row| here(*row))
        .fold(0, |bits, row| bits | row.bit())
}

/// Ticks for which a row's condition must last.
pub(super) const fn lasts(row: Cond, rules: &Rules) -> u32 {
    let p = rules.params.get();
    match row {
        Cond::Estop
        | Cond::DriveFault
        | Cond::TickOverrun
        | Cond::RecipeWrong
        | Cond::ContactHigh
        | Cond::PhaseTimeout
        | Cond::HoldTimeout
        | Cond::StepOvertime
        | Cond::Internal
        | Cond::NotFollowing
        | Cond::FormLimit
        | Cond::FormOverdue
        | Cond::TareChanged => 1,
        Cond::CellInvalid => 3,
        Cond::LoadRated | Cond::FirstContact => 8,
        Cond::GuardMoving
        | Cond::GuardWaiting
        | Cond::LoadLimit
        | Cond::Counterbalance
        | Cond::CounterbalanceStopped
        | Cond::ContactLow => 20,
        Cond::ContactLost
        | Cond::DumpFeedback
        | Cond::DumpInhibit
        | Cond::Direction
        | Cond::PinLift => 100,
        Cond::DriveRatio
        | Cond::SupplyLow
        | Cond::SupplyInhibit
        | Cond::SizeLow
        | Cond::PartsStuck => 200,
        Cond::CellLine | Cond::Torque => 300,
        Cond::EstopDisagree | Cond::PinParked => 500,
        Cond::CellStuck
        | Cond::Flow
        | Cond::GaugeInvalid
        | Cond::LinkLost
        | Cond::TemperatureStale => 1000,
        Cond::TorqueRunUp => 1500,
        Cond::GuardDisagree
        | Cond::LoadBand
        | Cond::TankLow
        | Cond::TankEmpty
        | Cond::TemperatureHigh
        | Cond::TemperatureVeryHigh => 2000,
        Cond::AgitatorStopped => 5000,
        Cond::StopOverrun => p.stop_time.0,
        Cond::CoastOverrun => p.coast_time.0,
        Cond::AgitatorSettled => p.settle_limit.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use firmware_core::interlock::TABLE;
    use firmware_core::sequence::{ALL_PHASES, ALL_STATES};

    /// The two readings agree on where each row is watched and for how long; no row is forgotten.
    #[test]
    fn every_row_of_the_table_is_read_or_named_as_not_read() {
        let rules = Rules::of(&twinplate_sim::demo::job("glass-f800"));
        let mut rows: Vec<Cond> = READ.into_iter().chain(NOT_READ).collect();
        rows.sort_unstable_by_key(|row| *row as usize);
        assert_eq!(rows.len(), TABLE.len());
        for (row, entry) in rows.into_iter().zip(&TABLE) {
            assert_eq!(row as usize, usize::from(entry.id) - 1);
            assert_eq!(
                lasts(row, &rules),
                entry.debounce.ticks(rules.params.get()),
                "{}",
                entry.name
            );
            if NOT_READ.contains(&row) {
                continue;
            }
            for state in ALL_STATES {
                for phase in ALL_PHASES {
                    assert_eq!(
                        watched(state, phase) & row.bit() != 0,
                        entry.watch.covers(state, phase),
                        "{} in {} {}",
                        entry.name,
                        state.name(),
                        phase.name()
                    );
                }
            }
        }
    }
}

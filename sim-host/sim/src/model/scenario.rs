//! What happens to a machine in a run: hands, faults, times.

use crate::fault_words::{Component, FaultMode};
use crate::training::task::Task;
use serde::{Deserialize, Serialize};

/// A scenario: start conditions, operator actions and faults on a time line or on a phase.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    /// Identifier.
    pub id: String,
    /// One line for people.
    pub title: String,
    /// The operator starts and restarts by the book (confirm parts, start) without being told: `true` unless the scenario
    /// scripts every action itself.
    pub operator: bool,
    /// Simulated time after which the run ends, s.
    pub longest: f64,
    /// What happens, in file order.
    pub events: Vec<ScenarioEvent>,
    /// What makes it an exercise for operators; `None` for a scenario that is only run.
    pub training: Option<Box<crate::training::rules::Training>>,
    /// What makes it an assessment; never beside `training`.
    pub assessment: Option<Box<crate::training::rules::Assessment>>,
}

/// One thing that happens.
#[derive(Clone, Debug, PartialEq)]
pub struct ScenarioEvent {
    /// When.
    pub when: When,
    /// What.
    pub what: What,
}

/// When a scenario event is due.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// Simulated time since the beginning, s.
    At(f64),
    /// This long (s) after a phase is first entered (in the given step, 0-based, or in any).
    After {
        /// Phase.
        phase: firmware_core::sequence::Phase,
        /// Step, 0-based; `None` for any.
        step: Option<u8>,
        /// Delay, s.
        delay: f64,
    },
}

/// What a scenario event does.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// One of the six commands.
    Command(firmware_core::sequence::Command),
    /// The operator confirms this many pieces.
    ConfirmParts(u16),
    /// The operator asks for the plate to be raised.
    Raise,
    /// The operator acknowledges all alarms.
    Acknowledge,
    /// The operator reports the form of the lower and the upper plate, m, + convex.
    ReportForm([f64; 2]),
    /// A hand on the machine.
    Station(StationAct),
    /// A fault begins.
    Fault(Fault),
    /// A fault ends.
    Clear(Component),
    /// The controller's power was away for a moment: it boots anew on the machine as it stands.
    PowerReturns,
}

/// A hand on the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum StationAct {
    /// Press the emergency stop.
    PressEstop,
    /// Release the emergency stop.
    ReleaseEstop,
    /// Open the guard (possible only unlocked, or by force).
    OpenGuard,
    /// Close the guard.
    CloseGuard,
    /// Turn the Setup key on or off.
    SetupKey(bool),
    /// Hold or release the hold-to-run control.
    HoldToRun(bool),
    /// The remote link comes or goes.
    Link(bool),
    /// The local enable for remote start is switched.
    LocalEnable(bool),
    /// Lay carriers and fresh parts into the machine. Nothing happens unless the guard is open and the plate parked.
    LoadCarriers,
    /// Take carriers and parts out. Nothing happens unless the guard is open and the plate parked.
    UnloadCarriers,
    /// Something that is done at the machine between cycles.
    Tend(Task),
}

/// A fault: component × mode, with a magnitude where the mode needs one.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fault {
    /// Which component.
    pub component: Component,
    /// How it fails.
    pub mode: FaultMode,
    /// How much (see [`FaultMode`]); the component's default where `None`.
    pub magnitude: Option<f64>,
}

//! What is kept of an attempt: what was done, what happened, how the load went. Scores and debriefs are made from this alone.

use firmware_core::sequence::{Mode, Phase, Plate, State};
use firmware_core::units::TICKS_PER_SECOND;
use serde::{Deserialize, Serialize};
use twinplate_sim::bench::PortError;
use twinplate_sim::model::{Component, FaultMode};
use twinplate_sim::training::act::Act;

/// One thing that was done from outside, and the tick at which it was asked for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Deed {
    /// Tick of the session.
    pub tick: u32,
    /// What.
    #[serde(flatten)]
    pub done: Done,
}

/// What can be done from outside.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Done {
    /// An operator's hand.
    Operate(Act),
    /// An instructor makes a component fail.
    Inject {
        /// Word of the component.
        component: String,
        /// Word of the mode.
        mode: String,
        /// How much; `None` for the component's default.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        magnitude: Option<f64>,
    },
    /// An instructor ends a component's fault.
    Repair {
        /// Word of the component.
        component: String,
    },
}

/// A deed with how it came out and where the machine was.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    /// The deed.
    pub deed: Deed,
    /// Why it was refused; `None` for one that was taken or still waits.
    pub refused: Option<String>,
    /// It waits for its tick inside the bench, or is under way.
    pub waiting: bool,
    /// When it was done, where that was later than it was asked for.
    pub ended: Option<u32>,
    /// It was a remedy of something whole.
    pub needless: bool,
    /// Where the machine was.
    pub place: Place,
    /// Form of the lower and the upper plate as the straightedge had read it last, m.
    pub read: Option<[f64; 2]>,
}

/// Where the machine was when something was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// State.
    pub state: State,
    /// Phase.
    pub phase: Phase,
    /// Plate.
    pub plate: Plate,
    /// Interlock rows active or latched, a bit each in table order.
    pub rows: u64,
    /// Components that fail, a bit each by their numbers.
    pub failing: u64,
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq)]
pub struct Marked {
    /// Tick of the session.
    pub tick: u32,
    /// What.
    pub mark: SessionEvent,
}

/// What can happen.
#[derive(Clone, Debug, PartialEq)]
pub enum SessionEvent {
    /// A state is entered.
    State(State),
    /// A phase is entered, in a step (from 0).
    Phase(Phase, u8),
    /// The mode is changed.
    Mode(Mode),
    /// The alarm of a row (its id) comes.
    Row(u16),
    /// A component begins to fail, by the exercise or an instructor.
    Fault(Component, FaultMode),
    /// A component's fault ends.
    Cleared(Component),
    /// The controller's power was away.
    Power,
    /// The controller could not be reached: the attempt ended here.
    BrokenOff(PortError),
    /// Parts were taken out and looked at.
    Found(Box<Found>),
}

/// What was found when parts were taken out: true harm, and sizes as a gauge room measures them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// Measured thickness of each part that is whole, m, rounded to [`STEP`]; uncertainty ± [`UNCERTAINTY`].
    pub measured_m: Vec<f64>,
    /// Cracked parts.
    pub cracked: u32,
    /// Whole parts that measure under their tolerance.
    pub under: u32,
    /// Whole parts that measure over their tolerance.
    pub over: u32,
    /// Whole parts that are scratched by grains of another abrasive.
    pub scratched: u32,
    /// A cycle was completed since these parts were laid in: their size is meant to be right.
    pub completed: bool,
    /// The parts were worked on at all.
    pub worked: bool,
}

/// Resolution of the gauge room, m. Invented.
pub const STEP: f64 = 0.1e-6;
/// Uncertainty of the gauge room, ± m, at two standard deviations. Invented.
pub const UNCERTAINTY: f64 = 0.3e-6;

/// How the load went: one sample every [`SAMPLE_TICKS`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Tick of the session.
    pub tick: u32,
    /// Least and most measured load since the sample before, N.
    pub load: [f32; 2],
    /// Reference of the loop, N.
    pub reference: f32,
    /// Limit in force, N; 0 for none.
    pub limit: f32,
}

/// Ticks that are made before the trainee comes: every slow input has come in, and a reset has been taken where the start is Idle.
pub const FIRST_TICK: u32 = TICKS_PER_SECOND;

/// A tick as simulated time, s.
#[must_use]
pub fn seconds(tick: u32) -> f64 {
    f64::from(tick) / f64::from(TICKS_PER_SECOND)
}

/// Ticks between two samples.
pub const SAMPLE_TICKS: u32 = 100;

impl Logged {
    /// It was taken: it waits no more and was not refused.
    #[must_use]
    pub const fn taken(&self) -> bool {
        !self.waiting && self.refused.is_none()
    }

    /// Tick at which it was done, if it was taken.
    pub(crate) fn done_at(&self) -> u32 {
        self.ended.unwrap_or(self.deed.tick)
    }

    /// The operator's act, if it was one.
    #[must_use]
    pub const fn act(&self) -> Option<&Act> {
        match &self.deed.done {
            Done::Operate(act) => Some(act),
            Done::Inject { .. } | Done::Repair { .. } => None,
        }
    }
}

//! The controller's view of itself: fixed size, versioned, used alike by panel, trace, link and board.

use crate::plate_form::OUT_OF_DATE;
use crate::process_image::FACES;
use crate::sequence::{Mode, Phase, Plate, State};
use crate::units::{Fraction, Micrometres, Newtons, Ticks};
use crate::words::words;
use serde::{Deserialize, Serialize};

/// Version of [`Status`]: its fields and the meaning of their numbers. 2: `Hold` is graver than `StopAtStepEnd`, 4 and 3.
/// 3: ring setting, form of the plates and its age.
pub const STATUS_VERSION: u16 = 3;

/// What a condition asks for; the highest active one wins. IEC 60204-1 stop categories where a stop is meant.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[repr(u8)]
pub enum Response {
    /// Nothing.
    #[default]
    None = 0,
    /// Tell the operator.
    Alarm = 1,
    /// No start until it clears.
    StartInhibit = 2,
    /// End the step in order, then stop. Below `Hold`: what must be held now is not put off to the end of a step.
    StopAtStepEnd = 3,
    /// Category 2: initial load, wet run-down, held.
    Hold = 4,
    /// Category 1: resting load at once, monitored wet run-down, plate stays down.
    ControlledStop = 5,
    /// Category 0: power off, cap dumped, coast.
    ImmediateStop = 6,
}

// From mild to grave: the order of the numbers is that of the gravity.
words!(Response, ALL_RESPONSES {
    None => "none", "no response";
    Alarm => "alarm", "alarm";
    StartInhibit => "start-inhibit", "start inhibit";
    StopAtStepEnd => "stop-at-step-end", "stop at step end";
    Hold => "hold", "hold";
    ControlledStop => "controlled-stop", "controlled stop";
    ImmediateStop => "immediate-stop", "immediate stop";
});

impl Response {
    /// Category of the stop that it is (IEC 60204-1); `None` where it is none.
    #[must_use]
    pub const fn stop_category(self) -> Option<u8> {
        match self {
            Self::Hold => Some(2),
            Self::ControlledStop => Some(1),
            Self::ImmediateStop => Some(0),
            Self::None | Self::Alarm | Self::StartInhibit | Self::StopAtStepEnd => None,
        }
    }
}

/// How the load is being held.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[repr(u8)]
pub enum LoadMode {
    /// Dump open, no command: de-energised.
    #[default]
    Safe = 0,
    /// Plate rests by its own weight less the counterbalance; open loop, no command.
    Resting = 1,
    /// Closed loop at the initial load.
    Initial = 2,
    /// Closed loop on the step's ramp.
    Tracking = 3,
}

words!(LoadMode, ALL_LOAD_MODES {
    Safe => "safe", "vented";
    Resting => "resting", "resting load";
    Initial => "initial", "initial load";
    Tracking => "tracking", "step load";
});

/// Snapshot of the controller after a tick.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Status {
    /// [`STATUS_VERSION`].
    pub version: u16,
    /// Tick counter since boot; wraps.
    pub tick: Ticks,
    /// Boot count.
    pub boots: u16,
    /// Procedural state.
    pub state: State,
    /// Phase.
    pub phase: Phase,
    /// Step index, 0-based.
    pub step: u8,
    /// Mode.
    pub mode: Mode,
    /// Where the plate is.
    pub plate: Plate,
    /// Load mode.
    pub load_mode: LoadMode,
    /// Four drives in band of their setpoints.
    pub drives_in_band: bool,
    /// Standstill proven on all four drives.
    pub standstill: bool,
    /// Slurry or rinse flow proven.
    pub flow_proven: bool,
    /// A step that would end by gauge ends by its longest time: the gauge is lost.
    pub ends_by_time: bool,
    /// Winning response of this tick.
    pub response: Response,
    /// Condition id (interlock row) of the first-out cause of the present departure from the ladder; 0 for none.
    pub cause: u16,
    /// Rows now asking for their response, one bit a row in table order.
    pub active: u64,
    /// Rows latched.
    pub latched: u64,
    /// Rows whose alarm nobody has acknowledged yet (ANSI/ISA-18.2: unacknowledged, or returned and unacknowledged).
    pub unacknowledged: u64,
    /// Load by the cell, tared, unfiltered.
    pub load_raw: Newtons,
    /// Load as the loop sees it.
    pub load: Newtons,
    /// Reference of the loop after its ramp.
    pub reference: Newtons,
    /// Step limit in force; zero when none.
    pub load_limit: Newtons,
    /// Command to the regulator.
    pub command: Fraction,
    /// Governor's bound on the command.
    pub governor: Fraction,
    /// Part thickness by gauge; zero when unknown.
    pub size: Micrometres,
    /// In-band time spent in this step.
    pub step_time: Ticks,
    /// Precheck items not yet true, one bit each; zero outside Precheck and after it.
    pub missing: u16,
    /// Ring setting in force, 0 as programmed.
    pub ring_setting: u8,
    /// Form of the lower and the upper plate, reported and reckoned on, + convex; zero before the first report.
    pub form: [Micrometres; FACES],
    /// Completed batches since that report; 65535 where nothing can be reckoned from it.
    pub form_age: u16,
}

impl Status {
    /// What is known before the first tick: stopped, the plate somewhere, nothing measured.
    #[must_use]
    pub const fn blank(boots: u16) -> Self {
        Self {
            version: STATUS_VERSION,
            tick: Ticks::ZERO,
            boots,
            state: State::Stopped,
            phase: Phase::Rest,
            step: 0,
            mode: Mode::Automatic,
            plate: Plate::Air,
            load_mode: LoadMode::Safe,
            drives_in_band: false,
            standstill: false,
            flow_proven: false,
            ends_by_time: false,
            response: Response::None,
            cause: 0,
            active: 0,
            latched: 0,
            unacknowledged: 0,
            load_raw: Newtons::ZERO,
            load: Newtons::ZERO,
            reference: Newtons::ZERO,
            load_limit: Newtons::ZERO,
            command: Fraction::ZERO,
            governor: Fraction::ZERO,
            size: Micrometres::ZERO,
            step_time: Ticks::ZERO,
            missing: 0,
            ring_setting: 0,
            form: [Micrometres::ZERO; FACES],
            form_age: OUT_OF_DATE,
        }
    }
}

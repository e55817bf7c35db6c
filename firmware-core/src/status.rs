//! The controller's view of itself: fixed size, versioned, used alike by panel, trace, link and board.

use crate::plate_form::OUT_OF_DATE;
use crate::process_image::FACES;
pub use crate::response::{ALL_RESPONSES, Response};
pub use crate::sequence::goals::{ALL_LOAD_MODES, LoadMode};
use crate::sequence::{Mode, Phase, Plate, State};
use crate::units::{Fraction, Micrometres, Newtons, Ticks};
use serde::{Deserialize, Serialize};

/// Version of [`Status`]: its fields and the meaning of their numbers. 2: `Hold` is graver than `StopAtStepEnd`, 4 and 3.
/// 3: ring setting, form of the plates and its age.
pub const STATUS_VERSION: u16 = 3;

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

#[cfg(test)]
mod tests {
    use super::*;

    /// A panel that shows it must not tell of anything that nobody has measured.
    #[test]
    fn before_the_first_tick_nothing_is_proven_and_the_boots_are_known() {
        let status = Status::blank(7);
        let proven = [
            status.drives_in_band,
            status.standstill,
            status.flow_proven,
            status.ends_by_time,
        ];
        assert_eq!((proven, status.boots), ([false; 4], 7));
        assert_eq!(
            (status.state, status.mode),
            (State::Stopped, Mode::Automatic)
        );
    }
}

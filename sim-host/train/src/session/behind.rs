//! The controller behind the port, and the clock beside it: its last answer, what becomes of an attempt when it gives none, how time went.

use super::Session;
use crate::log::SessionEvent;
use crate::paced::Paced;
use crate::protocol::{NewsKind, Pace};
use firmware_core::interlock::Alarms;
use firmware_core::process_image::Outputs;
use firmware_core::status::Status;
use std::sync::LazyLock;
use twinplate_sim::bench::{Answer, ControllerPort, PortError};

/// What is known of a controller that has not answered yet.
static NOTHING: LazyLock<(Outputs, Status, Alarms)> =
    LazyLock::new(|| (Outputs::default(), Status::blank(0), Alarms::default()));

impl<C: ControllerPort> Session<C> {
    /// The controller's last answer.
    pub(crate) fn answer(&self) -> Answer<'_> {
        self.bench.port().answer().unwrap_or_else(|| {
            let (outputs, status, alarms) = &*NOTHING;
            Answer {
                outputs,
                status,
                alarms,
                refusal: None,
            }
        })
    }

    pub(crate) fn status(&self) -> &Status {
        self.answer().status
    }

    /// Time goes at this pace from now on; it is so late by the clock since the station was opened.
    pub fn note_pace(&mut self, clock_ms: u64, pace: Pace) {
        let tick = self.tick();
        self.paces.note(Paced {
            tick,
            clock_ms,
            pace,
        });
    }

    /// Why the controller could not be reached, where the attempt was broken off for that.
    #[must_use]
    pub const fn failure(&self) -> Option<&PortError> {
        self.failure.as_ref()
    }

    /// Ends the attempt where it stands: the controller cannot be reached. What was done until then is scored.
    pub(super) fn break_off(&mut self, error: PortError) {
        // Even while the machine is being prepared.
        self.quiet = false;
        self.tell(NewsKind::Exercise, broken_off(&error), 0);
        self.mark(self.tick(), SessionEvent::BrokenOff(error.clone()));
        self.failure = Some(error);
        self.finish();
    }
}

/// Why an attempt was broken off, for people.
pub(crate) fn broken_off(error: &PortError) -> String {
    format!("The attempt is broken off here: {error}.")
}

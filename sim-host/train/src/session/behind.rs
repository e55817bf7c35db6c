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
use twinplate_words::Words;

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
        self.tell(NewsKind::Exercise, broken_off(self.words(), &error), 0);
        self.mark(self.tick(), SessionEvent::BrokenOff(error.clone()));
        self.failure = Some(error);
        self.finish();
    }
}

/// Why an attempt was broken off, for people.
pub(crate) fn broken_off(words: &Words, error: &PortError) -> String {
    words.tell("attempt-broken-off", &[("why", lost(words, error).into())])
}

/// Why a controller cannot be reached, for people.
pub(super) fn lost(words: &Words, error: &PortError) -> String {
    match error {
        PortError::Lost { at } => words.tell("port-lost", &[("at", at.into())]),
        PortError::Timeout { at, waited_ms } => words.tell(
            "port-timeout",
            &[("at", at.into()), ("waited", waited_ms.to_string().into())],
        ),
        PortError::Protocol { at, what } => {
            words.tell("port-protocol", &[("at", at.into()), ("what", what.into())])
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_words::Language;

    /// What a page says of a lost controller is what a command line says of it.
    #[test]
    fn a_page_says_what_the_port_says() {
        let at = || "an invented place".to_owned();
        for error in [
            PortError::Lost { at: at() },
            PortError::Timeout {
                at: at(),
                waited_ms: 2000,
            },
            PortError::Protocol {
                at: at(),
                what: "silence".into(),
            },
        ] {
            let told = lost(Words::of(Language::English), &error);
            assert_eq!(told, error.to_string());
        }
    }
}

//! What happened, in order: a ring that keeps the newest and counts what it dropped.

use crate::sequence::{Phase, State};
use crate::units::Ticks;
use crate::words::words;
use heapless::Deque;
use serde::{Deserialize, Serialize};

/// Events kept.
pub const EVENTS: usize = 64;

/// Kind of an event; explicit numbers, never reused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u16)]
pub enum EventKind {
    /// Power-up.
    Boot = 1,
    /// Procedural state or phase changed.
    Moved = 2,
    /// The step changed; detail is the new step, 0-based.
    Step = 3,
    /// An interlock row became effective; cause is its id.
    Condition = 4,
    /// The cycle left the ladder; cause is the first-out row, 0 for a command.
    Departed = 5,
    /// A command or request was refused; detail is the [`crate::sequence::Refusal`].
    Refused = 6,
    /// Alarms were acknowledged.
    Acknowledged = 7,
    /// Latches were released; detail is how many rows stay latched.
    Reset = 8,
    /// The tare was learned; detail is the tare, mN.
    Tared = 9,
    /// The plate is seated; detail is the load, mN.
    Seated = 10,
    /// A batch was completed; detail is the batch count since boot.
    Batch = 11,
    /// Precheck timed out; detail is the list of what is missing, a bit each.
    Missing = 12,
    /// An invariant broke; detail is its number.
    Internal = 13,
    /// The mode changed; detail is the mode.
    Mode = 14,
    /// A recipe was loaded.
    Recipe = 15,
    /// The form of the lower plate was reported; detail is the form, nm.
    FormLower = 16,
    /// The form of the upper plate was reported; detail is the form, nm.
    FormUpper = 17,
    /// Another ring setting is in force; detail is its number, 0 as programmed.
    RingSetting = 18,
    /// A command came over the link; detail is the [`crate::sequence::Command`].
    ByLink = 19,
    /// Other gains of the load loop are in force, and no recipe is loaded.
    Gains = 20,
}

words!(EventKind, ALL_EVENT_KINDS {
    Boot => "boot", "power-up";
    Moved => "moved", "moved on";
    Step => "step", "step";
    Condition => "condition", "condition";
    Departed => "departed", "left the ladder";
    Refused => "refused", "a command or request was refused";
    Acknowledged => "acknowledged", "alarms acknowledged";
    Reset => "reset", "latches reset";
    Tared => "tared", "load cell tared";
    Seated => "seated", "plate seated";
    Batch => "batch", "batch complete";
    Missing => "missing", "start refused: something is missing";
    Internal => "internal", "internal fault";
    Mode => "mode", "mode changed";
    Recipe => "recipe", "recipe loaded";
    FormLower => "lower-form-reported", "form of the lower plate reported";
    FormUpper => "upper-form-reported", "form of the upper plate reported";
    RingSetting => "ring-setting", "another ring setting";
    ByLink => "by-link", "a command came over the link";
    Gains => "gains", "other gains in force";
});

/// One event.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Event {
    /// When.
    pub tick: Ticks,
    /// What.
    pub kind: EventKind,
    /// Interlock row id where one caused it; else 0.
    pub cause: u16,
    /// Meaning depends on the kind.
    pub detail: i32,
    /// State after it.
    pub state: State,
    /// Phase after it.
    pub phase: Phase,
}

/// The ring. Reading is by running number, so that a reader knows what it missed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct EventLog {
    ring: Deque<Event, EVENTS>,
    written: u32,
}

impl EventLog {
    /// Empty.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            ring: Deque::new(),
            written: 0,
        }
    }

    /// Adds an event; the oldest goes when the ring is full.
    pub fn push(&mut self, event: Event) {
        if self.ring.is_full() {
            let _ = self.ring.pop_front();
        }
        // Room was just made.
        let _ = self.ring.push_back(event);
        self.written = self.written.wrapping_add(1);
    }

    /// Running number of the next event.
    #[must_use]
    pub const fn written(&self) -> u32 {
        self.written
    }

    /// Events from running number `since` on that are still kept, oldest first.
    pub fn since(&self, since: u32) -> impl Iterator<Item = &Event> {
        let wanted = self.written.wrapping_sub(since);
        let kept = u32::try_from(self.ring.len()).unwrap_or(u32::MAX);
        let skip = kept.saturating_sub(wanted);
        // Two slices are gone into at any place at once, the ring only event by event.
        let (older, newer) = self.ring.as_slices();
        older
            .iter()
            .chain(newer)
            .skip(usize::try_from(skip).unwrap_or(usize::MAX))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::vec::Vec;

    fn event(number: u32) -> Event {
        Event {
            tick: Ticks(number),
            kind: EventKind::Moved,
            cause: 0,
            detail: 0,
            state: State::Idle,
            phase: Phase::Rest,
        }
    }

    fn read(log: &EventLog, since: u32) -> Vec<u32> {
        log.since(since).map(|event| event.tick.0).collect()
    }

    /// A reader that asks from the number it was told last gets what came since, once and in order; what went when the ring was full it
    /// knows from the numbers. The number may wrap.
    #[test]
    fn a_reader_gets_what_came_since_its_number_once_and_in_order() {
        let kept = u32::try_from(EVENTS).unwrap();
        for first in [0, u32::MAX - 70] {
            let mut log = EventLog::new();
            log.written = first;
            for count in 0..3 * kept {
                let written = first.wrapping_add(count);
                assert_eq!(log.written(), written);
                for missing in 0..=count {
                    let due: Vec<u32> = (count - missing.min(kept)..count).collect();
                    assert_eq!(read(&log, written.wrapping_sub(missing)), due);
                }
                log.push(event(count));
            }
        }
    }
}

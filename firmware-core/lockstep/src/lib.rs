//! What bench and board say to each other, one tick at a time: the bench asks, the board answers, neither goes on alone.
//!
//! A message is one postcard value, as long as what one read brings: the line is a pair of pipes, each side waits for the other, and a
//! message is shorter than what a pipe carries in one piece. This is a test bench's line, inside one machine. The controller's link to
//! the world is another thing.
#![no_std]

use firmware_core::events::EventLog;
use firmware_core::interlock::Alarms;
use firmware_core::params::ParamsWire;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::{Command, Refusal, Request};
use firmware_core::status::Status;
use serde::ser::SerializeSeq;
use serde::{Deserialize, Serialize, Serializer};

/// Version of these messages.
pub const LOCKSTEP_VERSION: u16 = 1;

/// Longest message, bytes: what POSIX lets a pipe carry in one piece at most on Linux.
pub const LONGEST: usize = 4096;

/// From the bench. Nothing of it is kept by the board once it has answered.
// The board has no heap to put a recipe on, and holds one message at a time.
#[allow(clippy::large_enum_variant)]
#[derive(Debug, Serialize, Deserialize)]
pub enum Ask {
    /// Power up with these parameters, so many boots so far.
    Boot {
        /// [`LOCKSTEP_VERSION`].
        version: u16,
        /// The machine's parameters, to be checked.
        params: ParamsWire,
        /// Boot count.
        boots: u16,
    },
    /// One tick; the request acts before it, the command in it.
    Tick {
        /// Inputs of the tick.
        inputs: Inputs,
        /// Command.
        command: Option<Command>,
        /// Request.
        request: Option<Request>,
    },
    /// How much of the stack was used since power-up.
    Stack,
}

/// From the board. Generic over how events are held: the board lends them, the bench keeps them.
#[derive(Debug, Serialize, Deserialize)]
pub enum Told<E> {
    /// Powered up.
    Booted,
    /// Parameters, or a version, that this board does not take.
    NotMine,
    /// What a tick came to.
    Ticked {
        /// Outputs.
        outputs: Outputs,
        /// Status.
        status: Status,
        /// Alarms.
        alarms: Alarms,
        /// Why the request was refused.
        refusal: Option<Refusal>,
        /// Events since the last answer, oldest first.
        events: E,
        /// Events lost in between.
        lost: u32,
        /// The board's timer over the request and the tick, counts.
        counts: u32,
    },
    /// Deepest use of the stack, bytes.
    Stack(u32),
}

/// The events of a log from a running number on, as they travel.
#[derive(Clone, Copy, Debug)]
pub struct Since<'a> {
    /// The log.
    pub log: &'a EventLog,
    /// Running number of the first one wanted.
    pub from: u32,
}

impl Since<'_> {
    /// How many of them the log no longer has.
    #[must_use]
    pub fn lost(&self) -> u32 {
        let wanted = self.log.written().wrapping_sub(self.from);
        wanted.saturating_sub(u32::try_from(self.kept()).unwrap_or(u32::MAX))
    }

    fn kept(&self) -> usize {
        self.log.since(self.from).count()
    }
}

impl Serialize for Since<'_> {
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let mut sequence = to.serialize_seq(Some(self.kept()))?;
        for event in self.log.since(self.from) {
            sequence.serialize_element(event)?;
        }
        sequence.end()
    }
}

//! What stands in a frame's body: postcard, in the order of the fields. `docs/link.md` has the bytes.
//!
//! The order of an enum's members here is their number on the line: new ones come last, and none is ever taken away.

use crate::events::{Event, EventKind};
use crate::recipe::RecipeWire;
use crate::sequence::{Command, Phase, Refusal, State};
use crate::status::Status;
use crate::units::{PerNewton, Ratio, Seconds, Ticks};
use crate::words::words;
use heapless::{String, Vec};
use serde::{Deserialize, Serialize};

/// Version of this page of messages. Another one is refused in the hello.
pub const LINK_VERSION: u16 = 1;

/// First byte of a request, of a reply, of telemetry: a frame that comes back from the line's other end is never taken for the other kind.
pub const ROLE_REQUEST: u8 = 0x51;
/// See [`ROLE_REQUEST`].
pub const ROLE_REPLY: u8 = 0x52;
/// See [`ROLE_REQUEST`].
pub const ROLE_TELEMETRY: u8 = 0x53;

/// Most entries of one [`Reply::Listed`]: whoever wants more asks again from the last slot on.
/// Each takes a look into the memory, and a tick waits meanwhile.
pub const MAX_LISTED: usize = 4;
/// Most events of one [`Reply::Events`].
pub const MAX_EVENTS: usize = 16;
/// Fewest ticks between two frames of telemetry.
pub const LEAST_PERIOD: u16 = 10;

/// What stands before every request and reply.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Head {
    /// [`ROLE_REQUEST`] or [`ROLE_REPLY`].
    pub role: u8,
    /// Number that the hello's reply gave; 0 in a hello.
    pub session: u32,
    /// Running number of the request, from 1 in each session; 0 in a hello. A reply repeats it.
    pub number: u32,
}

/// What a host may ask, with its recipe.
pub type Ask = Asked<RecipeWire>;

/// What a host may ask. `R` is a recipe, or nothing for who reads that into a place of its own: it is the last of its message.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
// As with the core's requests: one recipe is large, and there is no heap to box it.
#[allow(clippy::large_enum_variant)]
pub enum Asked<R> {
    /// Opens a session.
    Hello {
        /// [`LINK_VERSION`] of the host.
        version: u16,
        /// Any number; another one than in the hello before opens another session.
        nonce: u32,
    },
    /// [`Reply::State`].
    ReadState,
    /// [`Reply::Listed`]: stored recipes from a slot on.
    List {
        /// First slot.
        from: u8,
    },
    /// Loads a stored recipe, checked anew against the machine's limits.
    Recall {
        /// Its slot.
        slot: u8,
    },
    /// Stores a recipe that passes the check.
    Put {
        /// Where.
        slot: u8,
        /// What.
        recipe: R,
    },
    /// [`Reply::Recipe`]: a stored recipe.
    Get {
        /// Its slot.
        slot: u8,
    },
    /// Empties a slot.
    Erase {
        /// Which.
        slot: u8,
    },
    /// Gives one of the six commands, by its number.
    Do {
        /// [`Command`].
        command: u8,
    },
    /// Acknowledges all annunciated alarms.
    Acknowledge,
    /// [`Reply::Events`].
    ReadEvents {
        /// Running number of the first one wanted.
        since: u32,
    },
    /// Sets the gains of the load loop, at Idle. What was loaded is forgotten: it was compiled against others.
    SetGains {
        /// Proportional gain.
        kc: PerNewton,
        /// Integral time.
        ti: Seconds,
        /// Setpoint weight.
        setpoint_weight: Ratio,
    },
    /// Asks for [`Telemetry`] without asking again.
    Subscribe {
        /// Ticks between two frames, at least [`LEAST_PERIOD`]; 0 ends it.
        every: u16,
    },
}

/// What the controller answers, with its recipe.
pub type Reply = Replied<RecipeWire>;

/// What the controller answers. `R` is a recipe, or one that is lent.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[allow(clippy::large_enum_variant)] // as above
pub enum Replied<R> {
    /// It was not done.
    Refused {
        /// Number of a [`Refusal`] of the core, or of a [`LinkRefusal`].
        reason: u16,
        /// What [`LinkRefusal`] says of it; else 0.
        detail: u32,
    },
    /// A session is open.
    Welcome {
        /// [`LINK_VERSION`] of the controller.
        version: u16,
        /// The hello's.
        nonce: u32,
        /// Number of the session.
        session: u32,
        /// Identity of the machine.
        machine_id: u32,
        /// Digest of the parameters in force.
        params_hash: u32,
        /// Boot count.
        boots: u16,
        /// How many slots there are.
        slots: u8,
        /// Silence after which the session is over, ticks.
        silence: Ticks,
    },
    /// It was done; a command was taken.
    Done,
    /// What the controller knows of itself.
    State(Report),
    /// Stored recipes, in order of their slots; none where no more are stored.
    Listed {
        /// One each.
        entries: Vec<Entry, MAX_LISTED>,
    },
    /// A stored recipe.
    Recipe {
        /// As it was put.
        recipe: R,
    },
    /// Events, oldest first.
    Events {
        /// Running number of the next one to ask for.
        next: u32,
        /// How many between the one asked for and the first given are no longer kept.
        lost: u32,
        /// One each.
        events: Vec<EventWire, MAX_EVENTS>,
    },
}

/// A stored recipe.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Entry {
    /// Where.
    pub slot: u8,
    /// Its name.
    pub name: String<24>,
}

/// State of the controller.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// After the last tick.
    pub status: Status,
    /// Remote start is armed at the panel, for this session too.
    pub armed: bool,
    /// Batches completed since boot.
    pub batches: u16,
    /// Running number of the next event.
    pub next_event: u32,
}

/// What comes unasked to who subscribed.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Telemetry {
    /// [`ROLE_TELEMETRY`].
    pub role: u8,
    /// Number of the session.
    pub session: u32,
    /// As in [`Reply::State`].
    pub report: Report,
}

/// An event on the line: kinds by their number, which stays.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EventWire {
    /// When.
    pub tick: Ticks,
    /// Number of the [`EventKind`].
    pub kind: u16,
    /// Interlock row id where one caused it; else 0.
    pub cause: u16,
    /// Meaning depends on the kind.
    pub detail: i32,
    /// State after it.
    pub state: State,
    /// Phase after it.
    pub phase: Phase,
}

impl From<&Event> for EventWire {
    fn from(event: &Event) -> Self {
        Self {
            tick: event.tick,
            kind: event.kind as u16,
            cause: event.cause,
            detail: event.detail,
            state: event.state,
            phase: event.phase,
        }
    }
}

impl EventWire {
    /// The event, if its kind is one.
    #[must_use]
    pub fn event(&self) -> Option<Event> {
        Some(Event {
            tick: self.tick,
            kind: EventKind::numbered(self.kind)?,
            cause: self.cause,
            detail: self.detail,
            state: self.state,
            phase: self.phase,
        })
    }
}

/// Why the link refused, where it was not the core that did. Numbers beyond the core's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u16)]
pub enum LinkRefusal {
    /// Another version; detail is the controller's.
    WrongVersion = 100,
    /// No such session: a hello comes first.
    NoSession = 101,
    /// Neither the next number nor the last one again; detail is the next.
    OutOfSequence = 102,
    /// The checksum is right, and no message of this version.
    NotUnderstood = 103,
    /// Remote start is not armed at the panel.
    NotArmed = 104,
    /// No such slot; detail is how many there are.
    NoSuchSlot = 105,
    /// Nothing is stored there.
    EmptySlot = 106,
    /// The memory failed.
    StoreFailed = 107,
    /// Telemetry cannot come as often; detail is the least period, ticks.
    TooOften = 108,
    /// No such command.
    NoSuchCommand = 109,
}

words!(LinkRefusal, ALL_LINK_REFUSALS {
    WrongVersion => "wrong-version", "the controller speaks another version of the link";
    NoSession => "no-session", "the session is over: say hello again";
    OutOfSequence => "out-of-sequence", "the request came out of turn";
    NotUnderstood => "no-such-message", "this is no message of the link";
    NotArmed => "not-armed", "remote start is not armed: arm it at the panel while this link stands";
    NoSuchSlot => "no-such-slot", "there is no such slot";
    EmptySlot => "slot-empty", "nothing is stored in this slot";
    StoreFailed => "store-failed", "the memory for recipes failed";
    TooOften => "too-often", "telemetry cannot come as often";
    NoSuchCommand => "no-such-command", "there is no such command";
});

/// A reason by its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// The core refused.
    Core(Refusal),
    /// The link refused.
    Link(LinkRefusal),
}

impl Reason {
    /// Its number on the line.
    #[must_use]
    pub const fn number(self) -> u16 {
        match self {
            Self::Core(refusal) => refusal as u16,
            Self::Link(refusal) => refusal as u16,
        }
    }

    /// What a number means, if it is one.
    #[must_use]
    pub fn numbered(number: u16) -> Option<Self> {
        Refusal::numbered(number)
            .map(Self::Core)
            .or_else(|| LinkRefusal::numbered(number).map(Self::Link))
    }

    /// Its name.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Core(refusal) => refusal.name(),
            Self::Link(refusal) => refusal.name(),
        }
    }

    /// Its word for people.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Core(refusal) => refusal.word(),
            Self::Link(refusal) => refusal.word(),
        }
    }
}

/// A command that sets something in motion or lets it be set: only where remote start is armed. What brings the machine to rest always is
/// taken.
#[must_use]
pub(super) const fn needs_arming(command: Command) -> bool {
    match command {
        Command::Start | Command::Restart | Command::Reset => true,
        Command::Hold | Command::Stop | Command::Abort => false,
    }
}

#[cfg(test)]
mod tests;

//! What bench and board say to each other, one tick at a time: the bench asks, the board answers, neither goes on alone.
//!
//! A message is one postcard value, as long as what one read brings: the line is a pair of pipes, each side waits for the other, and a
//! message is shorter than what a pipe carries in one piece. This is a test bench's line, inside one machine. The controller's link to
//! the world is another thing.
#![no_std]

use firmware_core::controller::Controller;
use firmware_core::events::EventLog;
use firmware_core::interlock::Alarms;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::recipe::{RecipeWire, Sound};
use firmware_core::sequence::{Command, Mode, Refusal, Request, SetupMove};
use firmware_core::status::Status;
use firmware_core::units::{Micrometres, Ticks};
use serde::ser::SerializeSeq;
use serde::{Deserialize, Serialize, Serializer};

/// Version of these messages.
pub const LOCKSTEP_VERSION: u16 = 5;

/// Longest message, bytes: 64 events, or a tick with a recipe. A pipe carries it in one piece (POSIX: 4096 on Linux).
pub const LONGEST: usize = 2048;

/// From the bench. Of what is large the postcard bytes follow: the parameters to power up with, the recipe of a request. The board reads
/// them where it needs them, and a tick does not carry their room about.
#[derive(Debug, Serialize, Deserialize)]
pub enum Ask {
    /// Power up, so many boots so far, with the parameters that follow; they are to be checked.
    Boot {
        /// [`LOCKSTEP_VERSION`].
        version: u16,
        /// Boot count.
        boots: u16,
        /// Silence after which a session of the operator's line is over; none: no such line is fitted.
        silence: Option<Ticks>,
        /// What is left of a period when a tick is done is skipped, not slept through. The ticks are the same.
        hurry: bool,
    },
    /// One tick; what is wanted acts before it, the command in it.
    Tick {
        /// Inputs of the tick.
        inputs: Inputs,
        /// Command.
        command: Option<Command>,
        /// Request.
        wish: Option<Wish>,
    },
    /// How much of the stack was used since power-up.
    Stack,
    /// Something is done to the board, to see how it answers. It answers [`Told::Safe`], and its watchdog starts it again.
    Suffer(Harm),
}

/// What can be done to a board.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Harm {
    /// A tick that never ends.
    Hang,
    /// An instruction that is none.
    Fault,
    /// Its supply says that the power is going.
    PowerFails,
}

/// Why a board does not go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Why {
    /// Nobody fed the watchdog.
    Hung,
    /// The processor met what it cannot do.
    Fault,
    /// The program met what cannot be.
    Panic,
    /// The power is going.
    PowerFails,
}

/// A [`Request`], without its recipe.
#[derive(Clone, Copy, Debug, Serialize, Deserialize)]
pub enum Wish {
    /// [`Request::ConfirmParts`].
    ConfirmParts {
        /// Pieces counted.
        pieces: u16,
    },
    /// [`Request::LoadRecipe`]; the recipe follows.
    LoadRecipe,
    /// [`Request::LoadRecipe`] with the recipe of this slot, from 1, of the board's own store.
    Recall(u8),
    /// [`Request::Raise`].
    Raise,
    /// [`Request::UnlockGuard`].
    UnlockGuard,
    /// [`Request::LockGuard`].
    LockGuard,
    /// [`Request::Acknowledge`].
    Acknowledge,
    /// [`Request::SetMode`].
    SetMode(Mode),
    /// [`Request::SelectMove`].
    SelectMove(SetupMove),
    /// [`Request::ArmRemote`].
    ArmRemote(bool),
    /// [`Request::ReportForm`].
    ReportForm {
        /// Lower plate.
        lower: Micrometres,
        /// Upper plate.
        upper: Micrometres,
    },
}

impl Wish {
    /// A request as it travels: what it wants, and the recipe that is to follow.
    #[must_use]
    pub const fn of(request: &Request) -> (Self, Option<&RecipeWire>) {
        let wish = match request {
            Request::LoadRecipe(recipe) => return (Self::LoadRecipe, Some(recipe)),
            Request::ConfirmParts { pieces } => Self::ConfirmParts { pieces: *pieces },
            Request::Raise => Self::Raise,
            Request::UnlockGuard => Self::UnlockGuard,
            Request::LockGuard => Self::LockGuard,
            Request::Acknowledge => Self::Acknowledge,
            Request::SetMode(mode) => Self::SetMode(*mode),
            Request::SelectMove(wanted) => Self::SelectMove(*wanted),
            Request::ArmRemote(arm) => Self::ArmRemote(*arm),
            Request::ReportForm { lower, upper } => Self::ReportForm {
                lower: *lower,
                upper: *upper,
            },
        };
        (wish, None)
    }

    /// Puts the request to a controller; `recipe` is the one that followed or was stored, if it passed its check.
    ///
    /// # Errors
    /// The controller's refusal.
    pub fn put(
        self,
        controller: &mut Controller,
        recipe: Option<Sound<'_>>,
    ) -> Result<(), Refusal> {
        let request = match self {
            Self::LoadRecipe | Self::Recall(_) => return controller.load(recipe),
            Self::ConfirmParts { pieces } => Request::ConfirmParts { pieces },
            Self::Raise => Request::Raise,
            Self::UnlockGuard => Request::UnlockGuard,
            Self::LockGuard => Request::LockGuard,
            Self::Acknowledge => Request::Acknowledge,
            Self::SetMode(mode) => Request::SetMode(mode),
            Self::SelectMove(wanted) => Request::SelectMove(wanted),
            Self::ArmRemote(arm) => Request::ArmRemote(arm),
            Self::ReportForm { lower, upper } => Request::ReportForm { lower, upper },
        };
        controller.request(&request)
    }
}

/// From the board. Generic over what a tick came to: the board lends it ([`Lent`]), the bench keeps it ([`Kept`]).
#[derive(Debug, Serialize, Deserialize)]
pub enum Told<T> {
    /// Powered up.
    Booted,
    /// Parameters, or a version, that this board does not take.
    NotMine,
    /// What a tick came to.
    Ticked(T),
    /// Deepest use of the stack, bytes.
    Stack(u32),
    /// The last outputs: it does not go on.
    Safe {
        /// Outputs.
        outputs: Outputs,
        /// Why.
        why: Why,
    },
}

/// What a tick came to. Generic over what is lent by one side and kept by the other, so that its fields stand once.
#[derive(Debug, Serialize, Deserialize)]
pub struct Ticked<O, S, A, E> {
    /// Outputs.
    pub outputs: O,
    /// Status.
    pub status: S,
    /// Alarms.
    pub alarms: A,
    /// Why the request was refused.
    pub refusal: Option<Refusal>,
    /// Events since the last answer, oldest first.
    pub events: E,
    /// Events lost in between.
    pub lost: u32,
    /// The board's timer over the request and the tick, counts.
    pub counts: u32,
    /// The same over the check of a recipe, before them.
    pub check_counts: u32,
    /// The same over what link and store did since the last answer.
    pub link_counts: u32,
    /// Periods that began before a tick was done, since power-up.
    pub overruns: u32,
    /// The store's flash may hold something else than at the last answer.
    pub stored: bool,
}

/// What a tick came to, where it stands in the controller.
pub type Lent<'a> = Ticked<&'a Outputs, &'a Status, &'a Alarms, Since<'a>>;

/// What a tick came to, with its events in a list.
pub type Kept<E> = Ticked<Outputs, Status, Alarms, E>;

impl Told<Lent<'_>> {
    /// Its bytes, in this room; none where it has none. Not generic: the code for it is made with this crate.
    #[inline(never)]
    pub fn write<'a>(&self, room: &'a mut [u8]) -> Option<&'a [u8]> {
        postcard::to_slice(self, room).ok().map(|bytes| &*bytes)
    }
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

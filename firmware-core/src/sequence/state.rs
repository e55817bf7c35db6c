//! Procedural states and commands of ANSI/ISA-88.00.01, the modes beside them, and everything that is not a command.

use super::phase::Phase;
use crate::recipe::RecipeWire;
use crate::units::Micrometres;
use crate::words::words;
use serde::{Deserialize, Serialize};

/// Procedural state. `Pausing` and `Paused` are left out: a hold does the job on this machine.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[repr(u8)]
pub enum State {
    /// Ready for `Start`.
    #[default]
    Idle = 0,
    /// On the ladder.
    Running = 1,
    /// On the way to `Held`.
    Holding = 2,
    /// Held; `Restart` resumes.
    Held = 3,
    /// On the way back to `Running`.
    Restarting = 4,
    /// Controlled stop (category 1) under way.
    Stopping = 5,
    /// Stopped.
    Stopped = 6,
    /// Category 0 stop under way: power off, coasting.
    Aborting = 7,
    /// Aborted.
    Aborted = 8,
    /// Batch complete.
    Complete = 9,
}

words!(State, ALL_STATES {
    Idle => "idle", "Idle";
    Running => "running", "Running";
    Holding => "holding", "Holding";
    Held => "held", "Held";
    Restarting => "restarting", "Restarting";
    Stopping => "stopping", "Stopping";
    Stopped => "stopped", "Stopped";
    Aborting => "aborting", "Aborting";
    Aborted => "aborted", "Aborted";
    Complete => "complete", "Complete";
});

impl State {
    /// No cycle is under way and nothing moves, in this phase: where requests are taken, and where a ring setting may change.
    #[must_use]
    pub const fn rests(self, phase: Phase) -> bool {
        let quiet = matches!(
            self,
            Self::Idle | Self::Complete | Self::Stopped | Self::Aborted
        );
        quiet && matches!(phase, Phase::Rest)
    }
}

/// The six commands of the procedural model, and no others.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u8)]
pub enum Command {
    /// Idle → Running.
    Start = 1,
    /// Running, Restarting → Holding.
    Hold = 2,
    /// Held → Restarting.
    Restart = 3,
    /// → Stopping.
    Stop = 4,
    /// → Aborting.
    Abort = 5,
    /// Complete, Stopped, Aborted → Idle.
    Reset = 6,
}

words!(Command, ALL_COMMANDS {
    Start => "start", "Start";
    Hold => "hold", "Hold";
    Restart => "restart", "Restart";
    Stop => "stop", "Stop";
    Abort => "abort", "Abort";
    Reset => "reset", "Reset";
});

impl Command {
    /// Category of the stop that it asks for (IEC 60204-1); `None` where it asks for none.
    #[must_use]
    pub const fn stop_category(self) -> Option<u8> {
        match self {
            Self::Abort => Some(0),
            Self::Stop => Some(1),
            Self::Hold => Some(2),
            Self::Start | Self::Restart | Self::Reset => None,
        }
    }
}

/// Operating mode.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[repr(u8)]
pub enum Mode {
    /// Recipes run by the ladder.
    #[default]
    Automatic = 0,
    /// Keyed; hold-to-run movements at reduced speed and load.
    Setup = 1,
    /// Isolated for changing plates; leaving it forces a new tare.
    PlateChange = 2,
}

words!(Mode, ALL_MODES {
    Automatic => "automatic", "Automatic";
    Setup => "setup", "Setup";
    PlateChange => "plate-change", "Plate change";
});

/// A movement in Setup, alive only while the hold-to-run control is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[repr(u8)]
pub enum SetupMove {
    /// Raise the plate.
    Raise = 1,
    /// Lower the plate at creep speed, to contact at most.
    Lower = 2,
    /// Turn the drives at reduced speed, plate raised.
    Jog = 3,
    /// Run the slurry line.
    Purge = 4,
    /// Turn the plates wet at initial load on conditioning rings.
    Condition = 5,
}

words!(SetupMove, ALL_SETUP_MOVES {
    Raise => "raise", "raise";
    Lower => "lower", "lower";
    Jog => "jog", "jog";
    Purge => "purge", "purge";
    Condition => "condition", "condition";
});

/// Everything that is not one of the six commands. Each has the states it is legal in and a refusal reason.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
// One recipe is large; requests are rare and never stored, so boxing (impossible without alloc) is not missed.
#[allow(clippy::large_enum_variant)]
pub enum Request {
    /// The operator has loaded and counted this many pieces.
    ConfirmParts {
        /// Pieces counted.
        pieces: u16,
    },
    /// Load a compiled recipe.
    LoadRecipe(RecipeWire),
    /// Raise the plate from Stopped or Aborted.
    Raise,
    /// Unlock the guard.
    UnlockGuard,
    /// Lock the guard.
    LockGuard,
    /// Acknowledge all annunciated alarms.
    Acknowledge,
    /// Change the mode.
    SetMode(Mode),
    /// Choose the Setup movement that the hold-to-run control drives.
    SelectMove(SetupMove),
    /// Arm or disarm remote start.
    ArmRemote(bool),
    /// The form of both plates was measured: inner edge over outer edge, + convex.
    ReportForm {
        /// Lower plate.
        lower: Micrometres,
        /// Upper plate.
        upper: Micrometres,
    },
}

/// Why a command or request was refused. Explicit numbers: they go over the link.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u16)]
pub enum Refusal {
    /// Not legal in this state.
    WrongState = 1,
    /// Not legal in this mode.
    WrongMode = 2,
    /// A stop or start inhibit is active or latched.
    Inhibited = 3,
    /// The drives are not at proven standstill.
    NotStandstill = 4,
    /// The cap side is not vented.
    NotVented = 5,
    /// The plate is not raised and pinned.
    NotRaised = 6,
    /// The recipe failed its check against this machine.
    RecipeInvalid = 7,
    /// The Setup key is not turned.
    NoKey = 8,
    /// Remote start needs local enable.
    NoLocalEnable = 9,
    /// No recipe is loaded.
    NoRecipe = 10,
    /// The latch must be released at its device first.
    NotReleased = 11,
    /// No plate has such a form.
    NoSuchForm = 12,
    /// No load loop can run with these gains.
    GainsInvalid = 13,
}

words!(Refusal, ALL_REFUSALS {
    WrongState => "wrong-state", "this does nothing in the present state";
    WrongMode => "wrong-mode", "this is not for the present mode";
    Inhibited => "inhibited", "an interlock forbids it: see the list of alarms; a latched one needs a Reset when its cause is gone";
    NotStandstill => "not-standstill", "the drives are not yet proven at standstill";
    NotVented => "not-vented", "the cylinder is not yet vented";
    NotRaised => "not-raised", "the plate is not raised and pinned: Raise it first";
    RecipeInvalid => "recipe-invalid", "the recipe was not made for this machine";
    NoKey => "no-key", "turn the Setup key first";
    NoLocalEnable => "no-local-enable", "remote start needs the local enable";
    NoRecipe => "no-recipe", "recall a recipe first";
    NotReleased => "not-released", "release it at its device first";
    NoSuchForm => "no-such-form", "no plate has such a form: it is entered in µm";
    GainsInvalid => "gains-invalid", "no load loop can run with these gains";
});

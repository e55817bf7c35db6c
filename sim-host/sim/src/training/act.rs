//! What an operator's hands can do: on the panel, on the machine and at the bench beside it.

use firmware_core::sequence::Command;
use serde::{Deserialize, Serialize};

/// The word of a diagnosis that finds nothing wrong.
pub const NOTHING: &str = "nothing";

/// What is found of the parts that were taken out: the word of it, and the same for people. The first one lets them go on.
pub const VERDICTS: [(&str, &str); 6] = [
    ("accepted", "accepted: they may go on"),
    ("too-thick", "rejected: too thick"),
    ("too-thin", "rejected: too thin"),
    ("tapered", "rejected: tapered"),
    ("out-of-flat", "rejected: out of flat"),
    ("scratched", "rejected: scratched"),
];

/// One thing done. As JSON `{"act": "confirm-parts", "pieces": 15}`; in scripts and exercise files the same words.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "act", rename_all = "kebab-case", deny_unknown_fields)]
pub enum Act {
    /// Command `Start`.
    Start,
    /// Command `Hold`.
    Hold,
    /// Command `Restart`.
    Restart,
    /// Command `Stop`.
    Stop,
    /// Command `Abort`.
    Abort,
    /// Command `Reset`.
    Reset,
    /// Presses the emergency stop.
    PressEmergencyStop,
    /// Releases the emergency stop.
    ReleaseEmergencyStop,
    /// Asks for the guard to be unlocked.
    UnlockGuard,
    /// Asks for the guard to be locked.
    LockGuard,
    /// Opens the guard; by force where it is locked.
    OpenGuard,
    /// Closes the guard.
    CloseGuard,
    /// Lays carriers and parts into the machine. Guard open, plate parked.
    LoadCarriers,
    /// Takes them out, and has them measured and looked at. Guard open, plate parked.
    UnloadCarriers,
    /// Counts the parts and feels whether each lies flat in its pocket. Guard open.
    CountParts,
    /// Measures some of the parts that were taken out, each at five places.
    MeasureParts {
        /// How many; they are taken from all over the carriers.
        parts: u16,
    },
    /// Lays an optical flat on both faces of the parts that were taken out.
    LayFlat,
    /// Says whether the parts that were taken out may go on.
    JudgeParts {
        /// A word of [`VERDICTS`].
        verdict: String,
    },
    /// Confirms a count to the controller.
    ConfirmParts {
        /// Pieces.
        pieces: u16,
    },
    /// Looks at tank, agitator and line.
    CheckSlurry,
    /// Recalls a stored recipe.
    RecallRecipe {
        /// Slot, from 1.
        slot: u8,
    },
    /// Asks for the plate to be raised.
    Raise,
    /// Acknowledges all annunciated alarms.
    Acknowledge,
    /// Changes the mode.
    SetMode {
        /// `automatic`, `setup`, `plate-change`.
        mode: String,
    },
    /// Turns the Setup key.
    SetupKey {
        /// On or off.
        on: bool,
    },
    /// Chooses the Setup movement that the hold-to-run control drives.
    SelectMove {
        /// `raise`, `lower`, `jog`, `purge`, `condition`.
        movement: String,
    },
    /// Holds or lets go the hold-to-run control.
    HoldToRun {
        /// Held.
        on: bool,
    },
    /// Says what is thought to be wrong.
    Diagnose {
        /// Word of the component, or [`NOTHING`].
        component: String,
    },
    /// Has a component put right, with the machine at rest.
    Remedy {
        /// Word of the component.
        component: String,
    },
    /// Does something at the machine, between cycles.
    Work {
        /// Word of the [`super::task::Task`].
        task: String,
    },
    /// Says something to whoever takes the machine over.
    HandOver {
        /// Identifier of a [`super::rules::Statement`] of the exercise.
        statement: String,
    },
    /// Has read the step of a guided exercise.
    Understood,
    /// Reports the form of both plates to the controller, + convex.
    ReportForm {
        /// What it was measured with: `straightedge` or `bands`.
        by: String,
        /// Lower plate: µm, inner edge over outer edge; or light bands on the face of a part that lay on it, + where that is hollow.
        lower: f64,
        /// Upper plate likewise.
        upper: f64,
    },
}

/// What is known of a kind of act.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ActKind {
    /// The word for it.
    pub word: &'static str,
    /// The name of its parameter; empty where it has none.
    pub parameter: &'static str,
}

const fn kind(word: &'static str, parameter: &'static str) -> ActKind {
    ActKind { word, parameter }
}

/// Every kind of act, in the order of [`Act`].
pub const ACTS: &[ActKind] = &[
    kind(Command::Start.name(), ""),
    kind(Command::Hold.name(), ""),
    kind(Command::Restart.name(), ""),
    kind(Command::Stop.name(), ""),
    kind(Command::Abort.name(), ""),
    kind(Command::Reset.name(), ""),
    kind("press-emergency-stop", ""),
    kind("release-emergency-stop", ""),
    kind("unlock-guard", ""),
    kind("lock-guard", ""),
    kind("open-guard", ""),
    kind("close-guard", ""),
    kind("load-carriers", ""),
    kind("unload-carriers", ""),
    kind("count-parts", ""),
    kind("measure-parts", "parts"),
    kind("lay-flat", ""),
    kind("judge-parts", "verdict"),
    kind("confirm-parts", "pieces"),
    kind("check-slurry", ""),
    kind("recall-recipe", "slot"),
    kind("raise", ""),
    kind("acknowledge", ""),
    kind("set-mode", "mode"),
    kind("setup-key", "on"),
    kind("select-move", "movement"),
    kind("hold-to-run", "on"),
    kind("diagnose", "component"),
    kind("remedy", "component"),
    kind("work", "task"),
    kind("hand-over", "statement"),
    kind("understood", ""),
    kind("report-form", "form"),
];

impl Act {
    /// The word for this kind of act.
    #[must_use]
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Start => Command::Start.name(),
            Self::Hold => Command::Hold.name(),
            Self::Restart => Command::Restart.name(),
            Self::Stop => Command::Stop.name(),
            Self::Abort => Command::Abort.name(),
            Self::Reset => Command::Reset.name(),
            Self::PressEmergencyStop => "press-emergency-stop",
            Self::ReleaseEmergencyStop => "release-emergency-stop",
            Self::UnlockGuard => "unlock-guard",
            Self::LockGuard => "lock-guard",
            Self::OpenGuard => "open-guard",
            Self::CloseGuard => "close-guard",
            Self::LoadCarriers => "load-carriers",
            Self::UnloadCarriers => "unload-carriers",
            Self::CountParts => "count-parts",
            Self::MeasureParts { .. } => "measure-parts",
            Self::LayFlat => "lay-flat",
            Self::JudgeParts { .. } => "judge-parts",
            Self::ConfirmParts { .. } => "confirm-parts",
            Self::CheckSlurry => "check-slurry",
            Self::RecallRecipe { .. } => "recall-recipe",
            Self::Raise => "raise",
            Self::Acknowledge => "acknowledge",
            Self::SetMode { .. } => "set-mode",
            Self::SetupKey { .. } => "setup-key",
            Self::SelectMove { .. } => "select-move",
            Self::HoldToRun { .. } => "hold-to-run",
            Self::Diagnose { .. } => "diagnose",
            Self::Remedy { .. } => "remedy",
            Self::Work { .. } => "work",
            Self::HandOver { .. } => "hand-over",
            Self::Understood => "understood",
            Self::ReportForm { .. } => "report-form",
        }
    }
}

/// A verdict for people, by its word.
#[must_use]
pub fn verdict_text(word: &str) -> Option<&'static str> {
    let found = VERDICTS.iter().find(|(name, _)| *name == word);
    found.map(|(_, text)| *text)
}

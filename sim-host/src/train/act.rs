//! What an operator's hands can do: on the panel, on the machine and at the bench beside it.

use serde::{Deserialize, Serialize};

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
    /// Has a component put right, with the machine at rest.
    Remedy {
        /// Word of the component.
        component: String,
    },
    /// Has read the step of a guided exercise.
    Understood,
}

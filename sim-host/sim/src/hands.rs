//! Plain data: what hands do at the machine itself.

use serde::{Deserialize, Serialize};

/// A hand on the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum StationAct {
    /// Press the emergency stop.
    PressEstop,
    /// Release the emergency stop.
    ReleaseEstop,
    /// Open the guard (possible only unlocked, or by force).
    OpenGuard,
    /// Close the guard.
    CloseGuard,
    /// Turn the Setup key on or off.
    SetupKey(bool),
    /// Hold or release the hold-to-run control.
    HoldToRun(bool),
    /// The remote link comes or goes.
    Link(bool),
    /// The local enable for remote start is switched.
    LocalEnable(bool),
    /// Lay carriers and fresh parts into the machine. Nothing happens unless the guard is open and the plate parked.
    LoadCarriers,
    /// Take carriers and parts out. Nothing happens unless the guard is open and the plate parked.
    UnloadCarriers,
}

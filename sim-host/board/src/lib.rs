//! The controller on an emulated microcontroller, as the bench sees it: a [`ControllerPort`] like any other.
//!
//! The image (`firmware-core/board`) runs in an emulator of a Cortex-M4F board and is asked one tick at a time through a pair of named
//! pipes. The emulated clock stands still while the board waits, so a run is the same run on any host.

mod emulator;
mod line;
mod load;
mod port;

pub use emulator::{BoardError, Emulator, Fittings, make_flash};
pub use load::{Load, PhaseLoad};
pub use lockstep::{Harm, Why};
pub use port::{OnBoard, OnBoardError};

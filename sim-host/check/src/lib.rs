//! Judging without touching: static findings, prediction and closed-loop proof of a recipe on a machine with a batch.
//!
//! Pure: no file is read, nothing is printed; long work takes a progress callback. [`static_check::check`] says what can be
//! known without running, [`predict::predict`] what a nominal cycle should give, and the proof closes the loop over the
//! envelope through `bench`. [`verdict::CheckReport`] holds all three and is what programs read as JSON.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod case;
pub mod catalogue;
pub mod check;
pub mod coast;
pub mod finding;
mod locate;
pub mod predict;
pub mod proof;
pub mod prove;
pub mod static_check;
pub mod verdict;

pub use case::Case;
pub use catalogue::{ALL_CODES, Code, Entry, explain};
pub use finding::{Finding, Place, Severity, Source};
pub use locate::locate;

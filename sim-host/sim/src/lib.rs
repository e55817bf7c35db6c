//! The simulated machine and the one way to close the loop around the controller core.
//!
//! `files` reads TOML into `model`, plain data in SI; `compile` makes the core's checked types of it; `plant` is the physics and the
//! faults; `bench` closes the loop and keeps the journal, the hashes and the trace. `demo` is the demonstration set, for whoever has
//! no folder of files at hand. No async, no database, no terminal: those are above.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod bench;
pub mod compile;
pub mod demo;
pub mod fault_words;
pub mod files;
pub mod math;
pub mod model;
pub mod plant;
pub mod requirements;
pub mod training;

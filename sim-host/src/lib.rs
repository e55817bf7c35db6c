//! The host half of twinplate: the simulated machine, the bench that closes the loop around the controller core, and what
//! reads files, judges recipes and draws reports. Dependencies point down only:
//! `cli` → `study` → `bench` → `plant`, `files` → `firmware-core`; `report` draws what `study` and `bench` return;
//! `demo` is the demonstration set, read by `files`, for whoever has no folder of files at hand.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod bench;
pub mod cli;
pub mod compile;
pub mod demo;
pub mod fault_words;
pub mod files;
pub mod math;
pub mod model;
pub mod plant;
pub mod report;
pub mod study;
pub mod train;

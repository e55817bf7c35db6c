//! The `twinplate` command: what was typed, what is meant, what is drawn, the exit code.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod cli;
pub mod report;

//! Training: a live session of the real controller and the simulated machine, for an operator in a browser or a script.
//!
//! - [`protocol`]: what browser and server say to each other;
//! - [`exercise`]: a scenario with a part [`training`](twinplate_sim::training), compiled;
//! - [`session`]: the bench with a trainee at it; pure, deterministic, with moments to go back to;
//! - [`log`]: what is kept of an attempt; [`scoring`] and [`debrief`] are made from it, [`attempt`] gives it again;
//! - [`headless`]: a station without a page, driven by a script;
//! - [`vocabulary`] and [`words`]: the words of it all.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod attempt;
pub mod debrief;
pub mod exercise;
mod found;
mod frame;
mod guide;
mod hands;
pub mod headless;
pub mod log;
mod looks;
pub mod protocol;
pub mod scoring;
mod script;
pub mod session;
mod ticks;
pub mod vocabulary;
mod watcher;
pub mod words;

#[cfg(test)]
mod session_tests;

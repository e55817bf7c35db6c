//! Training: a live session of the real controller and the simulated machine, for an operator in a browser or a script.
//!
//! - [`act`]: what an operator's hands can do;
//! - [`protocol`]: what browser and server say to each other;
//! - [`rules`]: what makes a scenario an exercise; [`exercise`] has it compiled;
//! - [`session`]: the bench with a trainee at it; pure, deterministic, with moments to go back to;
//! - [`log`]: what is kept of an attempt; [`scoring`] and [`debrief`] are made from it, [`attempt`] gives it again;
//! - [`headless`]: a station without a page, driven by a script;
//! - [`records`]: what is kept of all attempts, in one file; [`server`]: everything with a socket, a clock or a thread;
//! - [`vocabulary`] and [`words`]: the words of it all.

pub mod act;
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
mod moments;
mod progress;
pub mod protocol;
pub mod records;
pub mod rules;
pub mod scoring;
mod script;
pub mod server;
pub mod session;
mod ticks;
pub mod vocabulary;
mod watcher;
pub mod words;

#[cfg(test)]
mod session_tests;

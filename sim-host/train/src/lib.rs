//! Training: a live session of the real controller and the simulated machine, for an operator in a browser or a script.
//!
//! - [`protocol`]: what browser and server say to each other;
//! - [`exercise`]: a scenario with a part [`training`](twinplate_sim::training), compiled;
//! - [`session`]: the bench with a trainee at it; pure, deterministic, with moments to go back to;
//! - [`log`]: what is kept of an attempt; [`scoring`] and [`debrief`] are made from it, [`attempt`] gives it again;
//! - [`paced`]: how time went by the clock of whoever was there; `remedy`: putting something right takes a place and its time;
//! - [`headless`]: a station without a page, driven by a script;
//! - [`vocabulary`] and [`words`]: the words of it all.
//!
//! An exercise of the demonstration set, done by a script:
//!
//! ```
//! use std::sync::Arc;
//! use twinplate_train::exercise;
//! use twinplate_train::headless::{Script, run};
//!
//! let folder = twinplate_sim::demo::folder().join("exercises");
//! let script = Script::read(&std::fs::read_to_string(folder.join("scripts/emergency-stop.txt"))?)?;
//! let exercise = exercise::load(&folder.join(&script.exercise).with_extension("toml"))
//!     .map_err(|errors| twinplate_sim::files::render_errors(&errors, false))?;
//! let ran = run(&script, Arc::new(exercise))?;
//! let score = ran.session.debrief().score;
//! println!("{} of {} points, {} to pass", score.points, score.of, score.pass);
//! # assert!(score.passed && ran.unmet.is_empty());
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

mod acts;
pub mod advice;
pub mod attempt;
pub mod debrief;
pub mod exercise;
mod found;
mod frame;
mod grip;
mod guide;
mod hands;
pub mod headless;
mod inspect;
pub mod log;
mod looks;
pub mod machine_words;
pub mod paced;
pub mod protocol;
mod remedy;
pub mod scoring;
mod script;
pub mod session;
mod tasks;
mod ticks;
mod units;
pub mod vocabulary;
mod watcher;
pub mod words;

#[cfg(test)]
mod session_tests;

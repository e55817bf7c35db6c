//! Judging without touching: static findings, prediction and closed-loop trials of a recipe on a machine with a batch.
//!
//! Pure: no file is read, nothing is printed; long work takes a progress callback. [`static_check::check`] says what can be
//! known without running, [`predict::predict`] what a nominal cycle should give, and [`trials`] close the loop over the
//! envelope through `bench`. [`verdict::CheckReport`] holds all three and is what programs read as JSON.
//!
//! ```
//! use twinplate_check::check::{Request, check};
//! use twinplate_check::{Case, locate, trials::TrialPlan};
//! use twinplate_sim::files::{Overrides, load_set, render_errors};
//!
//! let recipe = twinplate_sim::demo::folder().join("recipes/glass-f800.toml");
//! let set = load_set(&recipe, &Overrides::default()).map_err(|e| render_errors(&e, false))?;
//! let request = Request {
//!     // Two machines drawn from the envelope, beside the nominal one.
//!     trials: TrialPlan { draws: 2, threads: 2, seed: 1 },
//!     locate: &|place| locate(&set, place),
//!     waivers: &[],
//!     replay: &|run| format!("run {run} of seed 1"),
//!     progress: &|_| (),
//!     judged: &|_| (),
//! };
//! let report = check(&Case::of(&set), &request)?.report;
//! println!("{} runs; verdict: {}", report.envelope.runs, report.verdict.word());
//! # assert_eq!((report.envelope.runs, report.envelope.failed), (4, 0));
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod assumed;
pub mod case;
pub mod catalogue;
pub mod check;
pub mod coast;
pub mod descent;
pub mod finding;
pub mod inspection;
pub mod leaning;
mod locate;
pub mod lot;
pub mod part_load;
pub mod predict;
pub mod probe;
pub mod settled;
pub mod static_check;
pub mod trials;
pub mod verdict;

pub use case::Case;
pub use catalogue::{ALL_CODES, Code, Entry, Severity, explain};
pub use finding::{Finding, Place, Source};
pub use locate::locate;

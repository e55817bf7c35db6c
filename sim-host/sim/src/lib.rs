//! The simulated machine and the one way to close the loop around the controller core.
//!
//! `files` reads TOML into `model`, plain data in SI; `compile` makes the core's checked types of it; `plant` is the physics and the
//! faults; `bench` closes the loop and keeps the journal, the hashes and the trace. `demo` is the demonstration set, for whoever has
//! no folder of files at hand; `requirements` says what a run must hold, and whether it did. No async, no database, no terminal: those are above.
//!
//! A recipe's files, one cycle of it on the machine as its file says, and the verdict:
//!
//! ```
//! use twinplate_sim::bench::{Drawn, Job, NoRecorder, run_cycle};
//! use twinplate_sim::files::{Overrides, load_set, render_errors};
//! use twinplate_sim::{demo, requirements};
//!
//! let recipe = demo::folder().join("recipes/glass-f800.toml");
//! let set = load_set(&recipe, &Overrides::default()).map_err(|e| render_errors(&e, false))?;
//! let job = Job::of(&set, None)?;
//! let outcome = run_cycle(&job.drawn(Drawn { seed: 1, index: 0 }), None, NoRecorder)?;
//! let judged = requirements::judge(&job, &outcome);
//! println!("{}; verdict: {}", judged.ending, judged.verdict().word());
//! # assert_eq!(judged.verdict(), requirements::Verdict::Pass);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod assumed;
pub mod bench;
pub mod compile;
pub mod convert;
pub mod demo;
pub mod distribution;
pub mod fault_words;
pub mod files;
pub mod flash;
pub mod flatness;
pub mod fringes;
pub mod math;
pub mod model;
pub mod plant;
pub mod requirements;
pub mod rig;
pub mod training;

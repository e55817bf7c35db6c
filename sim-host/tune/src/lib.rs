//! Off-line tuning of the load loop: from a log or an experiment to gains that can be defended.
//!
//! Pure: no file is read, nothing is printed. [`import`] makes a log of a recorder's bytes, [`identify`] fits models to it,
//! [`demo_log`] makes logs to try it on.
//!
//! Gains for the load line that a machine file declares:
//!
//! ```
//! use twinplate_tune::effort::Effort;
//! use twinplate_tune::work::{Request, Source, tune};
//!
//! let machine = twinplate_sim::demo::machine("machine-a");
//! // Few machines and a coarse plane, for the sake of the example.
//! let options = Effort { runs: 1, compare: 1, shade: 0, plane: [3, 2], shades: [2, 2], ..Effort::usual(2) };
//! let request = Request {
//!     machine: Some(&machine),
//!     batch: None,
//!     source: Source::Declared,
//!     filter: None,
//!     dead_time: None,
//!     options,
//! };
//! let report = tune(&request, &|_, _| ()).map_err(|why| format!("{why:?}"))?;
//! match report.recommendation.gains() {
//!     Some(gains) => println!("gain {} 1/N, integral time {} s", gains.kc, gains.ti),
//!     None => println!("nothing passes"),
//! }
//! # assert!(report.recommendation.gains().is_some());
//! # Ok::<(), String>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod candidates;
pub mod compare;
pub mod contradiction;
pub mod demo_log;
pub mod effort;
pub mod experiment;
pub mod free;
pub mod identify;
pub mod import;
pub mod json;
pub mod judge;
pub mod optimum;
pub mod plane;
pub mod recommend;
pub mod rules;
pub mod trial;
pub mod typed;
pub mod watch;
pub mod work;

//! Off-line tuning of the load loop: from a log or an experiment to gains that can be defended.
//!
//! Pure: no file is read, nothing is printed. [`import`] makes a log of a recorder's bytes, [`identify`] fits models to it,
//! [`demo_log`] makes logs to try it on.

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
pub mod watch;
pub mod work;

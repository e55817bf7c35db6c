//! Off-line tuning of the load loop: from a log or an experiment to gains that can be defended.
//!
//! Pure: no file is read, nothing is printed. [`import`] makes a log of a recorder's bytes, [`identify`] fits models to it,
//! [`demo_log`] makes logs to try it on.

pub mod demo_log;
pub mod identify;
pub mod import;
pub mod linear;
pub mod model;
pub mod optimum;
pub mod rules;

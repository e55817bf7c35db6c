//! Training: a live session of the real controller and the simulated machine, for an operator in a browser or a script.
//!
//! - [`act`]: what an operator's hands can do;
//! - [`protocol`]: what browser and server say to each other.

pub mod act;
pub mod protocol;
pub mod records;
pub mod server;

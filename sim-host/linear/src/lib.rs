//! A PI loop around a linear line, exactly: dead time is never approximated.
//!
//! [`line`] says what the loop is closed around, [`response`] is its frequency response (sampled where the controller is),
//! [`margins`] what it can bear, [`step`] how it answers in time, [`plane`] both over a plane of gains, [`limit`] the ultimate gain
//! and the cycle under a relay, [`declared`] the line that a machine file declares.
//! Glossary: *line*, everything between command and controller input; *open loop* `L`, controller times line.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub(crate) mod chain;
pub mod complex;
pub mod declared;
pub mod limit;
pub mod line;
pub mod margins;
pub(crate) mod matrix;
pub mod measures;
pub mod model;
pub mod plane;
pub mod response;
pub(crate) mod search;
pub mod step;
pub mod sweep;

pub use complex::Complex;
pub use limit::{Cycle, Relay, cycle, ultimate};
pub use line::{Defect, Line, LowPass, Sampling, Transfer};
pub use margins::{Margins, margins};
pub use measures::Measures;
pub use plane::{Edge, GainPlane, gain_plane, stability_edge};
pub use response::Response;
pub use step::{NoResponse, Stimulus, Trajectory};
pub use sweep::{Sweep, Ultimate};

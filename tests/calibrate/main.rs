//! Calibration against certified data, data made elsewhere, and sheets that are wrong.

mod actuator;
mod bad;
mod bench;
mod cell;
mod drawn;
mod drives;
mod pontius;
mod removal;
#[allow(dead_code)] // the reference's rig, of which not all is needed here
#[path = "../reference/rig.rs"]
mod rig;
mod shop;

//! Calibration against certified data, data made elsewhere, and sheets that are wrong.

mod actuator;
mod bad;
mod cell;
mod drawn;
mod drives;
mod pontius;
mod removal;

//! Calibration against certified data, data made elsewhere, and sheets that are wrong.

mod bad;
mod cell;
mod pontius;
mod removal;
mod shop;

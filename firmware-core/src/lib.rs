//! The controller of a two-sided planetary lapping machine.
#![no_std]

pub mod process_image;
pub mod recipe;
pub mod sequence;
pub mod status;
pub mod units;

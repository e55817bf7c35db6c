//! The recipe controller of a two-sided planetary lapping machine, complete, as it would run on the machine: no_std, no heap,
//! no unsafe, no panic, no clock and no I/O of its own.
//!
//! A tick ([`controller::Controller::tick`]) reads top to bottom:
//!
//! 1. [`signal`] turns raw inputs into measured values with validity;
//! 2. [`judge`] reads the phase and [`interlock`] judges: values → named conditions → at most one response;
//! 3. [`sequence`] decides: state and phase × response, command, view → next, and discrete goals;
//! 4. [`motion`] acts: goals and measured values → ramps, load loop, drives, pump → outputs;
//! 5. [`events`] records what changed.
//!
//! The wall to everything else is the [`process_image`]; a host speaks over the [`link`]. Time is the tick; randomness there is none.
#![no_std]
#![deny(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::unreachable,
    clippy::todo,
    clippy::unimplemented,
    clippy::indexing_slicing,
    clippy::arithmetic_side_effects,
    clippy::float_cmp,
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    clippy::wildcard_enum_match_arm
)]
#![cfg_attr(
    test,
    allow(
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::indexing_slicing,
        clippy::arithmetic_side_effects,
        clippy::float_cmp,
        clippy::cast_possible_truncation,
        clippy::cast_precision_loss,
        clippy::wildcard_enum_match_arm
    )
)]

#[cfg(test)]
extern crate std;

mod checksum;
pub mod controller;
pub mod events;
pub mod interlock;
pub mod judge;
pub mod link;
pub mod math;
pub mod motion;
pub mod params;
pub mod plate_form;
pub mod process_image;
pub mod recipe;
mod response;
pub mod sequence;
pub mod signal;
pub mod status;
pub mod store;
pub mod units;
mod words;

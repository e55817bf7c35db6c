//! Properties of the closed loop: random valid recipes × machines drawn from the envelope × noise.
//!
//! `PROPTEST_CASES` raises the number of cases (256 by default); a failing case prints its inputs, which are all that it is made of.

mod common;
mod declared;
mod directions;
mod down;
mod due;
mod flatness;
mod grip;
mod law;
mod lies;
mod load;
mod rest;
mod rows;
mod rules;
mod setup;
mod soak;
mod special;
mod stop_rules;
mod tamper;
mod tare;
mod trips;

//! Tries to break what a verdict claims: every fault at every moment ([`faults`]), a search for the machine, batch and moment that
//! drive a requirement's margin down ([`seek`]), the smallest journal that still shows what was found ([`shrink`]), and a journal's run
//! again, judged ([`again`](mod@again)).
//!
//! Pure: no file is read, nothing is printed; long work takes a progress callback.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod again;
pub mod faults;
pub mod seek;
pub mod shrink;

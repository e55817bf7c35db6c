//! Two proofs by construction, with nothing to run.
//!
//! *No std*: this crate brings its own panic handler, so it fails to build (E0152) when the core or any dependency pulls std in.
//!
//! *No panic*: the panic handler calls a function that exists nowhere and undefined symbols are refused, so the link fails as
//! long as one panic path is left in what `exports.rs` has: the tick, the event log, requests, the checks of parameters and recipes, the
//! store, and the link from bytes to bytes.
//!
//! For the host it is this library, for a microcontroller the example `target`.
#![no_std]

mod exports;

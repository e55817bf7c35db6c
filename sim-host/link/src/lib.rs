//! The link from the host's side; `docs/link.md` has the bytes, [`firmware_core::link`] the messages and the controller's side.
//!
//! - [`client`]: asks, waits, asks again by the same number, gives typed answers;
//! - [`port`]: the bench's controller with lines to it; [`hub`]: those lines as TCP connections, without threads.

pub mod client;
pub mod hub;
pub mod port;

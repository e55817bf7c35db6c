//! The link: what a host and the controller say to each other over a line of bytes, the same on a socket and on a UART.
//!
//! - [`frame`]: bytes ↔ frames, with a checksum; whatever is damaged ends at the next delimiter;
//! - [`message`]: what stands in a frame, and the reasons of refusals;
//! - [`session`]: the controller's side: frames in → at most one command for the tick, frames out;
//! - [`slots`]: what the session asks of the place where recipes are stored.
//!
//! Remote start is armed at the panel ([`Request::ArmRemote`](crate::sequence::Request::ArmRemote), with the local enable), for the
//! links that stand at that moment, and is lost with the first of them that is lost. Hold, Stop and Abort need no arming.
//! `docs/link.md` has the bytes.

pub mod frame;
pub mod message;
pub mod session;
pub mod slots;

#[cfg(test)]
mod page;

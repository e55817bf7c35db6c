//! The training server from outside: real sockets, the real session behind them.
//!
//! Belongs to the package `twinplate` (see its `Cargo.toml`), so that Cargo builds the binary first: some of it is tested by killing it.

mod browser;
mod elsewhere;
mod emergency;
mod house;
mod killed;
mod made;
mod pages;
mod seats;
mod security;
mod server;
mod soak;
mod sockets;

use std::path::{Path, PathBuf};

/// The root of the workspace.
fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

//! The training server.

pub mod desk;
pub mod pace;
pub mod rate;

//! Goals and measured values become ramps, the load loop, drive setpoints and pump: outputs.

mod drives;
mod governor;
mod load_loop;
mod ramp;

#[cfg(test)]
pub(crate) use drives::RUN_UP_TORQUE;
pub use drives::{DriveCheck, DriveSet};
pub use governor::Governor;
pub use load_loop::{LoadLoop, LoopGoal, Pi, SEATING_SECONDS, SEATING_TICKS};
pub use ramp::Ramp;

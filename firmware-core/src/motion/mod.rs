//! Goals and measured values become ramps, the load loop, drive setpoints and pump: outputs.

mod drives;
mod governor;
mod load_loop;
mod ramp;

pub use drives::{DriveCheck, DriveSet};
pub use governor::Governor;
pub use load_loop::{LoadLoop, LoopGoal, Pi};
pub use ramp::Ramp;

//! The logs that `calibrate actuator` and `calibrate drives` read, made on the simulated machine: what to expect before it is tried, and
//! whether such a log tells what is wanted. The same machine, draw and seed give the same text everywhere.

mod actuator;
mod drives;

pub use actuator::actuator;
pub use drives::drives;

/// What stands at the head of a rehearsed sheet.
fn head(machine: &str, what: &str) -> String {
    format!(
        "# Simulated and invented, no real machine: {what} of {machine}, made by `calibrate rehearse`.\n"
    )
}

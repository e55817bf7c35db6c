//! The rules by component.

mod actuator;
mod cell;
mod control;
mod drives;
mod heat;
mod plate;
mod slurry;

use super::Rule;
use actuator::ACTUATOR;
use cell::CELL;
use control::CONTROL;
use drives::DRIVES;
use heat::HEAT;
use slurry::SLURRY;

/// Every rule: what is derived comes after what it is derived from.
pub(super) fn all() -> impl Iterator<Item = &'static Rule> {
    [ACTUATOR, CELL, DRIVES, SLURRY, HEAT, CONTROL]
        .into_iter()
        .flatten()
}

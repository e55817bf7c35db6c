//! The rules by component.

mod actuator;
mod control;
mod plates;

use super::Rule;
pub(super) use actuator::ACTUATOR;
pub(super) use control::CONTROL;
pub(super) use plates::PLATES;

/// Every rule: what is derived comes after what it is derived from.
pub(super) fn all() -> impl Iterator<Item = &'static Rule> {
    ACTUATOR.iter().chain(PLATES).chain(CONTROL)
}

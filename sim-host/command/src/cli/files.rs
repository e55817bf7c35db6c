//! Reading the files of a verb, all errors of all files at once.

use super::failure::Failure;
use super::resolved::{Files, meant};
use std::path::Path;
use twinplate_sim::files::{Loaded, Set, load_set, load_set_with, near_path};
use twinplate_sim::model::Scenario;

/// The question whether a near path was meant, where one leads nowhere.
#[must_use]
pub fn near(path: &Path) -> String {
    if path.exists() {
        return String::new();
    }
    let near = near_path(path).map(|near| near.display().to_string());
    meant(near.as_deref())
}

/// Loads recipe, machine and batch.
///
/// # Errors
/// All errors of all files.
pub fn set(files: &Files) -> Result<Set, Failure> {
    load_set(&files.recipe, &files.overrides).map_err(Failure::Files)
}

/// Loads recipe, machine, batch and, where there is one, the scenario.
///
/// # Errors
/// All errors of all files.
pub(crate) fn with_scenario(
    files: &Files,
    scenario: Option<&Path>,
) -> Result<(Set, Option<Loaded<Scenario>>), Failure> {
    load_set_with(&files.recipe, &files.overrides, scenario).map_err(Failure::Files)
}

//! Reading the files of a verb, all errors of all files at once.

use super::failure::Failure;
use super::resolved::{Files, meant};
use std::path::Path;
use twinplate_sim::bench::Job;
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

/// What is read of a file that may come from anywhere: `what` it should be, of at most so many bytes.
///
/// # Errors
/// No file, a larger one, or one that cannot be read so.
pub(crate) fn read<'a, T>(
    path: &'a Path,
    what: &str,
    most: u64,
    read: impl FnOnce(&'a Path) -> std::io::Result<T>,
) -> Result<T, Failure> {
    let refuse = |why: String| {
        Failure::new(
            format!("cannot read {}: {why}", path.display()),
            format!(
                "{}name {what} of at most {most} bytes that may be read",
                near(path)
            ),
        )
    };
    let found = std::fs::metadata(path).map_err(|error| refuse(error.to_string()))?;
    if !found.is_file() || found.len() > most {
        return Err(refuse("it is no file, or too large".into()));
    }
    read(path).map_err(|error| refuse(error.to_string()))
}

/// The job of a recipe's files, with a scenario where there is one.
///
/// # Errors
/// What the controller refuses of it.
pub(crate) fn job(set: &Set, scenario: Option<&Loaded<Scenario>>) -> Result<Job, Failure> {
    Job::of(set, scenario).map_err(|error| {
        Failure::new(
            error.to_string(),
            "`check` the recipe: its findings say what to change",
        )
    })
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

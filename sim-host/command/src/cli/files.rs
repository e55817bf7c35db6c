//! Reading the files of a verb, all errors of all files at once.

use super::failure::Failure;
use super::resolved::{Files, meant};
use std::path::Path;
use twinplate_check::finding::{Place, Source};
use twinplate_check::verdict::Location;
use twinplate_sim::bench::FileHash;
use twinplate_sim::files::set::named_otherwise;
use twinplate_sim::files::{FileError, Loaded, Set, load_scenario, load_set, near_path};
use twinplate_sim::model::{Scenario, ScenarioEvent, When};

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
pub fn with_scenario(
    files: &Files,
    scenario: Option<&Path>,
) -> Result<(Set, Option<Loaded<Scenario>>), Failure> {
    let set = load_set(&files.recipe, &files.overrides);
    let scenario = scenario.map(load_scenario).transpose();
    let scenario = scenario.and_then(|scenario| {
        let named = scenario
            .as_ref()
            .and_then(|file| named_otherwise(file, &file.value.id));
        named.map_or(Ok(scenario), |error| Err(vec![error]))
    });
    match (set, scenario) {
        (Ok(set), Ok(scenario)) => {
            let errors = scenario
                .as_ref()
                .map_or_else(Vec::new, |scenario| steps_there(scenario, &set));
            if errors.is_empty() {
                Ok((set, scenario))
            } else {
                Err(Failure::Files(errors))
            }
        }
        (set, scenario) => {
            let errors: Vec<FileError> = set
                .err()
                .into_iter()
                .chain(scenario.err())
                .flatten()
                .collect();
            Err(Failure::Files(errors))
        }
    }
}

/// Events that wait for a step that the recipe does not have would never happen.
fn steps_there(scenario: &Loaded<Scenario>, set: &Set) -> Vec<FileError> {
    let steps = set.recipe.value.steps.len();
    let missing = |(index, event): (usize, &ScenarioEvent)| match event.when {
        When::After {
            step: Some(step), ..
        } if usize::from(step) >= steps => Some(scenario.error(
            "no-such-step",
            &format!("events[{index}].step"),
            format!(
                "the recipe `{}` has no step {}",
                set.recipe.value.id,
                usize::from(step) + 1
            ),
            format!("a step from 1 to {steps}"),
        )),
        When::After { .. } | When::At(_) => None,
    };
    scenario
        .value
        .events
        .iter()
        .enumerate()
        .filter_map(missing)
        .collect()
}

/// What the journal notes about the files of a run.
#[must_use]
pub fn hashes(set: &Set, scenario: Option<&Loaded<Scenario>>) -> Vec<FileHash> {
    let note = |kind: &str, id: &str, hash| FileHash {
        kind: kind.into(),
        id: id.into(),
        hash,
    };
    let mut notes = vec![
        note("recipe", &set.recipe.value.id, set.recipe.hash),
        note("machine", &set.machine.value.id, set.machine.hash),
        note("batch", &set.batch.value.id, set.batch.hash),
    ];
    notes.extend(scenario.map(|file| note("scenario", &file.value.id, file.hash)));
    notes
}

/// The place of a finding in the files.
#[must_use]
pub fn locate(set: &Set, place: &Place) -> Option<Location> {
    let (path, found) = match place.file {
        Source::Recipe => (&set.recipe.path, set.recipe.place(&place.path)),
        Source::Machine => (&set.machine.path, set.machine.place(&place.path)),
        Source::Batch => (&set.batch.path, set.batch.place(&place.path)),
    };
    let found = found?;
    Some(Location {
        file: path.display().to_string(),
        // A file of 1 MiB has no more lines or columns than that.
        line: u32::try_from(found.line).unwrap_or(u32::MAX),
        column: u32::try_from(found.column).unwrap_or(u32::MAX),
    })
}

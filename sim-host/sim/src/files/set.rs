//! A recipe with the machine and the batch it was written for.

use super::error::nearest;
use super::removal_rate::resolve_drives;
use super::shown;
use super::{
    Attempt, FileError, Loaded, load_scenario, parse_recipe, try_batch, try_machine, try_recipe,
};
use crate::model::{Batch, Machine, Recipe, Scenario, ScenarioEvent, When};
use std::path::{Path, PathBuf};

/// Files given by hand instead of those that the recipe names.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Overrides {
    /// Machine file.
    pub machine: Option<PathBuf>,
    /// Batch file.
    pub batch: Option<PathBuf>,
}

/// What a check or a run needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    /// The recipe.
    pub recipe: Loaded<Recipe>,
    /// The machine.
    pub machine: Loaded<Machine>,
    /// The batch.
    pub batch: Loaded<Batch>,
}

impl Set {
    /// Of three files, with the units in which people are answered about them: those they typed.
    #[must_use]
    pub(crate) fn new(
        recipe: Loaded<Recipe>,
        machine: Loaded<Machine>,
        batch: Loaded<Batch>,
    ) -> Self {
        let mut set = Self {
            recipe,
            machine,
            batch,
        };
        set.recipe.value.shown = shown::of(&set);
        set
    }

    /// The set with another text of its recipe, as if the file held it.
    ///
    /// # Errors
    /// All errors of the text.
    pub fn with_recipe(&self, text: &str) -> Result<Self, Vec<FileError>> {
        let mut recipe = parse_recipe(&self.recipe.path, text)?;
        let (machine, batch) = (&self.machine.value, &self.batch.value);
        if let Some(error) = resolve_drives(&mut recipe, machine, batch) {
            return Err(vec![error]);
        }
        Ok(Self {
            recipe,
            machine: self.machine.clone(),
            batch: self.batch.clone(),
        })
    }
}

/// Loads a recipe, and the machine and batch it names: `machines/ID.toml` and `batches/ID.toml`, looked for beside the
/// recipe first, then beside the folder it is in; or the files that `overrides` gives.
///
/// # Errors
/// All errors of all files that could be found.
pub fn load_set(recipe: &Path, overrides: &Overrides) -> Result<Set, Vec<FileError>> {
    let Attempt {
        loaded: recipe_file,
        mut errors,
    } = try_recipe(recipe);
    // A recipe with errors still names its files: theirs are told together with its own.
    let named = recipe_file.as_ref();
    errors.extend(named.and_then(|file| named_otherwise(file, &file.value.id)));
    let machine = find(
        recipe,
        named,
        "machines",
        |r| &r.machine,
        overrides.machine.as_ref(),
    );
    let batch = find(
        recipe,
        named,
        "batches",
        |r| &r.batch,
        overrides.batch.as_ref(),
    );
    let machine = machine.and_then(|found| {
        is_there(recipe, &found, named, &mut errors).then_some(())?;
        let loaded = keep(try_machine(&found.path), &mut errors)?;
        same_id(&found, &loaded.value.id, named, &mut errors).then_some(loaded)
    });
    let batch = batch.and_then(|found| {
        is_there(recipe, &found, named, &mut errors).then_some(())?;
        let loaded = keep(try_batch(&found.path), &mut errors)?;
        same_id(&found, &loaded.value.id, named, &mut errors).then_some(loaded)
    });
    match (recipe_file, machine, batch) {
        (Some(mut recipe), Some(machine), Some(batch)) if errors.is_empty() => {
            if let Some(error) = resolve_drives(&mut recipe, &machine.value, &batch.value) {
                return Err(vec![error]);
            }
            Ok(Set::new(recipe, machine, batch))
        }
        _ => Err(errors),
    }
}

/// Loads a recipe with its machine and batch ([`load_set`]) and, where there is one, the scenario that is to be played.
///
/// # Errors
/// All errors of all files; where there are none, the scenario's events that wait for a step that the recipe does not have.
pub fn load_set_with(
    recipe: &Path,
    overrides: &Overrides,
    scenario: Option<&Path>,
) -> Result<(Set, Option<Loaded<Scenario>>), Vec<FileError>> {
    let set = load_set(recipe, overrides);
    let scenario = scenario.map(load_scenario).transpose();
    let scenario = scenario.and_then(|scenario| {
        let named = scenario
            .as_ref()
            .and_then(|file| named_otherwise(file, &file.value.id));
        named.map_or(Ok(scenario), |error| Err(vec![error]))
    });
    match (set, scenario) {
        (Ok(set), Ok(scenario)) => {
            let errors = scenario.as_ref().map_or_else(Vec::new, |scenario| {
                steps_there(scenario, &set.recipe.value)
            });
            if errors.is_empty() {
                Ok((set, scenario))
            } else {
                Err(errors)
            }
        }
        (set, scenario) => Err(set
            .err()
            .into_iter()
            .chain(scenario.err())
            .flatten()
            .collect()),
    }
}

/// Events that wait for a step that the recipe does not have would never happen.
#[must_use]
pub fn steps_there(scenario: &Loaded<Scenario>, recipe: &Recipe) -> Vec<FileError> {
    let missing = |(index, event): (usize, &ScenarioEvent)| match event.when {
        When::After {
            step: Some(step), ..
        } => step_there(scenario, &format!("events[{index}].step"), step, recipe),
        When::After { .. } | When::At(_) => None,
    };
    let events = scenario.value.events.iter().enumerate();
    events.filter_map(missing).collect()
}

/// The error of a step, from 0, that stands at a key and that the recipe does not have; `None` where it has it.
#[must_use]
pub fn step_there(
    scenario: &Loaded<Scenario>,
    key: &str,
    step: u8,
    recipe: &Recipe,
) -> Option<FileError> {
    let steps = recipe.steps.len();
    let step = usize::from(step);
    (step >= steps).then(|| {
        scenario.error(
            "no-such-step",
            key,
            format!("the recipe `{}` has no step {}", recipe.id, step + 1),
            format!("a step from 1 to {steps}"),
        )
    })
}

fn keep<T>(attempt: Attempt<T>, errors: &mut Vec<FileError>) -> Option<Loaded<T>> {
    attempt.whole().map_err(|found| errors.extend(found)).ok()
}

/// The error of a file whose name is not its id. Reports, journals and records go by the id: a copy that kept it would write
/// over what the original gave.
#[must_use]
pub(crate) fn named_otherwise<T>(file: &Loaded<T>, id: &str) -> Option<FileError> {
    let name = file.path.file_stem()?.to_string_lossy();
    // An id that is missing or is none has its own error.
    if id.is_empty() || name == id {
        return None;
    }
    let mut error = file.error(
        "id-mismatch",
        "id",
        format!("the file is named `{name}`, its `id` is `{id}`"),
        format!("one name for both: the file named {id}.toml"),
    );
    if super::table::is_identifier(&name) {
        error.expected.push_str(", or the line");
        error.lines.push(format!("id = \"{name}\""));
    }
    Some(error)
}

/// A file to load, and the id that the recipe gave it if it was found by its name.
struct Found {
    path: PathBuf,
    named: Option<(&'static str, String)>,
}

/// Where the machine or batch of a recipe is; `None` when the recipe could not be read and nothing was given by hand.
fn find(
    recipe: &Path,
    loaded: Option<&Loaded<Recipe>>,
    folder: &'static str,
    id: impl Fn(&Recipe) -> &String,
    given: Option<&PathBuf>,
) -> Option<Found> {
    if let Some(path) = given {
        return Some(Found {
            path: path.clone(),
            named: None,
        });
    }
    let id = id(&loaded?.value);
    // Missing, or no identifier: an error of the recipe already.
    if id.is_empty() {
        return None;
    }
    let beside = recipe.parent().unwrap_or(Path::new(""));
    let path = search(beside, folder, id);
    Some(Found {
        path,
        named: Some((folder, id.clone())),
    })
}

/// The folders that are searched, in order.
pub(super) fn folders(beside: &Path, folder: &str) -> [PathBuf; 2] {
    // The parent by name where it has one: `recipes/machines` reads better than `recipes/recipes/../machines`.
    let above = match beside.parent() {
        Some(above) if beside.file_name().is_some() => above.join(folder),
        _ => beside.join("..").join(folder),
    };
    [beside.join(folder), above]
}

/// The first folder that has the file, else the file in the last folder, where it belongs.
pub(super) fn search(beside: &Path, folder: &str, id: &str) -> PathBuf {
    let file = format!("{id}.toml");
    let [here, above] = folders(beside, folder);
    let here = here.join(&file);
    if here.is_file() {
        here
    } else {
        above.join(file)
    }
}

/// A file that the recipe names and that is not there is an error of the recipe, with the nearest id that there is.
fn is_there(
    beside: &Path,
    found: &Found,
    recipe: Option<&Loaded<Recipe>>,
    errors: &mut Vec<FileError>,
) -> bool {
    let (Some((folder, wanted)), Some(recipe)) = (&found.named, recipe) else {
        return true;
    };
    if found.path.exists() {
        return true;
    }
    let key = key_of(folder);
    let folders = folders(beside.parent().unwrap_or(Path::new("")), folder);
    let known: Vec<String> = folders.iter().flat_map(|path| ids_in(path)).collect();
    let mut error = recipe.error(
        "not-found",
        key,
        format!("there is no {key} `{wanted}`"),
        format!("the id of a {key}: a file {}", found.path.display()),
    );
    error.nearest = nearest(wanted, known.iter().map(String::as_str)).map(str::to_owned);
    errors.push(error);
    false
}

/// Ids of the files in a folder, sorted; none when it cannot be read.
pub(super) fn ids_in(folder: &Path) -> Vec<String> {
    let Ok(entries) = std::fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut ids: Vec<String> = entries
        .filter_map(|entry| {
            let path = entry.ok()?.path();
            let is_toml = path.extension().is_some_and(|e| e == "toml");
            is_toml.then(|| Some(path.file_stem()?.to_str()?.to_owned()))?
        })
        .collect();
    ids.sort();
    ids
}

fn key_of(folder: &str) -> &'static str {
    if folder == "machines" {
        "machine"
    } else {
        "batch"
    }
}

/// A file found by the recipe's word must carry the id it was looked for by.
fn same_id(
    found: &Found,
    id: &str,
    recipe: Option<&Loaded<Recipe>>,
    errors: &mut Vec<FileError>,
) -> bool {
    let (Some((folder, wanted)), Some(recipe)) = (&found.named, recipe) else {
        return true;
    };
    if wanted == id {
        return true;
    }
    errors.push(recipe.error(
        "id-mismatch",
        key_of(folder),
        format!("{} carries the id `{id}`", found.path.display()),
        format!("a file whose id is `{wanted}`"),
    ));
    false
}

//! The demonstration set: the files of `recipes/`, read by [`crate::files`].
//!
//! For tests, benches and trials that need a machine, a batch or a recipe. The files are the one source; whoever needs a special
//! value changes a field. All of it is invented; no machine or shop stands behind it.

use crate::bench::Job;
use crate::files::{self, FileError, Loaded};
use crate::model::{Batch, Machine, Recipe};
use std::path::{Path, PathBuf};

/// The folder of the set in the source tree from which this program was built.
#[must_use]
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes")
}

/// Identifiers of the machines, in alphabetical order.
#[must_use]
pub fn machines() -> Vec<String> {
    ids("machines")
}

/// Identifiers of the good recipes, in alphabetical order.
#[must_use]
pub fn recipes() -> Vec<String> {
    ids("recipes")
}

/// A machine of the set: `machine-a` (small), `machine-b` (middle) or `machine-c` (large).
///
/// # Panics
/// For a name that is not in the set: names here are written in code, not typed by a user.
#[must_use]
pub fn machine(name: &str) -> Machine {
    read("machines", name, files::parse_machine)
}

/// A batch of the set, by its id.
///
/// # Panics
/// For a name that is not in the set, as [`machine`].
#[must_use]
pub fn batch(name: &str) -> Batch {
    read("batches", name, files::parse_batch)
}

/// A good recipe of the set, by its id.
///
/// # Panics
/// For a name that is not in the set, as [`machine`].
#[must_use]
pub fn recipe(name: &str) -> Recipe {
    read("recipes", name, files::parse_recipe)
}

/// A good recipe with the machine and the batch that it names.
///
/// # Panics
/// For a name that is not in the set, as [`machine`].
#[must_use]
pub fn set(name: &str) -> (Machine, Batch, Recipe) {
    let recipe = recipe(name);
    (machine(&recipe.machine), batch(&recipe.batch), recipe)
}

/// A good recipe with its machine and batch, compiled.
///
/// # Panics
/// For a name that is not in the set, as [`machine`].
#[must_use]
pub fn job(name: &str) -> Job {
    let (machine, batch, recipe) = set(name);
    Job::new(machine, batch, recipe)
        .unwrap_or_else(|error| panic!("recipe `{name}` of the demonstration set: {error}"))
}

fn ids(kind: &str) -> Vec<String> {
    let path = folder().join(kind);
    let entries = std::fs::read_dir(&path)
        .unwrap_or_else(|error| panic!("demonstration set, {}: {error}", path.display()));
    let mut ids: Vec<String> = entries
        .filter_map(|entry| Some(entry.ok()?.path()))
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .filter_map(|path| Some(path.file_stem()?.to_str()?.to_owned()))
        .collect();
    ids.sort();
    ids
}

fn read<T>(
    kind: &str,
    name: &str,
    parse: impl FnOnce(&Path, &str) -> Result<Loaded<T>, Vec<FileError>>,
) -> T {
    let path = folder().join(kind).join(name).with_extension("toml");
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("demonstration set, {}: {error}", path.display()));
    parse(&path, &text)
        .unwrap_or_else(|errors| panic!("{}", files::render_errors(&errors, false)))
        .value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_set_reads_and_has_the_id_of_its_name() {
        for id in machines() {
            assert_eq!(machine(&id).id, id);
        }
        for id in ids("batches") {
            assert_eq!(batch(&id).id, id);
        }
        assert!(!recipes().is_empty());
        for name in recipes() {
            assert_eq!(job(&name).recipe.id, name);
        }
    }
}

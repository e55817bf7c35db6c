//! The demonstration set, built in: the files of `recipes/`, embedded as they are and read by [`crate::files`].
//!
//! For tests, benches and trials that need a machine, a batch or a recipe and no folder beside them. The files are the one
//! source; whoever needs a special value changes a field. All of it is invented; no machine or shop stands behind it.

use crate::bench::Job;
use crate::files::{self, FileError, Loaded};
use crate::model::{Batch, Machine, Recipe};
use std::path::Path;

/// An embedded file: its id and its text.
type File = (&'static str, &'static str);

/// The text of a file of `recipes/` beside its id.
macro_rules! file {
    ($folder:literal, $id:literal) => {
        (
            $id,
            include_str!(concat!("../../recipes/", $folder, "/", $id, ".toml")),
        )
    };
}

const MACHINE_FILES: [File; 3] = [
    file!("machines", "machine-a"),
    file!("machines", "machine-b"),
    file!("machines", "machine-c"),
];

const BATCH_FILES: [File; 6] = [
    file!("batches", "alumina-rings"),
    file!("batches", "glass-discs"),
    file!("batches", "glass-rings"),
    file!("batches", "silicon-wafers"),
    file!("batches", "steel-rings"),
    file!("batches", "zirconia-tiles"),
];

const RECIPE_FILES: [File; 6] = [
    file!("recipes", "alumina-diamond"),
    file!("recipes", "glass-f800"),
    file!("recipes", "glass-polish"),
    file!("recipes", "silicon-f1000"),
    file!("recipes", "steel-f400"),
    file!("recipes", "zirconia-fixed"),
];

/// Ids of the good recipes, in alphabetical order.
#[must_use]
pub fn recipes() -> [&'static str; 6] {
    RECIPE_FILES.map(|(id, _)| id)
}

/// A machine of the set: `machine-a` (small), `machine-b` (middle) or `machine-c` (large).
///
/// # Panics
/// For a name that is not in the set: names here are written in code, not typed by a user.
#[must_use]
pub fn machine(name: &str) -> Machine {
    read(&MACHINE_FILES, name, files::parse_machine)
}

/// A batch of the set, by its id.
///
/// # Panics
/// For a name that is not in the set, as [`machine`].
#[must_use]
pub fn batch(name: &str) -> Batch {
    read(&BATCH_FILES, name, files::parse_batch)
}

/// A good recipe of the set, by its id.
///
/// # Panics
/// For a name that is not in the set, as [`machine`].
#[must_use]
pub fn recipe(name: &str) -> Recipe {
    read(&RECIPE_FILES, name, files::parse_recipe)
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

fn read<T>(
    embedded: &[File],
    name: &str,
    parse: impl FnOnce(&Path, &str) -> Result<Loaded<T>, Vec<FileError>>,
) -> T {
    let Some((_, text)) = embedded.iter().find(|(id, _)| *id == name) else {
        let known: Vec<&str> = embedded.iter().map(|(id, _)| *id).collect();
        panic!("`{name}` is not in the demonstration set, which has {known:?}");
    };
    parse(Path::new(name), text)
        .unwrap_or_else(|errors| panic!("{}", files::render_errors(&errors, false)))
        .value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_folders_is_built_in_and_reads() {
        let folder = |name: &str| {
            let path = Path::new(env!("CARGO_MANIFEST_DIR"))
                .join("../recipes")
                .join(name);
            let mut ids: Vec<String> = std::fs::read_dir(path)
                .expect(name)
                .map(|entry| entry.expect(name).file_name().to_string_lossy().into())
                .filter_map(|file: String| Some(file.strip_suffix(".toml")?.to_owned()))
                .collect();
            ids.sort();
            ids
        };
        let ids = |embedded: &[File]| -> Vec<&str> { embedded.iter().map(|(id, _)| *id).collect() };
        assert_eq!(ids(&MACHINE_FILES), folder("machines"));
        assert_eq!(ids(&BATCH_FILES), folder("batches"));
        assert_eq!(ids(&RECIPE_FILES), folder("recipes"));
        for (id, _) in MACHINE_FILES {
            assert_eq!(machine(id).id, id);
        }
        for (id, _) in BATCH_FILES {
            assert_eq!(batch(id).id, id);
        }
        for name in recipes() {
            assert_eq!(job(name).recipe.id, name);
        }
    }
}

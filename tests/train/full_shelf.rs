//! A plain cycle's exercise with a full shelf: a dozen recipes in the controller's own store, one of them for another machine.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use twinplate_sim::demo;
use twinplate_train::exercise::{self, Exercise};

/// Recipes in the store.
pub const STORED: u8 = 12;
/// Slot whose recipe is compiled for another machine.
pub const OTHER: u8 = 7;

fn copied(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let place = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copied(&path, &place);
        } else {
            std::fs::copy(&path, &place).expect("copied");
        }
    }
}

/// A plain cycle's exercise with a full shelf.
pub fn exercise() -> Arc<Exercise> {
    let home = std::env::temp_dir().join(format!("twinplate-recall-{}", std::process::id()));
    copied(&demo::folder(), &home);
    let read = |path: PathBuf| std::fs::read_to_string(path).expect("read");
    let recipe = read(home.join("training/training-discs.toml"));
    let other = read(home.join("recipes/steel-f400.toml"));
    let mut exercise = read(home.join("exercises/plain-cycle.toml"));
    for slot in 1..=STORED {
        let id = format!("stored-{slot}");
        let (text, name) = if slot == OTHER {
            (&other, "steel-f400")
        } else {
            (&recipe, "training-discs")
        };
        let text = text.replacen(&format!("id = \"{name}\""), &format!("id = \"{id}\""), 1);
        std::fs::write(home.join(format!("training/{id}.toml")), text).expect("written");
        exercise += &format!("\n[[training.stored]]\nrecipe = \"{id}\"\n");
    }
    let exercise = exercise.replacen(
        "recipe = \"training-discs\"",
        &format!("recipe = \"stored-{STORED}\""),
        1,
    );
    let path = home.join("exercises/full-shelf.toml");
    std::fs::write(
        &path,
        exercise.replacen("id = \"plain-cycle\"", "id = \"full-shelf\"", 1),
    )
    .expect("written");
    let loaded = exercise::load(&path).unwrap_or_else(|errors| panic!("{errors:?}"));
    std::fs::remove_dir_all(&home).expect("removed");
    Arc::new(loaded)
}

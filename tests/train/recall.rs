//! The panel recalls one of many stored recipes by its slot, from the controller's own store.

use firmware_core::units::TICKS_PER_SECOND;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use twinplate_sim::demo;
use twinplate_sim::training::act::Act;
use twinplate_train::exercise::{self, Exercise};
use twinplate_train::protocol::{NewsKind, Pace};
use twinplate_train::session::Session;

/// Recipes in the store.
const STORED: u8 = 12;
/// Slot whose recipe is compiled for another machine.
const OTHER: u8 = 7;

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
fn exercise() -> Arc<Exercise> {
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

/// The common machine holds ten recipes for recall (common practice, no source); here are more.
#[test]
fn each_of_a_dozen_stored_recipes_is_recalled_by_its_slot() {
    let mut session = Session::new(exercise(), 1);
    for slot in 1..=STORED {
        session.operate(&Act::RecallRecipe { slot }).expect("there");
        session.advance(TICKS_PER_SECOND);
        let frame = session.frame(Pace::Real, 0.0);
        let loaded = (slot != OTHER).then_some(slot);
        assert_eq!(frame.recipe, loaded.unwrap_or_default(), "slot {slot}");
    }
    let refused: Vec<_> = session
        .news(0)
        .iter()
        .filter(|news| news.kind == NewsKind::Refused)
        .map(|news| news.text.clone())
        .collect();
    // The controller's own check tells: this machine has other parameters.
    assert_eq!(refused.len(), 1, "{refused:?}");
    for slot in [0, STORED + 1, u8::MAX] {
        let why = session
            .operate(&Act::RecallRecipe { slot })
            .expect_err("empty");
        assert_eq!(why.code, "empty-slot");
    }
}

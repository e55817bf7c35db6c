//! Loads and pockets, the setup card, time and money: against closed forms, against numbers made elsewhere, against the plant.

mod bad;
mod card;
mod cost;
mod lay_in;

use std::path::{Path, PathBuf};
use twinplate_sim::files::{Overrides, Set, load_set, render_errors};

/// The root of the workspace.
fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// A recipe of the demonstration set with its files.
fn set(recipe: &str) -> Set {
    let path = root().join(format!("recipes/recipes/{recipe}.toml"));
    load_set(&path, &Overrides::default())
        .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)))
}

/// A sheet of the demonstration set.
fn sheet(name: &str) -> String {
    std::fs::read_to_string(root().join("recipes/shop").join(name)).expect("a sheet")
}

/// Rows of numbers made elsewhere.
fn rows(text: &str) -> Vec<Vec<f64>> {
    let number = |cell: &str| cell.trim().parse().expect("a number");
    text.lines()
        .map(|line| line.split(',').map(number).collect())
        .collect()
}

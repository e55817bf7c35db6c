//! That the comparison looks everywhere: one constant of the core changed in the image alone, and the board must part from the
//! controller in this process.

use crate::copy::{build, changed};
use crate::list::{CONSTANTS, Change};
use crate::page;
use crate::runs::play_named;
use crate::twin::image;
use std::collections::BTreeSet;
use std::fmt::Display;
use std::process::Command;

/// Bits of the commit's name: whatever is drawn by it is another one in every commit, and the same wherever that one is tested.
pub fn drawn(of: usize) -> usize {
    let told = Command::new("git").args(["rev-parse", "HEAD"]).output();
    let name = told.map(|told| told.stdout).unwrap_or_default();
    let name = String::from_utf8_lossy(&name);
    let number = u64::from_str_radix(name.get(..15).unwrap_or("0"), 16);
    usize::try_from(number.unwrap_or(0)).unwrap_or(0) % of
}

/// The run as it is must be the same on the board.
fn control(run: &str) -> Result<(), String> {
    let played = play_named(run, &image()).map_err(|error| format!("{run}: {error}"))?;
    let ended = played.ended;
    ended.map_err(|error| format!("{run}, with nothing changed: {error}"))
}

/// The change's row with the first tick in which a board with it parts from the controller in this process.
fn row(change: &Change) -> Result<String, String> {
    let Change {
        changed: to, run, ..
    } = change;
    let told = |error: &dyn Display| format!("{to}, {run}: {error}");
    let image = build("m4", &changed(change).join("firmware-core/board"));
    let image = image.map_err(|error| told(&error))?;
    let played = play_named(run, &image).map_err(|error| told(&error))?;
    match (played.bench.port().parted(), played.ended) {
        (Some(tick), _) => {
            let row = format!("{} {tick} |", change.row());
            println!("{row}");
            Ok(row)
        }
        (None, Ok(())) => Err(told(&"it makes no difference")),
        (None, Err(error)) => Err(told(&error)),
    }
}

/// One of them, drawn by the commit's name; the rest is long.
#[test]
fn a_constant_changed_in_the_image_alone_is_caught() {
    let change = &CONSTANTS[drawn(CONSTANTS.len())];
    control(change.run).unwrap_or_else(|error| panic!("{error}"));
    row(change).unwrap_or_else(|error| panic!("{error}"));
}

/// All of them, and the page's table.
#[test]
#[ignore = "long: an image for each constant"]
fn every_listed_constant_changed_in_the_image_alone_is_caught() {
    let runs: BTreeSet<&str> = CONSTANTS.iter().map(|change| change.run).collect();
    let mut wrong: Vec<String> = runs
        .into_iter()
        .filter_map(|run| control(run).err())
        .collect();
    let mut rows = Vec::new();
    for change in &CONSTANTS {
        match row(change) {
            Ok(row) => rows.push(row),
            Err(error) => wrong.push(error),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    let head = "| what it governs | file | as it is | changed to | run that parts | first tick |\n|---|---|---|---|---|---:|";
    let stands = page::rows("constants", head, &rows);
    assert!(
        stands == rows,
        "docs/on-target.md tells of other ticks: UPDATE=1 renews it"
    );
}

//! That no panic path is on the target either: neither in the image, nor in anything that the host's guard links, built for the part.
//! And that one would be seen: an index is planted in a copy, and what is built from it must be refused.

use crate::change::drawn;
use crate::copy::{build, changed, tree};
use crate::elf::Image;
use crate::list::{Change, INDICES};
use crate::twin::image;
use std::path::Path;

/// Symbols of an image that only a panic has.
fn panics(image: &Path) -> Vec<String> {
    let bytes = std::fs::read(image).unwrap_or_else(|error| panic!("{}: {error}", image.display()));
    let mut symbols = Image::read(&bytes).symbols;
    symbols.retain(|symbol| symbol.contains("panicking"));
    symbols
}

/// No panic is in the image, not even one that cannot happen: what a controller does then is nobody's guess.
#[test]
fn no_panic_path_is_in_the_image() {
    let found = panics(&image());
    assert!(found.is_empty(), "{found:?}");
}

/// The tick with an index in it is an image that is refused.
#[test]
fn an_index_planted_in_the_tick_is_found_in_the_image() {
    let [tick, ..] = &INDICES;
    let image = build("m4", &changed(tick).join("firmware-core/board"));
    let found = panics(&image.unwrap_or_else(|error| panic!("{}: {error}", tick.what)));
    assert!(!found.is_empty(), "{} with an index passes", tick.what);
    println!("an index in the {}: {}", tick.what, found.join(", "));
}

/// What the linker says of a panic path: nothing if there is none.
fn linked(tests: &Path) -> Result<(), String> {
    match build("m4", &tests.join("guard")) {
        Ok(_) => Ok(()),
        Err(said) if said.contains("a_panic_path_is_left_in_the_core") => Err(said),
        Err(said) => panic!("the guard does not build: {said}"),
    }
}

fn refused(change: &Change) {
    let what = change.what;
    assert!(
        linked(&changed(change).join("tests")).is_err(),
        "{what} with an index links"
    );
    println!("an index in the {what}: does not link");
}

/// Tick, event log, deframer, message decoder, store: what the host's guard links, links for the part. With an index in one of them,
/// drawn by the commit's name, it does not.
#[test]
fn the_guard_links_for_the_part_and_not_with_an_index() {
    linked(&tree().join("tests")).unwrap_or_else(|said| panic!("{said}"));
    refused(&INDICES[drawn(INDICES.len())]);
}

/// Each of them.
#[test]
#[ignore = "long: a link for each"]
fn the_guard_does_not_link_with_an_index_in_any_part() {
    INDICES.iter().for_each(refused);
}

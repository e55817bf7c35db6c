//! The changes of the core that `tests/board` makes in copies: what each replaces stands in the core today, and the page tells of them.

#[path = "../board/list.rs"]
mod list;

use super::source::root;
use list::{CONSTANTS, INDICES};
use std::collections::BTreeSet;

/// Each text stands in the core once, so that the long command finds it; no two changes are the same, and none changes nothing.
#[test]
fn what_the_boards_tests_change_stands_in_the_core() {
    let mut seen = BTreeSet::new();
    let mut wrong = Vec::new();
    for change in CONSTANTS.iter().chain(&INDICES) {
        assert!(
            change.text != change.changed,
            "{}: changes nothing",
            change.what
        );
        assert!(
            seen.insert((change.file, change.text)),
            "{}: twice",
            change.text
        );
        let file = root().join("firmware-core/src").join(change.file);
        let source = std::fs::read_to_string(&file);
        let made = source
            .map_err(|error| format!("{}: {error}", change.file))
            .and_then(|source| change.make(&source));
        wrong.extend(made.err());
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The page's table has these constants and no others, in this order; the ticks in it are the long command's.
#[test]
fn the_page_tells_of_these_constants() {
    let page = std::fs::read_to_string(root().join("docs/on-target.md")).expect("the page");
    let block = page
        .split("<!-- generated: constants -->\n")
        .nth(1)
        .expect("the block");
    let stands: Vec<&str> = block
        .lines()
        .skip(2)
        .take_while(|line| line.starts_with('|'))
        .collect();
    let due: Vec<String> = CONSTANTS.iter().map(list::Change::row).collect();
    let same = stands.len() == due.len()
        && stands
            .iter()
            .zip(&due)
            .all(|(stands, due)| stands.starts_with(due.as_str()));
    assert!(
        same,
        "docs/on-target.md: UPDATE=1 tests/board/run --ignored\nthere {stands:#?}\ndue {due:#?}"
    );
}

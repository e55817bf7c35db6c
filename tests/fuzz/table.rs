//! The committed counts of the long run: of every target, and together as many as were asked for.

use crate::targets::{TARGETS, root};

/// Executions of all targets together.
const ASKED: u64 = 20_000_000;

#[test]
fn the_long_run_ran_every_target_and_twenty_million_executions() {
    let page = std::fs::read_to_string(root().join("docs/fuzz.md")).expect("the page");
    let table = page
        .split_once("<!-- measured: fuzz -->\n")
        .and_then(|(_, rest)| rest.split_once("<!-- end -->"))
        .map(|(table, _)| table)
        .expect("the table");
    let rows: Vec<(&str, u64)> = table
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once("` | "))
        .map(|(name, rest)| {
            let count = rest.split(' ').next().expect("a count").replace(',', "");
            (name, count.parse().expect("a count"))
        })
        .collect();
    for target in TARGETS {
        let row = rows.iter().find(|(name, _)| *name == target.name);
        assert!(
            row.is_some_and(|(_, count)| *count > 0),
            "`{}` was not run: tests/fuzz/run",
            target.name
        );
    }
    for (name, _) in &rows {
        assert!(
            TARGETS.iter().any(|target| target.name == *name),
            "there is no target `{name}`"
        );
    }
    let sum: u64 = rows.iter().map(|(_, count)| count).sum();
    assert!(sum >= ASKED, "{sum} executions");
}

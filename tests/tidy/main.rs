//! The walls and the order of the house, held by text over the tree: who may know whom, what may be public, how large a room may be.
//!
//! The lists below are what is tolerated today. They may only shrink: an entry that is no longer needed is an error too.

mod source;

use source::{Source, crates, functions, root, sources};
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

/// Each crate and the crates of the house that it may know: none above it.
const WALLS: [(&str, &[&str]); 10] = [
    ("firmware-core", &[]),
    ("twinplate-sim", &["firmware-core"]),
    ("twinplate-demo-set", &[]),
    ("twinplate-linear", &["firmware-core", "twinplate-sim"]),
    (
        "twinplate-check",
        &["firmware-core", "twinplate-linear", "twinplate-sim"],
    ),
    (
        "twinplate-falsify",
        &["firmware-core", "twinplate-check", "twinplate-sim"],
    ),
    (
        "twinplate-tune",
        &[
            "firmware-core",
            "twinplate-check",
            "twinplate-linear",
            "twinplate-sim",
        ],
    ),
    ("twinplate-train", &["firmware-core", "twinplate-sim"]),
    (
        "twinplate-server",
        &["firmware-core", "twinplate-sim", "twinplate-train"],
    ),
    (
        "twinplate",
        &[
            "firmware-core",
            "twinplate-check",
            "twinplate-demo-set",
            "twinplate-falsify",
            "twinplate-linear",
            "twinplate-server",
            "twinplate-sim",
            "twinplate-train",
            "twinplate-tune",
        ],
    ),
];

/// What the simulation must never carry: async, a database, a terminal, a web server, plots.
const NOT_IN_THE_SIMULATION: [&str; 7] = [
    "axum",
    "clap",
    "indicatif",
    "plotters",
    "rusqlite",
    "tokio",
    "tracing-subscriber",
];

/// Modules that know each other in a circle, by crate.
const CIRCLES: [(&str, &[&str]); 4] = [
    ("firmware-core", &["sequence", "status"]),
    ("twinplate-check", &["catalogue", "finding"]),
    ("twinplate", &["cli", "report"]),
    ("twinplate-sim", &["fault_words", "model", "training"]),
];

/// Public functions that nobody outside their crate calls yet.
const ALONE: &str = include_str!("alone.txt");

/// Files over [`FILE_LINES`] and functions over [`FUNCTION_LINES`], with their lines when they were entered.
const LARGE: &str = include_str!("large.txt");
const FILE_LINES: usize = 500;
const FUNCTION_LINES: usize = 80;
/// Longest line of running text of a page, characters. Rows of tables and the words for a picture cannot be wrapped.
const PAGE_COLUMNS: usize = 140;

#[test]
fn no_crate_knows_one_above_it() {
    let found: Vec<(String, Vec<String>)> =
        crates().into_iter().map(|c| (c.name, c.knows)).collect();
    for (name, knows) in &found {
        let Some((_, may)) = WALLS.iter().find(|(wall, _)| wall == name) else {
            panic!("{name} has no place among the walls");
        };
        for other in knows {
            assert!(
                may.contains(&other.as_str()),
                "{name} must not know {other}"
            );
        }
    }
    assert_eq!(found.len(), WALLS.len());
}

#[test]
fn the_simulation_carries_no_server_and_no_terminal() {
    let tree = Command::new(env!("CARGO"))
        .args([
            "tree",
            "--locked",
            "--offline",
            "-p",
            "twinplate-sim",
            "-e",
            "normal",
            "--prefix",
            "none",
        ])
        .current_dir(root())
        .output()
        .expect("cargo tree");
    let text = String::from_utf8_lossy(&tree.stdout);
    let names: BTreeSet<&str> = text
        .lines()
        .filter_map(|line| line.split(' ').next())
        .collect();
    assert!(
        names.contains("firmware-core"),
        "{}",
        String::from_utf8_lossy(&tree.stderr)
    );
    for name in NOT_IN_THE_SIMULATION {
        assert!(!names.contains(name), "twinplate-sim carries {name}");
    }
}

#[test]
fn no_module_knows_itself_through_others() {
    let mut found: Vec<(String, Vec<String>)> = Vec::new();
    for house in crates() {
        let mut knows: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for source in sources(&house.folder) {
            let Some(module) = source.modules().first().cloned() else {
                continue;
            };
            let entry = knows.entry(module.clone()).or_default();
            entry.extend(
                source
                    .names_of_modules()
                    .into_iter()
                    .filter(|name| *name != module),
            );
        }
        let reach = closure(&knows);
        let circle: Vec<String> = knows
            .keys()
            .filter(|module| reach[*module].contains(*module))
            .cloned()
            .collect();
        if !circle.is_empty() {
            found.push((house.name, circle));
        }
    }
    let tolerated: Vec<(String, Vec<String>)> = CIRCLES
        .iter()
        .map(|(name, modules)| {
            (
                (*name).to_owned(),
                modules.iter().map(|m| (*m).to_owned()).collect(),
            )
        })
        .collect();
    assert_eq!(found, tolerated, "modules that know each other in a circle");
}

/// Everything a module knows, directly or through others.
fn closure(knows: &BTreeMap<String, BTreeSet<String>>) -> BTreeMap<String, BTreeSet<String>> {
    let mut reach = knows.clone();
    loop {
        let mut wider = reach.clone();
        for seen in wider.values_mut() {
            let more: Vec<String> = seen
                .iter()
                .filter_map(|name| reach.get(name))
                .flatten()
                .cloned()
                .collect();
            seen.extend(more);
        }
        if wider == reach {
            return reach;
        }
        reach = wider;
    }
}

#[test]
fn every_public_function_has_a_caller_outside_its_crate() {
    let all: Vec<(String, Source)> = crates()
        .into_iter()
        .flat_map(|house| {
            sources(&house.folder)
                .into_iter()
                .map(move |s| (house.name.clone(), s))
        })
        .collect();
    let outside = sources(&root().join("tests"));
    let words: Vec<(&str, BTreeSet<&str>)> = all
        .iter()
        .map(|(name, source)| (name.as_str(), source.words()))
        .chain(outside.iter().map(|source| ("tests", source.words())))
        .collect();
    let mut alone = BTreeSet::new();
    for (name, source) in &all {
        for function in source.public_functions() {
            let called = words
                .iter()
                .any(|(other, words)| other != name && words.contains(function))
                || source.doc_words().contains(function);
            if !called {
                alone.insert(format!("{} {function}", source.path));
            }
        }
    }
    let tolerated: BTreeSet<String> = ALONE.lines().map(str::to_owned).collect();
    for function in &alone {
        assert!(
            tolerated.contains(function),
            "{function} is public, and nobody outside its crate calls it: make it private"
        );
    }
    for function in &tolerated {
        assert!(
            alone.contains(function),
            "{function} has a caller now, or is gone: take it from tests/tidy/alone.txt"
        );
    }
}

#[test]
fn large_files_and_functions_only_grow_fewer() {
    let mut found = BTreeMap::new();
    for source in crates()
        .iter()
        .flat_map(|house| sources(&house.folder))
        .chain(sources(&root().join("tests")))
    {
        let lines = source.text.lines().count();
        if lines > FILE_LINES {
            found.insert(source.path.clone(), lines);
        }
        for (name, lines) in functions(&source.text) {
            if lines > FUNCTION_LINES {
                found.insert(format!("{} {name}", source.path), lines);
            }
        }
    }
    let entered: BTreeMap<String, usize> = LARGE
        .lines()
        .filter_map(|line| line.rsplit_once(' '))
        .map(|(what, lines)| (what.to_owned(), lines.parse().expect("lines")))
        .collect();
    for (what, lines) in &found {
        match entered.get(what) {
            None => panic!("{what} has {lines} lines: split it"),
            Some(before) => assert!(
                lines <= before,
                "{what} grew from {before} to {lines} lines: split it"
            ),
        }
    }
    for what in entered.keys() {
        assert!(
            found.contains_key(what),
            "{what} is small now: take it from tests/tidy/large.txt"
        );
    }
}

#[test]
fn no_line_of_a_page_is_too_long_to_read() {
    let docs = std::fs::read_dir(root().join("docs")).expect("docs");
    let pages = docs
        .map(|entry| entry.expect("page").path())
        .filter(|path| path.extension().is_some_and(|e| e == "md"));
    for page in pages
        .chain(["README.md", "DEVELOPERS.md", "recipes/README.md"].map(|name| root().join(name)))
    {
        let text = std::fs::read_to_string(&page).expect("page");
        for (number, line) in (1..)
            .zip(text.lines())
            .filter(|(_, line)| !line.starts_with(['|', '!']))
        {
            let columns = line.chars().count();
            assert!(
                columns <= PAGE_COLUMNS,
                "{}:{number} has {columns} characters",
                page.display()
            );
        }
    }
}

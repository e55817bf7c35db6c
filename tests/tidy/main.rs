//! The walls and the order of the house, held by text over the tree: who may know whom, what may be public, how large a room may be.
//!
//! The lists below are what is tolerated today. They may only shrink: an entry that is no longer needed is an error too.

mod changes;
mod patches;
mod source;
mod typed_again;

use source::{Source, crates, functions, root, sources};
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;
use typed_again::Published;

/// Each crate and the crates of the house that it may know: none above it.
const WALLS: [(&str, &[&str]); 19] = [
    ("firmware-core", &[]),
    ("lockstep", &["firmware-core"]),
    (
        "twinplate-board",
        &[
            "firmware-core",
            "lockstep",
            "twinplate-link",
            "twinplate-sim",
        ],
    ),
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
    ("twinplate-calibrate", &["firmware-core", "twinplate-sim"]),
    (
        "twinplate-shop",
        &["firmware-core", "twinplate-calibrate", "twinplate-sim"],
    ),
    (
        "twinplate-draft",
        &["firmware-core", "twinplate-check", "twinplate-sim"],
    ),
    (
        "twinplate-production",
        &["twinplate-calibrate", "twinplate-check", "twinplate-sim"],
    ),
    ("twinplate-link", &["firmware-core", "twinplate-sim"]),
    ("twinplate-sweep", &["twinplate-check", "twinplate-sim"]),
    ("twinplate-words", &[]),
    (
        "twinplate-train",
        &["firmware-core", "twinplate-sim", "twinplate-words"],
    ),
    (
        "twinplate-server",
        &[
            "firmware-core",
            "twinplate-sim",
            "twinplate-train",
            "twinplate-words",
        ],
    ),
    (
        "twinplate",
        &[
            "firmware-core",
            "twinplate-board",
            "twinplate-calibrate",
            "twinplate-check",
            "twinplate-demo-set",
            "twinplate-draft",
            "twinplate-falsify",
            "twinplate-linear",
            "twinplate-link",
            "twinplate-production",
            "twinplate-server",
            "twinplate-shop",
            "twinplate-sim",
            "twinplate-sweep",
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

/// Where a name, a word or a number of the core may stand again, and why. The place is a file, or a folder with all that is in it.
const TYPED_AGAIN: [(&str, &[&str], &str); 9] = [
    (
        "sim-host/check/src/static_check/load.rs",
        &["initial load"],
        "the load that the operator set, beside the word for a setpoint; no load mode",
    ),
    (
        "sim-host/falsify/src/faults/answers.rs",
        &[],
        "what checks the core says on its own which rows may answer; a test holds that they are rows",
    ),
    (
        "sim-host/falsify/src/faults/due/conditions.rs",
        &["CELL_LOST"],
        "what checks the core says its rules a second time",
    ),
    (
        "sim-host/falsify/src/seek/mod.rs",
        &["load-limit"],
        "the target of a search; the rule of a recipe is another thing",
    ),
    (
        "sim-host/sim/src/fault_words.rs",
        &["dump-feedback"],
        "the component; the row of the same name watches over it",
    ),
    (
        "sim-host/draft/src/write.rs",
        &["prestart-flow"],
        "a key of the recipe file that is written, which the rule of the same name watches over",
    ),
    (
        "sim-host/sim/src/files",
        &["first-contact-limit", "prestart-flow"],
        "keys of the files, which the rules and rows of the same name watch over",
    ),
    (
        "sim-host/sim/src/training/rules.rs",
        &["guard-open"],
        "what a guided exercise waits for: the guard is open, whether a row asks or not",
    ),
    (
        "sim-host/sweep/src/axis.rs",
        &["prestart-flow"],
        "a key of the recipe file that is swept; the rule of the same name watches over it",
    ),
];

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
        let circle: Vec<&String> = knows
            .keys()
            .filter(|module| reach[*module].contains(*module))
            .collect();
        assert!(
            circle.is_empty(),
            "modules of {} know each other in a circle: {circle:?}",
            house.name
        );
    }
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
    // What measures and shows a crate is compiled as another.
    let outside: Vec<Source> = crates()
        .iter()
        .flat_map(|house| ["../benches", "../examples"].map(|beside| house.folder.join(beside)))
        .chain([root().join("tests")])
        .filter(|folder| folder.exists())
        .flat_map(|folder| sources(&folder))
        .collect();
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
    assert!(
        alone.is_empty(),
        "public, and nobody outside their crate calls them; make them private, or give them an example: {alone:#?}"
    );
}

#[test]
fn nothing_of_the_core_is_typed_again() {
    let published = Published::by(&root().join("firmware-core/src"));
    let (words, numbers) = published.len();
    assert!(
        words > 100 && numbers > 15,
        "{words} words, {numbers} numbers"
    );
    let mut found = Vec::new();
    for house in crates().iter().filter(|h| h.name != "firmware-core") {
        for source in sources(&house.folder) {
            if !source.only_tests() {
                found.extend(published.again_in(&source));
            }
        }
    }
    let assets = "sim-host/server/src/assets";
    for entry in std::fs::read_dir(root().join(assets)).expect("pages") {
        let path = entry.expect("page").path();
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        if name.ends_with(".js") || name.ends_with(".html") {
            let text = std::fs::read_to_string(&path).expect("page");
            found.extend(published.again_on(&format!("{assets}/{name}"), &text));
        }
    }
    found.sort();
    let mut needed = BTreeSet::new();
    for again in &found {
        let place = TYPED_AGAIN.iter().position(|(path, what, _)| {
            again.path.starts_with(path) && (what.is_empty() || what.contains(&again.what.as_str()))
        });
        let Some(place) = place else {
            panic!(
                "{} types `{}` again, which is the core's ({}): take it from there",
                again.path, again.what, again.of
            );
        };
        needed.insert(place);
    }
    for (place, (path, ..)) in TYPED_AGAIN.iter().enumerate() {
        assert!(
            needed.contains(&place),
            "{path} types nothing again: take it from the list"
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

#[test]
fn every_patch_that_breaks_the_code_still_applies() {
    let all = patches::patches();
    assert!(!all.is_empty());
    let mut stale = Vec::new();
    for path in all {
        let patch = std::fs::read_to_string(&path).expect("a patch");
        for what in patches::unfit(&patch, &root()) {
            stale.push(format!("{}: {what}", path.display()));
        }
    }
    assert!(stale.is_empty(), "make anew:\n{}", stale.join("\n"));
}

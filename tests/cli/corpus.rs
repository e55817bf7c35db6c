//! Malformed files: each must give exactly the errors of the committed snapshot, and nothing may panic.
//!
//! A corpus file's name begins with its kind. `UPDATE=1` rewrites the snapshot; read its difference before you
//! commit it.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use twinplate_sim::files::{self, FileError};

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("cli/corpus")
}

/// Loads a file as the kind that its name begins with; gives its errors, none for a good file.
fn load(path: &Path, name: &str) -> Vec<FileError> {
    let kind = name.split('-').next().unwrap_or("");
    match kind {
        "machine" => files::load_machine(path).err(),
        "batch" => files::load_batch(path).err(),
        "recipe" => files::load_recipe(path).err(),
        "scenario" => files::load_scenario(path).err(),
        "shelf" => files::load_shelf(path).err(),
        other => panic!("{name}: no kind of file is called `{other}`"),
    }
    .unwrap_or_default()
}

fn names() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(corpus())
        .expect("corpus")
        .map(|entry| {
            entry
                .expect("entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter(|name| name.ends_with(".toml"))
        .collect();
    names.sort();
    names
}

#[test]
fn every_malformed_file_gives_exactly_its_errors() {
    let mut found = String::from(
        "# file code line column: every error of every file of this folder, in order of place.\n",
    );
    for name in names() {
        let errors = load(&corpus().join(&name), &name);
        assert!(!errors.is_empty(), "{name} is not malformed");
        for e in errors {
            found.push_str(&format!("{name} {} {} {}\n", e.code, e.line, e.column));
        }
    }
    let path = corpus().join("expected.txt");
    if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
        std::fs::write(&path, &found).expect("snapshot written");
    }
    let expected = std::fs::read_to_string(&path).expect("snapshot");
    for (found, expected) in found.lines().zip(expected.lines()) {
        assert_eq!(found, expected);
    }
    assert_eq!(found.lines().count(), expected.lines().count());
}

#[test]
fn the_corpus_is_large_and_reaches_every_code() {
    assert!(names().len() >= 60, "{}", names().len());
    let seen: BTreeSet<&str> = names()
        .iter()
        .flat_map(|name| load(&corpus().join(name), name))
        .map(|error| error.code)
        .collect();
    // These need a path or a pair of files rather than one file's bytes; they are tested below and beside the code.
    let elsewhere = [
        "unreadable-file",
        "file-too-large",
        "not-found",
        "id-mismatch",
        "no-such-step",
    ];
    for (code, _) in files::error::CODES {
        assert!(
            seen.contains(code) || elsewhere.contains(code),
            "no file earns {code}"
        );
    }
    for code in seen {
        assert!(
            files::error::CODES.iter().any(|(known, _)| *known == code),
            "{code}"
        );
    }
}

#[test]
fn every_error_is_drawn_with_its_place_and_within_eighty_columns() {
    for name in names() {
        let errors = load(&corpus().join(&name), &name)
            .into_iter()
            // The folder's own length is not the renderer's fault.
            .map(|error| FileError {
                file: name.clone(),
                ..error
            })
            .collect::<Vec<_>>();
        let drawn = files::render_errors(&errors, false);
        assert!(
            !drawn.contains('\u{1b}'),
            "{name}: coloured without being asked"
        );
        for e in &errors {
            assert!(drawn.contains(e.code), "{name}: {drawn}");
            if e.mark.is_some() {
                let place = format!("{name}:{}:{}", e.line, e.column);
                assert!(drawn.contains(&place), "{name}: no {place} in\n{drawn}");
            }
        }
        for line in drawn.lines().filter(|line| !is_source(line)) {
            assert!(line.chars().count() <= 80, "{name}: {line}");
        }
    }
}

/// A line of the file itself ("12 | …"), which is as long as the file made it.
fn is_source(line: &str) -> bool {
    line.split_once('|').is_some_and(|(number, _)| {
        let number = number.trim();
        !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit())
    })
}

#[test]
fn paths_that_cannot_be_read_are_errors() {
    let code = |path: &Path| {
        let errors = files::load_recipe(path).expect_err("no file");
        assert_eq!((errors.len(), errors[0].line, errors[0].column), (1, 1, 1));
        errors[0].code
    };
    assert_eq!(code(&corpus().join("no-such-file.toml")), "unreadable-file");
    assert_eq!(code(&corpus()), "unreadable-file", "a folder");
    assert_eq!(
        code(&corpus().join("expected.txt/x.toml")),
        "unreadable-file"
    );
    assert_eq!(code(Path::new("")), "unreadable-file");
}

#[test]
fn a_huge_file_is_refused_before_it_is_read() {
    let path = std::env::temp_dir().join(format!("twinplate-huge-{}.toml", std::process::id()));
    let limit = usize::try_from(files::SIZE_LIMIT).expect("fits");
    let write = |length: usize| {
        let mut text = String::from("# Invented; malformed on purpose.\n");
        text.push_str(&"# padding\n".repeat((length - text.len()) / 10));
        text.push_str(&" ".repeat(length - text.len()));
        std::fs::write(&path, text).expect("written");
        let errors = files::load_recipe(&path).expect_err("no recipe");
        errors[0].code
    };
    assert_eq!(write(limit), "empty-file", "just within the limit");
    assert_eq!(write(limit + 1), "file-too-large");
    std::fs::remove_file(&path).expect("removed");
}

/// Every prefix of a good file, and every good file with one byte changed: an error or a value, never a panic.
#[test]
fn damaged_files_never_panic() {
    let folder = std::env::temp_dir().join(format!("twinplate-damage-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("folder");
    let path = folder.join("damaged.toml");
    let recipes = Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes");
    let good = std::fs::read(recipes.join("recipes/glass-f800.toml")).expect("recipe");
    let mut errors = 0;
    // A step of 7 keeps the test short and still meets every line in several places.
    for at in (0..good.len()).step_by(7) {
        let mut flipped = good.clone();
        // A deterministic byte that differs from the old one: not the same bit everywhere.
        flipped[at] ^= 1 << (at % 7);
        for bytes in [&good[..at], &flipped[..]] {
            std::fs::write(&path, bytes).expect("written");
            if let Err(found) = files::load_recipe(&path) {
                errors += found.len();
                assert!(!files::render_errors(&found, false).is_empty());
            }
        }
    }
    // Most prefixes and many changed bytes are errors; that none were found would mean that nothing was read.
    assert!(errors > 200, "{errors}");
    std::fs::remove_dir_all(&folder).expect("removed");
}

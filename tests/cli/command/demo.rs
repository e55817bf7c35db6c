//! `demo`, and `train` where there are no exercises: from any folder.

use super::{command, names, root, scratch, text, twinplate};
use std::collections::BTreeMap;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::Stdio;

/// All files below a folder: path and content.
fn files(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    let mut files = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(open) = folders.pop() {
        for name in names(&open) {
            let path = open.join(name);
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).expect("below").to_owned();
                files.insert(name, std::fs::read(&path).expect("read"));
            }
        }
    }
    files
}

#[test]
fn the_set_is_written_whole_into_a_folder_that_is_new_or_empty() {
    // However long the way to the folder is: the command to copy stays in one piece.
    let here = scratch("demo-written-below-a-folder-with-a-name-that-fills-a-line-of-the-terminal");
    let new = here.join("new");
    let told = twinplate(&["demo", text(&new)]);
    assert_eq!(told.code, 0, "{}", told.err);
    assert_eq!(files(&new), files(&root().join("recipes")));
    // What it says to try next is so.
    let next = format!("  twinplate check {}/recipes/glass-f800.toml", text(&new));
    assert!(told.out.lines().any(|line| line == next), "{}", told.out);
    std::fs::create_dir(here.join("empty")).expect("made");
    assert_eq!(twinplate(&["demo", text(&here.join("empty"))]).code, 0);
    assert_eq!(files(&here.join("empty")), files(&new));
    assert_eq!(names(&here), ["empty", "new"]);
}

#[test]
fn nothing_that_is_there_is_overwritten_and_nothing_is_left_half_done() {
    let here = scratch("demo-refused");
    std::fs::create_dir(here.join("mine")).expect("made");
    std::fs::write(here.join("mine/notes"), "mine").expect("written");
    std::fs::write(here.join("file"), "a file").expect("written");
    let before = files(&here);
    for (folder, why) in [
        ("mine", "is there already"),
        ("file", "is there already"),
        ("missing/new", "its folder does not exist"),
        ("file/new", "a part of the path is no folder"),
        ("mine/..", "names no new folder"),
    ] {
        let refused = twinplate(&["demo", text(&here.join(folder))]);
        assert_eq!(refused.code, 2, "{folder}: {}", refused.out);
        assert!(
            refused.complaint().contains(why),
            "{folder}: {}",
            refused.err
        );
        assert!(refused.err.contains("remedy:"), "{folder}: {}", refused.err);
        assert_eq!(files(&here), before, "{folder}");
    }
    assert_eq!(names(&here), ["file", "mine"]);
}

#[test]
fn training_works_where_there_are_no_exercises_and_leaves_nothing_behind() {
    let here = scratch("train-anywhere");
    let temporary = scratch("train-anywhere-temporary");
    let script = here.join("alone.txt");
    std::fs::copy(
        root().join("recipes/exercises/scripts/first-cycle.txt"),
        &script,
    )
    .expect("copied");
    let anywhere = || {
        let mut command = command();
        command.current_dir(&here).env("TMPDIR", &temporary);
        command
    };
    let played = anywhere()
        .args(["train", "--headless", "alone.txt"])
        .output()
        .expect("starts");
    let shown = String::from_utf8_lossy(&played.stdout);
    assert!(shown.contains("PASSED"), "{shown}");
    assert_eq!(played.status.code(), Some(0));
    assert_eq!(names(&temporary), [""; 0]);

    let mut server = anywhere()
        .args(["train", "--port", "0"])
        .stdout(Stdio::piped())
        .spawn()
        .expect("starts");
    let mut address = String::new();
    BufReader::new(server.stdout.take().expect("piped"))
        .read_line(&mut address)
        .expect("a line");
    let left = names(&temporary);
    server.kill().expect("killed");
    server.wait().expect("gone");
    assert!(address.starts_with("http://127.0.0.1:"), "{address}");
    assert_eq!(left, [""; 0]);
    assert_eq!(names(&here), ["alone.txt", "out"]);
}

#[test]
fn a_folder_of_exercises_that_is_named_is_the_only_one() {
    let here = scratch("train-named");
    std::fs::create_dir(here.join("none")).expect("made");
    let refused = twinplate(&["train", "--exercises", text(&here.join("none"))]);
    assert_eq!(refused.code, 2);
    assert!(
        refused.complaint().contains("there is no exercise in"),
        "{}",
        refused.err
    );
}

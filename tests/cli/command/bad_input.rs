//! Malformed files and wrong usage: exit 2, an error that says where, nothing on stdout, no output touched, no panic.

use crate::{files_in, names, root, scratch, text, twinplate};
use std::collections::BTreeMap;
use std::path::Path;

const MACHINE: &str = "recipes/machines/machine-a.toml";
const BATCH: &str = "recipes/batches/glass-discs.toml";
const GOOD: &str = "recipes/recipes/glass-f800.toml";
const BEFORE: &str = "what was here before";

/// Codes that each file of the corpus must earn, from the committed snapshot.
fn expected() -> BTreeMap<String, Vec<String>> {
    let snapshot = std::fs::read_to_string(root().join("tests/cli/corpus/expected.txt"))
        .expect("the snapshot of the corpus");
    let mut codes: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for line in snapshot.lines().filter(|line| !line.starts_with('#')) {
        let mut words = line.split(' ');
        let (Some(name), Some(code)) = (words.next(), words.next()) else {
            panic!("not a line of the snapshot: {line}");
        };
        codes.entry(name.into()).or_default().push(code.into());
    }
    codes
}

/// Calls that must all trip over a file, by the kind that its name begins with.
fn calls(path: &str) -> Vec<Vec<&str>> {
    let name = Path::new(path)
        .file_name()
        .expect("name")
        .to_str()
        .expect("UTF-8");
    match name.split('-').next() {
        Some("recipe") => vec![vec!["check", path], vec!["run", path]],
        Some("machine") => vec![vec!["check", GOOD, "--machine", path]],
        Some("batch") => vec![vec!["check", GOOD, "--batch", path]],
        Some("scenario") => vec![vec!["run", GOOD, "--scenario", path]],
        Some("shelf") => vec![vec!["draft", MACHINE, BATCH, "--shelf", path]],
        _ => panic!("{name}: of which kind?"),
    }
}

#[test]
fn every_malformed_file_is_exit_2_and_touches_no_output() {
    let expected = expected();
    let files = files_in("tests/cli/corpus");
    assert!(files.len() >= 60, "{}", files.len());
    let folder = scratch("bad-input-corpus");
    let kept = folder.join("kept");
    for file in &files {
        for mut call in calls(file) {
            std::fs::write(&kept, BEFORE).expect("written");
            let options: &[&str] = if ["check", "draft"].contains(&call[0]) {
                &["--report"]
            } else {
                &["--report", "--trace", "--journal"]
            };
            for option in options {
                let mut call = call.clone();
                call.extend([*option, text(&kept)]);
                let ran = twinplate(&call);
                assert_eq!(ran.code, 2, "{call:?}\n{}{}", ran.out, ran.err);
                assert_eq!(ran.out, "", "{call:?}");
                assert_eq!(std::fs::read_to_string(&kept).ok().as_deref(), Some(BEFORE));
                assert_eq!(names(&folder), ["kept"], "{call:?} left something");
            }
            call.push("--log=off");
            let ran = twinplate(&call);
            let name = file.rsplit('/').next().expect("name");
            for code in &expected[name] {
                let mark = format!("error[{code}]");
                assert!(
                    ran.err.contains(&mark),
                    "{call:?}: no {mark} in\n{}",
                    ran.err
                );
            }
        }
    }
}

#[test]
fn paths_that_cannot_be_read_are_exit_2() {
    for path in ["no-such-file.toml", "recipes", "recipes/README.md/x", ""] {
        for verb in ["check", "run"] {
            let ran = twinplate(&[verb, path]);
            assert_eq!(ran.code, 2, "{verb} {path}: {}", ran.err);
        }
    }
    let ran = twinplate(&["run", GOOD, "--scenario", "no-such-file.toml"]);
    assert!(
        ran.code == 2 && ran.err.contains("unreadable-file"),
        "{}",
        ran.err
    );
}

#[test]
fn wrong_usage_is_exit_2_and_says_what_would_be_right() {
    let cases: &[(&[&str], &str)] = &[
        (&[], "Usage"),
        (&["chek"], "check"),
        (&["check"], "RECIPE"),
        (&["check", GOOD, "--runs", "-1"], "--runs"),
        (&["check", GOOD, "--runs", "many"], "--runs"),
        (&["check", GOOD, "--threads", "0"], "--threads"),
        (&["check", GOOD, "--seed", "0xg"], "hexadecimal"),
        (&["check", GOOD, "--format", "xml"], "junit"),
        (&["check", GOOD, "--fail-on", "note"], "warning"),
        (
            &["check", GOOD, "--waive", "creep-to-fast", "--reason", "x"],
            "creep-too-fast",
        ),
        (&["check", GOOD, "--waive", "creep-too-fast"], "--reason"),
        (
            &["check", GOOD, "--waive", "creep-too-fast", "--reason", " "],
            "reason",
        ),
        (
            &["check", GOOD, "--report", "a", "--no-report"],
            "--no-report",
        ),
        (&["run", GOOD, "--replay", "j", "--seed", "1"], "--seed"),
        (&["run", GOOD, "--draw", "-1"], "--draw"),
        (&["explain", "a", "b"], "unexpected"),
    ];
    for (call, word) in cases {
        let ran = twinplate(call);
        assert_eq!(ran.code, 2, "{call:?}\n{}{}", ran.out, ran.err);
        assert_eq!(ran.out, "", "{call:?}");
        assert!(
            ran.complaint().contains(word),
            "{call:?}: no `{word}` in\n{}",
            ran.err
        );
    }
}

#[test]
fn a_journal_that_is_none_is_exit_2() {
    let folder = scratch("bad-input-journal");
    let path = folder.join("journal");
    let cases: &[(&[u8], &str)] = &[
        (b"", "empty"),
        (b"{}", "header"),
        (b"\xff\xfe", "UTF-8"),
        (b"{\"journal\":9,\"seed\":\"0x1\",\"files\":[]}", "version 9"),
        (
            b"{\"journal\":1,\"seed\":\"0x1\",\"files\":[{\"kind\":\"recipe\",\"id\":\"glass-f800\",\"hash\":\"0x1\"}]}",
            "another recipe",
        ),
    ];
    for (bytes, word) in cases {
        std::fs::write(&path, bytes).expect("written");
        let ran = twinplate(&["run", GOOD, "--replay", text(&path)]);
        assert_eq!(ran.code, 2, "{word}: {}", ran.err);
        assert!(
            ran.complaint().contains(word),
            "no `{word}` in\n{}",
            ran.err
        );
    }
    let ran = twinplate(&["run", GOOD, "--replay", text(&folder)]);
    assert!(
        ran.code == 2 && ran.complaint().contains("regular file"),
        "{}",
        ran.err
    );
}

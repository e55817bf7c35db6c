//! A terminal of sixty columns: nothing that any verb says is wider, but what is one word or is meant to be copied.

use crate::{command, root, scratch};
use std::path::Path;

const GOOD: &str = "recipes/recipes/glass-f800.toml";

/// What the call says on stdout and stderr in so many columns.
fn said(columns: usize, folder: &Path, call: &[&str]) -> String {
    let output = command()
        .current_dir(folder)
        .env("COLUMNS", columns.to_string())
        .args(call)
        .output()
        .expect("the binary starts");
    let err = String::from_utf8_lossy(&output.stderr);
    assert!(!err.contains("panicked"), "{call:?}: {err}");
    format!("{}{err}", String::from_utf8_lossy(&output.stdout))
}

/// A command to copy is never broken; nor is a word.
fn is_free(line: &str) -> bool {
    let copied = line.trim_start();
    let command = copied.contains("twinplate ")
        && [
            "check",
            "run",
            "tune",
            "train",
            "calibrate",
            "lay-in",
            "card",
            "cost",
            "correct",
            "draft",
        ]
        .iter()
        .any(|verb| copied.contains(&format!("twinplate {verb} ")));
    command || copied.split(' ').filter(|word| !word.is_empty()).count() < 2
        // A line with its label, path or place, and a line of a file as an error shows it.
        || ["report: ", "journal: ", "trace: ", "written: ", "--> ", "at "].iter().any(|label| copied.starts_with(label))
        || is_source(copied)
}

/// A line of a file ("12 | …"), which is as long as the file made it.
fn is_source(line: &str) -> bool {
    line.split_once('|').is_some_and(|(number, _)| {
        !number.trim().is_empty() && number.trim().bytes().all(|b| b.is_ascii_digit())
    })
}

/// Calls of every verb in every form of its text.
const CALLS: &[&str] = &[
    "check recipes/recipes/glass-f800.toml --runs=2 --no-report",
    "check recipes/recipes/glass-f800.toml --runs=0 --no-report",
    "check recipes/recipes/steel-f400.toml --runs=1 --no-report --units=trade",
    "check recipes/recipes/glass-f800.toml --seek=1 --draws=2",
    "check recipes/recipes/glass-f800.toml --sweep pressure=6..12kPa:3 --sweep speed=0.6..1.4:3 --runs-each 0 --no-report",
    "check recipes/recipes/glass-f800.toml --beside recipes/variants/glass-spark-out.toml --runs 0 --no-report",
    "check recipes/routes/glass-lap-polish.toml --runs 0 --no-report",
    "check recipes/recipes/glass-f800.toml --sweep presure=6..12kPa",
    "run recipes/routes/glass-lap-polish.toml",
    "run recipes/recipes/glass-f800.toml --units=trade",
    "run recipes/recipes/glass-f800.toml --draw=3 --trace t.csv --journal j.jsonl --report r.html",
    "run recipes/recipes/glass-f800.toml --replay j.jsonl",
    "run recipes/recipes/glass-f800.toml --shrink j.jsonl -o s.jsonl",
    "run recipes/recipes/glass-f800.toml --batches 3 --report b.html",
    "tune recipes/machines/machine-a.toml --runs=3 --no-report",
    "tune recipes/machines/machine-a.toml --runs=3 --no-report --experiment=relay",
    "tune --from recipes/logs/clean.csv --filter=15 --no-report",
    "tune --from recipes/logs/sticky.csv --no-report",
    "tune --from recipes/logs/clean.csv --no-report recipes/machines/machine-a.toml --runs=2",
    "tune --compare recipes/machines/machine-a.toml recipes/machines/machine-b.toml --runs=2",
    "calibrate cell recipes/calibration/dead-weights.csv --no-report",
    "calibrate actuator recipes/calibration/actuator-log.csv --no-report --machine recipes/machines/machine-a.toml",
    "calibrate drives recipes/calibration/coast-downs.csv --no-report",
    "calibrate removal recipes/calibration/glass-trials.csv --no-report --recipe recipes/recipes/glass-f800.toml",
    "calibrate removal recipes/calibration/dead-weights.csv",
    "calibrate slurry recipes/calibration/stopwatch.csv --no-report --machine recipes/machines/machine-a.toml",
    "calibrate heat recipes/calibration/shift.csv --no-report --machine recipes/machines/machine-a.toml",
    "calibrate plates recipes/calibration/plate-forms.csv --no-report --recipe recipes/variants/glass-flat.toml",
    "lay-in recipes/recipes/glass-f800.toml recipes/shop/glass-parts.csv --write pockets.csv",
    "lay-in recipes/recipes/glass-f800.toml recipes/shop/prices.csv",
    "card recipes/recipes/glass-f800.toml --unchecked",
    "cost recipes/recipes/glass-f800.toml --prices recipes/shop/prices.csv --record recipes/shop/record.csv --order 300 --by 9.3h",
    "correct recipes/recipes/glass-polish.toml --record recipes/production/glass-polish.csv --no-report",
    "train --headless recipes/exercises/scripts/first-cycle.txt",
    "explain",
    "explain creep-too-fast",
    "explain cell-line",
    "explain missing-unit",
    "demo set",
    "demo --help",
    "--help",
    "check --help",
    "run --help",
    "tune --help",
    "draft recipes/machines/machine-a.toml recipes/batches/glass-discs.toml --shelf recipes/shelf/demo-shelf.toml --no-report --no-compare --runs 2",
    "calibrate --help",
    "calibrate cell --help",
    "calibrate actuator --help",
    "calibrate drives --help",
    "calibrate rehearse --help",
    "draft --help",
    "calibrate removal --help",
    "calibrate slurry --help",
    "calibrate heat --help",
    "calibrate plates --help",
    "lay-in --help",
    "card --help",
    "cost --help",
    "correct --help",
    "train --help",
    "explain --help",
    // Errors of every kind.
    "check recipes/recipes/glass-f800.toml --runs 2.5",
    "check recipes/recipes/glass-f800.toml --report no-such-folder/report.html",
    "check no-such-file.toml",
    "chek",
];

/// All calls, apart at their spaces.
fn calls() -> Vec<Vec<&'static str>> {
    let mut calls: Vec<Vec<&str>> = CALLS.iter().map(|call| call.split(' ').collect()).collect();
    for recipe in [
        "recipes/bad/creep-too-fast.toml",
        "recipes/bad/limit-in-margin.toml",
        "recipes/bad/teeth-wrong.toml",
    ] {
        calls.push(vec!["check", recipe, "--runs=1", "--no-report"]);
    }
    for scenario in [
        "recipes/scenarios/load-cell-sticks.toml",
        "recipes/scenarios/slurry-line-blocks.toml",
    ] {
        calls.push(vec!["run", GOOD, "--scenario", scenario]);
    }
    calls
}

#[test]
fn nothing_is_wider_than_sixty_columns_where_there_are_sixty() {
    let folder = scratch("narrow");
    let link = folder.join("recipes");
    std::os::unix::fs::symlink(root().join("recipes"), link).expect("link");
    let mut wide = Vec::new();
    for call in calls() {
        for line in said(60, &folder, &call).lines() {
            if line.chars().count() > 60 && !is_free(line) {
                wide.push(format!("{}\n    {line}", call.join(" ")));
            }
        }
    }
    assert!(
        wide.is_empty(),
        "{} lines:\n{}",
        wide.len(),
        wide.join("\n")
    );
}

/// Errors in files, each of the corpus.
#[test]
fn errors_in_files_fit_sixty_columns() {
    let mut wide = Vec::new();
    for path in crate::files_in("tests/cli/corpus") {
        let name = path.rsplit('/').next().expect("name");
        let call = match name.split('-').next() {
            Some("recipe") => vec!["run", &path],
            Some("machine") => vec!["run", GOOD, "--machine", &path],
            Some("batch") => vec!["run", GOOD, "--batch", &path],
            _ => vec!["run", GOOD, "--scenario", &path],
        };
        for line in said(60, &root(), &call).lines() {
            if line.chars().count() > 60 && !is_free(line) && !line.contains(name) {
                wide.push(format!("{name}\n    {line}"));
            }
        }
    }
    assert!(
        wide.is_empty(),
        "{} lines:\n{}",
        wide.len(),
        wide.join("\n")
    );
}

/// Wider than eighty helps nobody: the text stays as it is.
#[test]
fn a_wide_terminal_changes_nothing() {
    let call = ["check", "recipes/bad/limit-in-margin.toml", "--no-report"];
    assert_eq!(said(80, &root(), &call), said(200, &root(), &call));
    let narrow = said(60, &root(), &call);
    let words =
        |text: &str| -> Vec<String> { text.split_whitespace().map(str::to_owned).collect() };
    // Nothing is left out in sixty: every word of the findings is still there.
    for word in words(&said(80, &root(), &call)) {
        if word.chars().all(|c| c.is_ascii_alphabetic()) {
            assert!(
                words(&narrow).contains(&word),
                "{word} is gone from\n{narrow}"
            );
        }
    }
}

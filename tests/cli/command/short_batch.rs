//! A batch file that leaves out what a shop may not know of its parts: each such key is listed with how to measure it, and ranked by what it
//! decides, in text, JSON and page.

use super::{json, root, scratch, text, twinplate};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use twinplate_sim::math::min;

/// What is left out of the demonstration batch, as its lines begin.
const LEFT_OUT: [&str; 7] = [
    "density",
    "elastic-modulus",
    "strength",
    "stiffness-per-area",
    "bow",
    "taper",
    "dummies",
];

/// Recipe, machine and batch of the demonstration set: steel bears much, of glass the form decides.
const STEEL: [&str; 3] = [
    "recipes/steel-f400.toml",
    "machines/machine-b.toml",
    "batches/steel-rings.toml",
];
const GLASS: [&str; 3] = [
    "recipes/glass-f800.toml",
    "machines/machine-a.toml",
    "batches/glass-discs.toml",
];

/// A job of the set with another batch file, in a folder of its own; gives the recipe.
fn job(files: [&str; 3], folder: &Path, batch: impl Fn(&str) -> String) -> PathBuf {
    for file in files {
        let old = std::fs::read_to_string(root().join("recipes").join(file)).expect("a file");
        let to = folder.join(file);
        std::fs::create_dir_all(to.parent().expect("a folder")).expect("folder");
        let new = if file.starts_with("batches") {
            batch(&old)
        } else {
            old
        };
        std::fs::write(to, new).expect("written");
    }
    folder.join(files[0])
}

fn short(old: &str) -> String {
    let kept = |line: &&str| {
        !LEFT_OUT
            .iter()
            .any(|key| line.starts_with(&format!("{key} = ")))
    };
    old.lines()
        .filter(kept)
        .map(|line| format!("{line}\n"))
        .collect()
}

fn checked(recipe: &Path) -> Value {
    let (_, report) = json(&[
        "check",
        text(recipe),
        "--runs",
        "1",
        "--no-report",
        "--format",
        "json",
    ]);
    report
}

/// Smallest share of its bound that the nominal run leaves of anything that is asked, percent.
fn least(report: &Value) -> f64 {
    let cases = report["envelope"]["cases"].as_array().expect("cases");
    let left = cases.iter().filter_map(|case| {
        let (nominal, limit) = (case["nominal"].as_f64()?, case["limit"].as_f64()?);
        (limit > 0.0).then(|| 100.0 * (1.0 - nominal / limit))
    });
    left.fold(100.0, min)
}

#[test]
fn what_a_batch_file_leaves_out_is_listed_and_ranked() {
    let folder = scratch("short-batch");
    let recipe = job(STEEL, &folder, short);
    let report = checked(&recipe);
    let keys = report["assumed"]["keys"].as_array().expect("a list");
    let listed: BTreeSet<&str> = keys.iter().filter_map(|key| key["key"].as_str()).collect();
    let tables = ["part.", "loaded."];
    let due: BTreeSet<String> = LEFT_OUT
        .iter()
        .map(|key| format!("{}{key}", tables[usize::from(*key == "dummies")]))
        .collect();
    assert_eq!(listed, due.iter().map(String::as_str).collect());
    let mut ranks = Vec::new();
    for key in keys {
        assert_eq!(key["file"], "batch", "{key}");
        for what in ["value", "rule", "source", "envelope", "measured_by", "how"] {
            assert!(
                key[what].as_str().is_some_and(|words| !words.is_empty()),
                "{what}: {key}"
            );
        }
        ranks.extend(key["rank"].as_u64());
    }
    assert_eq!(ranks, (1..=6).collect::<Vec<u64>>(), "all but a count");
}

/// What the ranking says of a key at an end of its envelope is what a check says of a file that has it there.
#[test]
fn a_key_that_decides_comes_first_and_is_as_a_file_that_has_it_at_that_end() {
    // With the strength of the file: that of the handbook would fail this recipe by itself.
    let but_strength = |old: &str| {
        let strength = old.lines().find(|line| line.starts_with("strength = "));
        let strength = strength.expect("a strength");
        short(old).replace("[target]", &format!("{strength}\n\n[target]"))
    };
    let report = checked(&job(GLASS, &scratch("short-batch-flat"), but_strength));
    let first = &report["assumed"]["keys"][0];
    assert_eq!(first["key"], "part.bow", "{first}");
    assert_eq!(first["envelope"], "up to 10 µm more");
    assert!(
        first["fails"]
            .as_str()
            .is_some_and(|why| why.contains("flatness")),
        "{first}"
    );
    // It fails no check: parts are not drawn.
    assert_eq!(report["verdict"], "pass");
    let bowed = checked(&job(GLASS, &scratch("short-batch-bowed"), |old| {
        but_strength(old).replace("[target]", "bow = \"10 µm\"\n\n[target]")
    }));
    let (ours, theirs) = (first["margin_pct"][1].as_f64(), least(&bowed));
    let ours = ours.expect("a number");
    assert!(
        (ours - theirs).abs() < 0.05,
        "{ours} by the ranking, {theirs} by a check"
    );
    assert_eq!(bowed["verdict"], "fail");
}

#[test]
fn text_and_page_say_how_to_measure_it_and_a_whole_file_is_silent() {
    let folder = scratch("short-batch-told");
    let recipe = job(STEEL, &folder, short);
    let page = folder.join("page.html");
    let ran = twinplate(&[
        "check",
        text(&recipe),
        "--runs",
        "1",
        "--report",
        text(&page),
    ]);
    let page = std::fs::read_to_string(&page).expect("a page");
    for told in [&ran.out, &page] {
        for what in [
            "Assumed: what the batch file leaves out",
            "What to measure first",
            "part.stiffness-per-area",
            "loaded.dummies",
            "scale and calliper",
        ] {
            assert!(told.contains(what), "no `{what}` in\n{told}");
        }
        assert!(!told.contains("what the machine file leaves out"), "{told}");
    }
    let whole = checked(&job(STEEL, &scratch("whole-batch"), str::to_owned));
    assert!(whole["assumed"].is_null(), "{}", whole["assumed"]);
}

//! `correct` from outside: what it answers, what it writes, what it refuses and what it then leaves alone.

use crate::{Ran, json, names, root, scratch, text, twinplate};
use std::path::{Path, PathBuf};

const RECIPE: &str = "recipes/recipes/glass-polish.toml";
const RECORD: &str = "recipes/production/glass-polish.csv";

/// The recipe with its machine and batch in a folder of its own.
fn desk(name: &str) -> (PathBuf, PathBuf) {
    let folder = scratch(name);
    for file in [
        "recipes/machines/machine-c.toml",
        "recipes/batches/glass-rings.toml",
    ] {
        let path = folder.join(file.trim_start_matches("recipes/"));
        std::fs::create_dir_all(path.parent().expect("folder")).expect("folder");
        std::fs::copy(root().join(file), path).expect("copied");
    }
    let recipe = folder.join("glass-polish.toml");
    let old = std::fs::read_to_string(root().join(RECIPE)).expect("read");
    let commented = old.replace("time = \"210 s\" }", "time = \"3.5 min\" } # as tried");
    std::fs::write(&recipe, commented).expect("written");
    (folder, recipe)
}

fn last(ran: &Ran) -> &str {
    ran.out.lines().last().unwrap_or_default()
}

fn correct(recipe: &Path, record: &str, more: &[&str]) -> Ran {
    let call = ["correct", text(recipe), "--record", record];
    twinplate(&[&call[..], more].concat())
}

#[test]
fn the_time_is_told_and_written_in_its_own_unit() {
    let (folder, recipe) = desk("correct-time");
    let before = std::fs::read_to_string(&recipe).expect("read");
    let page = folder.join("page.html");
    let ran = correct(&recipe, RECORD, &["--write", "--report", text(&page)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(last(&ran).starts_with("verdict: 224.6 s"), "{}", ran.out);
    let after = std::fs::read_to_string(&recipe).expect("read");
    let changed: Vec<(&str, &str)> = before
        .lines()
        .zip(after.lines())
        .filter(|(a, b)| a != b)
        .collect();
    assert_eq!(
        changed,
        [(
            "end = { time = \"3.5 min\" } # as tried",
            "end = { time = \"3.7433 min\" } # as tried"
        )]
    );
    assert!(ran.err.contains("- end = "), "{}", ran.err);
    let page = std::fs::read_to_string(&page).expect("page");
    for what in [
        "<svg",
        "Time of the next batch",
        "slurry changed",
        "✕ off",
        "Ppk",
    ] {
        assert!(page.contains(what), "{what}");
    }
    assert!(
        !page.contains("<script") && !page.contains("http") && !page.contains("NaN"),
        "self-contained"
    );
    let (code, found) = json(&[
        "correct",
        RECIPE,
        "--record",
        RECORD,
        "--no-report",
        "--format",
        "json",
    ]);
    assert_eq!((code, &found["schema"]), (0, &1.into()));
    assert_eq!(found["outliers"][0]["line"], 20);
    assert_eq!(found["slurry"]["fall_told"], true);
    let [low, high] =
        ["low", "high"].map(|end| found["next"]["new"][end].as_f64().expect("a number"));
    assert!(low < 224.6 && 224.6 < high);
    assert_eq!(found["rows"].as_array().map(Vec::len), Some(36));
}

#[test]
fn the_load_is_corrected_by_the_pressure() {
    let (_, recipe) = desk("correct-load");
    let ran = correct(&recipe, RECORD, &["--write", "--no-report", "--by", "load"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        last(&ran).contains("kPa for the next batch, now 12 kPa"),
        "{}",
        ran.out
    );
    let after = std::fs::read_to_string(&recipe).expect("read");
    assert!(
        after.contains("pressure = \"12.8") && after.contains("3.5 min"),
        "{after}"
    );
}

/// What the recipe does not bear has exit code 1, and the file stays.
#[test]
fn what_is_beyond_the_recipe_is_not_written() {
    let (folder, recipe) = desk("correct-beyond");
    let before = std::fs::read_to_string(&recipe).expect("read");
    let mut slow = "before [mm],after [mm],time [s]\n".to_owned();
    for batch in 0..8 {
        slow += &format!("1.3000,1.298{batch},210\n");
    }
    let record = folder.join("slow.csv");
    std::fs::write(&record, slow).expect("written");
    let ran = correct(&recipe, text(&record), &["--write", "--no-report"]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(
        ran.complaint()
            .contains("not written: it is longer than the step's longest time"),
        "{}",
        ran.err
    );
    assert_eq!(std::fs::read_to_string(&recipe).expect("read"), before);
}

#[test]
fn bad_records_and_bad_words_are_told_and_touch_nothing() {
    let (folder, recipe) = desk("correct-bad");
    let bad = folder.join("bad.csv");
    std::fs::write(
        &bad,
        "before [mm],after [mm],time [s]\n1.3,1.31,210\n1.3,thin,210\n",
    )
    .expect("written");
    let ran = correct(&recipe, text(&bad), &[]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.out.is_empty(), "{}", ran.out);
    assert!(
        ran.err.contains("bad.csv:2:5") && ran.err.contains("bad.csv:3:5"),
        "{}",
        ran.err
    );
    assert_eq!(
        names(&folder),
        ["bad.csv", "batches", "glass-polish.toml", "machines"]
    );
    for arguments in [
        &["correct"][..],
        &["correct", RECIPE],
        &["correct", RECIPE, "--record", "no-such.csv"],
        &["correct", RECIPE, "--record", RECORD, "--table", "t"],
        &["correct", RECIPE, "--record", RECORD, "--step", "buff"],
        &["correct", RECIPE, "--record", RECORD, "--report", RECORD],
        &[
            "correct",
            "recipes/recipes/glass-f800.toml",
            "--record",
            RECORD,
        ],
    ] {
        let ran = twinplate(arguments);
        assert_eq!(ran.code, 2, "{arguments:?}: {}{}", ran.out, ran.err);
        assert!(ran.out.is_empty(), "{}", ran.out);
    }
}

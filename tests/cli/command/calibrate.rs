//! `calibrate` from outside: what it answers, what it writes, what it refuses and what it then leaves alone.

use crate::{Ran, json, names, root, scratch, text, twinplate};
use std::path::{Path, PathBuf};

const WEIGHTS: &str = "recipes/calibration/dead-weights.csv";
const TRIALS: &str = "recipes/calibration/glass-trials.csv";
const LOG: &str = "recipes/calibration/actuator-log.csv";
const COASTS: &str = "recipes/calibration/coast-downs.csv";
pub const RECIPE: &str = "recipes/recipes/glass-f800.toml";
pub const MACHINE: &str = "recipes/machines/machine-a.toml";
/// Trials in pressures and speeds that need no recipe; removal in proportion to the root of the pressure.
const ROOT: &str = "before [mm],after [mm],pressure [kPa],speed [m/s],time [min]
5,4.900,4,0.5,10
5,4.801,16,0.5,10
5,4.800,4,1,10
5,4.601,16,1,10
5,4.720,8,1,9.9
5,4.860,8,0.5,9.9
";

/// A copy of a file of the tree.
pub fn copy(folder: &Path, file: &str) -> PathBuf {
    let path = folder.join(Path::new(file).file_name().expect("name"));
    std::fs::copy(root().join(file), &path).expect("copied");
    path
}

/// Lines that differ, old and new.
pub fn changed(old: &str, new: &str) -> Vec<(String, String)> {
    assert_eq!(old.lines().count(), new.lines().count());
    let pairs = old.lines().zip(new.lines()).filter(|(a, b)| a != b);
    pairs.map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
}

pub fn last(ran: &Ran) -> &str {
    ran.out.lines().last().unwrap_or_default()
}

#[test]
fn a_cell_gives_its_curve_and_writes_its_keys() {
    let folder = scratch("calibrate-cell");
    let machine = copy(&folder, MACHINE);
    let before = std::fs::read_to_string(&machine).expect("read");
    let page = folder.join("cell.html");
    let call = [
        "calibrate",
        "cell",
        WEIGHTS,
        "--machine",
        text(&machine),
        "--write",
        "--report",
        text(&page),
    ];
    let ran = twinplate(&call);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        last(&ran).starts_with("verdict: degree 2 fits"),
        "{}",
        ran.out
    );
    // The sheet was made with a parabola of 0.05 % and 4,010,000 counts (tests/calibrate/scipy/demo.py).
    let after = std::fs::read_to_string(&machine).expect("read");
    let lines = changed(&before, &after);
    assert_eq!(lines.len(), 2, "{lines:?}");
    let number = |line: &str| -> f64 {
        let value = line.split_once(" = ").expect("a key").1.trim_matches('"');
        value
            .split(' ')
            .next()
            .and_then(|n| n.parse().ok())
            .expect("a number")
    };
    assert!(
        (number(&lines[0].1) / 4.01e6 - 1.0).abs() < 2e-4,
        "{lines:?}"
    );
    assert!((number(&lines[1].1) / 0.05 - 1.0).abs() < 0.3, "{lines:?}");
    assert!(
        ran.err.contains("- nonlinearity = \"0.02 %\""),
        "{}",
        ran.err
    );
    let page = std::fs::read_to_string(&page).expect("page");
    for what in [
        "<svg",
        "Lower limit factor",
        "Caution: dead weights",
        "class",
    ] {
        assert!(page.contains(what), "{what}");
    }
    // Nothing is fetched, nothing runs.
    assert!(
        !page.contains("<script") && !page.contains("http"),
        "self-contained"
    );
    let (code, found) = json(&[
        "calibrate",
        "cell",
        WEIGHTS,
        "--no-report",
        "--format",
        "json",
    ]);
    assert_eq!(
        (code, &found["schema"], &found["degree"]),
        (0, &1.into(), &2.into())
    );
    assert_eq!(found["units"]["load"], "kg");
    assert_eq!(names(&folder), ["cell.html", "machine-a.toml"]);
}

#[test]
fn removal_gives_its_coefficient_and_writes_it() {
    let folder = scratch("calibrate-removal");
    let recipe = copy(&folder, RECIPE);
    for file in [MACHINE, "recipes/batches/glass-discs.toml"] {
        let name = Path::new(file)
            .parent()
            .and_then(Path::file_name)
            .expect("folder");
        std::fs::create_dir_all(folder.join(name)).expect("folder");
        copy(&folder.join(name), file);
    }
    let before = std::fs::read_to_string(&recipe).expect("read");
    let write = || {
        twinplate(&[
            "calibrate",
            "removal",
            TRIALS,
            "--recipe",
            text(&recipe),
            "--write",
            "--no-report",
        ])
    };
    let ran = write();
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let after = std::fs::read_to_string(&recipe).expect("read");
    let lines = changed(&before, &after);
    assert_eq!(lines.len(), 1, "{lines:?}");
    assert!(lines[0].1.starts_with("removal = \"7."), "{lines:?}");
    let (code, found) = json(&[
        "calibrate",
        "removal",
        TRIALS,
        "--recipe",
        RECIPE,
        "--no-report",
        "--format",
        "json",
    ]);
    assert_eq!(code, 0);
    // The sheet was made with 7.2e-12 1/Pa falling by 2 % a minute.
    let within = |value: &serde_json::Value, truth: f64| {
        let end = |name: &str| value[name].as_f64().expect("a number");
        assert!(
            end("low") <= truth && truth <= end("high"),
            "{truth}: {value}"
        );
    };
    within(&found["coefficients"][0]["fresh_per_pa"], 7.2e-12);
    within(&found["decline_per_s"], 0.02 / 60.0);
    within(&found["exponents"]["pressure"], 1.0);
    within(&found["exponents"]["speed"], 1.0);
    assert_eq!(found["verdict"], "holds");
    assert_eq!(found["plan"]["trials"].as_array().map(Vec::len), Some(2));
    let again = write();
    assert_eq!(again.code, 0);
    assert_eq!(
        std::fs::read_to_string(&recipe).expect("read"),
        after,
        "a second time changes nothing"
    );
}

#[test]
fn an_actuator_gives_its_keys_and_writes_them() {
    let folder = scratch("calibrate-actuator");
    let machine = copy(&folder, MACHINE);
    let before = std::fs::read_to_string(&machine).expect("read");
    let page = folder.join("actuator.html");
    let write = || {
        twinplate(&[
            "calibrate",
            "actuator",
            LOG,
            "--machine",
            text(&machine),
            "--write",
            "--report",
            text(&page),
        ])
    };
    let ran = write();
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(
        last(&ran),
        "verdict: the model holds; 11 of 11 keys told",
        "{}",
        ran.out
    );
    let after = std::fs::read_to_string(&machine).expect("read");
    let lines = changed(&before, &after);
    assert_eq!(lines.len(), 11, "{lines:?}");
    let drawn = std::fs::read_to_string(&page).expect("page");
    for what in [
        "<svg",
        "Lag of the regulator",
        "Caution: the plate moves",
        "The sweep",
    ] {
        assert!(drawn.contains(what), "{what}");
    }
    assert!(
        !drawn.contains("<script") && !drawn.contains("http"),
        "self-contained"
    );
    let again = write();
    assert_eq!(again.code, 0, "{}", again.err);
    let call = [
        "calibrate",
        "actuator",
        LOG,
        "--machine",
        MACHINE,
        "--no-report",
        "--format",
        "json",
    ];
    let (code, found) = json(&call);
    assert_eq!(
        (code, &found["schema"], &found["verdict"]),
        (0, &1.into(), &"holds".into())
    );
    let keys = found["keys"].as_array().expect("keys");
    let lag = keys
        .iter()
        .find(|key| key["key"] == "actuator.lag")
        .expect("lag");
    assert_eq!((&lag["unit"], &lag["now"]), (&"ms".into(), &120.0.into()));
    assert!(
        lag["found"]["low"].as_f64() < lag["found"]["high"].as_f64(),
        "{lag}"
    );
    assert_eq!(names(&folder), ["actuator.html", "machine-a.toml"]);
}

#[test]
fn drives_give_inertia_and_drag_and_write_them() {
    let folder = scratch("calibrate-drives");
    let machine = copy(&folder, MACHINE);
    let before = std::fs::read_to_string(&machine).expect("read");
    let ran = twinplate(&[
        "calibrate",
        "drives",
        COASTS,
        "--machine",
        text(&machine),
        "--write",
        "--no-report",
    ]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        last(&ran) == "verdict: one drag holds; drives told: lower",
        "{}",
        ran.out
    );
    let lines = changed(&before, &std::fs::read_to_string(&machine).expect("read"));
    assert_eq!(lines.len(), 2, "{lines:?}");
    // The sheet was made with 1.72 kg·m² and 0.46 N·m (tests/calibrate/scipy/demo.py).
    let (code, found) = json(&[
        "calibrate",
        "drives",
        COASTS,
        "--no-report",
        "--format",
        "json",
    ]);
    assert_eq!((code, &found["verdict"]), (0, &"holds".into()));
    for (key, truth) in [("inertia_kg_m2", 1.72), ("drag_n_m", 0.46)] {
        let end = |name: &str| found["drives"][0][key][name].as_f64().expect("a number");
        assert!(
            end("low") <= truth && truth <= end("high"),
            "{key}: {found}"
        );
    }
}

/// The log that a rehearsal writes is one that its own verb reads, and the same call writes the same.
#[test]
fn a_rehearsed_log_is_read_back() {
    let folder = scratch("calibrate-rehearse");
    let sheet = folder.join("drives.csv");
    let call = [
        "calibrate",
        "rehearse",
        "drives",
        RECIPE,
        "--draw",
        "3",
        "--seed",
        "5",
    ];
    let ran = twinplate(&call);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(
        ran.out.starts_with("# Simulated and invented"),
        "{}",
        ran.out
    );
    assert_eq!(ran.out, twinplate(&call).out);
    std::fs::write(&sheet, &ran.out).expect("written");
    let ran = twinplate(&["calibrate", "drives", text(&sheet), "--no-report"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        last(&ran).ends_with("inner, outer, lower, upper"),
        "{}",
        ran.out
    );
}

#[test]
fn what_is_not_in_proportion_is_not_written() {
    let folder = scratch("calibrate-root");
    let recipe = copy(&folder, RECIPE);
    let before = std::fs::read_to_string(&recipe).expect("read");
    let sheet = folder.join("trials.csv");
    std::fs::write(&sheet, ROOT).expect("written");
    let machine = [
        "--machine",
        MACHINE,
        "--batch",
        "recipes/batches/glass-discs.toml",
    ];
    let call = [
        "calibrate",
        "removal",
        text(&sheet),
        "--recipe",
        text(&recipe),
        "--no-report",
        "--write",
    ];
    let ran = twinplate(&[&call[..], &machine].concat());
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(
        last(&ran).starts_with("verdict: Preston's law does not hold"),
        "{}",
        ran.out
    );
    assert!(ran.err.contains("not written"), "{}", ran.err);
    assert_eq!(std::fs::read_to_string(&recipe).expect("read"), before);
    // Of another abrasive than the recipe's: refused too, and for that reason.
    let good = std::fs::read_to_string(root().join(TRIALS))
        .expect("read")
        .replace("F800", "F1200");
    std::fs::write(&sheet, good).expect("written");
    let ran = twinplate(&[&call[..], &machine].concat());
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(
        ran.complaint()
            .contains("no abrasive of the sheet is `F800`"),
        "{}",
        ran.err
    );
    assert_eq!(std::fs::read_to_string(&recipe).expect("read"), before);
    // Loads that end far below the range say nothing of its end.
    let machine = copy(&folder, MACHINE);
    let before = std::fs::read_to_string(&machine).expect("read");
    std::fs::write(
        &sheet,
        "load [N],reading\n100,1.0\n200,2.01\n300,3.0\n100,1.01\n200,2.0\n300,3.01\n",
    )
    .expect("written");
    let ran = twinplate(&[
        "calibrate",
        "cell",
        text(&sheet),
        "--machine",
        text(&machine),
        "--write",
        "--no-report",
    ]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(
        ran.complaint().contains("30 % of the cell's range"),
        "{}",
        ran.err
    );
    assert_eq!(std::fs::read_to_string(&machine).expect("read"), before);
    assert_eq!(
        names(&folder),
        ["glass-f800.toml", "machine-a.toml", "trials.csv"]
    );
}

#[test]
fn bad_sheets_are_told_with_their_places_and_touch_nothing() {
    let folder = scratch("calibrate-bad");
    let sheet = folder.join("bad.csv");
    std::fs::write(&sheet, "load, reading\n100, 1\n200, two\n300, 3\n").expect("written");
    let page = folder.join("page.html");
    let call = ["calibrate", "cell", text(&sheet), "--report", text(&page)];
    let ran = twinplate(&call);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.out.is_empty(), "{}", ran.out);
    assert!(
        ran.err.contains("bad.csv:1:1") && ran.err.contains("bad.csv:3:6"),
        "{}",
        ran.err
    );
    let (code, told) = json(&[&call[..], &["--format", "json"]].concat());
    assert_eq!(
        (
            code,
            &told["errors"][1]["line"],
            &told["errors"][1]["column"]
        ),
        (2, &3.into(), &6.into())
    );
    assert_eq!(names(&folder), ["bad.csv"]);
    for arguments in [
        &["calibrate"][..],
        &["calibrate", "cell"],
        &["calibrate", "cell", "no-such-sheet.csv"],
        &["calibrate", "cell", "recipes"],
        &["calibrate", "cell", WEIGHTS, "--write"],
        &[
            "calibrate",
            "cell",
            WEIGHTS,
            "--machine",
            "no-such-machine.toml",
        ],
        &["calibrate", "cell", WEIGHTS, "--report", WEIGHTS],
        &[
            "calibrate",
            "cell",
            WEIGHTS,
            "--report",
            "no-such-folder/x.html",
        ],
        &["calibrate", "actuator", LOG],
        &["calibrate", "actuator", TRIALS, "--machine", MACHINE],
        &["calibrate", "drives", COASTS, "--write"],
        &["calibrate", "drives", LOG],
        &["calibrate", "rehearse", "cell", RECIPE],
        &["calibrate", "rehearse", "drives", MACHINE],
        &["calibrate", "removal", TRIALS, "--no-report"],
        &["calibrate", "removal", TRIALS, "--write"],
        &["calibrate", "removal", TRIALS, "--recipe", MACHINE],
        &["calibrate", "removal", WEIGHTS],
    ] {
        let ran = twinplate(arguments);
        assert_eq!(ran.code, 2, "{arguments:?}: {}{}", ran.out, ran.err);
        assert!(ran.out.is_empty(), "{}", ran.out);
    }
}

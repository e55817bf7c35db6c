//! `calibrate` from outside: what it answers, what it writes, what it refuses and what it then leaves alone.

use crate::{Ran, json, names, root, scratch, text, twinplate};
use std::path::{Path, PathBuf};

const WEIGHTS: &str = "recipes/calibration/dead-weights.csv";
const TRIALS: &str = "recipes/calibration/glass-trials.csv";
const RECIPE: &str = "recipes/recipes/glass-f800.toml";
const MACHINE: &str = "recipes/machines/machine-a.toml";
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
fn copy(folder: &Path, file: &str) -> PathBuf {
    let path = folder.join(Path::new(file).file_name().expect("name"));
    std::fs::copy(root().join(file), &path).expect("copied");
    path
}

/// Lines that differ, old and new.
fn changed(old: &str, new: &str) -> Vec<(String, String)> {
    assert_eq!(old.lines().count(), new.lines().count());
    let pairs = old.lines().zip(new.lines()).filter(|(a, b)| a != b);
    pairs.map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
}

fn last(ran: &Ran) -> &str {
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

const WATCH: &str = "recipes/calibration/stopwatch.csv";
const SHIFT: &str = "recipes/calibration/shift.csv";
const FORMS: &str = "recipes/calibration/plate-forms.csv";

/// A key's interval in the JSON holds what the sheet was made with, in SI units.
fn within(found: &serde_json::Value, name: &str, truth: f64) {
    let keys = found["keys"].as_array().expect("keys");
    let key = keys.iter().find(|key| key["key"] == name).expect(name);
    let end = |end: &str| key["estimate"][end].as_f64().expect("a number");
    assert!(
        end("low") <= truth && truth <= end("high"),
        "{truth}: {key}"
    );
}

#[test]
fn slurry_heat_and_plates_give_their_keys_and_write_them() {
    let folder = scratch("calibrate-keys");
    // What the sheets were made with: tests/calibrate/scipy/shop_demo.py.
    type Case<'a> = (&'a str, &'a str, &'a str, &'a [(&'a str, f64)], usize);
    let sheets: [Case<'_>; 3] = [
        (
            "slurry",
            WATCH,
            MACHINE,
            &[
                ("flow-max", 0.31 / 60e3),
                ("line-volume", 0.054e-3),
                ("settle-time", 130.0),
                ("rinse-flow", 0.48 / 60e3),
            ],
            9,
        ),
        (
            "heat",
            SHIFT,
            MACHINE,
            &[
                ("capacity", 27e3),
                ("cooling", 28.0),
                ("slurry-share", 0.45),
                ("ambient", 21.5),
            ],
            4,
        ),
        (
            "plates",
            FORMS,
            "recipes/variants/machines/machine-b-flat.toml",
            &[("wear", 0.13)],
            3,
        ),
    ];
    for (kind, sheet, file, truths, lines) in sheets {
        let machine = copy(&folder, file);
        let before = std::fs::read_to_string(&machine).expect("read");
        let page = folder.join(format!("{kind}.html"));
        let mut call = vec!["calibrate", kind, sheet, "--machine", text(&machine)];
        if kind == "plates" {
            call.extend(["--recipe", "recipes/variants/glass-flat.toml"]);
        }
        let ran = twinplate(&[&call[..], &["--write", "--report", text(&page)]].concat());
        assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
        assert!(last(&ran).starts_with("verdict: fits"), "{}", ran.out);
        let after = std::fs::read_to_string(&machine).expect("read");
        let gone = before
            .lines()
            .filter(|line| !after.lines().any(|new| new == *line));
        let new = after
            .lines()
            .filter(|line| !before.lines().any(|old| old == *line));
        assert!(gone.count() <= lines, "{after}");
        assert_eq!(new.count(), lines, "{after}");
        let page = std::fs::read_to_string(&page).expect("page");
        assert!(
            page.contains("<svg") && page.contains("Caution: "),
            "{kind}"
        );
        assert!(
            !page.contains("<script") && !page.contains("http"),
            "self-contained"
        );
        let (code, found) = json(&[&call[..], &["--no-report", "--format", "json"]].concat());
        assert_eq!(
            (code, &found["schema"], &found["sheet"]),
            (0, &1.into(), &kind.into())
        );
        for (name, truth) in truths {
            within(&found, name, *truth);
        }
    }
}

/// A run by itself: the trace that `run --trace` wrote, beside the thicknesses, gives the coefficient of the recipe that ran.
#[test]
fn removal_and_heat_read_the_traces_of_run() {
    let folder = scratch("calibrate-trace");
    let (trace, sheet) = (folder.join("run.csv"), folder.join("trials.csv"));
    let ran = twinplate(&["run", RECIPE, "--trace", text(&trace)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let whole = std::fs::read_to_string(&trace).expect("read");
    let mut lines = whole.lines();
    let heads: Vec<&str> = lines.next().expect("heads").split(',').collect();
    let at = |name: &str| {
        heads
            .iter()
            .position(|head| head.starts_with(name))
            .expect(name)
    };
    let end: Vec<&str> = lines.last().expect("rows").split(',').collect();
    let number = |name: &str| end[at(name)].parse::<f64>().expect("a number");
    let lost = number("true_removed_upper") + number("true_removed_lower");
    let rows: String = [0.02, -0.03, 0.01]
        .iter()
        .map(|off| format!("0.6, {:.7}, run.csv\n", 0.6 - (lost + off) * 1e-3))
        .collect();
    std::fs::write(&sheet, format!("before [mm], after [mm], trace\n{rows}")).expect("written");
    let call = [
        "calibrate",
        "removal",
        text(&sheet),
        "--recipe",
        RECIPE,
        "--no-report",
    ];
    let (code, found) = json(&[&call[..], &["--format", "json"]].concat());
    assert_eq!(code, 0);
    let told = found["coefficients"][0]["fresh_per_pa"]["value"]
        .as_f64()
        .expect("a number");
    // A nominal run: what the recipe file says, but for what a row every 50 ms and the cell's own errors leave.
    assert!((told / 8e-12 - 1.0).abs() < 0.01, "{told:e}");
    let ran = twinplate(&[
        "calibrate",
        "heat",
        text(&trace),
        "--machine",
        MACHINE,
        "--no-report",
    ]);
    // Five watts warm these plates by hundredths of a degree: it must say that it cannot tell.
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("cannot be told"), "{}", ran.out);
}

#[test]
fn keys_that_are_not_supported_are_not_written() {
    let folder = scratch("calibrate-unsupported");
    let machine = copy(&folder, MACHINE);
    let before = std::fs::read_to_string(&machine).expect("read");
    let sheet = folder.join("pump.csv");
    std::fs::write(&sheet, "what,pump [%],volume [L],time [s]\nflow,100,0.3,60\nflow,50,0.075,60\nflow,75,0.169,60\nflow,60,0.108,60\n").expect("written");
    let call = [
        "calibrate",
        "slurry",
        text(&sheet),
        "--machine",
        text(&machine),
        "--write",
        "--no-report",
    ];
    let ran = twinplate(&call);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(ran.complaint().contains("not in proportion"), "{}", ran.err);
    assert_eq!(std::fs::read_to_string(&machine).expect("read"), before);
    for arguments in [
        &["calibrate", "slurry", WATCH, "--write"][..],
        &["calibrate", "plates", FORMS],
        &["calibrate", "heat", WATCH],
        &["calibrate", "slurry", SHIFT, "--no-report"],
    ] {
        let ran = twinplate(arguments);
        assert_eq!(ran.code, 2, "{arguments:?}: {}{}", ran.out, ran.err);
    }
}

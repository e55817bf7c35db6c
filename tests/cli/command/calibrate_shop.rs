//! `calibrate slurry`, `heat`, `plates`, and removal from traces, from outside.

use crate::calibrate::{MACHINE, RECIPE, copy, last};
use crate::{json, scratch, text, twinplate};

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

//! Every verb in text and page: files typed in inches, pounds, gallons and degrees Fahrenheit are answered in no SI unit for what was typed in
//! another, and the same files in SI in no unit of the trade.

use super::typed_units::{copied, in_si, none_of, words};
use super::{root, scratch, text, twinplate};
use std::path::Path;
use twinplate_sim::files::quantity::{UNITS, Unit, find};

/// A unit of a sheet, and what a shop types in its place that works in inches and pounds.
const TRADED: [[&str; 2]; 10] = [
    ["N", "lbf"],
    ["mm", "in"],
    ["µm", "mil"],
    ["bar", "psi"],
    ["mm/s", "in/s"],
    ["N·m", "lbf·ft"],
    ["kg", "lb"],
    ["L/min", "gal/min"],
    ["mL", "qt"],
    ["°C", "°F"],
];

/// Units that nobody typed in the trade's files. Those of inertia, drag, heat, density and stiffness are typed as they are.
const SI: [&str; 23] = [
    "N", "kN", "kPa", "Pa", "bar", "µm", "mm", "m/s", "mm/s", "L/min", "L", "mL", "kg", "g", "N·m",
    "°C", "µm/min", "N/s", "1/N", "%/N", "N·s", "K", "J",
];

/// Units that nobody typed in those in SI.
const TRADE: [&str; 19] = [
    "lbf", "psi", "in", "mil", "thou", "µin", "ft/min", "in/s", "gal/min", "gal", "qt", "lb",
    "lbf·ft", "°F", "mil/min", "lbf/s", "1/lbf", "lbf·s", "µin/min",
];

/// A sheet of the set with some columns in other units.
fn traded(path: &str) -> String {
    let old = std::fs::read_to_string(root().join("recipes").join(path)).expect("a sheet");
    let mut units: Option<Vec<Option<[&'static Unit; 2]>>> = None;
    let mut new = String::new();
    for line in old.lines() {
        if line.starts_with('#') || line.is_empty() {
            continue;
        }
        let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        match &units {
            None => {
                let heads = cells.iter_mut().map(|cell| {
                    let [from, to] = TRADED
                        .into_iter()
                        .find(|[from, _]| cell.contains(&format!("[{from}]")))?;
                    *cell = cell.replace(&format!("[{from}]"), &format!("[{to}]"));
                    Some([from, to].map(|symbol| find(symbol).expect("a unit")))
                });
                units = Some(heads.collect());
            }
            Some(units) => {
                for (cell, unit) in cells.iter_mut().zip(units) {
                    if let (Some([from, to]), Ok(number)) = (unit, cell.trim().parse::<f64>()) {
                        let si = from.to_si(number);
                        let typed = (si - to.offset) * to.denominator / to.numerator;
                        *cell = format!("{typed:.7}");
                    }
                }
            }
        }
        new.push_str(&cells.join(","));
        new.push('\n');
    }
    new
}

/// A production record: ten batches of the inch set's parts, invented.
fn record(unit: &str) -> String {
    let size = find(unit).expect("a unit").to_si(1.0);
    let mut text = format!("batch,before [{unit}],after [{unit}],parts,time [s]\n");
    for batch in 0..10 {
        let wave = f64::from(batch % 4) * 0.2e-6;
        let (before, after) = ((550e-6 + wave) / size, (538e-6 - 0.5 * wave) / size);
        text += &format!("B{batch},{before:.7},{after:.7},15,300\n");
    }
    text
}

/// Everything that the calls read, in a folder; the machine, batch and recipe changed.
fn desk(name: &str, trade: bool) -> std::path::PathBuf {
    let folder = scratch(name);
    copied(
        &folder,
        |text| {
            if trade { text.to_owned() } else { in_si(text) }
        },
    );
    let recipe = std::fs::read_to_string(folder.join("glass-inch.toml")).expect("the recipe");
    let size = recipe
        .lines()
        .find(|line| line.starts_with("end = { size"))
        .expect("a step that ends by size");
    let timed = recipe
        .replace(size, "end = { time = \"300 s\" }")
        .replace("gauge = true", "gauge = false")
        .replace("glass-inch", "glass-timed")
        .replace("longest = \"6 min\"", "longest = \"12 min\"")
        .replace("longest = \"360.0 s\"", "longest = \"720 s\"");
    std::fs::write(folder.join("glass-timed.toml"), timed).expect("written");
    std::fs::write(
        folder.join("route.toml"),
        "format = \"route-1\"\nid = \"route\"\ntitle = \"One stage (invented)\"\nbatch = \"glass-discs-inch\"\n\n[[stages]]\nrecipe = \"glass-inch\"\n",
    )
    .expect("written");
    for sheet in [
        "calibration/dead-weights.csv",
        "calibration/glass-trials.csv",
        "calibration/plate-forms.csv",
        "calibration/shift.csv",
        "calibration/stopwatch.csv",
        "calibration/actuator-log.csv",
        "calibration/coast-downs.csv",
        "shop/glass-parts.csv",
        "logs/clean.csv",
    ] {
        let name = sheet.rsplit('/').next().expect("a name");
        let content = if trade {
            traded(sheet)
        } else {
            std::fs::read_to_string(root().join("recipes").join(sheet)).expect("a sheet")
        };
        std::fs::write(folder.join(name), content).expect("written");
    }
    let unit = if trade { "in" } else { "mm" };
    std::fs::write(folder.join("record.csv"), record(unit)).expect("written");
    let prices = if trade {
        "what,price [EUR],per\nabrasive,7,lb\nvehicle,0.02,gal\n"
    } else {
        "what,price [EUR],per\nabrasive,14,kg\nvehicle,0.005,L\n"
    };
    std::fs::write(folder.join("prices.csv"), prices).expect("written");
    folder
}

const RECIPE: &str = "glass-inch.toml";
const MACHINE: &str = "machines/machine-a-inch.toml";
const BATCH: &str = "batches/glass-discs-inch.toml";

/// Each call by its name; `*` stands before files, and every one but the last few has a page.
const CALLS: &[(&str, &str)] = &[
    ("check", "check *R --runs 1"),
    (
        "sweep",
        "check *R --sweep pressure=PRESSURE:2 --runs-each 0",
    ),
    ("beside", "check *R --beside *R --runs 0"),
    ("route", "check *route.toml --runs 0"),
    ("run", "run *R"),
    ("batches", "run *R --batches 2"),
    ("route-run", "run *route.toml"),
    ("tune", "tune *M --runs 1 --threads 2"),
    ("log", "tune --from *clean.csv --filter 15"),
    ("relay", "tune *M --batch *B --experiment relay --runs 1"),
    ("cell", "calibrate cell *dead-weights.csv --machine *M"),
    (
        "actuator",
        "calibrate actuator *actuator-log.csv --machine *M",
    ),
    ("drives", "calibrate drives *coast-downs.csv --machine *M"),
    ("removal", "calibrate removal *glass-trials.csv --recipe *R"),
    ("slurry", "calibrate slurry *stopwatch.csv --machine *M"),
    ("heat", "calibrate heat *shift.csv --machine *M"),
    ("plates", "calibrate plates *plate-forms.csv --recipe *R"),
    ("lay-in", "lay-in *R *glass-parts.csv"),
    ("card", "card *R --unchecked --date 2026-03-02"),
    ("cost", "cost *R --prices *prices.csv"),
    ("correct", "correct *glass-timed.toml --record *record.csv"),
    (
        "correct-load",
        "correct *glass-timed.toml --record *record.csv --by load",
    ),
];

/// Calls without a page.
const PLAIN: &[(&str, &str)] = &[
    ("compare", "tune --compare *M *M --runs 1"),
    ("cost-unpriced", "cost *R --no-report"),
];

fn arguments(call: &str, folder: &Path, trade: bool) -> Vec<String> {
    let pressure = if trade { "1.2..1.3psi" } else { "8500..9000Pa" };
    let word = |word: &str| {
        let Some(file) = word.strip_prefix('*') else {
            return word.replace("PRESSURE", pressure);
        };
        let file = match file {
            "R" => RECIPE,
            "M" => MACHINE,
            "B" => BATCH,
            other => other,
        };
        text(&folder.join(file)).to_owned()
    };
    call.split(' ').map(word).collect()
}

/// Every call's text and page hold none of these units.
fn answered(name: &str, trade: bool, none: &[&str]) {
    let folder = desk(name, trade);
    let mut seen = 0;
    for (what, call) in CALLS.iter().chain(PLAIN) {
        let mut typed = arguments(call, &folder, trade);
        let page = folder.join(format!("{what}.html"));
        let paged = CALLS.iter().any(|(known, _)| known == what);
        if paged {
            typed.extend(["--report".to_owned(), text(&page).to_owned()]);
        }
        let typed: Vec<&str> = typed.iter().map(String::as_str).collect();
        let ran = twinplate(&typed);
        assert!(ran.code < 2, "{what}: {}{}", ran.out, ran.err);
        // Names of files, the price list's own currency and the like are no units.
        let out = ran.out.replace(text(&folder), "");
        none_of(what, &out, none);
        seen += words(&out).len();
        if paged {
            let page = std::fs::read_to_string(&page).expect("a page");
            none_of(
                &format!("page of {what}"),
                &page.replace(text(&folder), ""),
                none,
            );
        }
    }
    assert!(seen > 3000, "{seen} words: something was told");
}

#[test]
fn no_verb_answers_in_si_what_was_typed_in_another_unit() {
    answered("every-unit-trade", true, &SI);
}

#[test]
fn no_verb_answers_in_another_unit_what_was_typed_in_si() {
    answered("every-unit-si", false, &TRADE);
    assert!(UNITS.iter().any(|unit| unit.symbol == TRADE[0]));
}

/// A file is written in its own units too: what the answers are told in does not keep a value from its file.
#[test]
fn what_is_found_is_written_into_a_file_in_its_own_unit() {
    let folder = desk("every-unit-written", true);
    let at = |name: &str| text(&folder.join(name)).to_owned();
    let (recipe, timed, machine) = (at(RECIPE), at("glass-timed.toml"), at(MACHINE));
    let old = |file: &str| std::fs::read_to_string(file).expect("a file");
    let changed = |file: &str, before: &str| -> Vec<String> {
        let after = old(file);
        let lost = |line: &&str| !before.lines().any(|other| other == *line);
        after.lines().filter(lost).map(str::to_owned).collect()
    };
    let write = |file: &str, call: &[&str]| -> Vec<String> {
        let before = old(file);
        let ran = twinplate(&[call, &["--write", "--no-report"]].concat());
        assert_eq!(ran.code, 0, "{call:?}: {}{}", ran.out, ran.err);
        changed(file, &before)
    };
    let trials = at("glass-trials.csv");
    let removal = ["calibrate", "removal", &trials, "--recipe", &recipe];
    let lines = write(&recipe, &removal);
    assert!(
        matches!(&lines[..], [one] if one.starts_with("removal = ")),
        "{lines:?}"
    );
    // A rate stays a rate, at a mean speed and at speeds of the machine's drives.
    for sliding in [
        "sliding = \"72 ft/min\"",
        "speeds = { inner = \"14 rpm\", outer = \"5 rpm\", lower = \"28 rpm\", upper = \"-14 rpm\" }",
    ] {
        let rate = format!(
            "removal-rate = {{ thickness = \"0.1 mil/min\", pressure = \"1.3 psi\", {sliding} }}"
        );
        let typed = old(&recipe)
            .lines()
            .map(|line| {
                if line.starts_with("removal") {
                    &*rate
                } else {
                    line
                }
            })
            .fold(String::new(), |text, line| text + line + "\n");
        std::fs::write(&recipe, typed).expect("written");
        let lines = write(&recipe, &removal);
        assert!(
            matches!(&lines[..], [one] if one.contains("mil/min\"") && one.contains(sliding) && !one.contains("\"0.1 mil/min\"")),
            "{lines:?}"
        );
    }
    let record = at("record.csv");
    let lines = write(
        &timed,
        &["correct", &timed, "--record", &record, "--by", "load"],
    );
    assert!(
        matches!(&lines[..], [one] if one.starts_with("pressure = ") && one.contains(" psi\"")),
        "{lines:?}"
    );
    let lines = write(
        &machine,
        &["tune", &machine, "--runs", "1", "--threads", "2"],
    );
    assert!(
        lines.iter().any(|line| line.contains(" 1/lbf\"")),
        "{lines:?}"
    );
    let log = at("actuator-log.csv");
    let lines = write(
        &machine,
        &["calibrate", "actuator", &log, "--machine", &machine],
    );
    for unit in [" lb\"", " psi\"", " lbf\"", " s\""] {
        assert!(
            lines.iter().any(|line| line.contains(unit)),
            "{unit}: {lines:?}"
        );
    }
}

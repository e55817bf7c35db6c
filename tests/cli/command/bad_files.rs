//! Every verb and every file that it reads, broken in three ways: what must be there is not, a unit of something else, no number. The answer is
//! exit code 2, file and line, and what would be right.

use super::{command, root, scratch};
use std::path::Path;

/// A text that stands in a file, and what is put in its place.
type Slip = [&'static str; 2];

/// A file of the set, and how it is broken.
enum Broken {
    /// By three slips.
    Slips(&'static str, [Slip; 3]),
    /// A sheet, by a column of it: its heading lost, another unit in it, its first cell no number.
    Column(&'static str, &'static str, &'static str),
}
use Broken::{Column, Slips};

const RECIPE: Broken = Slips(
    "recipes/glass-f800.toml",
    [
        ["prestart = \"25 s\"\n", ""],
        ["pressure = \"6 kPa\"", "pressure = \"6 kg\""],
        ["flow = \"0.25 L/min\"", "flow = \"much L/min\""],
    ],
);
const MACHINE: Broken = Slips(
    "machines/machine-a.toml",
    [
        ["bore = \"50 mm\"\n", ""],
        ["range = \"1 kN\"", "range = \"1 bar\""],
        ["rated-load = \"950 N\"", "rated-load = \"enough N\""],
    ],
);
const BATCH: Broken = Slips(
    "batches/glass-discs.toml",
    [
        ["tolerance = \"3 µm\"\n", ""],
        ["strength = \"150 N\"", "strength = \"150 mm\""],
        ["spread = \"1 µm\"", "spread = \"some µm\""],
    ],
);
const SCENARIO: Broken = Slips(
    "scenarios/slurry-line-blocks.toml",
    [
        ["longest = \"8 min\"\n", ""],
        ["after = \"30 s\"", "after = \"30 N\""],
        ["longest = \"8 min\"", "longest = \"long min\""],
    ],
);
/// A route has no quantity.
const ROUTE: Broken = Slips(
    "routes/glass-lap-polish.toml",
    [
        ["recipe = \"glass-polish\"\n", ""],
        ["format = \"route-1\"", "format = \"route-9\""],
        ["recipe = \"glass-rings-lap\"", "recipe = 7"],
    ],
);
const SHELF: Broken = Slips(
    "shelf/demo-shelf.toml",
    [
        ["price = 3\n", "price-per = \"L\"\n"],
        ["price = 3\n", "price = 3\nprice-per = \"kWh\"\n"],
        ["price = 3\n", "price = \"cheap\"\n"],
    ],
);
const PRICES: Broken = Slips(
    "shop/prices.csv",
    [
        ["price [EUR],per", "price [EUR],note"],
        ["abrasive,14,kg", "abrasive,14,kWh"],
        ["abrasive,14,kg", "abrasive,dear,kg"],
    ],
);
const SCRIPT: Broken = Slips(
    "exercises/scripts/agitator-left-off.txt",
    [
        ["exercise agitator-left-off\n", "expect points 7\n"],
        ["2 s\n", "2 kg\n"],
        ["confirm-parts 15", "confirm-parts many"],
    ],
);
const EXERCISE: Broken = Slips(
    "exercises/agitator-left-off.toml",
    [
        ["pass = ", "brass = "],
        ["longest = \"", "longest = \"1 kPa"],
        ["order = ", "order = \"first\" # "],
    ],
);

/// Each call with the files that are broken under it, one after the other.
const CALLS: &[(&str, &[Broken])] = &[
    (
        "check recipes/glass-f800.toml --runs 0 --no-report",
        &[RECIPE, MACHINE, BATCH],
    ),
    (
        "check recipes/glass-f800.toml --sweep pressure=6..7kPa:2 --no-report",
        &[RECIPE, MACHINE, BATCH],
    ),
    (
        "check recipes/glass-polish.toml --beside recipes/glass-f800.toml --no-report",
        &[RECIPE, MACHINE, BATCH],
    ),
    (
        "check routes/glass-lap-polish.toml --runs 0 --no-report",
        &[ROUTE],
    ),
    (
        "check recipes/glass-f800.toml --faults",
        &[RECIPE, MACHINE, BATCH],
    ),
    (
        "check recipes/glass-f800.toml --seek 1",
        &[RECIPE, MACHINE, BATCH],
    ),
    (
        "run recipes/glass-f800.toml --scenario scenarios/slurry-line-blocks.toml",
        &[RECIPE, MACHINE, BATCH, SCENARIO],
    ),
    ("run routes/glass-lap-polish.toml", &[ROUTE]),
    (
        "tune machines/machine-a.toml --batch batches/glass-discs.toml --no-report",
        &[MACHINE, BATCH],
    ),
    (
        "tune --from logs/clean.csv --column time=time --no-report",
        &[Column("logs/clean.csv", "time [s]", "kg")],
    ),
    (
        "tune --compare machines/machine-b.toml machines/machine-a.toml",
        &[MACHINE],
    ),
    (
        "calibrate cell calibration/dead-weights.csv --machine machines/machine-a.toml --no-report",
        &[
            Column("calibration/dead-weights.csv", "load [kg]", "mm"),
            MACHINE,
        ],
    ),
    (
        "calibrate actuator calibration/actuator-log.csv --machine machines/machine-a.toml --no-report",
        &[
            Column("calibration/actuator-log.csv", "speed [mm/s]", "kg"),
            MACHINE,
        ],
    ),
    (
        "calibrate drives calibration/coast-downs.csv --machine machines/machine-a.toml --no-report",
        &[
            Column("calibration/coast-downs.csv", "torque [N·m]", "kg"),
            MACHINE,
        ],
    ),
    (
        "calibrate removal calibration/glass-trials.csv --recipe recipes/glass-f800.toml --no-report",
        &[
            Column("calibration/glass-trials.csv", "before [mm]", "kg"),
            RECIPE,
            MACHINE,
            BATCH,
        ],
    ),
    (
        "calibrate slurry calibration/stopwatch.csv --machine machines/machine-a.toml --no-report",
        &[
            Slips(
                "calibration/stopwatch.csv",
                [
                    ["time [s]", "clock"],
                    ["volume [mL]", "volume [kg]"],
                    ["flow, 100, , 310,", "flow, 100, , full,"],
                ],
            ),
            MACHINE,
        ],
    ),
    (
        "calibrate heat calibration/shift.csv --machine machines/machine-a.toml --no-report",
        &[Column("calibration/shift.csv", "time [min]", "kg"), MACHINE],
    ),
    (
        "calibrate plates calibration/plate-forms.csv --recipe variants/glass-flat.toml --no-report",
        &[Slips(
            "calibration/plate-forms.csv",
            [
                ["lower [µm], upper [µm]", "left [µm], right [µm]"],
                ["lower [µm]", "lower [kg]"],
                ["0, 0.0, +0.8", "0, 0.0, flat"],
            ],
        )],
    ),
    (
        "calibrate rehearse drives recipes/glass-f800.toml",
        &[RECIPE, MACHINE, BATCH],
    ),
    (
        "lay-in recipes/glass-f800.toml shop/glass-parts.csv --no-report",
        &[
            Column("shop/glass-parts.csv", "thickness [mm]", "kg"),
            RECIPE,
            MACHINE,
            BATCH,
        ],
    ),
    (
        "card recipes/glass-f800.toml --unchecked --no-report",
        &[RECIPE, MACHINE, BATCH],
    ),
    (
        "cost recipes/glass-f800.toml --prices shop/prices.csv --record shop/record.csv --no-report",
        &[
            PRICES,
            Column("shop/record.csv", "time [min]", "kg"),
            RECIPE,
            MACHINE,
            BATCH,
        ],
    ),
    (
        "draft machines/machine-a.toml batches/glass-discs.toml --shelf shelf/demo-shelf.toml --no-report",
        &[MACHINE, BATCH, SHELF],
    ),
    (
        "correct recipes/glass-polish.toml --record production/glass-polish.csv --no-report",
        &[Column("production/glass-polish.csv", "before [mm]", "kg")],
    ),
    (
        "train --headless exercises/scripts/agitator-left-off.txt",
        &[SCRIPT, EXERCISE],
    ),
];

/// A folder of the set with all that it holds.
fn copied(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder of the set") {
        let path = entry.expect("an entry").path();
        let name = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copied(&path, &name);
        } else {
            std::fs::copy(&path, name).expect("copied");
        }
    }
}

/// Texts of a broken file, each with the lines that may be told; for what is missing none but that there is one.
fn texts(good: &str, broken: &Broken) -> Vec<(String, Option<usize>)> {
    let line_of = |at: usize| good[..at].matches('\n').count() + 1;
    match broken {
        Slips(file, slips) => slips
            .iter()
            .enumerate()
            .map(|(way, [stands, put])| {
                let at = good
                    .find(stands)
                    .unwrap_or_else(|| panic!("{file}: no `{stands}`"));
                // The last line of what is put is the one that is wrong.
                let more = put.trim_end().matches('\n').count();
                let line = (way > 0).then(|| line_of(at) + more);
                (good.replacen(stands, put, 1), line)
            })
            .collect(),
        Column(file, heading, unit) => {
            let at = good
                .find(heading)
                .unwrap_or_else(|| panic!("{file}: no `{heading}`"));
            let line = line_of(at);
            let (name, _) = heading.split_once(" [").expect("a unit");
            let mut lines: Vec<String> = good.lines().map(str::to_owned).collect();
            let place = lines[line - 1]
                .split(',')
                .position(|cell| cell.trim() == *heading)
                .expect("a column");
            let mut cells: Vec<&str> = lines[line].split(',').collect();
            cells[place] = "many";
            lines[line] = cells.join(",");
            vec![
                (good.replacen(heading, "note2", 1), Some(line)),
                (
                    good.replacen(heading, &format!("{name} [{unit}]"), 1),
                    Some(line),
                ),
                (lines.join("\n") + "\n", Some(line + 1)),
            ]
        }
    }
}

/// What is wrong with an answer; nothing where it says file and line and what would be right.
fn lacking(call: &str, folder: &Path, file: &str, line: Option<usize>) -> Option<String> {
    let output = command()
        .current_dir(folder)
        .args(call.split(' '))
        .output()
        .expect("the binary starts");
    let told = String::from_utf8_lossy(&output.stderr);
    let code = output.status.code();
    let name = file.rsplit('/').next().expect("a name");
    let place = match line {
        Some(line) => format!("{name}:{line}:"),
        None => format!("{name}:"),
    };
    let located = told.lines().any(|said| {
        said.split_once(&place)
            .is_some_and(|(_, rest)| rest.starts_with(|c: char| c.is_ascii_digit()))
    });
    let cured = told.contains("expected ") || told.contains("remedy: ");
    (code != Some(2) || !located || !cured)
        .then(|| format!("{call}\n{file}: exit {code:?}, wanted {place}\n{told}\n"))
}

#[test]
fn every_verb_says_where_a_file_is_wrong_and_what_would_be_right() {
    let folder = scratch("bad-files");
    copied(&root().join("recipes"), &folder);
    let mut wrong = Vec::new();
    for (call, files) in CALLS {
        for broken in *files {
            let (Slips(file, _) | Column(file, ..)) = broken;
            let path = folder.join(file);
            let good = std::fs::read_to_string(&path).expect("a file of the set");
            for (text, line) in texts(&good, broken) {
                std::fs::write(&path, text).expect("written");
                wrong.extend(lacking(call, &folder, file, line));
            }
            std::fs::write(&path, good).expect("written");
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

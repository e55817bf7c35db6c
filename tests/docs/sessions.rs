//! Sessions shown in the book are run, not remembered: in a copy of `recipes/`, so that nothing of this tree is touched.

use crate::pages::{check, read, root};
use std::path::{Path, PathBuf};
use std::process::Command;

/// A folder of its own with a copy of the demonstration set; removed when dropped.
pub struct Desk(pub PathBuf);

impl Desk {
    pub fn new(name: &str) -> Self {
        let path =
            std::env::temp_dir().join(format!("twinplate-docs-{name}-{}", std::process::id()));
        copy(&root().join("recipes"), &path.join("recipes"));
        Self(path)
    }

    /// Replaces `old`, which must be there once, in a file.
    pub fn edit(&self, file: &str, old: &str, new: &str) {
        let path = self.0.join(file);
        let text = std::fs::read_to_string(&path).expect("file");
        assert_eq!(text.matches(old).count(), 1, "{old} in {file}");
        std::fs::write(path, text.replace(old, new)).expect("written");
    }

    /// Types a command; gives what the terminal shows. The exit code must be as said. `TWINPLATE` names another program than the one
    /// that was built with this test: a release.
    pub fn types(&self, arguments: &str, code: i32) -> String {
        let program = std::env::var("TWINPLATE");
        let program = program.unwrap_or_else(|_| env!("CARGO_BIN_EXE_twinplate").to_owned());
        let output = Command::new(&program)
            .args(arguments.split_whitespace())
            .current_dir(&self.0)
            .env("NO_COLOR", "1")
            .output()
            .expect("runs");
        let shown = [output.stderr, output.stdout].concat();
        let shown = String::from_utf8(shown).expect("text");
        assert_eq!(output.status.code(), Some(code), "{arguments}\n{shown}");
        // As it is called from the repository.
        shown.replace(&program, "target/release/twinplate")
    }
}

impl Drop for Desk {
    fn drop(&mut self) {
        // What cannot be removed is the temporary folder's business.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

pub fn copy(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("folder");
    for entry in std::fs::read_dir(from).expect("folder") {
        let entry = entry.expect("entry");
        let target = to.join(entry.file_name());
        if entry.file_type().expect("type").is_dir() {
            copy(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).expect("copied");
        }
    }
}

/// Leaves out the lines from one that begins with `from` to just before one that begins with `to`.
pub fn cut(text: &str, from: &str, to: &str) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let at = |start: usize, head: &str| {
        start
            + lines[start..]
                .iter()
                .position(|line| line.starts_with(head))
                .unwrap_or_else(|| panic!("no line begins with {head:?} in\n{text}"))
    };
    let begin = at(0, from);
    let end = at(begin, to);
    let mut kept = lines[..begin].to_vec();
    kept.push("[…]");
    kept.extend(&lines[end..]);
    kept.join("\n") + "\n"
}

/// A session as the page shows it.
pub fn session(command: &str, shown: &str) -> String {
    let shown: String = shown
        .lines()
        .map(|line| format!("{}\n", line.trim_end()))
        .collect();
    format!("```console\n$ cargo run --release -- {command}\n{shown}```\n")
}

const SHORT: &str = "check recipes/recipes/glass-f800.toml --machine recipes/variants/machines/machine-a-short.toml";
const GOOD: &str = "check recipes/recipes/glass-f800.toml";
const BAD: &str = "check recipes/bad/limit-in-margin.toml";
const BLOCKED: &str =
    "run recipes/recipes/glass-f800.toml --scenario recipes/scenarios/slurry-line-blocks.toml";

const FLAT: &str = "recipes/variants/glass-flat.toml";
const BATCHES: &str = "run recipes/variants/glass-flat.toml --batches 50";

const TUNED: &str = "tune --from recipes/logs/clean.csv --filter 15";
const REFUSED: &str = "tune --from recipes/logs/too-slow.csv";
const MACHINE: &str = "tune recipes/machines/machine-a.toml --runs 10";

const CELL: &str =
    "calibrate cell recipes/calibration/dead-weights.csv --machine recipes/machines/machine-a.toml";
const ACTUATOR: &str = "calibrate actuator recipes/calibration/actuator-log.csv --machine recipes/machines/machine-a.toml";
const DRIVES: &str = "calibrate drives recipes/calibration/coast-downs.csv";
const DRAFT: &str = "draft recipes/machines/machine-a.toml recipes/batches/glass-discs.toml --shelf recipes/shelf/demo-shelf.toml";
const BOUND: &str = "draft recipes/machines/machine-a.toml recipes/batches/glass-discs.toml --longest 1min --no-compare";
const CORRECT: &str =
    "correct recipes/recipes/glass-polish.toml --record recipes/production/glass-polish.csv";
const REMOVAL: &str = "calibrate removal recipes/calibration/glass-trials.csv --recipe recipes/recipes/glass-f800.toml";

/// Stopwatch, thermometer and straightedge.
const SHOP: [(&str, &str); 3] = [
    (
        "calibrate slurry recipes/calibration/stopwatch.csv --machine recipes/machines/machine-a.toml",
        "session-slurry",
    ),
    (
        "calibrate heat recipes/calibration/shift.csv --machine recipes/machines/machine-a.toml",
        "session-heat",
    ),
    (
        "calibrate plates recipes/calibration/plate-forms.csv --recipe recipes/variants/glass-flat.toml",
        "session-plates",
    ),
];
const LAY_IN: &str = "lay-in recipes/recipes/glass-f800.toml recipes/shop/glass-parts.csv";
// Twenty machines: it is the card that is shown.
const CARD: &str = "card recipes/recipes/glass-f800.toml --date 2026-03-02 --runs 20";
const COST: &str = "cost recipes/recipes/glass-f800.toml --loading 9min --cleaning 8min --prices recipes/shop/prices.csv";
const ORDER: &str =
    "cost recipes/recipes/glass-f800.toml --record recipes/shop/record.csv --order 300 --by 9.3h";

/// The whole of the README's first command, draws and all: the slowest test of this suite.
#[test]
fn readme_check() {
    let desk = Desk::new("good");
    let shown = desk.types(GOOD, 0);
    assert!(desk.0.join("out/glass-f800-check.html").exists());
    let body = session(GOOD, &cut(&shown, "Steps", "The run nearest"));
    check("README.md", "session-check", &body);
    check(
        "docs/first-hour.md",
        "session-check",
        &session(GOOD, &shown),
    );
}

#[test]
fn readme_bad() {
    let desk = Desk::new("bad");
    let shown = desk.types(BAD, 1);
    let body = session(BAD, &cut(&shown, "Worst load margin", "verdict"));
    check("README.md", "session-bad", &body);
}

/// Leaves out the rows of a table of batches but those within `keep`, first and last, and the lines that belong to no row.
fn rows(text: &str, keep: &[[usize; 2]]) -> String {
    let mut kept: Vec<&str> = Vec::new();
    let mut keeping = true;
    for line in text.lines() {
        let batch = line
            .get(..5)
            .and_then(|head| head.trim().parse::<usize>().ok());
        keeping = match batch {
            Some(batch) => keep
                .iter()
                .any(|[first, last]| (*first..=*last).contains(&batch)),
            // What is told below a row goes with it; what is not indented belongs to none.
            None => keeping || !line.starts_with("     "),
        };
        if keeping {
            kept.push(line);
        } else if kept.last() != Some(&"[…]") {
            kept.push("[…]");
        }
    }
    kept.join("\n") + "\n"
}

/// The number of the first row that holds what is asked, from the columns of a table of batches.
fn first_row(text: &str, what: &str, holds: impl Fn(&[&str]) -> bool) -> usize {
    let columns = text
        .lines()
        .map(|line| line.split_whitespace().collect::<Vec<_>>());
    let mut rows = columns.filter_map(|cells| Some((cells.first()?.parse::<usize>().ok()?, cells)));
    // The head of the report begins with a number too.
    let found = rows.find(|(_, cells)| cells.len() > 8 && cells[1] != "batches" && holds(cells));
    found
        .unwrap_or_else(|| panic!("no row {what} in\n{text}"))
        .0
}

/// The page about plates: fifty batches kept flat by the rings, of which those are shown where something happens; and the same left alone.
#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn batches() {
    let desk = Desk::new("batches");
    let shown = desk.types(BATCHES, 0);
    let caught = first_row(&shown, "with turned rings", |cells| cells[9] != "0");
    let conditioned = shown
        .lines()
        .take_while(|line| !line.contains("then both plates were conditioned"));
    let due = first_row(
        conditioned.last().expect("a row before"),
        "conditioned",
        |_| true,
    );
    assert!(caught > 1 && due > caught && due < 50, "{shown}");
    let body = session(
        BATCHES,
        &rows(
            &shown,
            &[
                [1, 2],
                [caught - 2, caught + 3],
                [due - 2, due + 3],
                [50, 50],
            ],
        ),
    );
    check("docs/plates.md", "session-batches", &body);

    let recipe = read(FLAT);
    let (before, _) = recipe
        .split_once("# The operator reads")
        .expect("the table about flatness");
    std::fs::write(desk.0.join(FLAT), before).expect("written");
    desk.edit(
        "recipes/variants/machines/machine-b-flat.toml",
        "at = \"4 µm\"",
        "at = \"200 µm\"",
    );
    let shown = desk.types(BATCHES, 1);
    let lost = shown
        .lines()
        .take_while(|line| !line.contains("broken: flatness of a face"));
    let lost = first_row(lost.last().expect("a row before"), "lost", |_| true);
    assert!(
        lost > caught,
        "the tolerance is lost before the drift is caught: {shown}"
    );
    let body = session(
        BATCHES,
        &rows(
            &shown,
            &[
                [1, 1],
                [caught, caught],
                [lost - 1, lost],
                [due, due],
                [50, 50],
            ],
        ),
    );
    check("docs/plates.md", "session-batches-alone", &body);
}

#[test]
fn scenario() {
    let desk = Desk::new("scenario");
    let shown = desk.types(BLOCKED, 0);
    let body = session(
        BLOCKED,
        &cut(&shown, "What the run must hold", "control hash"),
    );
    check("docs/first-hour.md", "session-scenario", &body);
    let body = session(BLOCKED, &cut(&shown, "Phases", "verdict"));
    check("README.md", "session-scenario", &body);
}

#[test]
fn file_errors() {
    let desk = Desk::new("errors");
    let file = "recipes/recipes/glass-f800.toml";
    desk.edit(file, "prestart = \"25 s\"", "prestart = \"25\"");
    desk.edit(file, "rinse = ", "rinze = ");
    let shown = desk.types(GOOD, 2);
    check(
        "docs/first-hour.md",
        "session-errors",
        &session(GOOD, &shown),
    );
}

#[test]
fn a_finding_and_its_explanation() {
    let desk = Desk::new("finding");
    desk.edit(
        "recipes/machines/machine-a.toml",
        "speed-creep = \"0.25 mm/s\"",
        "speed-creep = \"0.8 mm/s\"",
    );
    let shown = desk.types(GOOD, 1);
    let body = session(GOOD, &cut(&shown, "Steps", "verdict"));
    check("docs/first-hour.md", "session-finding", &body);
    let explain = "explain creep-too-fast";
    let body = session(explain, &desk.types(explain, 0));
    check("docs/first-hour.md", "session-explain", &body);
}

/// Gains from a log alone, whole; and from the machine file, on few machines, with the table of candidates.
#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn tuning() {
    let desk = Desk::new("tuning");
    let body = session(TUNED, &desk.types(TUNED, 0));
    check("docs/tuning.md", "session-log", &body);
    let body = session(REFUSED, &desk.types(REFUSED, 2));
    check("docs/tuning.md", "session-refused", &body);
    let body = session(MACHINE, &desk.types(MACHINE, 0));
    check("docs/tuning.md", "session-machine", &body);
}

#[test]
fn calibration() {
    let desk = Desk::new("calibration");
    let body = session(CELL, &desk.types(CELL, 0));
    check("docs/calibration.md", "session-cell", &body);
    let body = session(ACTUATOR, &desk.types(ACTUATOR, 0));
    check("docs/calibration.md", "session-actuator", &body);
    let body = session(DRIVES, &desk.types(DRIVES, 0));
    check("docs/calibration.md", "session-drives", &body);
    let body = session(REMOVAL, &desk.types(REMOVAL, 0));
    check("docs/calibration.md", "session-removal", &body);
    for (call, name) in SHOP {
        let body = session(call, &desk.types(call, 0));
        check("docs/calibration.md", name, &body);
    }
}

#[test]
fn shop() {
    let desk = Desk::new("shop");
    for (name, command) in [
        ("lay-in", LAY_IN),
        ("card", CARD),
        ("cost", COST),
        ("order", ORDER),
    ] {
        let body = session(command, &desk.types(command, 0));
        check("docs/shop.md", &format!("session-{name}"), &body);
    }
}

#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn drafts() {
    let desk = Desk::new("draft");
    let body = session(DRAFT, &desk.types(DRAFT, 0));
    check("docs/draft.md", "session-draft", &body);
    let body = session(BOUND, &desk.types(BOUND, 1));
    check("docs/draft.md", "session-draft-bound", &body);
}

#[test]
fn correction() {
    let desk = Desk::new("correction");
    let body = session(CORRECT, &desk.types(CORRECT, 0));
    check("docs/production.md", "session-correct", &body);
}

const SWEEP: &str =
    "check recipes/recipes/glass-f800.toml --sweep pressure=7..12kPa:6 --sweep speed=0.6..1.4:5";
const BESIDE: &str = "check recipes/recipes/glass-f800.toml --beside recipes/variants/glass-spark-out.toml --runs 20";
const ROUTE: &str = "check recipes/routes/glass-lap-polish.toml --runs 20";

#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn several() {
    let desk = Desk::new("several");
    for (command, name) in [
        (SWEEP, "session-sweep"),
        (BESIDE, "session-beside"),
        (ROUTE, "session-route"),
    ] {
        let body = session(command, &desk.types(command, 0));
        check("docs/sweep.md", name, &body);
    }
}

/// Every field of the JSON of `check` stands on the page.
#[test]
fn json_fields() {
    fn keys(value: &serde_json::Value, found: &mut std::collections::BTreeSet<String>) {
        match value {
            serde_json::Value::Object(fields) => {
                for (key, value) in fields {
                    found.insert(key.clone());
                    keys(value, found);
                }
            }
            serde_json::Value::Array(items) => items.iter().for_each(|item| keys(item, found)),
            _ => {}
        }
    }
    let desk = Desk::new("json");
    let mut found = std::collections::BTreeSet::new();
    // A good recipe has steps, prediction and proof, a bad one has findings.
    for (command, code) in [(GOOD, 0), (BAD, 1)] {
        let typed = format!("{command} --runs 1 --no-report --format json");
        let json = serde_json::from_str(&desk.types(&typed, code)).expect("json");
        keys(&json, &mut found);
    }
    assert!(found.len() > 40, "{found:?}");
    let page = read("docs/files-and-verbs.md");
    for key in found {
        let shown = [format!("`{key}`"), format!("`{key}[]`")];
        assert!(
            shown.iter().any(|s| page.contains(s)),
            "docs/files-and-verbs.md does not tell of the JSON field {key}"
        );
    }
}

/// Every verb and option stands on the page.
#[test]
fn verbs_and_options() {
    use clap::CommandFactory;
    let page = read("docs/files-and-verbs.md");
    let program = twinplate::cli::args::Typed::command();
    for verb in program.get_subcommands() {
        let name = verb.get_name();
        assert!(page.contains(&format!("| `{name} ")), "no verb {name}");
        for option in verb.get_arguments().filter_map(|a| a.get_long()) {
            let shown = format!("--{option}");
            assert!(page.contains(&shown), "{name} {shown} is not on the page");
        }
    }
}

#[test]
#[ignore = "minutes: tests/run has it done by the release"]
fn a_short_machine_file_is_told_what_to_measure_first() {
    let desk = Desk::new("short");
    let shown = cut(
        &desk.types(SHORT, 0),
        "What the batch asks",
        "What to measure first",
    );
    let shown = cut(&shown, "Assumed: what", "report:");
    let body = session(SHORT, &shown);
    check("docs/measure-your-machine.md", "session-short", &body);
}

//! Files and stdout: whole or not at all, plain unless a terminal asks for more, quiet when the reader leaves.

use crate::{command, names, root, scratch, text, twinplate};
use firmware_core::interlock::{Respond, TABLE};
use firmware_core::status::Response;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Stdio;

const GOOD: &str = "recipes/recipes/glass-f800.toml";
const BAD: &str = "recipes/bad/prestart-short.toml";

#[test]
fn a_check_writes_its_report_and_says_where() {
    let folder = scratch("outputs-report");
    let report = folder.join("report.html");
    std::fs::write(&report, "old").expect("written");
    let ran = twinplate(&["check", BAD, "--report", text(&report)]);
    assert_eq!(ran.code, 1, "{}", ran.err);
    assert!(
        ran.out.contains(&format!("report: {}", report.display())),
        "{}",
        ran.out
    );
    assert_eq!(ran.out.lines().last(), Some("verdict: fail"));
    assert_eq!(ran.err, "");
    let page = std::fs::read_to_string(&report).expect("report");
    assert!(page.starts_with("<!DOCTYPE html>") && page.trim_end().ends_with("</html>"));
    assert!(page.contains("prestart-short"));
    assert_eq!(names(&folder), ["report.html"]);
}

#[test]
fn without_a_path_the_report_goes_to_the_folder_out() {
    let folder = scratch("outputs-default");
    let recipe = root().join(BAD);
    let output = command()
        .current_dir(&folder)
        .args(["check", text(&recipe)])
        .output()
        .expect("the binary starts");
    assert_eq!(output.status.code(), Some(1));
    assert_eq!(names(&folder.join("out")), ["prestart-short-check.html"]);
    let said = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(
        said.contains("report: out/prestart-short-check.html"),
        "{said}"
    );
}

#[test]
fn a_run_writes_trace_journal_and_report() {
    let folder = scratch("outputs-run");
    let [trace, journal, report] = ["t.csv", "j.jsonl", "r.html"].map(|name| folder.join(name));
    let ran = twinplate(&[
        "run",
        GOOD,
        "--trace",
        text(&trace),
        "--journal",
        text(&journal),
        "--report",
        text(&report),
    ]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert_eq!(ran.out.lines().last(), Some("verdict: pass"));
    assert_eq!(names(&folder), ["j.jsonl", "r.html", "t.csv"]);
    let trace = std::fs::read_to_string(&trace).expect("trace");
    let mut lines = trace.lines();
    let columns = lines.next().expect("header").split(',').count();
    assert!(
        trace.starts_with("trace_version,time [s],") && columns > 50,
        "{columns}"
    );
    // No cell of a trace holds a comma, so every row has as many.
    assert!(lines.clone().all(|line| line.split(',').count() == columns));
    assert!(lines.count() > 5_000);
    let phases = [
        "lower",
        "touch-down",
        "run-up",
        "load ramp",
        "dwell",
        "run-down",
        "lift",
    ];
    for phase in phases {
        assert!(ran.out.contains(phase), "no {phase} in\n{}", ran.out);
    }
}

/// A trace names a response as the interlock table does: rows of the scenario in which the agitator stands too long are a hold, and
/// no row of the table asks for anything else at that time.
#[test]
fn a_trace_calls_a_hold_a_hold() {
    let folder = scratch("outputs-response");
    let trace = folder.join("t.csv");
    let ran = twinplate(&[
        "run",
        GOOD,
        "--scenario",
        "recipes/scenarios/agitator-fails.toml",
        "--trace",
        text(&trace),
    ]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let settled = TABLE
        .iter()
        .position(|row| row.name == "agitator-settled")
        .expect("a row of the table");
    assert_eq!(TABLE[settled].respond, Respond::With(Response::Hold));
    let trace = std::fs::read_to_string(&trace).expect("trace");
    let mut lines = trace
        .lines()
        .map(|line| line.split(',').collect::<Vec<_>>());
    let header = lines.next().expect("header");
    let column = |name: &str| {
        header
            .iter()
            .position(|cell| *cell == name)
            .expect("a column")
    };
    let (active, response) = (
        column("controller_active_rows [1]"),
        column("controller_response"),
    );
    let said: BTreeSet<String> = lines
        .filter(|row| row[active].parse::<u64>().expect("a set of rows") >> settled & 1 == 1)
        .map(|row| row[response].to_owned())
        .collect();
    assert_eq!(said, BTreeSet::from(["hold".to_owned()]));
}

#[test]
fn a_path_that_cannot_be_written_is_an_error_before_the_work() {
    let folder = scratch("outputs-unwritable");
    let nowhere = folder.join("missing/file");
    for (path, word) in [
        (text(&nowhere), "does not exist"),
        (text(&folder), "is a folder"),
        ("/dev/null", "not a regular file"),
        ("..", "names no file"),
        (GOOD, "overwrite"),
        ("recipes/../recipes/machines/machine-a.toml", "overwrite"),
    ] {
        let before = std::fs::read(root().join(GOOD)).expect("recipe");
        for call in [
            ["check", GOOD, "--report", path],
            ["run", GOOD, "--report", path],
            ["run", GOOD, "--trace", path],
            ["run", GOOD, "--journal", path],
        ] {
            let ran = twinplate(&call);
            assert_eq!(ran.code, 2, "{call:?}");
            assert!(
                ran.complaint().contains(word),
                "{call:?}: no `{word}` in\n{}",
                ran.err
            );
            // The work would have drawn something.
            assert_eq!(ran.out, "", "{call:?}");
        }
        assert_eq!(std::fs::read(root().join(GOOD)).expect("recipe"), before);
    }
    let one = folder.join("one");
    let ran = twinplate(&["run", GOOD, "--trace", text(&one), "--report", text(&one)]);
    assert!(
        ran.code == 2 && ran.complaint().contains("same file"),
        "{}",
        ran.err
    );
    assert!(names(&folder).is_empty());
}

/// Lines that are as long as a path or a command makes them.
fn is_free(line: &str) -> bool {
    line.contains(" run recipes/") || line.starts_with("report: ")
}

#[test]
fn text_is_plain_and_eighty_columns_wide() {
    for call in [
        &["check", GOOD, "--runs=1", "--no-report"][..],
        &["check", BAD, "--no-report", "--units=trade"],
        &["run", GOOD],
        &[
            "run",
            GOOD,
            "--scenario",
            "recipes/scenarios/load-cell-sticks.toml",
        ],
    ] {
        let ran = twinplate(call);
        assert!(!ran.out.contains('\u{1b}'), "{call:?} is coloured");
        assert_eq!(ran.err, "", "{call:?}");
        for line in ran.out.lines().filter(|line| !is_free(line)) {
            assert!(line.chars().count() <= 80, "{call:?}: {line}");
        }
        let last = ran.out.lines().last().unwrap_or("");
        assert!(last.starts_with("verdict: "), "{call:?} ends with {last}");
    }
}

#[test]
fn trade_units_come_on_request_only() {
    let of = |units: &str| twinplate(&["check", BAD, "--no-report", units]).out;
    assert!(of("--units=trade").contains("psi"));
    assert!(!of("--units=si").contains("psi"));
    // 9 kPa / (6894.757 Pa/psi) = 1.305; NIST SP 811, B.8.
    assert!(of("--units=trade").contains("1.31"));
    let run = |units: &str| twinplate(&["run", GOOD, units]).out;
    let trade = run("--units=trade");
    assert!(trade.contains("psi") && trade.contains("1.31"), "{trade}");
    assert!(
        trade
            .lines()
            .last()
            .is_some_and(|last| last.starts_with("verdict: ")),
        "{trade}"
    );
    assert!(!run("--units=si").contains("psi"));
}

#[test]
fn the_log_goes_to_stderr_and_only_on_request() {
    let ran = twinplate(&["check", BAD, "--no-report", "--format=json", "--log=info"]);
    assert!(ran.err.contains("prestart-short"), "{}", ran.err);
    assert!(!ran.err.contains('\u{1b}'), "{}", ran.err);
    assert!(serde_json::from_str::<serde_json::Value>(&ran.out).is_ok());
}

#[test]
fn a_reader_that_leaves_is_no_error() {
    for call in [
        &["explain"][..],
        &["check", BAD, "--no-report"],
        &["check", "--help"],
    ] {
        let mut child = command()
            .args(call)
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the binary starts");
        drop(child.stdout.take());
        let output = child.wait_with_output().expect("it ends");
        assert!(
            output.status.code().is_some_and(|code| code <= 1),
            "{call:?}: {}",
            output.status
        );
        assert_eq!(String::from_utf8_lossy(&output.stderr), "", "{call:?}");
    }
}

/// Only where the system has a device that is always full.
#[test]
fn a_full_disk_under_stdout_is_an_error() {
    let full = Path::new("/dev/full");
    let Ok(file) = std::fs::OpenOptions::new().write(true).open(full) else {
        return;
    };
    let output = command()
        .arg("explain")
        .stdout(file)
        .stderr(Stdio::piped())
        .output()
        .expect("the binary starts");
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("standard output"));
}

//! `tune` on logs from outside: the demonstration logs, and logs that carry no model.

use crate::{json, names, root, scratch, text, twinplate};
use serde_json::Value;

const MACHINE: &str = "recipes/machines/machine-a.toml";

/// A bad log of `tests/tune/bad` and what its refusal must say.
const BAD: [(&str, &str); 12] = [
    ("clipped-throughout", "limit 210"),
    ("columns-swapped", "exchanged"),
    ("drift-dwarfs-response", "drifts by"),
    ("gap-in-rise", "line 104"),
    ("log-time-not-rising", "line 203"),
    ("no-excitation", "first row to the last"),
    ("no-response", "which its noise"),
    ("sampling-too-slow", "a sample every 0.5 s"),
    ("step-not-finished", "ends 0.99 s after the step"),
    ("stuck-output", "in all 400 rows"),
    ("too-few-samples", "10 usable samples"),
    ("uncorrelated", "not with the command"),
];

/// Exit 2, the file's name, the reason with its numbers, a cure; no gains anywhere, and `--write` leaves the machine file as it is.
#[test]
fn a_bad_log_is_refused_and_nothing_is_touched() {
    let folder = scratch("tune-bad-logs");
    let machine = folder.join("m.toml");
    std::fs::copy(root().join(MACHINE), &machine).expect("machine");
    let before = std::fs::read(&machine).expect("machine");
    assert_eq!(
        names(&root().join("tests/tune/bad")).len(),
        BAD.len() + 1,
        "every bad log is tried; beside them stands their maker"
    );
    for (name, reason) in BAD {
        let log = format!("tests/tune/bad/{name}.csv");
        let with_machine = [
            "tune",
            text(&machine),
            "--from",
            &log,
            "--unit",
            "command=%",
            "--unit",
            "output=N",
            "--write",
        ];
        for arguments in [&["tune", "--from", &log][..], &with_machine] {
            let ran = twinplate(arguments);
            let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
            assert_eq!(ran.code, 2, "{name}: {}{}", ran.out, ran.err);
            assert!(ran.out.is_empty(), "{name}: {}", ran.out);
            assert!(said.contains(reason), "{name}: {said}");
            assert!(said.contains(&log), "{name}: {said}");
            assert!(said.contains("remedy:"), "{name}: {said}");
            for word in ["proportional", "recommended", "integral"] {
                assert!(!said.contains(word), "{name}: {said}");
            }
        }
    }
    assert!(std::fs::read(&machine).expect("machine") == before);
    assert_eq!(names(&folder), ["m.toml"]);
}

fn demo(name: &str) -> Value {
    let log = format!("recipes/logs/{name}.csv");
    let (code, found) = json(&["tune", "--from", &log, "--filter", "15", "--format", "json"]);
    assert_eq!(code, 0, "{name}: {found:#}");
    assert_eq!(found["verdict"], "recommended", "{name}");
    found
}

fn number(found: &Value, path: &str) -> f64 {
    found
        .pointer(path)
        .and_then(Value::as_f64)
        .unwrap_or_else(|| panic!("no {path} in {found:#}"))
}

fn warns(found: &Value, code: &str) -> bool {
    found["log"]["warnings"]
        .as_array()
        .is_some_and(|all| all.iter().any(|warning| warning["code"] == code))
}

/// Source: the machine file's own line, 0.12 s and 823 N for the whole command (weight and areas); what a trait does to a log is
/// asserted with its numbers in the suite `tune`.
#[test]
fn every_demonstration_log_says_what_it_is_for() {
    let actuator = twinplate_sim::demo::machine("machine-a").actuator;
    let good = [
        ("clean", 0.02, None),
        ("noisy", 0.04, None),
        ("sticky", 0.20, Some("hysteresis")),
        ("drifting", 0.03, Some("drift")),
        ("saturated", 0.04, Some("samples-left-out")),
    ];
    for (name, close, warning) in good {
        let found = demo(name);
        let gain = number(&found, "/log/models/0/gain/value");
        let lag = number(&found, "/log/models/0/lag_s/value");
        assert!(
            (gain / actuator.line_gain() - 1.0).abs() < close,
            "{name}: {gain}"
        );
        assert!((lag / actuator.lag - 1.0).abs() < 0.2, "{name}: {lag}");
        for code in ["hysteresis", "samples-left-out"] {
            assert_eq!(warns(&found, code), warning == Some(code), "{name}: {code}");
        }
        if let Some(code) = warning {
            assert!(warns(&found, code), "{name}: {code}");
        }
    }
    for (name, word) in [
        ("too-slow", "every 1 s"),
        ("no-excitation", "0.3 from the first"),
    ] {
        let ran = twinplate(&["tune", "--from", &format!("recipes/logs/{name}.csv")]);
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{name}");
        assert!(said.contains(word), "{name}: {said}");
    }
}

/// Gains from the clean log alone, but for the filter's corner, hold every demonstration recipe of the machine that the log is of.
#[test]
fn nothing_is_found_against_the_gains_from_the_clean_log() {
    let found = demo("clean");
    let folder = scratch("tune-log-check");
    for sub in ["machines", "batches", "recipes"] {
        std::fs::create_dir(folder.join(sub)).expect("folder");
        for name in names(&root().join("recipes").join(sub)) {
            let from = root().join("recipes").join(sub).join(&name);
            std::fs::copy(from, folder.join(sub).join(name)).expect("copied");
        }
    }
    let machine = folder.join("machines/machine-a.toml");
    let file = std::fs::read_to_string(&machine).expect("machine");
    let gains = format!(
        "[gains]\nproportional = \"{} 1/N\"\nintegral-time = \"{} s\"\nsetpoint-weight = 1.0\n",
        number(&found, "/recommended/gains/proportional"),
        number(&found, "/recommended/gains/integral_time_s")
    );
    std::fs::write(&machine, format!("{file}\n{gains}")).expect("written");
    for recipe in ["glass-f800", "alumina-diamond"] {
        let path = folder.join(format!("recipes/{recipe}.toml"));
        let ran = twinplate(&["check", text(&path), "--runs", "10", "--no-report"]);
        assert_eq!(ran.code, 0, "{recipe}: {}{}", ran.out, ran.err);
        assert!(
            ran.out.contains("no errors, no warnings") && ran.out.ends_with("verdict: pass\n"),
            "{recipe}: {}",
            ran.out
        );
    }
}

/// The clean log's model is inside what its own machine's file admits: nothing tells a technician to mend the file.
#[test]
fn the_clean_log_agrees_with_its_machine() {
    let (code, found) = json(&[
        "tune",
        MACHINE,
        "--from",
        "recipes/logs/clean.csv",
        "--runs",
        "1",
        "--format",
        "json",
    ]);
    assert_eq!(code, 0, "{found:#}");
    let notes = found["notes"].to_string();
    assert!(!notes.contains("lies outside"), "{notes}");
    let (_, found) = json(&[
        "tune",
        "recipes/machines/machine-b.toml",
        "--from",
        "recipes/logs/clean.csv",
        "--runs",
        "1",
        "--format",
        "json",
    ]);
    assert_eq!(found["contradictions"][0]["what"], "gain", "{found:#}");
}

/// Machine B's file and machine A's log: the answer is no, nothing is written, and no run is told of.
#[test]
fn a_log_that_contradicts_the_machine_file_writes_nothing() {
    let folder = scratch("tune-contradiction");
    let machine = folder.join("m.toml");
    std::fs::copy(root().join("recipes/machines/machine-b.toml"), &machine).expect("machine");
    let before = std::fs::read(&machine).expect("machine");
    let page = folder.join("page.html");
    let ran = twinplate(&[
        "tune",
        text(&machine),
        "--from",
        "recipes/logs/clean.csv",
        "--write",
        "--report",
        text(&page),
    ]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(
        ran.out
            .ends_with("verdict: log and machine file contradict: mend one of them\n"),
        "{}",
        ran.out
    );
    let page = std::fs::read_to_string(&page).expect("page");
    assert!(page.contains("Log and machine file contradict"));
    for said in [&ran.out, &page] {
        assert!(said.contains("lies outside what"), "{said}");
        assert!(said.contains("recipes/logs/clean.csv"), "the log is named");
        for word in ["held", "[gains]", "Recommended:"] {
            assert!(!said.contains(word), "{word}: {said}");
        }
    }
    assert!(std::fs::read(&machine).expect("machine") == before);
}

/// A worn regulator (6 % of play) that is to hold the load within 1 N: no set does. The answer is no, names the limit and tried changes.
#[test]
fn an_envelope_that_nothing_holds_says_what_binds_and_what_frees_it() {
    let folder = scratch("tune-nothing");
    let machine = folder.join("m.toml");
    let mut file = std::fs::read_to_string(root().join(MACHINE)).expect("machine");
    for (old, new) in [
        ("play = \"0.1 %\"", "play = \"6 %\""),
        ("band = \"10 N\"", "band = \"1 N\""),
        ("band-share = \"4 %\"", "band-share = \"0.2 %\""),
    ] {
        assert_eq!(file.matches(old).count(), 1, "{old}");
        file = file.replace(old, new);
    }
    std::fs::write(&machine, &file).expect("written");
    let ran = twinplate(&["tune", text(&machine), "--runs", "2", "--write"]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    let said = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("what binds is"), "{}", ran.out);
    assert!(said.contains("trips (run"), "{}", ran.out);
    assert!(
        said.contains("a load band twice as wide (control.band, band-share): some set passes"),
        "{}",
        ran.out
    );
    assert!(said.contains("still none passes"), "{}", ran.out);
    assert!(!said.contains("[gains]"), "{}", ran.out);
    assert!(
        ran.out.ends_with("verdict: nothing passes\n"),
        "{}",
        ran.out
    );
    assert_eq!(std::fs::read_to_string(&machine).expect("read"), file);
    for line in ran.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

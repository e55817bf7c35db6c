//! `tune` from outside: what it answers, what it writes, what it refuses.

use crate::{json, root, scratch, text, twinplate};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

const MACHINE: &str = "recipes/machines/machine-a.toml";

/// A machine file with gains, in a scratch folder.
fn machine(folder: &Path, name: &str, gains: &str) -> PathBuf {
    let path = folder.join(name);
    let demo = std::fs::read_to_string(root().join(MACHINE)).expect("demo machine");
    std::fs::write(&path, format!("{demo}\n{gains}")).expect("written");
    path
}

fn block(kc: f64, ti: f64) -> String {
    format!(
        "# ours\n[gains] # of spring\nproportional = \"{kc} 1/N\" # kept\nintegral-time = \"{ti} s\"\nsetpoint-weight = 1.0\n"
    )
}

/// A step answered by a lag with dead time, closed form, with a ripple in place of noise.
fn step_log(header: &str) -> String {
    let mut log = format!("{header}\n");
    for n in 0..200 {
        let t = f64::from(n) * 0.05;
        let command = if n < 20 { 20.0 } else { 40.0 };
        let since = t - 1.0 - 0.3;
        let answer = if since > 0.0 {
            50.0 * (1.0 - twinplate_sim::math::exp(-since / 1.5))
        } else {
            0.0
        };
        let ripple = 0.2 * twinplate_sim::math::sin(f64::from(n) * 2.399);
        let _ = writeln!(log, "{t:.2},{command},{:.3}", 100.0 + answer + ripple);
    }
    log
}

#[test]
fn a_log_alone_gives_gains_with_margins() {
    let folder = scratch("tune-log");
    let path = folder.join("bump.csv");
    std::fs::write(&path, step_log("time [s],command,load [N]")).expect("log");
    let (code, found) = json(&[
        "tune",
        "--from",
        text(&path),
        "--no-report",
        "--format",
        "json",
    ]);
    assert_eq!(code, 0, "{found:#}");
    let model = &found["log"]["models"][0];
    let near = |name: &str, truth: f64, share: f64| {
        let value = model[name]["value"].as_f64().expect("a number");
        assert!((value / truth - 1.0).abs() < share, "{name}: {value}");
    };
    near("gain", 2.5, 0.02);
    near("lag_s", 1.5, 0.03);
    near("dead_time_s", 0.3, 0.1);
    assert_eq!(found["verdict"], "recommended");
    assert!(
        found["recommended"]["gains"]["proportional"]
            .as_f64()
            .is_some_and(|kc| kc > 0.0)
    );
    let plain = twinplate(&["tune", "--from", text(&path), "--no-report"]);
    assert!(
        plain
            .out
            .lines()
            .last()
            .is_some_and(|line| line.starts_with("verdict: recommended")),
        "{}",
        plain.out
    );
    for line in plain.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn a_log_without_a_model_is_refused_and_gives_no_gains() {
    let folder = scratch("tune-bad-log");
    let path = folder.join("bad.csv");
    let flat: String = (0..100).fold("time,command,load\n".into(), |log, n| {
        format!("{log}{},20,100\n", f64::from(n) * 0.1)
    });
    for (content, word) in [
        (flat.as_str(), "command"),
        ("", "nothing"),
        (
            "time,command,load\n0,1,5\n1,2,5\n2,many,6\n3,2,7\n",
            "line 4",
        ),
        ("\u{0}\u{1}\u{2}", ""),
    ] {
        std::fs::write(&path, content).expect("log");
        let ran = twinplate(&["tune", "--from", text(&path), "--no-report"]);
        assert_eq!(ran.code, 2, "{content:?}: {}", ran.out);
        assert!(ran.out.is_empty(), "{}", ran.out);
        assert!(ran.err.contains("remedy:"), "{}", ran.err);
        assert!(ran.complaint().contains(word), "{word}: {}", ran.err);
    }
    let missing = twinplate(&["tune", "--from", text(&folder.join("none.csv"))]);
    assert_eq!(missing.code, 2);
}

#[test]
fn write_keeps_comments_and_order_and_a_second_run_changes_nothing() {
    let folder = scratch("tune-write");
    let path = machine(&folder, "m.toml", &block(0.001, 0.3));
    let few = ["--runs", "2", "--no-report"];
    let call = [&["tune", text(&path), "--write"][..], &few].concat();
    let before = std::fs::read_to_string(&path).expect("read");
    let ran = twinplate(&call);
    assert_eq!(ran.code, 0, "{}\n{}", ran.out, ran.err);
    let after = std::fs::read_to_string(&path).expect("read");
    assert_ne!(before, after);
    assert!(
        ran.err.contains("- proportional = \"0.001 1/N\" # kept"),
        "{}",
        ran.err
    );
    // Line by line the same but for the two values.
    let changed: Vec<(&str, &str)> = before
        .lines()
        .zip(after.lines())
        .filter(|(old, new)| old != new)
        .collect();
    assert_eq!(before.lines().count(), after.lines().count());
    assert_eq!(changed.len(), 2, "{changed:?}");
    assert!(changed[0].1.ends_with("# kept"), "{changed:?}");
    let compared = twinplate(&["tune", "--compare", text(&path), text(&path), "--runs", "1"]);
    assert_eq!(compared.code, 0);
    assert!(
        compared.out.ends_with("verdict: equal\n"),
        "{}",
        compared.out
    );
}

#[test]
fn a_comparison_answers_both_ways() {
    let folder = scratch("tune-compare");
    let slow = machine(&folder, "slow.toml", &block(0.0008, 0.12));
    let good = machine(&folder, "good.toml", &block(0.0019, 0.12));
    let wild = machine(&folder, "wild.toml", &block(0.0100, 0.12));
    let verdict = |old: &Path, new: &Path| {
        let (code, found) = json(&[
            "tune",
            "--compare",
            text(old),
            text(new),
            "--runs",
            "3",
            "--format",
            "json",
        ]);
        (
            code,
            found["verdict"].as_str().expect("a verdict").to_owned(),
        )
    };
    assert_eq!(verdict(&slow, &good), (0, "better".into()));
    assert_eq!(verdict(&good, &slow), (1, "worse".into()));
    assert_eq!(verdict(&good, &wild), (1, "fails".into()));
    assert_eq!(verdict(&wild, &good), (0, "better".into()));
    let told = twinplate(&["tune", "--compare", text(&good), text(&wild), "--runs", "1"]);
    for what in ["Ms ", "Ms, worst corner", "gain margin", "phase margin, °"] {
        let row = told.out.lines().find(|line| line.starts_with(what));
        let row = row.unwrap_or_else(|| panic!("{what}: {}", told.out));
        assert!(
            row.ends_with("unstable") && !row.contains("unstable  "),
            "{row}"
        );
    }
}

#[test]
fn what_is_wrong_with_runs_and_filter_is_said() {
    let log = ["tune", "--from", "recipes/logs/clean.csv"];
    let ran = twinplate(&[&log[..], &["--runs", "5"]].concat());
    assert!(
        ran.complaint().contains("--runs is for runs on a machine"),
        "{}",
        ran.err
    );
    let ran = twinplate(&[&log[..], &["--filter", "-5"]].concat());
    assert!(!ran.err.contains("unexpected argument"), "{}", ran.err);
    assert!(ran.err.contains("-5"), "{}", ran.err);
}

#[test]
fn what_does_not_go_together_is_refused() {
    for arguments in [
        &["tune"][..],
        &["tune", "--write", "--from", "x.csv"],
        &["tune", MACHINE, "--experiment", "nudge"],
        &["tune", MACHINE, "--compare", "a", "b"],
        &["tune", "--compare", MACHINE, MACHINE, "--report", "a.html"],
        &["tune", MACHINE, "--report", "a.html", "--no-report"],
        &["tune", "--from", "x.csv", "--batch", "b.toml"],
        &["tune", "--from", "x.csv", "--column", "load=2"],
        &["tune", "--from", "recipes/logs/clean.csv", "--runs", "5"],
        &["tune", "--from", "recipes/logs/clean.csv", "--filter", "-5"],
        &["tune", "no-such-machine.toml"],
        &["tune", "recipes/batches/glass-discs.toml"],
    ] {
        let ran = twinplate(arguments);
        assert_eq!(ran.code, 2, "{arguments:?}: {}{}", ran.out, ran.err);
        assert!(ran.out.is_empty(), "{}", ran.out);
    }
}

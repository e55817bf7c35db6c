//! `train` without a page: exit codes, and an attempt that comes out again in another process.

use crate::{scratch, text, twinplate};
use serde_json::Value;
use std::fs;

const RIGHT: &str = "recipes/exercises/scripts/first-cycle.txt";
const WRONG: &str = "recipes/exercises/scripts/first-cycle-uncounted.txt";

#[test]
fn an_attempt_scores_the_same_in_another_process() {
    let folder = scratch("train-rescore");
    for (script, code) in [(RIGHT, 0), (WRONG, 1)] {
        let path = folder.join("attempt.json");
        let path = text(&path);
        let played = twinplate(&[
            "train",
            "--headless",
            script,
            "--attempt",
            path,
            "--format",
            "json",
        ]);
        let again = twinplate(&["train", "--rescore", path, "--format", "json"]);
        assert_eq!((played.code, again.code), (code, code), "{}", played.err);
        assert_eq!(played.out, again.out);
        let value: Value = serde_json::from_str(&played.out).expect("JSON");
        let attempt: Value =
            serde_json::from_str(&fs::read_to_string(path).expect("written")).expect("JSON");
        for hash in ["control_hash", "trace_hash"] {
            assert!(
                value[hash]
                    .as_str()
                    .is_some_and(|text| text.starts_with("0x"))
            );
            assert_eq!(value[hash], attempt[hash]);
        }
        assert_eq!(value["debrief"]["score"]["points"], attempt["points"]);
    }
}

#[test]
fn a_changed_attempt_is_refused() {
    let folder = scratch("train-changed");
    let path = folder.join("attempt.json");
    let played = twinplate(&["train", "--headless", WRONG, "--attempt", text(&path)]);
    assert_eq!(played.code, 1);
    let good = fs::read_to_string(&path).expect("written");
    let written: Value = serde_json::from_str(&good).expect("JSON");
    let version = format!("\"attempt\": {}", written["attempt"]);
    for (from, to, part) in [
        (
            "\"points\": 60",
            "\"points\": 61",
            "the score was 61 of 100 and came out as 60 of 100",
        ),
        (&*version, "\"attempt\": 999", "is of version 999"),
        (
            "\"first-cycle\"",
            "\"nowhere\"",
            "there is no exercise `nowhere`",
        ),
        ("\"exercise\"", "\"exercice\"", "is no recorded attempt"),
    ] {
        assert!(good.contains(from), "{from}");
        fs::write(&path, good.replacen(from, to, 1)).expect("written");
        let ran = twinplate(&["train", "--rescore", text(&path)]);
        assert_eq!(ran.code, 2, "{part}");
        assert!(ran.complaint().contains(part), "{}", ran.err);
        assert!(ran.out.is_empty());
    }
}

#[test]
fn bad_scripts_say_where_and_what_would_be_right() {
    let folder = scratch("train-bad");
    let path = folder.join("script.txt");
    for (script, parts) in [
        (
            "exercise first-cycle\nfly\n",
            ["line 2: `fly` is no act", "confirm-parts"],
        ),
        (
            "exercise first-cycle\nwait dwell\n",
            ["line 2", "before this came"],
        ),
        (
            "exercise nowhere\n",
            ["there is no exercise `nowhere`", "--exercises"],
        ),
        (
            "exercise ../first-cycle\n",
            ["there is no exercise", "--exercises"],
        ),
    ] {
        fs::write(&path, script).expect("written");
        let ran = twinplate(&["train", "--headless", text(&path)]);
        assert_eq!(ran.code, 2, "{script}");
        for part in parts {
            assert!(ran.complaint().contains(part), "{script}: {}", ran.err);
        }
    }
    let ran = twinplate(&["train", "--headless", text(&folder.join("missing.txt"))]);
    assert_eq!(ran.code, 2);
    assert!(ran.complaint().contains("cannot read"), "{}", ran.err);
}

//! `check --seek` from outside: what it finds is told, written, and comes out again from its journal in another process.

use crate::{command, json, root, scratch, text, twinplate};
use serde_json::Value;
use std::path::Path;
use std::process::Command;

const RECIPE: &str = "recipes/recipes/glass-f800.toml";

/// Seeks and replays each journal from the printed command, in a process of its own: hash, margin and sign must be the told ones.
fn sought_and_replayed(desk: &Path, more: &[&str]) -> (Option<i32>, Value) {
    let recipe = root().join(RECIPE);
    let output = command()
        .current_dir(desk)
        .args(["check", text(&recipe), "--seek=1", "--format=json"])
        .args(more)
        .output()
        .expect("the binary starts");
    let shown = String::from_utf8(output.stdout).expect("UTF-8");
    let report: Value = serde_json::from_str(&shown).unwrap_or_else(|e| panic!("{e}\n{shown}"));
    for one in report["requirements"].as_array().expect("list") {
        let line = one["worst"]["replay"].as_str().expect("a command");
        let again = Command::new("sh")
            .arg("-c")
            .arg(format!("{line} --format json"))
            .current_dir(desk)
            .output()
            .expect("a shell");
        let said = String::from_utf8(again.stdout).expect("UTF-8");
        let said: Value =
            serde_json::from_str(&said).unwrap_or_else(|e| panic!("{line}: {e}\n{said}"));
        assert_eq!(said["same_as_journal"], true, "{line}");
        assert_eq!(said["control_hash"], one["worst"]["control_hash"], "{line}");
        assert_eq!(said["trace_hash"], one["worst"]["trace_hash"], "{line}");
        assert!(said["trace_hash"].is_string(), "{line}");
        assert_eq!(said["sought"]["requirement"], one["requirement"], "{line}");
        // To the last bit: both are printed with as many digits as it takes.
        assert_eq!(said["sought"]["margin"], one["worst"]["margin"], "{line}");
        // A run in which this requirement holds may still break another, on a machine that does.
        if one["violated"] == true || report["violated"] == false {
            let code = i32::from(one["violated"] == true);
            assert_eq!(again.status.code(), Some(code), "{line}");
        }
    }
    (output.status.code(), report)
}

#[test]
fn every_worst_case_replays_to_its_hashes_and_margin_in_another_process() {
    let (code, report) = sought_and_replayed(&scratch("seek"), &["--draws=30"]);
    assert_eq!(code, Some(0), "{report}");
    assert_eq!(report["violated"], false);
    let requirements = report["requirements"].as_array().expect("list");
    assert_eq!(requirements.len(), 6);
    for one in requirements {
        // However little time there is, each is looked at.
        assert!(one["evaluations"].as_u64() >= Some(24), "{one}");
        assert_eq!(one["draws"], 30, "{one}");
    }
}

/// Creep 30 % over its bound (`tests/seek/weakened.rs` derives it: 2.37 mm/s on machine A with these discs).
#[test]
fn a_violation_is_a_no_and_its_journal_shows_it_again_in_another_process() {
    let desk = scratch("seek-violation");
    let machine = desk.join("fast.toml");
    let shipped =
        std::fs::read_to_string(root().join("recipes/machines/machine-a.toml")).expect("file");
    let fast = shipped.replace("speed-creep = \"0.25 mm/s\"", "speed-creep = \"3.08 mm/s\"");
    assert_ne!(
        fast, shipped,
        "the machine file says its creep otherwise now"
    );
    std::fs::write(&machine, fast).expect("written");
    let (code, report) = sought_and_replayed(&desk, &["--draws=0", "--machine", text(&machine)]);
    assert_eq!(code, Some(1), "{report}");
    assert_eq!(report["violated"], true);
    let contact = report["requirements"]
        .as_array()
        .expect("list")
        .iter()
        .find(|one| one["requirement"] == "first-contact")
        .expect("first contact");
    assert_eq!(contact["violated"], true, "{contact}");
    assert!(contact["worst"]["margin"].as_f64() < Some(0.0), "{contact}");
    assert!(contact["first_violation"].is_u64(), "{contact}");

    // A journal that tells another margin is not the run.
    let journal = desk.join("out/glass-f800-seek-first-contact.jsonl");
    let told = std::fs::read_to_string(&journal).expect("journal");
    let margin = contact["worst"]["margin"].to_string();
    let lied = told.replace(&format!("\"margin\":{margin}"), "\"margin\":-1.5");
    assert_ne!(lied, told, "{margin}");
    std::fs::write(&journal, lied).expect("written");
    let replay = [
        "run",
        RECIPE,
        "--machine",
        text(&machine),
        "--replay",
        text(&journal),
        "--format=json",
    ];
    let (code, said) = json(&replay);
    assert_eq!(code, 1);
    assert_eq!(said["same_as_journal"], false);
}

#[test]
fn what_does_not_go_with_it_is_refused() {
    for (arguments, word) in [
        (&["--seek=0"][..], "--seek"),
        (&["--seek=5", "--runs=3"], "--runs"),
        (&["--seek=5", "--no-report"], "--no-report"),
        (&["--seek=5", "--format=junit"], "JUnit"),
        (&["--draws=5"], "--seek"),
    ] {
        let ran = twinplate(&[&["check", RECIPE], arguments].concat());
        assert_eq!(ran.code, 2, "{arguments:?}: {}", ran.err);
        assert!(ran.complaint().contains(word), "{arguments:?}: {}", ran.err);
    }
}

/// A journal is a file like any other: deviations that no machine can have are refused with the line and what was expected.
#[test]
fn a_journal_with_an_impossible_machine_or_requirement_is_refused() {
    let desk = scratch("seek-impossible");
    let path = desk.join("journal.jsonl");
    let nominal = "\"regulator_gain\":1,\"regulator_offset\":0,\"weight\":1,\"counterbalance\":1,\"seal_friction\":1,\"lag\":1,\
                   \"dead_time\":1,\"supply\":1,\"cell_span\":1,\"noise\":1,\"friction\":1,\"removal\":1,\"spread\":1";
    std::fs::write(
        &path,
        format!("{{\"journal\":1,\"seed\":\"0x1\",\"files\":[],\"deviations\":{{{nominal},\"stiffness\":-3}}}}\n"),
    )
    .expect("written");
    let ran = twinplate(&["run", RECIPE, "--replay", text(&path)]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let complaint = ran.complaint();
    assert!(
        complaint.contains("line 1") && complaint.contains("stiffness = -3"),
        "{complaint}"
    );
    std::fs::write(
        &path,
        "{\"journal\":1,\"seed\":\"0x1\",\"files\":[],\"sought\":{\"requirement\":\"lode-limit\",\"margin\":1.0}}\n",
    )
    .expect("written");
    let ran = twinplate(&["run", RECIPE, "--replay", text(&path)]);
    assert_eq!(ran.code, 2, "{}", ran.err);
    let complaint = ran.complaint();
    assert!(
        complaint.contains("lode-limit") && complaint.contains("load-limit"),
        "{complaint}"
    );
}

//! `check --seek` from outside: what it finds is told, written, and comes out again from its journal in another process.

use crate::{command, json, root, scratch, text, twinplate};
use serde_json::Value;

const RECIPE: &str = "recipes/recipes/glass-f800.toml";

#[test]
fn every_worst_case_replays_to_its_hash_in_another_process() {
    let desk = scratch("seek");
    let recipe = root().join(RECIPE);
    let output = command()
        .current_dir(&desk)
        .args(["check", text(&recipe), "--seek=1", "--format=json"])
        .output()
        .expect("the binary starts");
    let shown = String::from_utf8(output.stdout).expect("UTF-8");
    let report: Value = serde_json::from_str(&shown).unwrap_or_else(|e| panic!("{e}\n{shown}"));
    assert_eq!(output.status.code(), Some(0), "{shown}");
    assert_eq!(report["violated"], false);
    let requirements = report["requirements"].as_array().expect("list");
    assert_eq!(requirements.len(), 6);
    for one in requirements {
        // However little time there is, each is looked at, and by as many draws.
        assert!(one["evaluations"].as_u64() >= Some(12), "{one}");
        assert_eq!(one["evaluations"], one["draws"], "{one}");
        let journal = desk.join(format!(
            "out/glass-f800-seek-{}.jsonl",
            one["requirement"].as_str().expect("word")
        ));
        let replay = ["run", RECIPE, "--replay", text(&journal), "--format=json"];
        let (code, again) = json(&replay);
        assert_eq!(code, 0, "{again}");
        assert_eq!(again["control_hash"], one["worst"]["control_hash"], "{one}");
    }
}

#[test]
fn what_does_not_go_with_it_is_refused() {
    for (arguments, word) in [
        (&["--seek=0"][..], "--seek"),
        (&["--seek=5", "--runs=3"], "--runs"),
        (&["--seek=5", "--no-report"], "--no-report"),
        (&["--seek=5", "--format=junit"], "JUnit"),
    ] {
        let ran = twinplate(&[&["check", RECIPE], arguments].concat());
        assert_eq!(ran.code, 2, "{arguments:?}: {}", ran.err);
        assert!(ran.complaint().contains(word), "{arguments:?}: {}", ran.err);
    }
}

/// A journal is a file like any other: deviations that no machine can have are refused with the line and what was expected.
#[test]
fn a_journal_with_an_impossible_machine_is_refused() {
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
}

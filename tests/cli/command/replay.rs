//! The same seed gives the same run, bit for bit: across processes, threads, and through the command that `check` prints.

use crate::{json, root, scratch, text, twinplate};
use serde_json::Value;
use std::process::Command;

const RECIPE: &str = "recipes/recipes/zirconia-fixed.toml";

fn hashes(report: &Value) -> (String, String) {
    let of = |key: &str| report[key].as_str().expect("hash").to_owned();
    (of("control_hash"), of("trace_hash"))
}

#[test]
fn two_processes_find_the_same_hashes_and_another_seed_others() {
    let run = |seed: &str| hashes(&json(&["run", RECIPE, "--format=json", "--seed", seed]).1);
    let first = run("11");
    assert_eq!(first, run("0xb"));
    let other = run("12");
    assert_ne!(first.0, other.0);
    assert_ne!(first.1, other.1);
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let check = |threads: &str| {
        let call = [
            "check",
            RECIPE,
            "--runs=6",
            "--no-report",
            "--format=json",
            threads,
        ];
        twinplate(&call).out
    };
    let one = check("--threads=1");
    assert!(one.contains("control_hash"), "{one}");
    assert_eq!(one, check("--threads=2"));
    assert_eq!(one, check("--threads=5"));
}

/// `check` prints a command and the hash that it must give: the command is given to a shell as it stands.
#[test]
fn the_printed_command_gives_the_printed_hash() {
    let ran = twinplate(&["check", RECIPE, "--runs=6", "--seed=5", "--no-report"]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let line = ran
        .out
        .lines()
        .find(|line| line.contains("--draw"))
        .unwrap_or_else(|| panic!("no command in\n{}", ran.out));
    let hash = ran
        .out
        .split_whitespace()
        .find(|word| word.starts_with("0x"))
        .expect("hash")
        .trim_end_matches(':');
    let again = Command::new("sh")
        .arg("-c")
        .arg(line)
        .current_dir(root())
        .output()
        .expect("a shell");
    let said = String::from_utf8(again.stdout).expect("UTF-8");
    assert_eq!(again.status.code(), Some(0), "{line}\n{said}");
    assert!(
        said.contains(&format!("control hash {hash}")),
        "{line}: no {hash} in\n{said}"
    );
}

#[test]
fn the_worst_run_of_the_json_is_the_run_of_its_number() {
    let (_, report) = json(&["check", RECIPE, "--runs=6", "--no-report", "--format=json"]);
    let (mut drawn, mut warm) = (0, 0);
    for case in report["envelope"]["cases"].as_array().expect("cases") {
        let draw = case["draw"].to_string();
        drawn += u32::from(draw != "0");
        let mut call = vec!["run", RECIPE, "--format=json", "--draw", &draw];
        if case["warm"] == true {
            call.push("--warm");
            warm += 1;
        }
        let (_, run) = json(&call);
        assert_eq!(run["plates_before_c"].is_null(), case["warm"] == false);
        assert_eq!(run["control_hash"], case["control_hash"], "{case}");
    }
    // Runs of the envelope were among them, not the nominal one alone, and some that began warm.
    assert!(drawn > 0 && warm > 0, "{report}");
}

#[test]
fn a_journal_gives_its_run_again_and_knows_when_it_does_not() {
    let folder = scratch("replay-journal");
    let journal = folder.join("journal");
    let scenario = "recipes/scenarios/emergency-stop.toml";
    let call = [
        "run",
        RECIPE,
        "--draw=3",
        "--scenario",
        scenario,
        "--format=json",
        "--journal",
        text(&journal),
    ];
    let (code, first) = json(&call);
    assert_eq!(code, 0, "{first}");
    assert_eq!(first["ended"], "stopped");
    let replay = ["run", RECIPE, "--replay", text(&journal), "--format=json"];
    let (code, again) = json(&replay);
    assert_eq!(
        (code, again["same_as_journal"].as_bool()),
        (0, Some(true)),
        "{again}"
    );
    assert_eq!(hashes(&first), hashes(&again));
    assert_eq!(first["phases"], again["phases"]);

    // The hand comes off the button a little later: another run, and the answer is no.
    let text_of = std::fs::read_to_string(&journal).expect("journal");
    let line = text_of
        .lines()
        .find(|line| line.contains("PressEstop"))
        .expect("the button is in the journal");
    let tick: u32 = line
        .trim_start_matches("{\"tick\":")
        .split(',')
        .next()
        .and_then(|number| number.parse().ok())
        .expect("tick");
    let moved = line.replace(&tick.to_string(), &(tick + 1).to_string());
    std::fs::write(&journal, text_of.replace(line, &moved)).expect("written");
    let (code, other) = json(&replay);
    assert_eq!(
        (code, other["same_as_journal"].as_bool()),
        (1, Some(false)),
        "{other}"
    );
}

#[test]
fn finer_steps_are_asked_for_told_and_kept_in_the_journal() {
    let journal = scratch("replay-finer").join("journal");
    let call = ["run", RECIPE, "--step=3", "--format=json"];
    let (code, finer) = json(&[&call[..], &["--journal", text(&journal)]].concat());
    assert_eq!((code, finer["substeps"].as_u64()), (0, Some(3)), "{finer}");
    let (_, ticks) = json(&["run", RECIPE, "--format=json"]);
    assert_eq!(ticks["substeps"], 1);
    assert_ne!(hashes(&ticks), hashes(&finer));

    let (code, again) = json(&["run", RECIPE, "--replay", text(&journal), "--format=json"]);
    assert_eq!(
        (code, again["same_as_journal"].as_bool()),
        (0, Some(true)),
        "{again}"
    );
    assert_eq!(hashes(&again), hashes(&finer));

    for wrong in ["0", "101", "-1", "2.5", "fine"] {
        let ran = twinplate(&["run", RECIPE, "--step", wrong]);
        assert_eq!(ran.code, 2, "{wrong}: {}", ran.out);
        let said = ran.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains("from 1 to 100"), "{wrong}: {said}");
    }
    // A journal that was tampered with says where.
    let text_of = std::fs::read_to_string(&journal).expect("journal");
    let tampered = text_of.replace("\"substeps\":3", "\"substeps\":0");
    assert_ne!(tampered, text_of);
    std::fs::write(&journal, tampered).expect("written");
    let ran = twinplate(&["run", RECIPE, "--replay", text(&journal)]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("0 substeps"), "{}", ran.err);
}

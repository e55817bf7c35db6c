//! What is said is about what was asked: pages of runs, faults that never came, waivers that waive nothing, errors beside a search.

use crate::{json, root, scratch, text, twinplate};
use std::fs;

const GOOD: &str = "recipes/recipes/glass-f800.toml";
const BLOCKED: &str = "recipes/scenarios/slurry-line-blocks.toml";

#[test]
fn the_page_of_a_run_tells_of_that_run() {
    let page = scratch("told-page").join("r.html");
    let ran = twinplate(&["run", GOOD, "--scenario", BLOCKED, "--report", text(&page)]);
    let page = fs::read_to_string(&page).expect("a page");
    for wanted in [
        "<title>pass - run glass-f800</title>",
        "scenario slurry-line-blocks",
        "stopped (state Stopped)",
        "first cause: flow-low",
        "Parts as they are",
        "The cycle as it went",
    ] {
        assert!(page.contains(wanted), "no `{wanted}` on the page");
    }
    for foretold in [
        "Predicted result",
        "Overshoot over the envelope",
        "check glass-f800",
    ] {
        assert!(
            !page.contains(foretold),
            "`{foretold}` is on the page of a run"
        );
    }
    // The page's parts are the text's.
    let parts = ran
        .out
        .lines()
        .find_map(|line| line.strip_prefix("mean size "))
        .and_then(|line| line.split(", ").nth(1))
        .expect("parts")
        .to_owned();
    assert!(page.contains(&parts), "{parts} is not on the page");
}

/// The same scenario with its one event set to another moment.
fn moved(name: &str, from: &str, to: &str) -> String {
    let file = scratch(name).join("slurry-line-blocks.toml");
    let scenario = fs::read_to_string(crate::root().join(BLOCKED)).expect("a scenario");
    assert!(scenario.contains(from), "{scenario}");
    fs::write(&file, scenario.replace(from, to)).expect("written");
    text(&file).to_owned()
}

#[test]
fn a_fault_that_never_came_is_told() {
    let late = moved("told-late", "after = \"30 s\"", "after = \"5000 s\"");
    let ran = twinplate(&["run", GOOD, "--scenario", &late]);
    assert!(
        ran.out
            .contains("NEVER HAPPENED: event 1 (fault slurry-line off, 5000 s after dwell)"),
        "{}",
        ran.out
    );
    let came = twinplate(&["run", GOOD, "--scenario", BLOCKED]);
    assert!(!came.out.contains("NEVER HAPPENED"), "{}", came.out);
}

#[test]
fn a_step_that_the_recipe_does_not_have_is_an_error_of_the_scenario() {
    let file = moved(
        "told-step",
        "phase = \"dwell\"",
        "phase = \"dwell\"\nstep = 9",
    );
    let ran = twinplate(&["run", GOOD, "--scenario", &file]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    let said = ran.complaint();
    for wanted in [
        "no-such-step",
        "no step 9",
        "a step from 1 to 2",
        "step = 9",
    ] {
        assert!(said.contains(wanted), "no `{wanted}` in {said}");
    }
}

#[test]
fn a_waiver_that_waives_nothing_is_told() {
    let (code, value) = json(&[
        "check",
        GOOD,
        "--runs",
        "0",
        "--no-report",
        "--format",
        "json",
        "--waive",
        "creep-too-fast",
        "--reason",
        "old",
    ]);
    assert_eq!(code, 0);
    let codes: Vec<&str> = value["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter_map(|finding| finding["code"].as_str())
        .collect();
    assert_eq!(codes, ["waiver-idle"]);
}

#[test]
fn what_the_controller_refuses_is_told_in_words() {
    let (code, value) = json(&[
        "check",
        "recipes/bad/limit-in-margin.toml",
        "--no-report",
        "--format",
        "json",
        "--waive",
        "limit-inside-governor",
        "--reason",
        "to see what the controller says",
    ]);
    assert_eq!(code, 1);
    let refused = value["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .find(|finding| finding["code"] == "proof-refused")
        .expect("the refusal is a finding of its own");
    assert_eq!(
        refused["message"],
        "no run could be made: the controller refuses the recipe: the load limit is closer to the load than twice the governor's \
         half-width (step 2)"
    );
}

#[test]
fn a_search_does_not_hide_what_a_check_finds() {
    let desk = scratch("told-seek");
    let recipe = crate::root().join("recipes/bad/creep-too-fast.toml");
    let output = crate::command()
        .current_dir(&desk)
        .args(["check", text(&recipe), "--seek", "1", "--draws", "0"])
        .output()
        .expect("the binary starts");
    let said = String::from_utf8(output.stdout).expect("UTF-8");
    assert_eq!(output.status.code(), Some(1), "{said}");
    // Wrapped where a line is full.
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        flat.contains("`check` fails this recipe: creep-too-fast"),
        "{said}"
    );
    let both = twinplate(&["check", GOOD, "--seek", "1", "--faults"]);
    assert_eq!(both.code, 2);
    assert!(both.err.contains("cannot be used with"), "{}", both.err);
}

/// A run that stops on its own machine's drag is told which keys of the machine file make it, not to look for a doubled part.
#[test]
fn contact_in_the_air_by_the_machines_own_drag_names_its_keys() {
    let folder = scratch("felt-descent");
    let path = folder.join("machine-a.toml");
    let machine =
        std::fs::read_to_string(root().join("recipes/machines/machine-a.toml")).expect("machine");
    let line = machine
        .lines()
        .find(|line| line.starts_with("guide-drag ="))
        .expect("guide-drag");
    std::fs::write(&path, machine.replace(line, "guide-drag = \"1200 N·s/m\"")).expect("written");
    let ran = twinplate(&[
        "run",
        "recipes/recipes/glass-f800.toml",
        "--machine",
        text(&path),
    ]);
    let one_line = ran.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        one_line.contains("first cause: contact-high (row 40)"),
        "{}",
        ran.out
    );
    for key in [
        "`actuator.guide-drag`",
        "`actuator.speed-fast`",
        "1200 N·s/m",
        "20 mm/s",
    ] {
        assert!(one_line.contains(key), "{key}: {}", ran.out);
    }
    assert!(!one_line.contains("doubled"), "{}", ran.out);
    let (code, report) = json(&[
        "check",
        "recipes/recipes/glass-f800.toml",
        "--machine",
        text(&path),
        "--runs=0",
        "--no-report",
        "--format=json",
    ]);
    assert_eq!(code, 1);
    assert_eq!(report["findings"][0]["code"], "descent-felt-as-contact");
}

//! `check --sweep`, `check --beside` and routes from outside: exit codes, JSON, pages, refusals.

use crate::{json, scratch, text, twinplate};

const GLASS: &str = "recipes/recipes/glass-f800.toml";
const ROUTE: &str = "recipes/routes/glass-lap-polish.toml";

#[test]
fn a_sweep_answers_in_text_json_and_a_page() {
    let folder = scratch("several-sweep");
    let page = folder.join("sweep.html");
    let call = [
        "check",
        GLASS,
        "--sweep",
        "pressure=8..12kPa:3",
        "--sweep",
        "speed=0.8..1:2",
        "--runs-each",
        "0",
        "--report",
        text(&page),
    ];
    let ran = twinplate(&call);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        ran.out.contains("2 behind each point") && ran.out.ends_with("verdict: pass\n"),
        "{}",
        ran.out
    );
    let drawn = std::fs::read_to_string(&page).expect("the page");
    assert!(
        drawn.contains("class=\"edge\"") && drawn.contains("What binds"),
        "no region"
    );
    assert!(drawn.contains("behind each point"));
    let asked: Vec<&str> = call.iter().copied().chain(["--format", "json"]).collect();
    let value = json(&asked).1;
    assert_eq!(value["points"].as_array().map(Vec::len), Some(6));
    assert_eq!(value["axes"][0]["values"][1], "10 kPa");
    let good = value["points"]
        .as_array()
        .expect("points")
        .iter()
        .filter(|p| p["feasible"] == true);
    assert_eq!(value["feasible"], good.count());
    let binds = &value["points"][2]["binding"]["code"];
    assert!(
        binds
            .as_str()
            .is_some_and(|code| twinplate(&["explain", code]).code == 0),
        "{binds}"
    );
    // Nowhere feasible: the work ran, and the answer is no.
    let none = twinplate(&[
        "check",
        GLASS,
        "--sweep",
        "pressure=15..20kPa:2",
        "--runs-each",
        "0",
        "--no-report",
    ]);
    assert_eq!(none.code, 1, "{}", none.out);
}

#[test]
fn two_recipes_side_by_side() {
    let bad = "recipes/bad/limit-in-margin.toml";
    let call = [
        "check",
        GLASS,
        "--beside",
        bad,
        "--runs",
        "0",
        "--no-report",
        "--format",
        "json",
    ];
    let (code, value) = json(&call);
    assert_eq!(code, 1, "{value}");
    assert_eq!(value["verdicts"], serde_json::json!(["pass", "fail"]));
    assert_eq!(value["keys"][0]["second"], "290 N");
    let same = twinplate(&[
        "check",
        GLASS,
        "--beside",
        GLASS,
        "--runs",
        "0",
        "--no-report",
    ]);
    assert_eq!(same.code, 0, "{}", same.err);
}

#[test]
fn a_route_is_checked_and_run() {
    let folder = scratch("several-route");
    let page = folder.join("route.html");
    let ran = twinplate(&["check", ROUTE, "--runs", "0", "--report", text(&page)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(
        ran.out.contains("Cautions") && ran.out.ends_with("verdict: pass\n"),
        "{}",
        ran.out
    );
    let drawn = std::fs::read_to_string(&page).expect("the page");
    assert!(drawn.contains("From stage 1 to stage 2") && drawn.contains("differs"));
    let value = json(&[
        "check",
        ROUTE,
        "--runs",
        "0",
        "--no-report",
        "--format",
        "json",
    ])
    .1;
    assert_eq!(value["stages"].as_array().map(Vec::len), Some(2));
    let run = json(&["run", ROUTE, "--format", "json"]).1;
    assert_eq!(
        run["stages"][1]["incoming"][2]["came_um"],
        value["stages"][0]["left"]["damage_um"]
    );
}

#[test]
fn what_does_not_go_together_is_refused() {
    for call in [
        &["check", GLASS, "--sweep", "presure=1..2psi"][..],
        &["check", GLASS, "--sweep", "pressure=1..2psi", "--faults"],
        &[
            "check",
            GLASS,
            "--sweep",
            "pressure=1..2psi",
            "--format",
            "junit",
        ],
        &[
            "check",
            GLASS,
            "--sweep",
            "speed=1..2",
            "--sweep",
            "pressure=1..2psi",
            "--sweep",
            "flow=1..2L/min",
        ],
        &["check", GLASS, "--beside", "no-such.toml"],
        &["check", GLASS, "--runs-each", "3"],
        &["check", GLASS, "--beside", ROUTE],
        &["check", ROUTE, "--sweep", "pressure=1..2psi"],
        &["check", ROUTE, "--seek", "1"],
        &["run", ROUTE, "--batches", "2"],
        &["run", ROUTE, "--trace", "t.csv"],
        &[
            "check",
            GLASS,
            "--sweep",
            "pressure=1..2psi",
            "--report",
            GLASS,
        ],
    ] {
        let ran = twinplate(call);
        assert_eq!(ran.code, 2, "{call:?}: {}{}", ran.out, ran.err);
        assert!(ran.err.contains("error"), "{call:?}: {}", ran.err);
    }
}

//! A failing journal is shortened, and the short one fails the same way, bit for bit, in a fresh process.

use crate::{json, root, scratch, text, twinplate};

/// A thin and brittle part: the one that a descent at full speed cracks.
const RECIPE: &str = "recipes/recipes/glass-f800.toml";

/// A height that comes half a second late, which the parts pay for, among things that do not matter to them.
const SCENARIO: &str = r#"
format = "scenario-1"
id = "late-height"
title = "A height that comes late, and other troubles (invented)"
operator = "by-the-book"
longest = "2 min"

[[events]]
at = "2 s"
fault = "cooling"
mode = "off"

[[events]]
at = "250 ms"
fault = "height-transmitter"
mode = "delayed"
magnitude = "0.5 s"

[[events]]
at = "3 s"
fault = "tank-level"
mode = "stuck"

[[events]]
at = "50 s"
acknowledge = true
"#;

#[test]
fn a_shortened_journal_fails_alike_in_a_fresh_process() {
    let folder = scratch("shrink");
    let [scenario, long, short] =
        ["late-height.toml", "long.jsonl", "short.jsonl"].map(|n| folder.join(n));
    std::fs::write(&scenario, SCENARIO).expect("written");
    let ran = twinplate(&[
        "run",
        RECIPE,
        "--draw=3",
        "--scenario",
        text(&scenario),
        "--journal",
        text(&long),
    ]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);

    let ran = twinplate(&["run", RECIPE, "--shrink", text(&long), "-o", text(&short)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("part overload"), "{}", ran.out);
    let left = std::fs::read_to_string(&short).expect("journal");
    assert!(left.contains("HeightTransmitter"), "{left}");
    for gone in ["Cooling", "TankLevel", "Acknowledge"] {
        assert!(!left.contains(gone), "{gone} does not matter:\n{left}");
    }
    // The drawn machine went back to the one of the file, or nearly.
    assert!(
        left.lines().count()
            < std::fs::read_to_string(&long)
                .expect("journal")
                .lines()
                .count()
    );

    // Two fresh processes give the run of the short journal, with its hash.
    let replay = ["run", RECIPE, "--replay", text(&short), "--format=json"];
    let (code, first) = json(&replay);
    assert_eq!(first["same_as_journal"], true, "{first}");
    assert_eq!(code, 1, "it still fails: {first}");
    let (_, second) = json(&replay);
    assert_eq!(first["control_hash"], second["control_hash"]);
    assert_eq!(first["trace_hash"], second["trace_hash"]);

    // Shortening what is short changes nothing that matters.
    let again = folder.join("again.jsonl");
    let ran = twinplate(&["run", RECIPE, "--shrink", text(&short), "-o", text(&again)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let lines = |path: &std::path::Path| {
        std::fs::read_to_string(path)
            .expect("journal")
            .lines()
            .count()
    };
    assert_eq!(lines(&again), lines(&short));
}

#[test]
fn a_run_that_does_nothing_wrong_has_nothing_to_shorten() {
    let folder = scratch("shrink-good");
    let [journal, short] = ["good.jsonl", "short.jsonl"].map(|n| folder.join(n));
    let ran = twinplate(&["run", RECIPE, "--journal", text(&journal)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    let ran = twinplate(&[
        "run",
        RECIPE,
        "--shrink",
        text(&journal),
        "-o",
        text(&short),
    ]);
    assert_eq!(ran.code, 1, "{}{}", ran.out, ran.err);
    assert!(!short.exists());
}

#[test]
fn the_matrix_and_the_shortening_refuse_what_does_not_go_together() {
    for call in [
        &["run", RECIPE, "--shrink", "x.jsonl"][..],
        &["run", RECIPE, "-o", "x.jsonl"],
        &[
            "run", RECIPE, "--shrink", "x.jsonl", "-o", "y.jsonl", "--seed=1",
        ],
        &["run", RECIPE, "--shrink", "no-such.jsonl", "-o", "y.jsonl"],
        &["check", RECIPE, "--faults", "--runs=5"],
        &["check", RECIPE, "--faults", "--format=junit"],
    ] {
        let ran = twinplate(call);
        assert_eq!(ran.code, 2, "{call:?}: {}{}", ran.out, ran.err);
        // Where a form for programs was asked for, it is the error that stands there.
        let asked = call.contains(&"--format=junit");
        assert!(ran.out.is_empty() || asked, "{call:?}: {}", ran.out);
    }
    assert!(!root().join("y.jsonl").exists());
}

/// A gauge that reads thick: the batch is finished, too thin, and nothing else is wrong.
const MISREAD: &str = r#"
format = "scenario-1"
id = "gauge-misreads"
title = "A gauge that reads five micrometres too much, and another trouble (invented)"
operator = "by-the-book"
longest = "12 min"

[[events]]
at = "1 s"
fault = "gauge"
mode = "wrong"
magnitude = "5 µm"

[[events]]
at = "3 s"
fault = "tank-level"
mode = "stuck"
"#;

#[test]
fn a_batch_out_of_size_is_shortened_to_what_made_it_so() {
    let folder = scratch("shrink-size");
    let [scenario, long, short] =
        ["gauge-misreads.toml", "long.jsonl", "short.jsonl"].map(|n| folder.join(n));
    std::fs::write(&scenario, MISREAD).expect("written");
    twinplate(&[
        "run",
        RECIPE,
        "--scenario",
        text(&scenario),
        "--journal",
        text(&long),
    ]);
    let ran = twinplate(&["run", RECIPE, "--shrink", text(&long), "-o", text(&short)]);
    assert_eq!(ran.code, 0, "{}{}", ran.out, ran.err);
    assert!(ran.out.contains("a part out of size"), "{}", ran.out);
    let left = std::fs::read_to_string(&short).expect("journal");
    assert!(
        left.contains("Gauge") && !left.contains("TankLevel"),
        "{left}"
    );
    let (_, again) = json(&["run", RECIPE, "--replay", text(&short), "--format=json"]);
    assert_eq!(again["same_as_journal"], true, "{again}");
    let target = 538.0 - 3.0;
    assert!(
        again["thickness_um"]["min"].as_f64().expect("a size") < target,
        "{again}"
    );
}

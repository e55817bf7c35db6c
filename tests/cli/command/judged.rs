//! Every target of the batch is judged, in every form of the answer, and each by what it is about.

use crate::{json, root, scratch, text, twinplate};
use serde_json::Value;

const GOOD: &str = "recipes/recipes/glass-f800.toml";
const BRIEF: [&str; 3] = ["check", GOOD, "--runs=0"];

fn call(more: &[&str]) -> Vec<String> {
    BRIEF.iter().chain(more).map(ToString::to_string).collect()
}

fn ran(more: &[&str]) -> crate::Ran {
    let call = call(more);
    twinplate(&call.iter().map(String::as_str).collect::<Vec<_>>())
}

#[test]
fn text_json_and_page_tell_every_target_in_one_order_and_how_flat() {
    let page = scratch("judged").join("page.html");
    let told = ran(&["--report", text(&page)]);
    assert_eq!(told.code, 0, "{}", told.err);
    let one_line = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(one_line.contains("light bands"), "{}", told.out);
    assert_eq!(told.out.lines().last(), Some("verdict: pass"));
    let page = std::fs::read_to_string(page).expect("the page");
    assert!(page.contains("light bands") && page.contains("Plates before and after"));

    let asked = call(&["--no-report", "--format=json"]);
    let (code, report) = json(&asked.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!((code, report["verdict"].as_str()), (0, Some("pass")));
    let judged = report["judged"].as_array().expect("a list");
    same_order(judged, &[&told.out, &page]);
    for target in judged {
        let number = |field: &str| target[field].as_f64().expect(field);
        assert!(number("best") <= number("nominal") && number("nominal") <= number("worst"));
        assert!((number("allowed") - number("worst") - number("left")).abs() < 1e-9);
        assert_eq!(target["met"], number("left") >= 0.0, "{target}");
    }
    // Hundredths of a micrometre and tenths of a band: what a gauge and an eye see.
    for (field, digits) in [
        ("flatness_um", 100.0),
        ("parallelism_um", 100.0),
        ("flatness_bands", 10.0),
    ] {
        let shown = report["prediction"][field].as_f64().expect(field) * digits;
        assert!(
            (shown - twinplate_sim::math::round(shown)).abs() < 1e-6 && shown > 0.0,
            "{field} {shown}"
        );
    }
}

/// A row a target, in one order wherever it is told, each with what is allowed and what the worst run leaves of it.
fn same_order(judged: &[Value], told: &[&str]) {
    let names: Vec<&str> = judged.iter().filter_map(|t| t["by"].as_str()).collect();
    assert!(names.len() >= 7, "{names:?}");
    for text in told {
        let at = text
            .find("What the batch asks, and what it gets")
            .expect("the table");
        let found: Vec<Option<usize>> = names.iter().map(|name| text[at..].find(name)).collect();
        assert!(found.iter().all(Option::is_some), "{names:?} {found:?}");
        assert!(found.is_sorted(), "{names:?} {found:?}");
    }
}

/// A target that the worst run misses is told as missed: by a word and a minus, not by a colour alone.
#[test]
fn a_missed_target_says_so_in_its_row() {
    let folder = scratch("missed");
    let batch = root().join("recipes/batches/glass-discs.toml");
    let tight = std::fs::read_to_string(batch)
        .expect("batch")
        .replace("flatness = \"5 µm\"", "flatness = \"0.5 µm\"");
    let path = folder.join("glass-discs.toml");
    std::fs::write(&path, tight).expect("written");
    let told = ran(&["--batch", text(&path), "--no-report"]);
    assert_eq!(told.code, 1, "{}", told.err);
    let row = told
        .out
        .lines()
        .find(|line| line.starts_with("  flatness of a face"))
        .expect("its row");
    assert!(row.ends_with(" NO") && row.contains(" -0."), "{row}");
    let good = told.out.lines().find(|l| l.starts_with("  roughness"));
    assert!(good.is_some_and(|row| row.ends_with(" yes")), "{good:?}");
}

/// The report of a check of the good recipe on a batch whose file was changed by `(key, value)`.
fn changed(name: &str, runs: &str, changes: &[(&str, &str)]) -> (i32, Value) {
    let folder = scratch(name);
    let batch = root().join("recipes/batches/glass-discs.toml");
    let batch = std::fs::read_to_string(batch).expect("batch");
    let lines = batch.lines().map(|line| {
        let key = line.split(" =").next().unwrap_or("");
        let change = changes.iter().find(|(changed, _)| *changed == key);
        change.map_or_else(
            || line.to_owned(),
            |(key, value)| format!("{key} = {value}"),
        )
    });
    let path = folder.join("glass-discs.toml");
    std::fs::write(&path, lines.collect::<Vec<_>>().join("\n")).expect("written");
    json(&[
        "check",
        GOOD,
        runs,
        "--batch",
        text(&path),
        "--no-report",
        "--format=json",
    ])
}

fn codes(report: &Value) -> Vec<&str> {
    let findings = report["findings"].as_array().expect("findings");
    findings.iter().filter_map(|f| f["code"].as_str()).collect()
}

#[test]
fn what_no_lapping_gives_fails_for_its_reason() {
    let flat = ("flatness", "\"10 nm\"");
    let parallel = ("parallelism", "\"0.1 µm\"");
    let sized = ("tolerance", "\"0.25 µm\"");
    // The parts differ too much for the size; a static error, before any run.
    let (code, report) = changed("tight", "--runs=8", &[flat, parallel, sized]);
    assert_eq!((code, report["verdict"].as_str()), (1, Some("fail")));
    assert_eq!(codes(&report), ["spread-too-wide", "proof-skipped"]);
    // And with a size that they can keep, the runs find the rest.
    let (code, report) = changed("uneven", "--runs=8", &[flat, parallel]);
    assert_eq!((code, report["verdict"].as_str()), (1, Some("fail")));
    assert_eq!(codes(&report), ["proof-flatness", "proof-thickness-within"]);
}

/// The batch's parallelism is a part's own: how far the parts differ from one another breaks no such target, and what differs within
/// a part breaks no tolerance of size.
#[test]
fn parallelism_is_held_against_the_thickness_within_a_part() {
    let (code, report) = changed("parallelism", "--runs=0", &[("parallelism", "\"20 nm\"")]);
    assert_eq!((code, codes(&report)), (1, vec!["proof-thickness-within"]));
    let cases = report["envelope"]["cases"].as_array().expect("cases");
    let case = |what: &str| {
        cases
            .iter()
            .find(|case| case["what"] == what)
            .expect("still shown")
    };
    // Both sides of ± 3 µm.
    assert_eq!(case("thickness spread, 6 sd")["limit"], 6.0);
    assert_eq!(case("thickness within a part")["limit"], 0.02);
    // A taper that lapping takes away breaks nothing; one that is left does.
    let (code, report) = changed("taper", "--runs=0", &[("taper", "\"3 µm\"")]);
    assert_eq!(code, 0, "{}", report["findings"]);
}

/// A thin part springs back: the bow it came with stays.
#[test]
fn a_bow_stays_in_a_thin_part_and_fails_its_flatness() {
    let (code, report) = changed("bow", "--runs=0", &[("bow", "\"6 µm\"")]);
    assert_eq!((code, codes(&report)), (1, vec!["proof-flatness"]));
}

/// Parts that differ by less than the digits shown are not told as a range of equal numbers.
#[test]
fn a_range_of_parts_shows_digits_that_differ() {
    let told = ran(&["--no-report"]);
    let one_line = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!one_line.contains("parts 538.10 to 538.10"), "{}", told.out);
}

//! What `check` did not judge stands in every form of its answer, and holds the verdict at `warn`; the exit code is as it is for any
//! warning, so that a pipeline can tell it from a failure.

use crate::{json, root, scratch, text, twinplate};

const GOOD: &str = "recipes/recipes/glass-f800.toml";
/// What no model here computes, in the batch file's words.
const SAID: &str = "not judged: flatness, parallelism";
const BRIEF: [&str; 3] = ["check", GOOD, "--runs=0"];

fn call(more: &[&str]) -> Vec<String> {
    BRIEF.iter().chain(more).map(ToString::to_string).collect()
}

fn ran(more: &[&str]) -> crate::Ran {
    let call = call(more);
    twinplate(&call.iter().map(String::as_str).collect::<Vec<_>>())
}

#[test]
fn text_json_junit_and_page_say_what_is_not_judged() {
    let page = scratch("not-judged").join("page.html");
    let told = ran(&["--report", text(&page)]);
    assert_eq!(told.code, 0, "{}", told.err);
    let one_line = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(one_line.contains(SAID), "{}", told.out);
    assert_eq!(told.out.lines().last(), Some("verdict: warn"));
    let page = std::fs::read_to_string(page).expect("the page");
    assert!(page.contains(SAID) && !page.contains("PASS"), "the page");

    let asked = call(&["--no-report", "--format=json"]);
    let (code, report) = json(&asked.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!((code, report["verdict"].as_str()), (0, Some("warn")));
    let names: Vec<&str> = report["not_judged"]
        .as_array()
        .expect("a list")
        .iter()
        .filter_map(|target| target["name"].as_str())
        .collect();
    assert_eq!(format!("not judged: {}", names.join(", ")), SAID);
    assert!(report["findings"].as_array().is_some_and(Vec::is_empty));

    let junit = ran(&["--no-report", "--format=junit"]);
    assert_eq!(junit.code, 0, "{}", junit.err);
    let document = roxmltree::Document::parse(&junit.out).expect("XML");
    let skipped: Vec<String> = document
        .descendants()
        .filter(|node| node.has_tag_name("skipped"))
        .filter_map(|node| {
            let why = node.attribute("message")?;
            let name = node.parent()?.attribute("name")?;
            why.starts_with(&format!("not judged: {name}"))
                .then(|| name.to_owned())
        })
        .collect();
    assert_eq!(format!("not judged: {}", skipped.join(", ")), SAID);
}

/// `--fail-on` looks at findings. What no version of this program judges is none of them: nobody could use the option else.
#[test]
fn what_is_not_judged_is_no_finding_and_changes_no_exit_code() {
    for strict in ["error", "warning"] {
        let told = ran(&["--no-report", "--fail-on", strict]);
        assert_eq!(told.code, 0, "{strict}: {}", told.out);
        assert_eq!(told.out.lines().last(), Some("verdict: warn"));
    }
    let bad = twinplate(&[
        "check",
        "recipes/bad/creep-too-fast.toml",
        "--no-report",
        "--runs=0",
    ]);
    assert_eq!(
        (bad.code, bad.out.lines().last()),
        (1, Some("verdict: fail"))
    );
}

/// The batch's parallelism is a part's own: how far the parts differ from one another breaks no such target, however narrow.
#[test]
fn parallelism_within_a_part_is_not_held_against_the_spread_between_parts() {
    let folder = scratch("parallelism");
    let batch =
        std::fs::read_to_string(root().join("recipes/batches/glass-discs.toml")).expect("batch");
    let line = batch
        .lines()
        .find(|line| line.starts_with("parallelism ="))
        .expect("parallelism");
    let path = folder.join("glass-discs.toml");
    std::fs::write(&path, batch.replace(line, "parallelism = \"10 nm\"")).expect("written");
    let asked = call(&["--batch", text(&path), "--no-report", "--format=json"]);
    let (code, report) = json(&asked.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(code, 0, "{}", report["findings"]);
    let spread = report["envelope"]["cases"]
        .as_array()
        .expect("cases")
        .iter()
        .find(|case| case["what"] == "thickness spread, 6 sd")
        .expect("still shown");
    // Both sides of ± 3 µm.
    assert_eq!(spread["limit"], 6.0);
}

/// Parts that differ by less than the digits shown are not told as a range of equal numbers.
#[test]
fn a_range_of_parts_shows_digits_that_differ() {
    let told = ran(&["--no-report"]);
    let one_line = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(!one_line.contains("parts 538.10 to 538.10"), "{}", told.out);
}

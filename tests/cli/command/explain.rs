//! `explain` and `--help`.

use crate::{json, twinplate};

#[test]
fn every_vocabulary_is_explained() {
    for (code, words) in [
        ("creep-too-fast", ["Why", "Remedy"]),
        ("cell-line", ["category 1", "Reset"]),
        ("9", ["cell-line", "interlock 9"]),
        ("missing-unit", ["kPa", "Remedy"]),
    ] {
        let ran = twinplate(&["explain", code]);
        assert_eq!(ran.code, 0, "{code}: {}", ran.err);
        for word in words {
            assert!(
                ran.out.contains(word),
                "{code}: no `{word}` in\n{}",
                ran.out
            );
        }
        assert!(
            ran.out.lines().all(|line| line.chars().count() <= 80),
            "{}",
            ran.out
        );
    }
}

#[test]
fn every_listed_code_is_explained_in_json() {
    let (code, all) = json(&["explain", "--format=json"]);
    assert_eq!(code, 0);
    let codes = all["codes"].as_array().expect("codes");
    // 74 findings, 46 interlocks, 28 file errors when this was written; codes are only ever added.
    assert!(codes.len() >= 148, "{}", codes.len());
    let listed = twinplate(&["explain"]).out;
    for page in codes {
        let name = page["code"].as_str().expect("code");
        assert!(
            listed.split_whitespace().any(|word| word == name),
            "{name} is not listed"
        );
        for key in ["what", "why", "remedy"] {
            assert!(
                page[key].as_str().is_some_and(|text| text.len() > 4),
                "{name}: {key}"
            );
        }
    }
}

#[test]
fn an_unknown_code_is_exit_2_with_the_nearest() {
    for (typed, meant) in [("creep-to-fast", "creep-too-fast"), ("flowlow", "flow-low")] {
        let ran = twinplate(&["explain", typed]);
        assert_eq!((ran.code, ran.out.as_str()), (2, ""));
        assert!(ran.err.contains(meant), "{}", ran.err);
    }
    assert_eq!(twinplate(&["explain", "999"]).code, 2);
}

#[test]
fn every_help_has_an_example() {
    for call in [
        &["--help"][..],
        &["check", "--help"],
        &["run", "--help"],
        &["explain", "--help"],
    ] {
        let ran = twinplate(call);
        assert_eq!(ran.code, 0, "{call:?}");
        assert!(ran.out.contains("Example"), "{}", ran.out);
        assert!(
            ran.out.lines().all(|line| line.chars().count() <= 80),
            "{}",
            ran.out
        );
    }
}

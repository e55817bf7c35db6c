//! `run --batches`: what stays in the machine from batch to batch, a row each.

use crate::{json, twinplate};

const RECIPE: &str = "recipes/recipes/silicon-f1000.toml";

#[test]
fn batches_find_warm_and_worn_plates_and_the_first_is_a_run_by_itself() {
    let (code, report) = json(&["run", RECIPE, "--batches=3", "--format=json"]);
    assert_eq!((code, report["verdict"].as_str()), (0, Some("pass")));
    let rows = report["batches"].as_array().expect("rows");
    assert_eq!(rows.len(), 3);
    let of = |row: usize, field: &str| {
        rows[row]
            .pointer(field)
            .and_then(|v| v.as_f64())
            .expect("a number")
    };
    assert!(
        of(1, "/plates_c/0") > of(0, "/plates_c/0") && of(2, "/plates_c/0") > of(1, "/plates_c/0")
    );
    assert_ne!(rows[1]["mean_um"], rows[0]["mean_um"], "parts of their own");
    let (_, alone) = json(&["run", RECIPE, "--format=json"]);
    assert_eq!(alone["thickness_um"]["mean"], rows[0]["mean_um"]);
    assert_eq!(alone["form"], rows[0]["form"]);
}

#[test]
fn the_table_is_narrow_and_options_that_make_no_sense_are_refused() {
    let told = twinplate(&["run", RECIPE, "--batches", "2"]);
    assert_eq!(told.code, 0, "{}", told.err);
    let rows: Vec<&str> = told.out.lines().skip(2).take(4).collect();
    assert!(
        rows.iter().all(|row| row.chars().count() <= 67),
        "{}",
        told.out
    );
    assert!(told.out.ends_with("verdict: pass\n"), "{}", told.out);
    for bad in [&["--batches=0"][..], &["--batches=2", "--journal=x.jsonl"]] {
        let call: Vec<&str> = ["run", RECIPE].iter().chain(bad).copied().collect();
        assert_eq!(twinplate(&call).code, 2, "{bad:?}");
    }
}

#[test]
fn bands_are_read_where_the_recipe_says_so_and_both_plates_are_told_in_words() {
    let flat = "recipes/variants/glass-flat.toml";
    let (code, report) = json(&["run", flat, "--batches=3", "--format=json"]);
    assert_eq!(code, 0);
    for row in report["batches"].as_array().expect("rows") {
        let read = row["read_um"].as_array().expect("bands are read");
        assert!(read.iter().all(|form| form.as_f64().is_some()), "{row}");
        assert_eq!(
            (&row["conditioned"], row["conditioned_to_um"].is_null()),
            (&serde_json::json!(false), true)
        );
    }
    let (_, report) = json(&["run", RECIPE, "--batches=1", "--format=json"]);
    assert!(report["batches"][0]["read_um"].is_null());
    let told = twinplate(&["run", flat, "--batches", "2"]);
    assert!(told.out.lines().all(|line| line.chars().count() <= 80));
    let words = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for part in [
        "to the lower plate and",
        "to the upper as programmed",
        "What levels one plate can ruin the other: look at both.",
    ] {
        assert!(words.contains(part), "{part}: {}", told.out);
    }
}

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

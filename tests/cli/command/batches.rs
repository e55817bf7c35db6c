//! `run --batches`: what stays in the machine from batch to batch, a row each.

use crate::{json, scratch, twinplate};

const RECIPE: &str = "recipes/recipes/silicon-f1000.toml";
const STEEL: &str = "recipes/recipes/steel-f400.toml";

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

/// The page, the text and the JSON tell of the same run: how flat, how far apart, when conditioned, how the worst part looks.
#[test]
fn the_page_of_a_run_of_batches_shows_what_its_json_says() {
    let folder = scratch("batches-page");
    let page = folder.join("batches.html");
    let page = page.to_str().expect("a path");
    let machine = conditioned_soon(&folder);
    let call = ["run", STEEL, "--machine", &machine, "--batches=3"];
    let told = twinplate(&[&call[..], &["--report", page]].concat());
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(
        told.out.contains(&format!("report: {page}")),
        "{}",
        told.out
    );
    let (_, report) = json(&[&call[..], &["--format=json"]].concat());
    let rows = report["batches"].as_array().expect("rows");
    let html = std::fs::read_to_string(page).expect("the page");
    let flat = |row: &serde_json::Value| row["form"]["flatness_um"].as_f64().expect("a number");
    let worst = rows.iter().rev().max_by(|a, b| flat(a).total_cmp(&flat(b)));
    let worst = worst.expect("one");
    let conditioned: Vec<String> = rows
        .iter()
        .filter(|row| row["conditioned"] == true)
        .map(|row| row["batch"].to_string())
        .collect();
    assert!(!conditioned.is_empty(), "{report}");
    assert!(html.contains(&format!(
        "plates conditioned after batch {}",
        conditioned.join(", ")
    )));
    assert!(told.out.contains("; │ plates conditioned"), "{}", told.out);
    assert!(html.contains(&format!("under an optical flat: batch {}", worst["batch"])));
    let sides = worst["faces"]["sides"].as_array().expect("sides");
    assert_eq!(sides.len(), 3);
    let text = told.out.split_whitespace().collect::<Vec<_>>().join(" ");
    for side in sides {
        let words = side["words"].as_str().expect("words");
        assert!(html.contains(words) && text.contains(words), "{words}");
    }
    // Every pocket has its load, every ring its wear: more of it after three batches than after one.
    let pockets = report["map"]["pockets"].as_array().expect("pockets");
    assert_eq!(
        pockets.len(),
        html.matches("times the mean, on part").count() - 1
    );
    let worn = |report: &serde_json::Value| -> f64 {
        let rings = report["map"]["rings"].as_array().expect("rings");
        assert_eq!(rings.len(), 40);
        rings
            .iter()
            .map(|ring| ring["worn_um"][0].as_f64().expect("a number"))
            .sum()
    };
    let (_, alone) = json(&["run", STEEL, "--machine", &machine, "--format=json"]);
    assert!(worn(&report) > 2.0 * worn(&alone) && worn(&alone) > 0.0);
    assert_eq!(
        alone["faces"], rows[0]["faces"],
        "the first is a run by itself"
    );
}

/// The machine of the steel recipe, conditioned from the smallest form on.
fn conditioned_soon(folder: &std::path::Path) -> String {
    let path = crate::root().join("recipes/machines/machine-b.toml");
    let machine = std::fs::read_to_string(path).expect("a machine");
    let (old, new) = ("at = \"2 µm\"", "at = \"0.1 µm\"");
    assert_eq!(machine.matches(old).count(), 1);
    let path = folder.join("machine-b.toml");
    std::fs::write(&path, machine.replace(old, new)).expect("written");
    path.to_str().expect("a path").to_owned()
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

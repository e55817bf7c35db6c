//! Every constant of the plant and of the controller stands in the book, with what its docs say of it.

use crate::pages::{check, read, root, table};
use crate::source::constants;

fn rows_of(files: &[String], folder: &str) -> String {
    let mut rows = Vec::new();
    for file in files {
        for item in constants(&read(&format!("{folder}/{file}"))) {
            assert!(
                !item.doc.is_empty(),
                "{folder}/{file}: {} has no docs",
                item.name
            );
            rows.push(vec![
                format!("`{}`", item.name),
                format!("`{}`", item.value),
                format!("`{file}`"),
                item.doc,
            ]);
        }
    }
    assert!(!rows.is_empty());
    table(
        &["constant", "value", "file", "what it is, unit, source"],
        rows,
    )
}

#[test]
fn of_the_plant() {
    let folder = "sim-host/sim/src/plant";
    let mut files: Vec<String> = std::fs::read_dir(root().join(folder))
        .expect("plant")
        .map(|entry| {
            entry
                .expect("entry")
                .file_name()
                .to_string_lossy()
                .into_owned()
        })
        .filter(|name| name.ends_with(".rs") && !name.starts_with("tests"))
        .collect();
    files.sort();
    check(
        "docs/process-model.md",
        "constants",
        &rows_of(&files, folder),
    );
}

#[test]
fn of_the_controller() {
    let files = [
        "judge.rs",
        "signal/mod.rs",
        "signal/filter.rs",
        "interlock/conditions.rs",
        "interlock/alarm.rs",
        "controller.rs",
        "controller/outputs.rs",
        "motion/drives.rs",
        "motion/load_loop.rs",
    ]
    .map(str::to_owned);
    check(
        "docs/sequence-and-interlocks.md",
        "constants",
        &rows_of(&files, "firmware-core/src"),
    );
}

#[test]
fn of_the_compiler() {
    check(
        "docs/load-loop.md",
        "constants",
        &rows_of(&["compile.rs".to_owned()], "sim-host/sim/src"),
    );
}

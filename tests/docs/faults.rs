//! The page on faults: which component can fail in which way.

use crate::pages::{check, table};
use twinplate_sim::fault_words::COMPONENTS;
use twinplate_sim::model::FaultMode;
use twinplate_sim::plant::fault_table::{SUPPORTED, mode_name, name, supported};

const PAGE: &str = "docs/faults.md";

#[test]
fn matrix() {
    let mut head = vec!["component"];
    head.extend(FaultMode::ALL.map(mode_name));
    let rows = COMPONENTS.iter().map(|(name, component)| {
        let mut row = vec![format!("`{name}`")];
        row.extend(
            FaultMode::ALL.map(|mode| match supported(*component, mode) {
                Some(row) => row.magnitude.map_or("yes".to_owned(), |m| {
                    format!("{m} {}", row.unit).trim_end().to_owned()
                }),
                None => "–".to_owned(),
            }),
        );
        row
    });
    check(PAGE, "matrix", &table(&head, rows));
}

#[test]
fn meanings() {
    let rows = SUPPORTED.iter().map(|row| {
        let name = name(row.component);
        let magnitude = row
            .magnitude
            .map_or(String::new(), |m| format!("{m} {}", row.unit));
        vec![
            format!("`{name}`"),
            format!("`{}`", mode_name(row.mode)),
            magnitude.trim_end().to_owned(),
            row.meaning.to_owned(),
        ]
    });
    check(
        PAGE,
        "meanings",
        &table(
            &["component", "mode", "default magnitude", "what happens"],
            rows,
        ),
    );
}

//! Keys of the four kinds of file, their units and their errors, from the readers themselves.

use crate::pages::{check, table};
use serde_json::Value;
use twinplate_sim::files::error::CODES;
use twinplate_sim::files::quantity::{Dimension, UNITS};
use twinplate_sim::files::{FileKind, schema};
use twinplate_sim::training::act::ACTS;

const PAGE: &str = "docs/files-and-verbs.md";

fn walk(value: &Value, prefix: &str, rows: &mut Vec<Vec<String>>) {
    let empty = Vec::new();
    let required: Vec<&str> = value["required"]
        .as_array()
        .unwrap_or(&empty)
        .iter()
        .filter_map(Value::as_str)
        .collect();
    let Some(properties) = value["properties"].as_object() else {
        return;
    };
    for (key, property) in properties {
        let path = format!("{prefix}{key}");
        let description = property["description"].as_str().unwrap_or("");
        // Units have a table of their own.
        let description = description.split(" Units: ").next().unwrap_or("");
        let words = property["enum"].as_array().map_or(String::new(), |words| {
            let words: Vec<String> = words
                .iter()
                .filter_map(Value::as_str)
                .map(|w| format!("`{w}`"))
                .collect();
            format!(" One of {}.", words.join(", "))
        });
        let range = match (&property["minimum"], &property["maximum"]) {
            (Value::Number(low), Value::Number(high)) => format!(" From {low} to {high}."),
            _ => String::new(),
        };
        let default = match &property["default"] {
            Value::Null => String::new(),
            other => format!(" Default {other}."),
        };
        rows.push(vec![
            format!("`{path}`"),
            if required.contains(&key.as_str()) {
                "yes"
            } else {
                ""
            }
            .to_owned(),
            format!("{description}{words}{range}{default}"),
        ]);
        walk(property, &format!("{path}."), rows);
        walk(&property["items"], &format!("{path}[]."), rows);
    }
}

#[test]
fn keys_of_every_kind() {
    for kind in FileKind::ALL {
        let schema: Value = serde_json::from_str(&schema::text(kind)).expect("schema");
        let mut rows = Vec::new();
        walk(&schema, "", &mut rows);
        assert!(rows.len() > 10 || kind == FileKind::Route && rows.len() > 4);
        if kind == FileKind::Scenario {
            // What makes an exercise of it stands with the exercises.
            let training;
            (training, rows) = rows
                .into_iter()
                .partition(|row: &Vec<String>| row[0].starts_with("`training."));
            assert!(training.len() > 30);
            let head = ["key", "needed", "meaning"];
            check("docs/training.md", "training-keys", &table(&head, training));
        }
        let head = ["key", "needed", "meaning"];
        check(PAGE, &format!("{}-keys", kind.word()), &table(&head, rows));
    }
}

#[test]
fn units() {
    let rows = Dimension::ALL.iter().map(|dimension| {
        let symbols: Vec<String> = UNITS
            .iter()
            .filter(|unit| dimension.takes(unit.dimension))
            .map(|unit| format!("`{}`", unit.symbol))
            .collect();
        vec![
            dimension
                .name()
                .trim_start_matches("a ")
                .trim_start_matches("an ")
                .to_owned(),
            symbols.join(", "),
            format!("`{}`", dimension.example()),
        ]
    });
    check(
        PAGE,
        "units",
        &table(&["quantity", "units", "example"], rows),
    );
}

#[test]
fn errors() {
    let rows = CODES
        .iter()
        .map(|(code, meaning)| vec![format!("`{code}`"), (*meaning).to_owned()]);
    check(PAGE, "file-errors", &table(&["code", "meaning"], rows));
}

#[test]
fn acts() {
    let rows = ACTS.iter().map(|act| {
        let parameter = match act.parameter {
            "" => String::new(),
            "on" => "`on` or `off`".to_owned(),
            parameter => parameter.to_owned(),
        };
        vec![format!("`{}`", act.word), parameter]
    });
    check(
        "docs/training.md",
        "acts",
        &table(&["act", "parameter"], rows),
    );
}

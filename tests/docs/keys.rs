//! Keys of the four kinds of file, their units and their errors, from the readers themselves.

use crate::pages::{check, root, table};
use serde_json::Value;
use std::path::PathBuf;
use twinplate_check::catalogue::wrap;
use twinplate_sim::files::error::CODES;
use twinplate_sim::files::materials::MATERIALS;
use twinplate_sim::files::quantity::{Dimension, UNITS, parse_any};
use twinplate_sim::files::{self, FileKind, Loaded, schema};
use twinplate_sim::training::act::ACTS;

const PAGE: &str = "docs/files-and-verbs.md";
/// Columns of running text of a page.
const COLUMNS: usize = 135;

fn walk(value: &Value, prefix: &str, rows: &mut Vec<Row>) {
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
        let needed = if required.contains(&key.as_str()) {
            "yes"
        } else {
            ""
        };
        rows.push(Row {
            path: path.clone(),
            cells: vec![
                format!("`{path}`"),
                needed.to_owned(),
                format!("{description}{words}{range}{default}"),
            ],
        });
        walk(property, &format!("{path}."), rows);
        walk(&property["items"], &format!("{path}[]."), rows);
    }
}

/// A row of a table of keys, with its path in the file.
struct Row {
    path: String,
    cells: Vec<String>,
}

/// What the files of the set show: kind and folders, those that come first decide.
fn folders(kind: FileKind) -> &'static [&'static str] {
    match kind {
        FileKind::Machine => &["machines", "variants/machines"],
        FileKind::Batch => &["batches", "variants/batches"],
        FileKind::Recipe => &["recipes", "variants"],
        FileKind::Scenario => &["scenarios", "exercises"],
        FileKind::Shelf => &["shelf"],
        FileKind::Route => &["routes"],
    }
}

/// A value of a file: the text at the place of its path; `None` where the file has no such key.
fn value_at<T>(file: &Loaded<T>, path: &str) -> Option<String> {
    if let Some((before, after)) = path.split_once("[]") {
        return (0..16).find_map(|at| value_at(file, &format!("{before}[{at}]{after}")));
    }
    let place = file.place(path)?;
    let text: String = file.line(place).chars().skip(place.column - 1).collect();
    // A key that is missing is told by the place of its table.
    match text.chars().next()? {
        '"' => Some(text[1..].split('"').next()?.to_owned()),
        '0'..='9' | '-' | 't' | 'f' => {
            let end = text.find([',', ' ', '}', ']', '#']).unwrap_or(text.len());
            Some(text[..end].to_owned())
        }
        _ => None,
    }
}

/// Where a value stands among others of its key.
fn order(value: &str) -> f64 {
    parse_any(value, None).map_or(f64::NAN, |(number, _)| number)
}

/// What a key typically holds: the least and the most of the demonstration set, else what the schema has by default or as an example.
fn typical(kind: FileKind, path: &str, property: &Value) -> String {
    let said = |value: &str| format!("`{value}`");
    for folder in folders(kind) {
        let folder = root().join("recipes").join(folder);
        let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
            .expect("a folder of the set")
            .map(|entry| entry.expect("an entry").path())
            .filter(|path| path.extension().is_some_and(|e| e == "toml"))
            .collect();
        files.sort();
        let found = files.iter().filter_map(|file| match kind {
            FileKind::Machine => value_at(&files::load_machine(file).ok()?, path),
            FileKind::Batch => value_at(&files::load_batch(file).ok()?, path),
            FileKind::Recipe => value_at(&files::load_recipe(file).ok()?, path),
            FileKind::Scenario => value_at(&files::load_scenario(file).ok()?, path),
            FileKind::Shelf => value_at(&files::load_shelf(file).ok()?, path),
            FileKind::Route => value_at(
                &files::load_route(file, &files::Overrides::default())
                    .ok()?
                    .route,
                path,
            ),
        });
        let mut found: Vec<String> = found.collect();
        found.sort_by(|a, b| order(a).total_cmp(&order(b)));
        if let [first, .., last] = &*found
            && order(first) < order(last)
        {
            return format!("{} to {}", said(first), said(last));
        }
        if let Some(first) = found.first() {
            return said(first);
        }
    }
    let text = |value: &Value| value.as_str().map(said);
    let example = text(&property["default"]).or_else(|| text(&property["examples"][0]));
    example.unwrap_or_default()
}

/// The schema's entry of a key's path.
fn property_of<'a>(schema: &'a Value, path: &str) -> &'a Value {
    path.split('.').fold(schema, |value, part| {
        let list = part.strip_suffix("[]");
        let property = &value["properties"][list.unwrap_or(part)];
        if list.is_some() {
            &property["items"]
        } else {
            property
        }
    })
}

/// The keys of a kind, a table for each of the file's own tables, with what each typically holds.
fn grouped(kind: FileKind, schema: &Value, rows: Vec<Row>) -> String {
    let head = ["key", "needed", "typical", "meaning"];
    let mut text = String::new();
    let (mut own, mut groups): (Vec<Row>, Vec<(Row, Vec<Row>)>) = (Vec::new(), Vec::new());
    for row in rows {
        let is_group = !property_of(schema, &row.path)["properties"].is_null()
            || !property_of(schema, &row.path)["items"].is_null();
        match row.path.split(['.', '[']).next() {
            Some(first) if first == row.path && is_group => groups.push((row, Vec::new())),
            Some(first) if first == row.path => own.push(row),
            _ => {
                let (_, keys) = groups.last_mut().expect("its table comes first");
                keys.push(row);
            }
        }
    }
    let drawn = |rows: Vec<Row>| {
        let rows = rows.into_iter().map(|row| {
            let [key, needed, meaning] = <[String; 3]>::try_from(row.cells).expect("three cells");
            let property = property_of(schema, &row.path);
            vec![key, needed, typical(kind, &row.path, property), meaning]
        });
        table(&head, rows)
    };
    text.push_str(&drawn(own));
    for (group, keys) in groups {
        let [key, needed, meaning] = <[String; 3]>::try_from(group.cells).expect("three cells");
        let needed = if needed.is_empty() {
            "May be left out. "
        } else {
            ""
        };
        let meaning = wrap(&format!("{needed}{meaning}"), COLUMNS).join("\n");
        text.push_str(&format!("\n#### {key}\n\n{meaning}\n\n{}", drawn(keys)));
    }
    text
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
            for (part, at_least) in [("training", 30), ("assessment", 6)] {
                let keys;
                (keys, rows) = rows
                    .into_iter()
                    .partition(|row: &Row| row.path.starts_with(&format!("{part}.")));
                assert!(keys.len() > at_least, "{part}");
                let head = ["key", "needed", "meaning"];
                let keys = keys.into_iter().map(|row| row.cells);
                check(
                    "docs/training.md",
                    &format!("{part}-keys"),
                    &table(&head, keys),
                );
            }
        }
        let text = grouped(kind, &schema, rows);
        check(PAGE, &format!("{}-keys", kind.word()), &text);
    }
}

/// What is typical is what stands in the files of the set.
#[test]
fn typical_values_are_those_of_the_set() {
    let schema: Value = serde_json::from_str(&schema::text(FileKind::Machine)).expect("schema");
    let mass = typical(
        FileKind::Machine,
        "actuator.mass",
        property_of(&schema, "actuator.mass"),
    );
    assert_eq!(mass, "`58 kg` to `540 kg`");
    let schema: Value = serde_json::from_str(&schema::text(FileKind::Recipe)).expect("schema");
    let path = "steps[].end.size";
    assert!(typical(FileKind::Recipe, path, property_of(&schema, path)).ends_with(" mm`"));
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
fn materials() {
    let rows = MATERIALS.iter().map(|material| {
        vec![
            material.name.to_owned(),
            format!("{}", material.density),
            format!("{}", material.modulus / 1e9),
            format!("{}", material.bending / 1e6),
        ]
    });
    let head = [
        "material",
        "density, kg/m³",
        "elastic modulus, GPa",
        "bending stress, MPa",
    ];
    check(PAGE, "materials", &table(&head, rows));
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

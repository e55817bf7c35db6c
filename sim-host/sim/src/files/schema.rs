//! JSON Schema (draft 2020-12) of each kind of file, generated from the same calls that read it. Committed under
//! `docs/schema/` so that editors complete and check; a test keeps the copies current.

use super::FileKind;
use super::quantity::{self, Dimension, UNITS};
use super::table::{KeyNotes, Kind, TableNotes};
use serde_json::{Map, Value, json};

/// The schema of a kind of file, as pretty JSON with a final newline.
#[must_use]
pub fn text(kind: FileKind) -> String {
    let mut schema = table(&kind.notes());
    if let Some(object) = schema.as_object_mut() {
        object.insert(
            "$schema".into(),
            json!("https://json-schema.org/draft/2020-12/schema"),
        );
        object.insert(
            "title".into(),
            json!(format!("twinplate {} file", kind.word())),
        );
    }
    format!("{schema:#}\n")
}

fn table(notes: &TableNotes) -> Value {
    let mut properties = Map::new();
    for key in &notes.keys {
        properties.insert(key.key.into(), property(key));
    }
    let required: Vec<_> = notes
        .keys
        .iter()
        .filter(|k| k.required)
        .map(|k| k.key)
        .collect();
    let mut object = Map::new();
    object.insert("type".into(), json!("object"));
    object.insert("properties".into(), properties.into());
    object.insert("additionalProperties".into(), json!(false));
    if !required.is_empty() {
        object.insert("required".into(), json!(required));
    }
    let groups: Vec<Value> = notes.choices.iter().map(|group| choice(group)).collect();
    if !groups.is_empty() {
        object.insert("allOf".into(), groups.into());
    }
    object.into()
}

/// Exactly one of the alternatives, each by the keys it needs.
fn choice(group: &[Vec<&'static str>]) -> Value {
    let alternatives: Vec<Value> = group
        .iter()
        .map(|keys| json!({ "required": keys }))
        .collect();
    json!({ "oneOf": alternatives })
}

fn property(key: &KeyNotes) -> Value {
    let mut value = match &key.kind {
        Kind::Quantity { dimension, range } => return quantity(key, *dimension, *range),
        Kind::AnyQuantity => json!({ "type": ["string", "number"] }),
        Kind::Integer { range } => {
            json!({ "type": "integer", "minimum": range[0], "maximum": range[1] })
        }
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Yes => json!({ "const": true }),
        Kind::Text { longest, .. } => {
            json!({ "type": "string", "minLength": 1, "maxLength": longest })
        }
        Kind::Identifier => json!({ "type": "string", "pattern": "^[a-z0-9-]{1,24}$" }),
        Kind::Name => json!({ "type": "string", "pattern": "^[A-Za-z0-9 -]{1,16}$" }),
        Kind::Word(words) => json!({ "enum": words }),
        Kind::Table(notes) => table(notes),
        Kind::List { range, item } => {
            json!({ "type": "array", "minItems": range[0], "maxItems": range[1], "items": table(item) })
        }
    };
    let meaning = format!("{}{}", key.meaning, left_out(key));
    describe(&mut value, key, meaning);
    value
}

/// What stands for a key that is left out, where a rule says it.
fn left_out(key: &KeyNotes) -> String {
    key.rule
        .map_or_else(String::new, |rule| format!(" Left out: {rule}."))
}

fn quantity(key: &KeyNotes, dimension: Dimension, range: [&str; 2]) -> Value {
    let number = r"[+\-\u2212]?[0-9]+(\.[0-9]+)?([eE][+\-]?[0-9]+)?";
    // After a whole number, as inches are divided.
    let fraction = r"(\s*-?[0-9]+/[0-9]+)?";
    let mut text = json!({ "type": "string" });
    let mut value = if dimension == Dimension::Ratio {
        text["pattern"] = json!(format!("^\\s*{number}\\s*(%|‰|ppm)?\\s*$"));
        json!({ "anyOf": [{ "type": "number" }, text] })
    } else {
        // Which unit is left to the reader: one unit has too many spellings for a pattern to list.
        text["pattern"] = json!(format!(
            "^\\s*{number}{fraction}\\s*[^\\s0-9,._].*$|^\\s*{number}\\s*1/.+$"
        ));
        text
    };
    let units: Vec<&str> = UNITS
        .iter()
        .filter(|unit| dimension.takes(unit.dimension))
        .map(|unit| unit.symbol)
        .collect();
    let meaning = format!(
        "{} From {} to {}.{} Units: {}.",
        key.meaning,
        range[0],
        range[1],
        left_out(key),
        units.join(", ")
    );
    value["examples"] = json!([quantity::example(dimension, range)]);
    describe(&mut value, key, meaning);
    value
}

fn describe(value: &mut Value, key: &KeyNotes, meaning: String) {
    value["description"] = json!(meaning);
    if let Some(default) = key.default {
        value["default"] = json!(default);
    }
}

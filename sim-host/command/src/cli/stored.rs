//! Recipes as a controller stores them: how they are shown, and what is different in two of them.

use super::{Failure, files};
use firmware_core::recipe::{EndWire, RecipeWire};
use firmware_core::units::TICKS_PER_SECOND;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::Path;

/// A recipe file as the controller would be given it.
pub(super) fn compiled(typed: super::args::Files) -> Result<RecipeWire, Failure> {
    Ok(files::job(&files::set(&typed.into())?, None)?.compiled)
}

/// As [`compiled`], of a recipe that names its machine and batch.
pub(super) fn beside(path: &Path) -> Result<RecipeWire, Failure> {
    compiled(super::args::Files::named(path))
}

/// A stored recipe as JSON.
pub(super) fn value(recipe: &RecipeWire) -> Value {
    // Plain structs with string keys always serialise.
    serde_json::to_value(recipe).unwrap_or_default()
}

/// Ticks as seconds.
pub(super) fn seconds(ticks: u32) -> f64 {
    f64::from(ticks) / f64::from(TICKS_PER_SECOND)
}

/// What is different in a stored recipe and a file: for people, as JSON, and whether nothing is.
pub(super) fn difference(stored: &RecipeWire, file: &RecipeWire) -> (String, Value, bool) {
    let mut apart = Vec::new();
    different("", &value(stored), &value(file), &mut apart);
    let mut text = String::new();
    for (place, stored, file) in &apart {
        let _ = writeln!(text, "{place}: stored {stored}, in the file {file}");
    }
    let same = apart.is_empty();
    text += if same {
        "the file would be stored just so\n"
    } else {
        "the file would be stored otherwise\n"
    };
    let list = apart
        .iter()
        .map(|(place, stored, file)| json!({ "at": place, "stored": stored, "file": file }));
    (text, list.collect(), same)
}

/// Every place where two values are not the same, with both.
fn different(place: &str, stored: &Value, file: &Value, into: &mut Vec<(String, Value, Value)>) {
    let below = |name: &str| {
        if place.is_empty() {
            name.to_owned()
        } else {
            format!("{place}.{name}")
        }
    };
    match (stored, file) {
        (Value::Object(a), Value::Object(b)) => {
            for (name, value) in a {
                different(
                    &below(name),
                    value,
                    b.get(name).unwrap_or(&Value::Null),
                    into,
                );
            }
            for (name, value) in b.iter().filter(|(name, _)| !a.contains_key(*name)) {
                different(&below(name), &Value::Null, value, into);
            }
        }
        (Value::Array(a), Value::Array(b)) => {
            for index in 0..a.len().max(b.len()) {
                let of = |list: &[Value]| list.get(index).cloned().unwrap_or_default();
                different(&below(&(index + 1).to_string()), &of(a), &of(b), into);
            }
        }
        _ if stored == file => {}
        _ => into.push((place.to_owned(), stored.clone(), file.clone())),
    }
}

/// A stored recipe for people.
pub(super) fn shown(slot: u8, recipe: &RecipeWire) -> String {
    let mut text = format!(
        "slot {slot}: {}\n{}, {} pieces\n",
        recipe.name,
        recipe.process.word(),
        recipe.pieces
    );
    for (number, step) in (1..).zip(&recipe.steps) {
        let end = match step.end {
            EndWire::Time(ticks) => format!("{:.0} s", seconds(ticks.0)),
            EndWire::Stock(stock) => format!("{:.1} µm off", stock.get()),
            EndWire::Size(size) => format!("{:.1} µm thick", size.get()),
        };
        let speeds = step.speeds.map(|speed| format!("{:.1}", speed.get()));
        let _ = writeln!(
            text,
            "{number:>4}  {:.1} N, {} rpm, {:.0} mL/min, until {end}",
            step.load.get(),
            speeds.join(" "),
            step.flow.get()
        );
    }
    text
}

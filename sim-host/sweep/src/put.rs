//! Values put into the text of a recipe.

use toml_edit::{DocumentMut, Item, TableLike, Value, value};
use twinplate_sim::files::quantity::split;

/// A step's table, however the steps are written.
pub(crate) fn step_of(document: &mut DocumentMut, step: usize) -> Option<&mut dyn TableLike> {
    match document.get_mut("steps")? {
        Item::ArrayOfTables(tables) => tables
            .get_mut(step)
            .map(|table| table as &mut dyn TableLike),
        Item::Value(Value::Array(list)) => {
            let table = list.get_mut(step)?.as_inline_table_mut()?;
            Some(table as &mut dyn TableLike)
        }
        _ => None,
    }
}

/// Sets a value in what is a table.
pub(crate) fn set_in(table: Option<&mut Item>, key: &str, text: &str) {
    if let Some(table) = table.and_then(Item::as_table_like_mut) {
        put_in(table, key, text);
    }
}

/// Sets a value.
pub(crate) fn put_in(table: &mut dyn TableLike, key: &str, text: &str) {
    table.insert(key, value(text));
}

/// Multiplies every drive's speed, in the unit that it is written in.
pub(crate) fn multiply(speeds: Option<&mut Item>, factor: f64) {
    let Some(table) = speeds.and_then(Item::as_table_like_mut) else {
        return;
    };
    for (_, item) in table.iter_mut() {
        let Some((number, unit)) = item.as_str().and_then(|text| split(text).ok()) else {
            continue;
        };
        let number: f64 = format!("{:.9e}", number * factor).parse().unwrap_or(number);
        *item = value(format!("{number} {unit}"));
    }
}

//! What messages offer as examples.

use super::super::{FileError, FileKind, table};
use super::{all_errors_of, demo_of};

/// Paths of all quantities of a kind of file, lists marked by `[]`, with whether the table is one of alternatives.
fn quantities(notes: &table::TableNotes, path: &[String], all: &mut Vec<(Vec<String>, bool)>) {
    for key in &notes.keys {
        let to = |name: String| [path, &[name]].concat();
        match &key.kind {
            table::Kind::Quantity { .. } => {
                all.push((to(key.key.into()), !notes.choices.is_empty()));
            }
            table::Kind::Table(inner) => quantities(inner, &to(key.key.into()), all),
            table::Kind::List { item, .. } => {
                let alone = if notes.choices.is_empty() { "" } else { ALONE };
                quantities(item, &to(format!("{}[]{alone}", key.key)), all);
            }
            _ => {}
        }
    }
}

/// Marks a list that is one of alternatives: the other keys beside it have to go.
const ALONE: &str = "!";

/// The table at a path of a document, lists by their first entry, made where it is not there.
fn table_at<'d>(
    document: &'d mut toml_edit::DocumentMut,
    path: &[String],
) -> &'d mut dyn toml_edit::TableLike {
    let mut table: &mut dyn toml_edit::TableLike = document.as_table_mut();
    for key in path {
        let alone = key.strip_suffix(ALONE);
        if alone.is_some() {
            let others: Vec<String> = table.iter().map(|(key, _)| key.to_owned()).collect();
            others.iter().for_each(|other| drop(table.remove(other)));
        }
        let key = alone.unwrap_or(key);
        table = if let Some(list) = key.strip_suffix("[]") {
            let item = table.entry(list).or_insert_with(toml_edit::array);
            let list = item.as_array_of_tables_mut().expect("a list");
            if list.is_empty() {
                list.push(toml_edit::Table::new());
            }
            list.get_mut(0).expect("an entry")
        } else {
            let item = table.entry(key).or_insert_with(toml_edit::table);
            // A list of tables has no room in a table in one line.
            if let Some(inline) = item.as_inline_table().cloned() {
                *item = toml_edit::Item::Table(inline.into_table());
            }
            item.as_table_like_mut().expect("a table")
        };
    }
    table
}

/// What a message offers as an example can be written into the file: it parses, and it is within the range of its key.
#[test]
fn every_example_that_a_message_offers_is_right_for_its_key() {
    let mut count = 0;
    for kind in FileKind::ALL {
        let mut all = Vec::new();
        quantities(&kind.notes(), &[], &mut all);
        for (path, alternatives) in all {
            let (key, parents) = path.split_last().expect("a key");
            let with = |value: toml_edit::Value| {
                let mut document: toml_edit::DocumentMut = demo_of(kind).parse().expect("demo");
                let table = table_at(&mut document, parents);
                if alternatives {
                    let others: Vec<String> = table.iter().map(|(key, _)| key.to_owned()).collect();
                    others.iter().for_each(|other| drop(table.remove(other)));
                }
                table.insert(key, toml_edit::Item::Value(value));
                all_errors_of(kind, &document.to_string())
            };
            let about = |error: &&FileError| error.message.contains(&format!("`{key}` "));
            let errors = with(true.into());
            let told = errors.iter().filter(about).find(|e| e.code == "wrong-type");
            let due = &told
                .unwrap_or_else(|| panic!("{path:?}: {errors:?}"))
                .expected;
            let example = due
                .split('"')
                .nth(1)
                .unwrap_or_else(|| panic!("{path:?}: {due}"));
            let wrong = [
                "out-of-range",
                "bad-number",
                "missing-unit",
                "unknown-unit",
                "wrong-dimension",
                "wrong-type",
            ];
            for error in with(example.into()).iter().filter(about) {
                assert!(
                    !wrong.contains(&error.code),
                    "{path:?}, example {example}: {error}"
                );
            }
            count += 1;
        }
    }
    assert!(count > 120, "{count}");
}

//! What a form asks for a file of a kind: every key in the order in which it is read, generated from the same calls that read it, as
//! the [schema](super::schema) is.

use super::FileKind;
use super::quantity;
use super::table::{KeyNotes, Kind, TableNotes};
use super::training::PARAMETERS;
use crate::training::act::ACTS;
use serde::Serialize;
use serde_json::{Value, json};
use toml_edit::{DocumentMut, Item, TableLike, Value as TomlValue};

/// A table: its keys, and the groups of which exactly one alternative is there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Fields {
    /// Keys, in the order in which they are read.
    pub keys: Vec<Field>,
    /// By group and alternative: the keys that go with it, its lead first.
    pub choices: Vec<Vec<Vec<&'static str>>>,
}

/// A key.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Field {
    /// Key.
    pub key: &'static str,
    /// What it means, for people.
    pub meaning: &'static str,
    /// It must be there. Of a key of an alternative: where that is chosen.
    pub required: bool,
    /// What stands for it where it is left out.
    pub default: Option<&'static str>,
    /// The act's parameter that it is about: it goes with the acts that have that parameter.
    pub parameter: Option<&'static str>,
    /// What it holds.
    pub holds: Holds,
}

/// What a key holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Holds {
    /// A quantity with its unit.
    Quantity {
        /// Least and most.
        range: [&'static str; 2],
        /// One that may stand there.
        example: String,
    },
    /// A quantity of any dimension, or a number.
    AnyQuantity,
    /// A whole number.
    Integer {
        /// Least and most.
        range: [u32; 2],
    },
    /// Yes or no.
    Flag,
    /// Nothing but yes.
    Yes,
    /// A line of text.
    Text {
        /// Most characters.
        longest: usize,
    },
    /// An identifier.
    Identifier,
    /// One of these words.
    Word(Vec<&'static str>),
    /// A table.
    Table(Fields),
    /// A list of tables.
    List {
        /// Fewest and most.
        range: [usize; 2],
        /// Each.
        item: Fields,
    },
}

/// The keys of a kind of file, but for `format`.
#[must_use]
pub fn fields(kind: FileKind) -> Fields {
    let mut fields = table(&kind.notes());
    fields.keys.retain(|field| field.key != "format");
    fields
}

fn table(notes: &TableNotes) -> Fields {
    let needed = |key| notes.choices.iter().flatten().any(|all| all.contains(&key));
    let acts = notes.keys.iter().any(|key| key.key == "act");
    let parameter = |key: &str| {
        let found = PARAMETERS.iter().find(|(of, _)| acts && *of == key);
        found.map(|(_, parameter)| *parameter)
    };
    Fields {
        keys: notes
            .keys
            .iter()
            .map(|key| Field {
                required: key.required || needed(key.key),
                parameter: parameter(key.key),
                ..field(key)
            })
            .collect(),
        choices: notes.owned.clone(),
    }
}

fn field(notes: &KeyNotes) -> Field {
    Field {
        key: notes.key,
        meaning: notes.meaning,
        required: notes.required,
        default: notes.default.or(notes.rule),
        parameter: None,
        holds: match &notes.kind {
            Kind::Quantity { dimension, range } => Holds::Quantity {
                range: *range,
                example: quantity::example(*dimension, *range),
            },
            Kind::AnyQuantity => Holds::AnyQuantity,
            Kind::Integer { range } => Holds::Integer { range: *range },
            Kind::Flag => Holds::Flag,
            Kind::Yes => Holds::Yes,
            Kind::Text { longest, .. } => Holds::Text { longest: *longest },
            Kind::Identifier | Kind::Name => Holds::Identifier,
            Kind::Word(words) => Holds::Word(words.clone()),
            Kind::Table(notes) => Holds::Table(table(notes)),
            Kind::List { range, item } => Holds::List {
                range: *range,
                item: table(item),
            },
        },
    }
}

/// Every act and its parameter; empty where it has none.
#[must_use]
pub fn acts() -> Vec<(&'static str, &'static str)> {
    ACTS.iter().map(|act| (act.word, act.parameter)).collect()
}

/// What stands in a text, for a form to begin with: whole numbers, flags, texts, lists and tables, as JSON. `None` where it is no TOML.
#[must_use]
pub fn values(text: &str) -> Option<Value> {
    let document = text.parse::<DocumentMut>().ok()?;
    Some(of_table(document.as_table()))
}

fn of_table(table: &dyn TableLike) -> Value {
    let entries = table.iter();
    entries
        .map(|(key, item)| (key.to_owned(), of_item(item)))
        .collect()
}

fn of_item(item: &Item) -> Value {
    if let Some(tables) = item.as_array_of_tables() {
        return tables.iter().map(|table| of_table(table)).collect();
    }
    if let Some(table) = item.as_table_like() {
        return of_table(table);
    }
    match item.as_value() {
        Some(TomlValue::Array(array)) => array
            .iter()
            .map(|value| of_item(&Item::Value(value.clone())))
            .collect(),
        Some(TomlValue::String(text)) => json!(text.value()),
        Some(TomlValue::Integer(number)) => json!(number.value()),
        Some(TomlValue::Float(number)) => json!(number.value()),
        Some(TomlValue::Boolean(flag)) => json!(flag.value()),
        _ => Value::Null,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn key<'a>(fields: &'a Fields, key: &str) -> &'a Field {
        let found = fields.keys.iter().find(|field| field.key == key);
        found.unwrap_or_else(|| panic!("{key} is asked for"))
    }

    /// What the reader of scenarios asks, a form asks, in the same order; what goes with which alternative is told.
    #[test]
    fn a_form_asks_what_the_reader_reads() {
        let fields = fields(FileKind::Scenario);
        let first: Vec<_> = fields.keys.iter().map(|field| field.key).take(5).collect();
        assert_eq!(first, ["id", "title", "operator", "longest", "events"]);
        let Holds::Table(training) = &key(&fields, "training").holds else {
            panic!("a table");
        };
        let Holds::List { item, range } = &key(training, "expected").holds else {
            panic!("a list");
        };
        assert_eq!(range[0], 1);
        let [wanted, from] = item.choices.as_slice() else {
            panic!("two groups");
        };
        assert!(wanted.iter().any(|one| one[..] == ["reaches"]));
        assert!(wanted.iter().any(|one| one.starts_with(&["act", "pieces"])));
        assert!(from.iter().any(|one| one[..] == ["phase", "step"]));
        assert_eq!(key(item, "slot").parameter, Some("slot"));
        assert_eq!(
            (key(item, "within").parameter, key(item, "within").required),
            (None, true)
        );
        assert!(!key(item, "slot").required);
        let Holds::List { item: event, .. } = &key(&fields, "events").holds else {
            panic!("a list");
        };
        assert_eq!(
            key(event, "mode").parameter,
            None,
            "of a failure, not of an act"
        );
        assert!(acts().contains(&("recall-recipe", "slot")));
    }

    #[test]
    fn a_form_begins_with_what_stands_in_the_text() {
        let text = "a = 1\nb = \"two\"\nd = { e = [3, 4.5] }\n[[c]]\nyes = true\n";
        let told = values(text).expect("TOML");
        assert_eq!(
            told,
            json!({"a": 1, "b": "two", "c": [{"yes": true}], "d": {"e": [3, 4.5]}})
        );
        assert_eq!(values("a = "), None);
    }
}

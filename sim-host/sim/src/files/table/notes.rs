//! What a reader says about its keys: the raw material of the JSON Schema and of "did you mean".

use super::super::quantity::{self, Dimension};

/// What a key may hold.
pub(in super::super) enum Kind {
    /// Text "number unit" within a range given the same way.
    Quantity {
        dimension: Dimension,
        range: [&'static str; 2],
    },
    /// Text "number unit" of any dimension, or a number.
    AnyQuantity,
    /// Whole number within a range.
    Integer { range: [u32; 2] },
    /// `true` or `false`.
    Flag,
    /// Only `true`.
    Yes,
    /// One line of text, most characters; a text that may stand there.
    Text {
        longest: usize,
        example: &'static str,
    },
    /// Identifier.
    Identifier,
    /// Step name.
    Name,
    /// One of these words.
    Word(Vec<&'static str>),
    /// A table.
    Table(TableNotes),
    /// A list of tables, fewest and most.
    List { range: [usize; 2], item: TableNotes },
}

/// What is known of a key.
pub(in super::super) struct KeyNotes {
    pub(in super::super) key: &'static str,
    pub(in super::super) meaning: &'static str,
    pub(in super::super) required: bool,
    pub(in super::super) default: Option<&'static str>,
    /// Rule by which it is assumed where it is left out.
    pub(in super::super) rule: Option<&'static str>,
    pub(in super::super) kind: Kind,
}

/// What is known of a table: its keys, and groups of which exactly one lead key is there.
#[derive(Default)]
pub(in super::super) struct TableNotes {
    pub(in super::super) keys: Vec<KeyNotes>,
    /// Per group, per alternative: the keys it needs, the lead first.
    pub(in super::super) choices: Vec<Vec<Vec<&'static str>>>,
    /// The same groups and alternatives, with every key that each reads.
    pub(in super::super) owned: Vec<Vec<Vec<&'static str>>>,
}

/// Range of a quantity.
#[derive(Clone, Copy)]
pub(in super::super) struct RangeNotes {
    dimension: Dimension,
    /// As written in a file.
    pub(in super::super) text: [&'static str; 2],
}

impl RangeNotes {
    /// Its ends in SI units.
    pub(in super::super) fn ends(&self) -> [f64; 2] {
        self.text
            .map(|end| quantity::parse(end, self.dimension).unwrap_or(f64::NAN))
    }
}

impl TableNotes {
    /// Range of the quantity at a path.
    pub(super) fn range_of(&self, path: &str) -> Option<RangeNotes> {
        let (key, rest) = path
            .split_once('.')
            .map_or((path, None), |(key, rest)| (key, Some(rest)));
        let notes = self.keys.iter().find(|notes| notes.key == key)?;
        match (&notes.kind, rest) {
            (Kind::Quantity { dimension, range }, None) => Some(RangeNotes {
                dimension: *dimension,
                text: *range,
            }),
            (Kind::Table(inner), Some(rest)) => inner.range_of(rest),
            _ => None,
        }
    }
}

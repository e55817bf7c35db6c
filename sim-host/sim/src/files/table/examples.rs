//! What a message offers to be pasted where something is missing: values and lines that are right for their keys, from the same
//! notes as the schema.

use super::super::quantity;
use super::{KeyNotes, Kind, TableNotes};

impl TableNotes {
    fn of(&self, key: &str) -> Option<&KeyNotes> {
        self.keys.iter().find(|notes| notes.key == key)
    }

    /// Whether a key holds a table or a list of tables.
    pub(super) fn is_table(&self, key: &str) -> bool {
        self.of(key)
            .is_some_and(|notes| matches!(notes.kind, Kind::Table(_) | Kind::List { .. }))
    }

    /// Lines for a key, or for the first of alternatives.
    pub(super) fn lines_of(&self, leads: &[&'static str]) -> Vec<String> {
        let Some((first, others)) = leads.split_first() else {
            return Vec::new();
        };
        if others.is_empty() {
            return self
                .of(first)
                .map(|notes| lines(notes, ""))
                .unwrap_or_default();
        }
        self.alternative(leads, "")
    }

    /// Lines for a table with its header; `path` is its path in the file.
    pub(super) fn with_header(&self, key: &str, path: &str) -> Vec<String> {
        let (header, notes) = match self.of(key).map(|notes| &notes.kind) {
            Some(Kind::Table(notes)) => (format!("[{path}]"), notes),
            Some(Kind::List { item, .. }) => (format!("[[{path}]]"), item),
            _ => return Vec::new(),
        };
        let mut all = vec![header];
        all.extend(notes.lines(""));
        all
    }

    /// Lines for all that must be in a table.
    fn lines(&self, prefix: &str) -> Vec<String> {
        let required = self.keys.iter().filter(|notes| notes.required);
        let mut all: Vec<String> = required.flat_map(|notes| lines(notes, prefix)).collect();
        for group in &self.choices {
            let leads: Vec<&'static str> = group
                .iter()
                .filter_map(|keys| keys.first().copied())
                .collect();
            all.extend(self.alternative(&leads, prefix));
        }
        all
    }

    /// Lines for the first of alternatives; a comment names the others.
    fn alternative(&self, leads: &[&'static str], prefix: &str) -> Vec<String> {
        let group = self
            .choices
            .iter()
            .find(|group| group.iter().filter_map(|keys| keys.first()).eq(leads));
        let needed = group.and_then(|group| group.first());
        let mut all: Vec<String> = needed
            .into_iter()
            .flatten()
            .filter_map(|key| self.of(key))
            .flat_map(|notes| lines(notes, prefix))
            .collect();
        // Of many the message itself tells.
        if let (Some(line), [_, others @ ..]) = (all.first_mut(), leads)
            && others.len() < 4
        {
            line.push_str(&format!(" # or {}", others.join(", ")));
        }
        all
    }
}

/// Lines for one key, a table by dotted keys: they can stand in any table, an entry of a list too.
fn lines(notes: &KeyNotes, prefix: &str) -> Vec<String> {
    let key = notes.key;
    match &notes.kind {
        Kind::Table(inner) => inner.lines(&format!("{prefix}{key}.")),
        Kind::List { item, .. } => {
            let entry: Vec<String> = item
                .lines("")
                .iter()
                .map(|line| line.split(" # ").next().unwrap_or(line).to_owned())
                .collect();
            vec![format!("{prefix}{key} = [{{ {} }}]", entry.join(", "))]
        }
        kind => vec![format!("{prefix}{key} = {}", value(key, kind))],
    }
}

/// A value as it is written in a file.
fn value(key: &str, kind: &Kind) -> String {
    match kind {
        Kind::Quantity { dimension, range } => {
            format!("\"{}\"", quantity::example(*dimension, *range))
        }
        Kind::Integer { range } => range[0].to_string(),
        Kind::Flag | Kind::Yes => "true".to_owned(),
        Kind::Text { example, .. } => format!("\"{example}\""),
        Kind::Identifier => format!("\"{key}-a\""),
        Kind::Name => "\"rough\"".to_owned(),
        Kind::Word(words) => format!("\"{}\"", words.first().copied().unwrap_or("")),
        // Never required on their own.
        Kind::AnyQuantity => "1".to_owned(),
        Kind::Table(_) | Kind::List { .. } => String::new(),
    }
}

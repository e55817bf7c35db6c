//! Keys that hold tables, lists of tables, or one of several alternatives.

use super::{Alternative, Kind, Table};
use std::ops::Range;
use toml_edit::{Item, TableLike};

/// A table in a list, and where it is.
type Entry<'d> = (&'d dyn TableLike, Option<Range<usize>>);

impl<'d> Table<'_, 'd> {
    /// A table that must be there.
    pub(in super::super) fn table<T>(
        &mut self,
        key: &'static str,
        meaning: &'static str,
        read: impl FnOnce(&mut Table<'_, 'd>) -> T,
    ) -> T {
        let found = self.require(key);
        self.child(key, meaning, true, found, read)
    }

    /// A table that may be left out.
    pub(in super::super) fn optional_table<T>(
        &mut self,
        key: &'static str,
        meaning: &'static str,
        read: impl FnOnce(&mut Table<'_, 'd>) -> T,
    ) -> Option<T> {
        let found = self.find(key);
        let there = found.is_some();
        let value = self.child(key, meaning, false, found, read);
        there.then_some(value)
    }

    /// A table that may be left out, and then has the defaults of its keys.
    pub(in super::super) fn table_or<T>(
        &mut self,
        key: &'static str,
        meaning: &'static str,
        read: impl FnOnce(&mut Table<'_, 'd>) -> T,
    ) -> T {
        let found = self.find(key);
        self.child(key, meaning, false, found, read)
    }

    fn child<T>(
        &mut self,
        key: &'static str,
        meaning: &'static str,
        required: bool,
        found: Option<(&'d Item, Range<usize>)>,
        read: impl FnOnce(&mut Table<'_, 'd>) -> T,
    ) -> T {
        let mut entries = None;
        let mut place = self.span.clone();
        if let Some((item, span)) = found {
            place.clone_from(&span);
            entries = item.as_table_like();
            if entries.is_none() {
                let due = format!("a table with keys of its own, [{}]", self.path_of(key));
                self.wrong_type(key, item, span, due);
            }
        }
        let path = self.path_of(key);
        let mut table = Table::new(self.sink.as_deref_mut(), entries, path, place);
        let value = read(&mut table);
        let notes = table.finish();
        self.note(key, meaning, required, Kind::Table(notes));
        value
    }

    /// A list of tables.
    pub(in super::super) fn list<T>(
        &mut self,
        key: &'static str,
        range: [usize; 2],
        meaning: &'static str,
        mut read: impl FnMut(&mut Table<'_, 'd>) -> T,
    ) -> Vec<T> {
        let mut items = Vec::new();
        let found = if range[0] > 0 {
            self.require(key)
        } else {
            self.find(key)
        };
        if let Some((item, span)) = found {
            let before = items.len();
            match tables_of(item) {
                Some(tables) => items.extend(tables),
                None => {
                    let due = format!("a list of tables, [[{}]]", self.path_of(key));
                    self.wrong_type(key, item, span.clone(), due);
                }
            }
            if items.len() > before || item.as_array().is_some() {
                self.count(key, items.len(), &items, range, span);
            }
        }
        let mut values = Vec::with_capacity(items.len().min(range[1]));
        for (index, (entries, span)) in items.into_iter().enumerate().take(range[1]) {
            let path = format!("{}[{index}]", self.path_of(key));
            let span = span.unwrap_or_else(|| self.span.clone());
            if let Some(sink) = &mut self.sink {
                sink.spans.insert(path.clone(), span.clone());
            }
            let mut table = Table::new(self.sink.as_deref_mut(), Some(entries), path, span);
            values.push(read(&mut table));
            table.finish();
        }
        let mut scout = Table::new(None, None, String::new(), 0..0);
        let _ = read(&mut scout);
        let item = scout.notes;
        self.note(key, meaning, range[0] > 0, Kind::List { range, item });
        values
    }

    fn count(
        &mut self,
        key: &str,
        count: usize,
        items: &[Entry<'d>],
        range: [usize; 2],
        span: Range<usize>,
    ) {
        let due = format!("from {} to {} entries", range[0], range[1]);
        if count > range[1] {
            let first_extra = items.get(range[1]).and_then(|(_, span)| span.clone());
            self.error(
                "too-many-items",
                first_extra.unwrap_or(span),
                format!("`{key}` has {count} entries"),
                due,
            );
        } else if count < range[0] {
            self.error(
                "too-few-items",
                span,
                format!("`{key}` has {count} entries"),
                due,
            );
        }
    }

    /// Exactly one of several alternatives, told apart by their lead keys; where no lead is there, by a key that only one of them
    /// has. `None` when there is none or more than one.
    pub(in super::super) fn one_of<T>(&mut self, alternatives: &[Alternative<T>]) -> Option<T> {
        let mut group = Vec::with_capacity(alternatives.len());
        let mut owned: Vec<Vec<&'static str>> = Vec::with_capacity(alternatives.len());
        for (_, read) in alternatives {
            let mut scout = Table::new(None, None, self.path.clone(), 0..0);
            let _ = read(&mut scout);
            let needed = scout.notes.keys.iter().filter(|k| k.required);
            group.push(needed.map(|k| k.key).collect());
            owned.push(scout.notes.keys.iter().map(|k| k.key).collect());
            for mut key in scout.notes.keys {
                if self.notes.keys.iter().all(|known| known.key != key.key) {
                    key.required = false;
                    self.notes.keys.push(key);
                }
            }
        }
        self.notes.choices.push(group);
        self.notes.owned.push(owned.clone());
        let leads: Vec<&'static str> = alternatives.iter().map(|(lead, _)| *lead).collect();
        let Some(chosen) = self.chosen(&leads, &owned) else {
            self.missing.push(leads);
            return None;
        };
        let read = alternatives.get(chosen).map(|(_, read)| read)?;
        let mine = owned.get(chosen)?;
        for key in owned.iter().flatten() {
            if !mine.contains(key) {
                self.closed.push(key);
            }
        }
        // The alternative takes its own notes; the group's are there already.
        let known = self.notes.keys.len();
        let value = read(self);
        self.notes.keys.truncate(known);
        Some(value)
    }

    /// Number of the alternative that is meant. A lead that is missing or misspelt is then one error of one alternative.
    fn chosen(&self, leads: &[&'static str], owned: &[Vec<&'static str>]) -> Option<usize> {
        if let Some(index) = leads.iter().position(|lead| self.has(lead)) {
            return Some(index);
        }
        let mut meant = owned
            .iter()
            .enumerate()
            .filter(|(_, keys)| keys.iter().any(|key| self.has(key)));
        match (meant.next(), meant.next()) {
            (Some((index, _)), None) => Some(index),
            _ => None,
        }
    }
}

/// The entries of `[[key]]` or of `key = [{…}, …]`; `None` for anything else.
fn tables_of(item: &Item) -> Option<Vec<Entry<'_>>> {
    if let Some(array) = item.as_array_of_tables() {
        return Some(
            array
                .iter()
                .map(|table| (table as &dyn TableLike, table.span()))
                .collect(),
        );
    }
    item.as_array()?
        .iter()
        .map(|value| {
            let table = value.as_inline_table()?;
            Some((table as &dyn TableLike, table.span()))
        })
        .collect()
}

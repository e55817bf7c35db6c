//! The one reader of tables. A kind of file is a function that asks a [`Table`] for its keys, one call a key, with range
//! and meaning; the same calls, made on a table that only takes notes, give the JSON Schema. So a key, its range, its
//! meaning and its place in the model are written once.
//!
//! A call never fails: what is wrong is collected, and a stand-in goes back. Values count only when nothing was collected.

use super::error::{FileError, nearest};
use super::source::Source;
use crate::assumed;
use crate::plant::part_form::HELIUM;
use std::collections::BTreeMap;
use std::ops::Range;
use toml_edit::{Item, TableLike, Value};

mod examples;
mod nested;
mod notes;
mod quantities;
mod words;

pub(super) use notes::{KeyNotes, Kind, RangeNotes, TableNotes};
pub(super) use words::is_identifier;

/// What reading one file collects.
pub(super) struct Sink<'d> {
    pub(super) source: &'d Source,
    pub(super) errors: Vec<FileError>,
    /// Byte spans by path, `steps[1].pressure`.
    pub(super) spans: BTreeMap<String, Range<usize>>,
    /// Words of lines that were lost to syntax errors: a key that is missing may have stood there.
    pub(super) lost: Vec<String>,
    /// Wavelength of the light whose bands lengths may be given in, m.
    pub(super) lamp: f64,
}

/// One alternative of [`Table::one_of`]: its lead key and its reader.
pub(super) type Alternative<T> = (&'static str, fn(&mut Table<'_, '_>) -> T);

/// A table under reading, or one that only takes notes.
pub(super) struct Table<'s, 'd> {
    /// Where errors go; `None` while only taking notes.
    sink: Option<&'s mut Sink<'d>>,
    /// The table's entries; `None` when it is not in the file (said once, not once a key).
    entries: Option<&'d dyn TableLike>,
    /// Path of this table, empty for the file itself.
    path: String,
    /// Where to say that a key is missing.
    span: Range<usize>,
    notes: TableNotes,
    /// Keys whose values were asked for.
    used: Vec<&'static str>,
    /// Keys of alternatives that were not chosen: they do not go together with what is there.
    closed: Vec<&'static str>,
    /// Keys that should be there and are not, each alone or as the leads of alternatives; reported at the end, when misspelt
    /// ones are known.
    missing: Vec<Vec<&'static str>>,
}

/// Notes of a kind of file: what its reader asks for.
pub(super) fn notes<T>(read: impl FnOnce(&mut Table<'_, '_>) -> T) -> TableNotes {
    let mut table = Table::new(None, None, String::new(), 0..0);
    let _ = read(&mut table);
    table.notes
}

impl<'s, 'd> Table<'s, 'd> {
    fn new(
        sink: Option<&'s mut Sink<'d>>,
        entries: Option<&'d dyn TableLike>,
        path: String,
        span: Range<usize>,
    ) -> Self {
        Self {
            sink,
            entries,
            path,
            span,
            notes: TableNotes::default(),
            used: Vec::new(),
            closed: Vec::new(),
            missing: Vec::new(),
        }
    }

    /// Reads a whole file.
    pub(super) fn read_file<T>(
        sink: &mut Sink<'d>,
        entries: &'d dyn TableLike,
        read: impl FnOnce(&mut Table<'_, 'd>) -> T,
    ) -> T {
        let mut table = Table::new(Some(sink), Some(entries), String::new(), 0..0);
        let value = read(&mut table);
        table.finish();
        value
    }

    /// This table for people, who count from 1: `steps[0].end` is "`steps` entry 1, `end`".
    fn spoken(&self) -> String {
        let parts = self.path.split('.').map(|part| {
            let entry = part.strip_suffix(']').and_then(|part| part.split_once('['));
            match entry.and_then(|(list, index)| Some((list, index.parse::<usize>().ok()?))) {
                Some((list, index)) => format!("`{list}` entry {}", index + 1),
                None => format!("`{part}`"),
            }
        });
        parts.collect::<Vec<_>>().join(", ")
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() {
            key.to_owned()
        } else {
            format!("{}.{key}", self.path)
        }
    }

    fn note(&mut self, key: &'static str, meaning: &'static str, required: bool, kind: Kind) {
        self.notes.keys.push(KeyNotes {
            key,
            meaning,
            required,
            default: None,
            rule: None,
            kind,
        });
    }

    fn note_optional(&mut self) {
        if let Some(last) = self.notes.keys.last_mut() {
            last.required = false;
        }
    }

    fn note_default(&mut self, default: &'static str) {
        if let Some(last) = self.notes.keys.last_mut() {
            last.required = false;
            last.default = Some(default);
        }
    }

    /// Notes that the last key may be left out, and by which rule it is assumed then.
    fn note_assumed(&mut self, key: &str) {
        let rule = assumed::rule(&self.path_of(key)).map(|rule| rule.rule);
        if let Some(last) = self.notes.keys.last_mut() {
            last.required = false;
            last.rule = rule;
        }
    }

    /// Whether the file has a value at this path, good or bad.
    pub(super) fn gives(&self, path: &str) -> bool {
        self.sink
            .as_ref()
            .is_some_and(|sink| sink.spans.contains_key(path))
    }

    /// Whether the file is read, and nothing was wrong with it so far.
    pub(super) fn is_faultless(&self) -> bool {
        let clean = |sink: &&mut Sink<'_>| sink.errors.is_empty();
        self.missing.is_empty() && self.sink.as_ref().is_some_and(clean)
    }

    /// Range of the quantity at this path, as it was asked for.
    pub(super) fn range_of(&self, path: &str) -> Option<RangeNotes> {
        self.notes.range_of(path)
    }

    /// Wavelength of the light whose bands lengths are given in, m.
    fn lamp(&self) -> f64 {
        self.sink.as_ref().map_or(HELIUM, |sink| sink.lamp)
    }

    /// From here on lengths in light bands are of a lamp of this wavelength, m.
    pub(super) fn under_lamp(&mut self, wavelength: f64) {
        if let Some(sink) = &mut self.sink
            && wavelength > 0.0
        {
            sink.lamp = wavelength;
        }
    }

    /// Collects an error at a span.
    fn error(&mut self, code: &'static str, span: Range<usize>, message: String, expected: String) {
        if let Some(sink) = &mut self.sink {
            let error = sink.source.error(code, span, message, expected);
            sink.errors.push(error);
        }
    }

    fn error_near(
        &mut self,
        code: &'static str,
        span: Range<usize>,
        message: String,
        expected: String,
        near: Option<&str>,
    ) {
        self.error(code, span, message, expected);
        if let Some(error) = self.sink.as_mut().and_then(|sink| sink.errors.last_mut()) {
            error.nearest = near.map(str::to_owned);
        }
    }

    /// Collects an error about a key of this table that was read: at its value.
    pub(super) fn error_at(
        &mut self,
        code: &'static str,
        key: &str,
        message: String,
        expected: String,
    ) {
        let path = self.path_of(key);
        let span = self
            .sink
            .as_ref()
            .and_then(|sink| sink.spans.get(&path).cloned())
            .unwrap_or_else(|| self.span.clone());
        self.error(code, span, message, expected);
    }

    /// As [`Self::error_at`], with the nearest valid word.
    pub(super) fn error_at_near(
        &mut self,
        code: &'static str,
        key: &str,
        message: String,
        expected: String,
        near: Option<&str>,
    ) {
        self.error_at(code, key, message, expected);
        if let Some(error) = self.sink.as_mut().and_then(|sink| sink.errors.last_mut()) {
            error.nearest = near.map(str::to_owned);
        }
    }

    /// Gives a second path of this table the place of a key that was read: findings know the value by both.
    pub(super) fn also(&mut self, key: &str, path: &str) {
        let (key, path) = (self.path_of(key), self.path_of(path));
        if let Some(sink) = &mut self.sink
            && let Some(span) = sink.spans.get(&key).cloned()
        {
            sink.spans.insert(path, span);
        }
    }

    /// Says that `low` must be under `high` (both keys of this table, already read), unless it is so or either was bad.
    pub(super) fn require_order(&mut self, low: (&str, f64), high: (&str, f64), strict: bool) {
        let wrong = low.1 > high.1 || (strict && low.1 >= high.1);
        if wrong && self.is_clean(low.0) && self.is_clean(high.0) {
            let relation = if strict { "less than" } else { "at most" };
            self.error_at(
                "inconsistent",
                low.0,
                format!("`{}` is not {relation} `{}`", low.0, high.0),
                format!("a value {relation} `{}`", high.0),
            );
        }
    }

    /// True when a key of this table was read and nothing was wrong with it: its value is no stand-in.
    pub(super) fn is_clean(&self, key: &str) -> bool {
        let Some(sink) = &self.sink else { return false };
        let Some(span) = sink.spans.get(&self.path_of(key)) else {
            return false;
        };
        let place = sink.source.place(span.start);
        sink.errors
            .iter()
            .all(|error| (error.line, error.column) != (place.line, place.column))
    }

    /// True when the file has this key, whatever it holds.
    pub(super) fn has(&self, key: &str) -> bool {
        self.entries
            .is_some_and(|entries| entries.get(key).is_some_and(|item| !item.is_none()))
    }

    /// Collects the error of a value of another type than is due.
    fn wrong_type(&mut self, key: &str, item: &Item, span: Range<usize>, due: String) {
        self.error(
            "wrong-type",
            span,
            format!("`{key}` is {}", type_name(item)),
            due,
        );
    }

    /// Looks a key up, remembers its place and that it was asked for.
    fn find(&mut self, key: &'static str) -> Option<(&'d Item, Range<usize>)> {
        self.used.push(key);
        let (name, item) = self.entries?.get_key_value(key)?;
        if item.is_none() {
            return None;
        }
        let span = item
            .span()
            .or_else(|| name.span())
            .unwrap_or_else(|| self.span.clone());
        let path = self.path_of(key);
        if let Some(sink) = &mut self.sink {
            sink.spans.insert(path, span.clone());
        }
        Some((item, span))
    }

    /// As [`Self::find`] for a key that must be there.
    fn require(&mut self, key: &'static str) -> Option<(&'d Item, Range<usize>)> {
        let found = self.find(key);
        if found.is_none() {
            self.missing.push(vec![key]);
        }
        found
    }

    /// Reports keys that nobody asked for, then keys that are missing, and gives the notes back.
    fn finish(mut self) -> TableNotes {
        let Some(entries) = self.entries else {
            return self.notes;
        };
        let known: Vec<&'static str> = self.notes.keys.iter().map(|k| k.key).collect();
        let mut meant = Vec::new();
        for (key, item) in entries.iter() {
            if self.used.contains(&key) || item.is_none() {
                continue;
            }
            let span = entries
                .key(key)
                .and_then(toml_edit::Key::span)
                .or_else(|| item.span())
                .unwrap_or_else(|| self.span.clone());
            if known.contains(&key) {
                let used: Vec<_> = self.used.iter().copied().filter(|k| self.has(k)).collect();
                if used.is_empty() {
                    // It belongs to several alternatives, and which of them is meant is missing.
                    continue;
                }
                let others = expected_words(&used);
                self.error(
                    "conflicting-key",
                    span,
                    format!("`{key}` does not go together with the other keys here"),
                    format!("no `{key}` beside {others}"),
                );
                continue;
            }
            let legal: Vec<&'static str> = known
                .iter()
                .copied()
                .filter(|k| !self.closed.contains(k))
                .collect();
            let near = nearest(key, legal.iter().copied().filter(|k| !self.has(k)));
            meant.extend(near);
            let place = if self.path.is_empty() {
                "this kind of file".to_owned()
            } else {
                self.spoken()
            };
            let due = format!("a key of {place}: {}", legal.join(", "));
            self.error_near(
                "unknown-key",
                span,
                format!("unknown key `{key}`"),
                due,
                near,
            );
        }
        self.report_missing(&meant);
        self.notes
    }

    /// One error for the keys that are missing here, and one for each table: its header and its keys can be pasted together.
    fn report_missing(&mut self, meant: &[&'static str]) {
        let lost = self.sink.as_ref().map_or(&[][..], |sink| &sink.lost);
        // A misspelt key is one error, not two; so is one on a line that was no TOML.
        let told = |key: &&'static str| {
            // A file that was cut off ends in the middle of a word.
            let cut = |word: &String| word.len() > 2 && key.starts_with(&**word);
            meant.contains(key)
                || lost.iter().any(cut)
                || nearest(key, lost.iter().map(String::as_str)).is_some()
        };
        let mut missing = std::mem::take(&mut self.missing);
        missing.retain(|keys| !keys.iter().any(told));
        // In an entry of a list a header would begin something else: there all keys are written in place.
        let apart = |keys: &Vec<&'static str>| match keys[..] {
            [key] if !self.path.contains('[') => self.notes.is_table(key),
            _ => false,
        };
        let (tables, keys): (Vec<_>, Vec<_>) = missing.into_iter().partition(apart);
        if !keys.is_empty() {
            let words: Vec<String> = keys.iter().map(|keys| expected_words(keys)).collect();
            let verb = if words.len() == 1 { "is" } else { "are" };
            let place = if self.path.is_empty() {
                // Under a header they would be that table's.
                " at the top, before the first table".to_owned()
            } else {
                format!(" in {}", self.spoken())
            };
            let what = format!("{} {verb} missing{place}", listed(&words));
            let lines = keys
                .iter()
                .flat_map(|keys| self.notes.lines_of(keys))
                .collect();
            self.error_with_lines("missing-key", what, lines);
        }
        for key in tables.into_iter().flatten() {
            let what = format!("the table `{}` is missing", self.path_of(key));
            let lines = self.notes.with_header(key, &self.path_of(key));
            self.error_with_lines("missing-key", what, lines);
        }
    }

    /// Collects an error at this table, with lines that can be pasted.
    fn error_with_lines(&mut self, code: &'static str, message: String, lines: Vec<String>) {
        let due = if lines.len() == 1 {
            "a line such as"
        } else {
            "lines such as"
        };
        self.error(code, self.span.clone(), message, due.into());
        if let Some(error) = self.sink.as_mut().and_then(|sink| sink.errors.last_mut()) {
            error.lines = lines;
        }
    }
}

/// "a, b and c".
fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// "one of a, b, c".
fn expected_words(words: &[&str]) -> String {
    match words {
        [one] => format!("`{one}`"),
        _ => {
            let words: Vec<String> = words.iter().map(|word| format!("`{word}`")).collect();
            format!("one of {}", words.join(", "))
        }
    }
}

fn type_name(item: &Item) -> &'static str {
    match item {
        Item::Table(_) | Item::Value(Value::InlineTable(_)) => "a table",
        Item::ArrayOfTables(_) => "a list of tables",
        Item::Value(Value::Array(_)) => "a list",
        Item::Value(Value::String(_)) => "text",
        Item::Value(Value::Integer(_)) => "a whole number",
        Item::Value(Value::Float(_)) => "a number",
        Item::Value(Value::Boolean(_)) => "true or false",
        Item::Value(Value::Datetime(_)) => "a date or time",
        Item::None => "empty",
    }
}

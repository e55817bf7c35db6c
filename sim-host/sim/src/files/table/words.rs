//! Keys that hold whole numbers, flags and text.

use super::super::error::nearest;
use super::{Kind, Table, expected_words};
use std::ops::Range;
use toml_edit::Item;

/// Whether a text can be an identifier: 1 to 24 small letters, digits and hyphens.
pub(in super::super) fn is_identifier(text: &str) -> bool {
    (1..=24).contains(&text.len())
        && text
            .bytes()
            .all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
}

impl<'d> Table<'_, 'd> {
    /// A whole number; the range includes its ends.
    pub(in super::super) fn integer(
        &mut self,
        key: &'static str,
        range: [u32; 2],
        meaning: &'static str,
    ) -> u32 {
        self.note(key, meaning, true, Kind::Integer { range });
        match self.require(key) {
            Some((item, span)) => self.whole(key, item, span, range),
            None => range[0],
        }
    }

    /// As [`Self::integer`], for a key that may be left out.
    pub(in super::super) fn optional_integer(
        &mut self,
        key: &'static str,
        range: [u32; 2],
        meaning: &'static str,
    ) -> Option<u32> {
        self.note(key, meaning, false, Kind::Integer { range });
        let (item, span) = self.find(key)?;
        Some(self.whole(key, item, span, range))
    }

    fn whole(&mut self, key: &str, item: &Item, span: Range<usize>, range: [u32; 2]) -> u32 {
        let due = format!("a whole number from {} to {}", range[0], range[1]);
        let Some(value) = item.as_integer() else {
            self.wrong_type(key, item, span, due);
            return range[0];
        };
        match u32::try_from(value) {
            Ok(value) if (range[0]..=range[1]).contains(&value) => value,
            _ => {
                let side = if value < i64::from(range[0]) {
                    "below"
                } else {
                    "above"
                };
                self.error(
                    "out-of-range",
                    span,
                    format!("`{key}` is {side} its range"),
                    due,
                );
                range[0]
            }
        }
    }

    /// `true` or `false`.
    pub(in super::super) fn flag(&mut self, key: &'static str, meaning: &'static str) -> bool {
        self.note(key, meaning, true, Kind::Flag);
        match self.require(key) {
            Some((item, span)) => self.truth(key, item, span, "true or false"),
            None => false,
        }
    }

    /// As [`Self::flag`], `false` where the key is left out.
    pub(in super::super) fn flag_or_no(
        &mut self,
        key: &'static str,
        meaning: &'static str,
    ) -> bool {
        self.note(key, meaning, false, Kind::Flag);
        self.note_default("false");
        self.find(key)
            .is_some_and(|(item, span)| self.truth(key, item, span, "true or false"))
    }

    /// A key that is there with `true` or not at all.
    pub(in super::super) fn yes(&mut self, key: &'static str, meaning: &'static str) {
        self.note(key, meaning, true, Kind::Yes);
        if let Some((item, span)) = self.require(key) {
            let place = span.clone();
            if !self.truth(key, item, span, "true") && item.is_bool() {
                self.error(
                    "out-of-range",
                    place,
                    format!("`{key}` is false"),
                    "true, or leave the key out".into(),
                );
            }
        }
    }

    fn truth(&mut self, key: &str, item: &Item, span: Range<usize>, due: &str) -> bool {
        item.as_bool().unwrap_or_else(|| {
            self.wrong_type(key, item, span, due.to_owned());
            false
        })
    }

    /// Text that must be there.
    fn string(&mut self, key: &'static str, due: &str) -> Option<(&'d str, Range<usize>)> {
        let (item, span) = self.require(key)?;
        let text = item.as_str();
        if text.is_none() {
            self.wrong_type(key, item, span.clone(), due.to_owned());
        }
        Some((text?, span))
    }

    /// One line of text, not empty.
    pub(in super::super) fn text(
        &mut self,
        key: &'static str,
        longest: usize,
        meaning: &'static str,
    ) -> String {
        self.text_like(key, longest, "…", meaning)
    }

    /// As [`Self::text`], with a text that may stand there, for who asks how to write it.
    pub(in super::super) fn text_like(
        &mut self,
        key: &'static str,
        longest: usize,
        example: &'static str,
        meaning: &'static str,
    ) -> String {
        self.note(key, meaning, true, Kind::Text { longest, example });
        let due = format!("one line of text, at most {longest} characters");
        let Some((text, span)) = self.string(key, &due) else {
            return String::new();
        };
        let why = if text.trim().is_empty() {
            "is empty"
        } else if text.chars().any(char::is_control) {
            "is more than one line"
        } else if text.chars().count() > longest {
            "is too long"
        } else {
            return text.to_owned();
        };
        self.error("bad-text", span, format!("`{key}` {why}"), due);
        String::new()
    }

    /// An identifier: it names files and goes over the link.
    pub(in super::super) fn identifier(
        &mut self,
        key: &'static str,
        meaning: &'static str,
    ) -> String {
        self.note(key, meaning, true, Kind::Identifier);
        let due = "1 to 24 of the characters a-z, 0-9 and -, such as \"machine-a\"";
        self.pattern(key, due, is_identifier)
    }

    /// As [`Self::identifier`], for a key that may be left out.
    pub(in super::super) fn optional_identifier(
        &mut self,
        key: &'static str,
        meaning: &'static str,
    ) -> Option<String> {
        if self.has(key) {
            let value = self.identifier(key, meaning);
            self.note_optional();
            return Some(value);
        }
        self.note(key, meaning, false, Kind::Identifier);
        None
    }

    /// The name of a step: it is shown on the panel.
    pub(in super::super) fn name(&mut self, key: &'static str, meaning: &'static str) -> String {
        self.note(key, meaning, true, Kind::Name);
        let due = "1 to 16 of the characters A-Z, a-z, 0-9, space and -, such as \"rough\"";
        let valid = |text: &str| {
            (1..=16).contains(&text.len())
                && text
                    .bytes()
                    .all(|b| b.is_ascii_alphanumeric() || b == b' ' || b == b'-')
                && !text.trim().is_empty()
        };
        self.pattern(key, due, valid)
    }

    fn pattern(&mut self, key: &'static str, due: &str, valid: impl Fn(&str) -> bool) -> String {
        let Some((text, span)) = self.string(key, due) else {
            return String::new();
        };
        if valid(text) {
            return text.to_owned();
        }
        self.error(
            "bad-identifier",
            span,
            format!("`{key}` has characters or a length that it must not have"),
            due.to_owned(),
        );
        String::new()
    }

    /// One of a few words, each standing for a value; `words` is not empty, and its first value is the stand-in.
    pub(in super::super) fn word<T: Copy>(
        &mut self,
        key: &'static str,
        words: &[(&'static str, T)],
        meaning: &'static str,
    ) -> Option<T> {
        let names: Vec<&'static str> = words.iter().map(|(word, _)| *word).collect();
        self.note(key, meaning, true, Kind::Word(names.clone()));
        let due = expected_words(&names);
        let (text, span) = self.string(key, &due)?;
        let found = words.iter().find(|(word, _)| *word == text);
        if found.is_none() {
            let near = nearest(text, names.iter().copied());
            let message = format!("`{text}` is no word for `{key}`");
            self.error_near("unknown-word", span, message, due, near);
        }
        found.map(|(_, value)| *value)
    }

    /// As [`Self::word`], for a key that may be left out.
    pub(in super::super) fn optional_word<T: Copy>(
        &mut self,
        key: &'static str,
        words: &[(&'static str, T)],
        meaning: &'static str,
    ) -> Option<T> {
        if self.has(key) {
            let value = self.word(key, words, meaning);
            self.note_optional();
            return value;
        }
        let names: Vec<&'static str> = words.iter().map(|(word, _)| *word).collect();
        self.note(key, meaning, false, Kind::Word(names));
        None
    }
}

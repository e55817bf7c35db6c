//! From a path to a parsed document: reading with a limit, text checks, TOML syntax with *all* its errors, places.

use super::error::{FileError, LINE_SHOWN, MarkedLine, said};
use super::near::near_path;
use super::slips;
use std::io::{ErrorKind, Read};
use std::ops::Range;
use std::path::Path;
use toml_edit::Document;

/// Largest file that is read, bytes. A recipe of sixteen steps takes about 6 kB.
pub const SIZE_LIMIT: u64 = 1 << 20;

/// Most syntax errors looked for in one file; each costs a parse.
const SYNTAX_LIMIT: usize = 25;

/// A place in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Place {
    /// Line, counted from 1.
    pub line: usize,
    /// Column in characters, counted from 1.
    pub column: usize,
}

/// A file's name and text, with the means to say where in it a byte is.
pub(super) struct Source {
    pub(super) name: String,
    pub(super) text: String,
    line_starts: Vec<usize>,
}

impl Source {
    pub(super) fn new(name: String, text: String) -> Self {
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        Self {
            name,
            text,
            line_starts,
        }
    }

    /// Reads a file; what cannot be read as text is an error.
    pub(super) fn read(path: &Path) -> Result<Self, Box<FileError>> {
        let name = path.display().to_string();
        let bytes = read_bytes(path, &name)?;
        let text = match String::from_utf8(bytes) {
            Ok(text) => text,
            Err(error) => return Err(Box::new(not_utf8(name, &error))),
        };
        Self::of_text(name, text)
    }

    /// A text that is there already, such as one built in.
    pub(super) fn of_text(name: String, text: String) -> Result<Self, Box<FileError>> {
        let source = Self::new(name, text);
        source.check_text()?;
        Ok(source)
    }

    fn check_text(&self) -> Result<(), Box<FileError>> {
        let control = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r');
        if let Some(at) = self.text.find(control) {
            return Err(Box::new(self.error(
                "not-text",
                at..at + 1,
                "the file holds a control character; it is no text file".into(),
                "a TOML text file in UTF-8".into(),
            )));
        }
        let blank = |line: &str| {
            let line = line.trim_start_matches('\u{feff}').trim();
            line.is_empty() || line.starts_with('#')
        };
        if self.text.lines().all(blank) {
            return Err(Box::new(FileError::whole(
                "empty-file",
                &self.name,
                "the file is empty".into(),
                "the keys of a machine, batch, recipe or scenario",
            )));
        }
        Ok(())
    }

    /// Index of the line that holds a byte.
    fn line_index(&self, at: usize) -> usize {
        self.line_starts
            .partition_point(|&start| start <= at)
            .saturating_sub(1)
    }

    fn line_start(&self, index: usize) -> usize {
        self.line_starts.get(index).copied().unwrap_or(0)
    }

    fn line_text(&self, index: usize) -> &str {
        let start = self.line_start(index);
        let end = self
            .line_starts
            .get(index + 1)
            .map_or(self.text.len(), |next| next - 1);
        self.text
            .get(start..end)
            .unwrap_or("")
            .trim_end_matches('\r')
    }

    /// Line and column of a byte offset.
    pub(super) fn place(&self, at: usize) -> Place {
        let index = self.line_index(at);
        let start = self.line_start(index);
        let before = self.text.get(start..at).unwrap_or("");
        Place {
            line: index + 1,
            column: before.trim_start_matches('\u{feff}').chars().count() + 1,
        }
    }

    /// An error that marks a span of this file; a span over several lines is marked to the end of its first.
    pub(super) fn error(
        &self,
        code: &'static str,
        span: Range<usize>,
        message: String,
        expected: String,
    ) -> FileError {
        let place = self.place(span.start);
        let start_of_line = self.line_start(place.line - 1);
        let line = self.line_text(place.line - 1);
        let start = span.start.saturating_sub(start_of_line).min(line.len());
        let end = span
            .end
            .saturating_sub(start_of_line)
            .clamp(start, line.len());
        FileError {
            code,
            file: self.name.clone(),
            line: place.line,
            column: place.column,
            message: said(message),
            expected,
            lines: Vec::new(),
            nearest: None,
            mark: Some(MarkedLine::cut(line, start, end)),
        }
    }

    /// Parses the text. The parser stops at its first error, so the offending line is blanked and the rest parsed again:
    /// every syntax error is found, offsets stay true, and what did parse can still be checked.
    pub(super) fn parse(&self) -> Parsed {
        let mut text = self.text.clone();
        let mut errors = Vec::new();
        let mut lost = Vec::new();
        for _ in 0..SYNTAX_LIMIT {
            let error = match Document::parse(text.clone()) {
                Ok(document) => {
                    return Parsed {
                        document: Some(document),
                        errors,
                        lost,
                    };
                }
                Err(error) => error,
            };
            let span = error.span().unwrap_or(0..0);
            let at = span.start.min(self.text.len());
            if let Some(held) = text.get(span.clone()).and_then(slips::largest) {
                // The reader knows the key's range.
                text.replace_range(span, &held);
                continue;
            }
            let duplicate = error.message().contains("duplicate key");
            errors.push(self.syntax_error(at..span.end.max(at), error.message(), duplicate));
            let Some(blanked) = self.blank(&mut text, at) else {
                break;
            };
            // A second key goes alone; but in an inline table the whole line goes with it.
            if !duplicate || !self.is_first_on_line(at) {
                lost.extend(slips::words(&blanked));
            }
        }
        Parsed {
            document: None,
            errors,
            lost,
        }
    }

    /// Nothing but space, or the brackets of a header, stands before `at` on its line.
    fn is_first_on_line(&self, at: usize) -> bool {
        let start = self.line_start(self.line_index(at));
        let before = self.text.get(start..at).unwrap_or("");
        before.trim_start().trim_start_matches('[').is_empty()
    }

    fn syntax_error(&self, span: Range<usize>, message: &str, duplicate: bool) -> FileError {
        if duplicate {
            let key = self.text.get(span.clone()).unwrap_or("").trim();
            return self.error(
                "duplicate-key",
                span.clone(),
                format!("`{key}` is set twice"),
                "each key and each table once".into(),
            );
        }
        let index = self.line_index(span.start);
        let start = self.line_start(index);
        let line = self.line_text(index);
        if let Some(slip) = slips::of(line, span.start.saturating_sub(start)) {
            let marked = start + slip.span.start..start + slip.span.end;
            let mut error = self.error("syntax", marked, slip.message, slip.expected.to_owned());
            // A very long one is pasted by nobody.
            error.lines = Some(slip.line)
                .filter(|line| line.len() <= LINE_SHOWN)
                .into_iter()
                .collect();
            return error;
        }
        let (what, expected) = message.split_once(", expected ").unwrap_or((message, ""));
        self.error(
            "syntax",
            span,
            format!("not valid TOML: {}", what.replace('\n', " ")),
            expected.replace('\n', " "),
        )
    }

    /// Blanks the line that holds `at`, and everything up to the next header if that line is one (its keys would fall into
    /// the table before). Gives what stood there; `None` when there was nothing left to blank.
    fn blank(&self, text: &mut String, at: usize) -> Option<String> {
        let first = self.line_index(at);
        let is_header = |index: usize| self.line_text(index).trim_start().starts_with('[');
        let mut last = first;
        if is_header(first) {
            while last + 1 < self.line_starts.len() && !is_header(last + 1) {
                last += 1;
            }
        }
        let start = self.line_start(first);
        let end = self.line_start(last) + self.line_text(last).len();
        let old = text.get(start..end)?.to_owned();
        if old.trim().is_empty() {
            return None;
        }
        // Byte for byte, so that every offset after it stays true.
        let blank: String = old
            .bytes()
            .map(|b| {
                if matches!(b, b'\n' | b'\r') {
                    b as char
                } else {
                    ' '
                }
            })
            .collect();
        text.replace_range(start..end, &blank);
        Some(old)
    }
}

/// What parsing gave: a document where one could be had, and everything wrong on the way.
pub(super) struct Parsed {
    pub(super) document: Option<Document<String>>,
    pub(super) errors: Vec<FileError>,
    /// Words of the lines that were left out: a key that is not there may have stood on one of them.
    pub(super) lost: Vec<String>,
}

fn read_bytes(path: &Path, name: &str) -> Result<Vec<u8>, Box<FileError>> {
    let unreadable = |why: &str| {
        Box::new(FileError::whole(
            "unreadable-file",
            name,
            format!("cannot read the file: {why}"),
            "the path of a readable TOML file",
        ))
    };
    let io = |error: std::io::Error| match error.kind() {
        ErrorKind::NotFound => {
            let mut error = unreadable("there is none at this path");
            error.nearest = near_path(path).map(|near| near.display().to_string());
            error
        }
        ErrorKind::PermissionDenied => unreadable("permission denied"),
        ErrorKind::NotADirectory => unreadable("a part of the path is no folder"),
        other => unreadable(&other.to_string()),
    };
    let metadata = std::fs::metadata(path).map_err(io)?;
    // A pipe or a device may never end.
    if !metadata.is_file() {
        return Err(unreadable("it is not a regular file"));
    }
    let mut bytes = Vec::new();
    std::fs::File::open(path)
        .and_then(|file| file.take(SIZE_LIMIT + 1).read_to_end(&mut bytes))
        .map_err(io)?;
    if bytes.len() as u64 > SIZE_LIMIT {
        return Err(Box::new(FileError::whole(
            "file-too-large",
            name,
            "the file is larger than 1 MiB".into(),
            "a machine, batch, recipe or scenario, a few kilobytes each",
        )));
    }
    Ok(bytes)
}

fn not_utf8(name: String, error: &std::string::FromUtf8Error) -> FileError {
    let bytes = error.as_bytes();
    let valid = error.utf8_error().valid_up_to();
    let expected = if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        "UTF-8; this looks like UTF-16: save it again as UTF-8"
    } else {
        "a text file saved as UTF-8"
    };
    // Beyond the first bad byte nothing needs to be shown.
    let prefix = bytes.get(..valid).unwrap_or(&[]);
    let mut text = String::from_utf8_lossy(prefix).into_owned();
    text.push('\u{fffd}');
    Source::new(name, text).error(
        "not-utf8",
        valid..valid + '\u{fffd}'.len_utf8(),
        "the bytes from here on are not UTF-8".into(),
        expected.into(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn source(text: &str) -> Source {
        Source::new("t.toml".into(), text.into())
    }

    #[test]
    fn places_count_characters_from_one() {
        let s = source("a = 1\nµm = 2\r\nx");
        assert_eq!(s.place(0), Place { line: 1, column: 1 });
        assert_eq!(s.place(4), Place { line: 1, column: 5 });
        // The micro sign is two bytes and one column.
        assert_eq!(s.place(8), Place { line: 2, column: 2 });
        assert_eq!(s.line_text(1), "µm = 2");
        assert_eq!(
            s.place(s.text.len()),
            Place { line: 3, column: 2 },
            "one past the end"
        );
    }

    #[test]
    fn all_syntax_errors_are_found_and_the_rest_still_parses() {
        let s = source("a = 1\nb = \nc = [1,\nd = 4\n]\na = 2\nok = true\n");
        let parsed = s.parse();
        let found: Vec<_> = parsed.errors.iter().map(|e| (e.code, e.line)).collect();
        assert!(found.contains(&("syntax", 2)), "{found:?}");
        assert!(found.contains(&("duplicate-key", 6)), "{found:?}");
        let document = parsed.document.expect("the rest parses");
        assert_eq!(
            document.get("ok").and_then(toml_edit::Item::as_bool),
            Some(true)
        );
    }

    #[test]
    fn a_duplicate_table_takes_its_keys_along() {
        let s = source("[t]\na = 1\n[u]\nb = 1\n[t]\na = 3\nc = 4\n[v]\nd = 1\n");
        let parsed = s.parse();
        let found: Vec<_> = parsed.errors.iter().map(|e| (e.code, e.line)).collect();
        assert_eq!(found, [("duplicate-key", 5)]);
        assert!(parsed.document.expect("parses").contains_key("v"));
    }
}

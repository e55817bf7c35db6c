//! From bytes to cells with their places, and the words for a cell that is no number.

use twinplate_sim::files::quantity::QuantityError;
use twinplate_sim::files::{FileError, SIZE_LIMIT};

/// A stretch of a line: bytes from and to.
#[derive(Clone, Copy)]
pub(super) struct Span {
    pub line: usize,
    pub from: usize,
    pub to: usize,
}

/// A cell and where it stands.
pub(super) struct Cell {
    pub text: String,
    pub span: Span,
}

/// Lines without their ends.
pub(super) fn lines(file: &str, bytes: &[u8]) -> Result<Vec<String>, Vec<FileError>> {
    let whole = |code, message: String, expected: &str| {
        Err(vec![FileError::whole(code, file, message, expected)])
    };
    if bytes.len() as u64 > SIZE_LIMIT {
        return whole(
            "file-too-large",
            format!("{} bytes", bytes.len()),
            "a sheet of at most 1 MiB",
        );
    }
    let text = match std::str::from_utf8(bytes) {
        Ok(text) => text.trim_start_matches('\u{feff}'),
        Err(error) => {
            let line = 1 + bytes
                .iter()
                .take(error.valid_up_to())
                .filter(|b| **b == b'\n')
                .count();
            let message = format!("byte {} is not UTF-8", error.valid_up_to());
            let error = FileError::whole("not-utf8", file, message, "a sheet saved as UTF-8 text");
            return Err(vec![FileError { line, ..error }]);
        }
    };
    if let Some(at) = text.find(|c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t')) {
        let line = 1 + text
            .get(..at)
            .map_or(0, |before| before.matches('\n').count());
        let message = "the file holds control characters".to_owned();
        let error = FileError::whole(
            "not-text",
            file,
            message,
            "a sheet saved as plain text, cells apart by commas",
        );
        return Err(vec![FileError { line, ..error }]);
    }
    let text = if text.contains('\n') {
        text.to_owned()
    } else {
        text.replace('\r', "\n")
    };
    Ok(text
        .split('\n')
        .map(|line| line.trim_end_matches('\r').to_owned())
        .collect())
}

/// Cells of a line. A cell in quotation marks may hold the separator; a mark that is never closed closes at the line's end.
pub(super) fn cells(line: usize, text: &str, separator: char) -> Vec<Cell> {
    let mut found = Vec::new();
    let mut from = 0;
    let mut quoted = false;
    let ends = text.char_indices().filter_map(|(at, sign)| {
        quoted ^= sign == '"';
        (sign == separator && !quoted).then_some(at)
    });
    let ends: Vec<usize> = ends.chain([text.len()]).collect();
    for end in ends {
        let piece = text.get(from..end).unwrap_or("");
        let bare = piece.trim();
        let start = from + (piece.len() - piece.trim_start().len());
        let inner = bare
            .strip_prefix('"')
            .and_then(|rest| rest.strip_suffix('"'))
            .unwrap_or(bare);
        found.push(Cell {
            text: inner.trim().replace("\"\"", "\""),
            span: Span {
                line,
                from: start,
                to: start + bare.len(),
            },
        });
        from = end + separator.len_utf8();
    }
    found
}

/// Name and unit of a heading: `load [kN]`, `load (kN)`, `load`.
pub(super) fn parted(text: &str) -> (String, Option<String>) {
    let fold = |name: &str| name.trim().to_lowercase().replace([' ', '_'], "-");
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some((name, rest)) = text.split_once(open)
            && let Some((unit, _)) = rest.split_once(close)
        {
            let unit = unit.trim();
            return (fold(name), (!unit.is_empty()).then(|| unit.to_owned()));
        }
    }
    (fold(text), None)
}

/// What is wrong with a cell's text: code, message, and what was expected.
pub(super) fn refusal(
    error: &QuantityError,
    name: &str,
    text: &str,
    unit: &str,
) -> (&'static str, String, String) {
    match error {
        QuantityError::UnknownUnit(unit, _) => (
            "unknown-unit",
            format!("`{unit}` is in no table of units"),
            "a number, with or without a unit".to_owned(),
        ),
        QuantityError::WrongDimension(dimension) => (
            "wrong-dimension",
            format!("`{text}` is {}", dimension.name()),
            format!("a number in {unit}"),
        ),
        QuantityError::NotFinite => (
            "not-finite",
            format!("`{text}` is no finite number"),
            "a finite number".to_owned(),
        ),
        QuantityError::BadNumber | QuantityError::MissingUnit if text.is_empty() => (
            "bad-number",
            format!("`{name}` is empty here"),
            "a number; leave the whole row out where it is not known".to_owned(),
        ),
        QuantityError::Comma(_) | QuantityError::Grouped => (
            "bad-number",
            format!("`{text}` is no plain number"),
            "digits with one decimal point and nothing between them".to_owned(),
        ),
        QuantityError::BadNumber | QuantityError::MissingUnit => (
            "bad-number",
            format!("`{text}` is not a number"),
            "a number such as 12.5".to_owned(),
        ),
    }
}

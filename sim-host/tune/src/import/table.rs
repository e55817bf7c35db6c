//! From bytes to rows of cells: encoding, comments, what parts the cells, which sign is the decimal one, header and units row.

use super::cell;
use super::error::ImportError;
use super::{LEAST_ROWS, ROW_LIMIT, SIZE_LIMIT};
use csv::StringRecord;
use std::borrow::Cow;

/// Rows from which separator and decimal sign are told.
const LOOKED_AT: usize = 200;

/// Rows of cells with their lines.
#[derive(Debug)]
pub(super) struct Table {
    pub header: Option<Vec<String>>,
    pub units: Option<Vec<String>>,
    pub rows: Vec<(u64, StringRecord)>,
    /// The decimal sign is a comma.
    pub comma: bool,
    pub notes: Vec<String>,
}

/// What may part two cells. In the order in which they are believed where several would do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Separator {
    Semicolon,
    Tab,
    Comma,
    Blanks,
}

impl Separator {
    const ALL: [Self; 4] = [Self::Semicolon, Self::Tab, Self::Comma, Self::Blanks];
    const fn words(self) -> &'static str {
        match self {
            Self::Semicolon => "semicolons",
            Self::Tab => "tabs",
            Self::Comma => "commas",
            Self::Blanks => "blanks",
        }
    }
    const fn byte(self) -> u8 {
        match self {
            Self::Semicolon => b';',
            Self::Tab | Self::Blanks => b'\t',
            Self::Comma => b',',
        }
    }
}

/// Reads a table.
pub(super) fn read(bytes: &[u8]) -> Result<Table, ImportError> {
    let text = decode(bytes)?;
    let lines = lines(text);
    let first: Vec<(u64, &str)> = lines
        .iter()
        .copied()
        .filter(|(_, line)| !line.is_empty())
        .take(LOOKED_AT)
        .collect();
    let Some(&(line, shown)) = first.first() else {
        return Err(ImportError::Empty);
    };
    let (separator, width, comma) = guess(&first).ok_or_else(|| ImportError::NoColumns {
        line,
        text: shown.chars().take(60).collect(),
    })?;
    let rows = rows(&lines, separator)?;
    if separator == Separator::Comma {
        decimal_commas(&rows, width)?;
    }
    let mut table = assemble(rows, width, comma)?;
    table.notes.insert(
        0,
        format!(
            "{} rows; cells apart by {}, decimal {}",
            table.rows.len(),
            separator.words(),
            if comma { "comma" } else { "point" }
        ),
    );
    Ok(table)
}

fn decode(bytes: &[u8]) -> Result<&str, ImportError> {
    if bytes.len() > SIZE_LIMIT {
        return Err(ImportError::TooLarge { bytes: bytes.len() });
    }
    let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    let text = bytes.strip_prefix("\u{feff}".as_bytes()).unwrap_or(bytes);
    std::str::from_utf8(text).map_err(|error| {
        let good = text.get(..error.valid_up_to()).unwrap_or_default();
        let line = 1 + good.iter().filter(|&&b| b == b'\n').count() as u64;
        ImportError::Encoding {
            line,
            byte: error.valid_up_to() + bytes.len() - text.len(),
            utf16,
        }
    })
}

/// Lines with their numbers; blanks and comments are empty. A lone carriage return ends a line where there is no line feed.
fn lines(text: &str) -> Vec<(u64, &str)> {
    let end = if text.contains('\n') { '\n' } else { '\r' };
    text.split(end)
        .zip(1_u64..)
        .map(|(line, number)| {
            let line = line.trim_end_matches(['\r', '\0']);
            let bare = line.trim_start().trim_start_matches('"');
            let nothing = line.trim().is_empty() || bare.starts_with('#') || bare.starts_with("//");
            (number, if nothing { "" } else { line })
        })
        .collect()
}

/// A line as the reader of separated values takes it.
fn prepared(line: &str, separator: Separator) -> Cow<'_, str> {
    if separator == Separator::Blanks {
        Cow::Owned(line.split_whitespace().collect::<Vec<_>>().join("\t"))
    } else {
        Cow::Borrowed(line)
    }
}

fn reader(text: &[u8], separator: Separator) -> csv::Reader<&[u8]> {
    csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator.byte())
        .trim(csv::Trim::All)
        .from_reader(text)
}

fn joined(lines: &[(u64, &str)], separator: Separator) -> String {
    let mut text = String::with_capacity(lines.iter().map(|(_, line)| line.len() + 1).sum());
    for (_, line) in lines {
        text.push_str(&prepared(line, separator));
        text.push('\n');
    }
    text
}

/// Every row with its line in the file.
fn rows(
    lines: &[(u64, &str)],
    separator: Separator,
) -> Result<Vec<(u64, StringRecord)>, ImportError> {
    let text = joined(lines, separator);
    let mut reader = reader(text.as_bytes(), separator);
    let mut rows = Vec::new();
    let mut record = StringRecord::new();
    loop {
        // Where the reader stands before an empty line is not where the next record begins: ask the record.
        match reader.read_record(&mut record) {
            Ok(false) => return Ok(rows),
            Ok(true) => {
                if rows.len() > ROW_LIMIT {
                    return Err(ImportError::TooManyRows);
                }
                let line = record.position().map_or(0, csv::Position::line);
                rows.push((line, record.clone()));
            }
            Err(error) => {
                return Err(ImportError::Csv {
                    line: error.position().map_or(0, csv::Position::line),
                    text: error.to_string(),
                });
            }
        }
    }
}

/// Cells that are numbers or times, or empty, by both decimal signs.
fn reads(text: &str, comma: bool) -> bool {
    cell::missing(text) || cell::number(text, comma).is_some() || cell::instant(text).is_some()
}

/// The separator with which most cells can be read, the number of columns and the decimal sign.
fn guess(lines: &[(u64, &str)]) -> Option<(Separator, usize, bool)> {
    let mut best: Option<(f64, Separator, usize, bool)> = None;
    for separator in Separator::ALL {
        let text = joined(lines, separator);
        let rows: Vec<StringRecord> = reader(text.as_bytes(), separator)
            .records()
            .filter_map(Result::ok)
            .collect();
        let Some(width) = usual(rows.iter().map(StringRecord::len)).filter(|&width| width > 1)
        else {
            continue;
        };
        let cells = || {
            rows.iter()
                .filter(|row| row.len() == width)
                .flat_map(StringRecord::iter)
        };
        let comma = cells().any(|cell| cell.contains(',') && cell::number(cell, true).is_some())
            && !cells().any(|cell| cell.contains('.') && cell::number(cell, false).is_some());
        let whole = rows.iter().filter(|row| row.len() == width).count();
        let read = cells().filter(|cell| reads(cell, comma)).count();
        // Rows of another width count as unread.
        let score = read as f64 / (whole * width) as f64 * whole as f64 / rows.len() as f64;
        if best.is_none_or(|(most, ..)| score > most + 1e-9) {
            best = Some((score, separator, width, comma));
        }
    }
    best.map(|(_, separator, width, comma)| (separator, width, comma))
}

/// The most frequent number.
fn usual(all: impl Iterator<Item = usize>) -> Option<usize> {
    let mut counts = std::collections::BTreeMap::new();
    for n in all {
        *counts.entry(n).or_insert(0_usize) += 1;
    }
    counts
        .into_iter()
        .max_by_key(|&(_, count)| count)
        .map(|(n, _)| n)
}

/// Refuses rows that were parted at their decimal commas: more cells than the words above them, none of them with a decimal point, and
/// the cells that are too many not empty.
fn decimal_commas(rows: &[(u64, StringRecord)], width: usize) -> Result<(), ImportError> {
    let number = |text: &str| cell::number(text, false).is_some();
    let Some(first) = rows.iter().position(|(_, row)| row.iter().any(number)) else {
        return Ok(());
    };
    let Some((_, head)) = first.checked_sub(1).and_then(|above| rows.get(above)) else {
        return Ok(());
    };
    let data = &rows[first..];
    let headings = head.len();
    // Every heading has one cell more at most; a single word above the table is a title.
    let more = headings > 1 && headings < width && width <= 2 * headings;
    let whole = || data.iter().flat_map(|(_, row)| row.iter());
    let filled = data
        .iter()
        .all(|(_, row)| row.get(headings).is_some_and(|cell| !cell.is_empty()));
    if more && filled && whole().all(number) && !whole().any(|cell| cell.contains('.')) {
        return Err(ImportError::DecimalCommas {
            line: data[0].0,
            found: data[0].1.len(),
            headings,
        });
    }
    Ok(())
}

/// Tells header, units and data apart, and sees to it that all rows have one width.
fn assemble(
    mut rows: Vec<(u64, StringRecord)>,
    width: usize,
    comma: bool,
) -> Result<Table, ImportError> {
    let mut notes = Vec::new();
    let numeric = |row: &StringRecord| {
        row.iter()
            .any(|text| !cell::missing(text) && reads(text, comma))
    };
    let words = |row: &StringRecord| row.iter().any(|text| !reads(text, comma));
    let data = rows
        .iter()
        .position(|(_, row)| row.len() == width && numeric(row))
        .unwrap_or(rows.len());
    let mut above: Vec<(u64, StringRecord)> = rows.drain(..data).collect();
    // A header whose names look like numbers beside names that do not, such as `Q1, 1, 2`.
    if rows.first().is_some_and(|(_, row)| words(row))
        && above.is_empty()
        && rows.get(1).is_some_and(|(_, row)| !words(row))
    {
        above.push(rows.remove(0));
    }
    let mut last = above.pop();
    let as_words = |row: &StringRecord| -> Vec<String> {
        let mut all: Vec<String> = row.iter().map(str::to_owned).collect();
        all.resize(width, String::new());
        all
    };
    let fits = |row: &StringRecord| row.len() == width || row.len() + 1 == width;
    let is_units = |row: &StringRecord| {
        row.iter().filter(|text| !text.is_empty()).all(|text| {
            twinplate_sim::files::quantity::find(text.trim_matches(['[', ']', '(', ')'])).is_some()
        })
    };
    let mut units = None;
    if last.as_ref().is_some_and(|(_, row)| is_units(row))
        && above.last().is_some_and(|(_, row)| fits(row))
    {
        units = last.as_ref().map(|(_, row)| as_words(row));
        last = above.pop();
    }
    let header = match last {
        Some((_, row)) if fits(&row) => Some(as_words(&row)),
        Some(other) => {
            above.push(other);
            None
        }
        None => None,
    };
    if let (Some((from, _)), Some((to, _))) = (above.first(), above.last()) {
        notes.push(format!(
            "lines {from} to {to} stand above the table and were left out"
        ));
    }
    if let Some((line, row)) = rows.last()
        && row.len() < width
    {
        notes.push(format!("line {line}: the last row is incomplete; dropped"));
        rows.pop();
    }
    if let Some((line, row)) = rows.iter().find(|(_, row)| row.len() != width) {
        return Err(ImportError::Ragged {
            line: *line,
            found: row.len(),
            expected: width,
        });
    }
    if rows.len() < LEAST_ROWS {
        return Err(ImportError::TooFewRows { rows: rows.len() });
    }
    if rows.len() > ROW_LIMIT {
        return Err(ImportError::TooManyRows);
    }
    Ok(Table {
        header,
        units,
        rows,
        comma,
        notes,
    })
}

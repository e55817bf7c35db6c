//! A sheet that somebody filled in: cells under named headings, quantities with their units. All errors at once, each with its place.
//!
//! Cells are apart by commas, semicolons or tabs, whichever the row of headings has; without commas between them, numbers may have decimal
//! commas. A heading carries its unit in brackets, `load [kN]`; a cell may carry its own, `2.5 kN`. Lines that are empty or begin with
//! `#` are left out. What a recorder wrote is another matter: a log's columns are found out, a sheet's are named.

mod quantities;
mod text;

pub use quantities::Quantities;
use text::{Cell, Span, cells, lines, parted};
use twinplate_sim::files::error::nearest;
use twinplate_sim::files::quantity::Dimension;
use twinplate_sim::files::{FileError, MarkedLine};

/// Most rows of a sheet.
const ROWS: usize = 10_000;
/// Most columns of a sheet: several times what any of them has.
const COLUMNS: usize = 100;

/// What the cells of a column hold.
pub enum Holds {
    /// A quantity of one of these dimensions, each with its least and largest value.
    Quantity(&'static [(Dimension, [&'static str; 2])]),
    /// A number; its unit, if any, is only a word.
    Number,
    /// A word, which may be missing.
    Word,
}

/// A column that a sheet may have.
pub struct Heading {
    /// Its name, lower case with hyphens.
    pub name: &'static str,
    /// What its cells hold.
    pub holds: Holds,
}

/// Where a heading was found.
struct Found {
    at: usize,
    unit: Option<String>,
    span: Span,
}

/// Cells under headings.
pub struct Sheet {
    file: String,
    lines: Vec<String>,
    headings: &'static [Heading],
    found: Vec<Option<Found>>,
    /// Line and cells of each row of data.
    rows: Vec<(usize, Vec<Cell>)>,
    /// Decimal commas may stand in numbers.
    commas: bool,
    head: Span,
    errors: Vec<FileError>,
}

impl Sheet {
    /// Reads the cells. What is wrong with single cells is told by [`Self::finish`].
    ///
    /// # Errors
    /// What is no sheet at all.
    pub fn read(
        file: &str,
        bytes: &[u8],
        headings: &'static [Heading],
    ) -> Result<Self, Vec<FileError>> {
        let lines = lines(file, bytes)?;
        let whole = |code, message: &str, expected: &str| {
            vec![FileError::whole(code, file, message.to_owned(), expected)]
        };
        let names = names(headings);
        let mut kept = lines.iter().enumerate().filter(|(_, line)| {
            let line = line.trim();
            !line.is_empty() && !line.starts_with('#')
        });
        let Some((first, head)) = kept.next() else {
            let expected = format!("a row of headings ({names}) and a row for each reading");
            return Err(whole("empty-file", "the sheet is empty", &expected));
        };
        let separator = [';', '\t', ',']
            .into_iter()
            .find(|sign| head.contains(*sign))
            .unwrap_or(',');
        let mut sheet = Self {
            file: file.to_owned(),
            lines: Vec::new(),
            headings,
            found: headings.iter().map(|_| None).collect(),
            rows: Vec::new(),
            commas: separator != ',',
            head: Self::whole_line(first),
            errors: Vec::new(),
        };
        let cells: Vec<(usize, Vec<Cell>)> = kept
            .map(|(line, text)| (line, cells(line, text, separator)))
            .filter(|(_, cells)| cells.iter().any(|cell| !cell.text.is_empty()))
            .collect();
        let header = text::cells(first, head, separator);
        if header.len() > COLUMNS {
            return Err(whole(
                "too-many-items",
                &format!("{} columns", header.len()),
                &format!("at most {COLUMNS} columns: {names}"),
            ));
        }
        sheet.lines = lines;
        sheet.take_header(&header);
        for (line, mut cells) in cells {
            sheet.fit(&header, line, &mut cells);
            sheet.rows.push((line, cells));
        }
        if sheet.rows.len() > ROWS {
            return Err(whole(
                "too-many-items",
                &format!("{} rows", sheet.rows.len()),
                &format!("at most {ROWS} rows"),
            ));
        }
        Ok(sheet)
    }

    /// Takes the headings; strange ones and doubles are errors.
    fn take_header(&mut self, header: &[Cell]) {
        let all: Vec<&str> = self.headings.iter().map(|heading| heading.name).collect();
        for (at, cell) in header.iter().enumerate() {
            let (name, unit) = parted(&cell.text);
            if name.is_empty() {
                continue;
            }
            let Some(place) = all.iter().position(|known| *known == name) else {
                let near = nearest(&name, all.iter().copied()).map(str::to_owned);
                let expected = names(self.headings);
                self.error(
                    "unknown-key",
                    cell.span,
                    format!("no column is named `{name}`"),
                    expected,
                );
                if let Some(error) = self.errors.last_mut() {
                    error.nearest = near;
                }
                continue;
            };
            if self.found[place].is_some() {
                self.error(
                    "duplicate-key",
                    cell.span,
                    format!("a second column `{name}`"),
                    "each heading once".to_owned(),
                );
                continue;
            }
            self.found[place] = Some(Found {
                at,
                unit,
                span: cell.span,
            });
        }
    }

    /// A row must have a cell under each heading and none beside them.
    fn fit(&mut self, header: &[Cell], line: usize, cells: &mut Vec<Cell>) {
        while cells.len() > header.len() && cells.last().is_some_and(|cell| cell.text.is_empty()) {
            cells.pop();
        }
        let [found, due] = [cells.len(), header.len()];
        if found == due {
            return;
        }
        let span = Self::whole_line(line);
        let decimal = if self.commas || found < due {
            ""
        } else {
            "; numbers with decimal commas want semicolons between the cells"
        };
        self.error(
            if found < due {
                "too-few-items"
            } else {
                "too-many-items"
            },
            span,
            format!("{found} cells under {due} headings"),
            format!("a cell under each heading, empty where nothing is known{decimal}"),
        );
    }

    /// The beginning of a line: all of it would be marked for a whole screen.
    const fn whole_line(line: usize) -> Span {
        Span {
            line,
            from: 0,
            to: 0,
        }
    }

    fn error(&mut self, code: &'static str, span: Span, message: String, expected: String) {
        let line = self.lines.get(span.line).map_or("", String::as_str);
        let column = line
            .get(..span.from)
            .map_or(0, |before| before.chars().count())
            + 1;
        self.errors.push(FileError {
            line: span.line + 1,
            column,
            mark: Some(MarkedLine::cut(line, span.from, span.to)),
            ..FileError::whole(code, &self.file, message, &expected)
        });
    }

    /// Rows of data.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// No rows of data.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// Line of a row in the file, from 1.
    #[must_use]
    pub fn line(&self, row: usize) -> usize {
        self.rows.get(row).map_or(0, |(line, _)| line + 1)
    }

    /// Whether the sheet has a column.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.column(name).is_some()
    }

    fn column(&self, name: &str) -> Option<&Found> {
        let place = self
            .headings
            .iter()
            .position(|heading| heading.name == name)?;
        self.found.get(place)?.as_ref()
    }

    /// A column that must be there is not.
    pub fn missing(&mut self, name: &str, expected: &str) {
        let head = self.head;
        self.error(
            "missing-key",
            head,
            format!("no column `{name}`"),
            expected.to_owned(),
        );
    }

    /// Something is wrong with a cell, or with its whole row where it has no such column. `row` counts from 0.
    pub fn wrong(
        &mut self,
        code: &'static str,
        row: usize,
        name: &str,
        message: String,
        expected: &str,
    ) {
        let Some((line, cells)) = self.rows.get(row) else {
            return;
        };
        let cell = self.column(name).and_then(|found| cells.get(found.at));
        let span = cell.map_or_else(|| Self::whole_line(*line), |cell| cell.span);
        self.error(code, span, message, expected.to_owned());
    }

    /// An error of another file that the sheet names.
    pub(crate) fn also(&mut self, error: FileError) {
        self.errors.push(error);
    }

    /// Something is wrong with the sheet as a whole.
    pub fn wrong_whole(&mut self, code: &'static str, message: String, expected: &str) {
        let head = self.head;
        self.error(code, head, message, expected.to_owned());
    }

    /// Texts of a column; none where there is no such column.
    #[must_use]
    pub fn words(&self, name: &str) -> Option<Vec<String>> {
        let at = self.column(name)?.at;
        let text = |cells: &Vec<Cell>| cells.get(at).map_or_else(String::new, |c| c.text.clone());
        Some(self.rows.iter().map(|(_, cells)| text(cells)).collect())
    }

    /// The value, or all that is wrong in the order of places.
    ///
    /// # Errors
    /// Everything that is wrong in the sheet.
    pub fn finish<T>(mut self, value: Option<T>) -> Result<T, Vec<FileError>> {
        self.errors.sort_by_key(|error| (error.line, error.column));
        match value {
            Some(value) if self.errors.is_empty() => Ok(value),
            _ => Err(self.errors),
        }
    }
}

fn names(headings: &[Heading]) -> String {
    headings
        .iter()
        .map(|heading| format!("`{}`", heading.name))
        .collect::<Vec<_>>()
        .join(", ")
}

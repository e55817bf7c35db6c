//! Why a file is no log: where, what was expected, how to mend it.

use super::{LEAST_ROWS, ROW_LIMIT, SIZE_LIMIT};
use std::fmt;

/// A file that cannot be read as a log. Lines and columns from 1.
#[derive(Clone, Debug, PartialEq)]
pub enum ImportError {
    /// Nothing in it but blanks and comments.
    Empty,
    /// Larger than [`SIZE_LIMIT`].
    TooLarge {
        /// Bytes.
        bytes: usize,
    },
    /// More rows than [`ROW_LIMIT`].
    TooManyRows,
    /// Fewer rows of numbers than [`LEAST_ROWS`].
    TooFewRows {
        /// Rows.
        rows: usize,
    },
    /// Not UTF-8.
    Encoding {
        /// Line.
        line: u64,
        /// Byte of the file, from 0.
        byte: usize,
        /// It begins like UTF-16.
        utf16: bool,
    },
    /// No way to part the rows into two columns or more.
    NoColumns {
        /// First row of data.
        line: u64,
        /// What stands there.
        text: String,
    },
    /// A row has another number of cells than the rest.
    Ragged {
        /// Line.
        line: u64,
        /// Cells found.
        found: usize,
        /// Cells expected.
        expected: usize,
    },
    /// The reader of separated values gave up (an open quotation mark, for instance).
    Csv {
        /// Line.
        line: u64,
        /// What it said.
        text: String,
    },
    /// A cell that should be a number is none.
    NotANumber {
        /// Line.
        line: u64,
        /// Column.
        column: usize,
        /// Name of the column.
        name: String,
        /// What stands there.
        text: String,
    },
    /// A cell that should be a time is none.
    NotATime {
        /// Line.
        line: u64,
        /// Column.
        column: usize,
        /// What stands there.
        text: String,
    },
    /// The option names a column that is not there.
    NoSuchColumn {
        /// Which of time, command, output.
        role: &'static str,
        /// What was asked for.
        asked: String,
        /// What there is.
        known: Vec<String>,
        /// The nearest of them.
        nearest: Option<String>,
    },
    /// Which column it is cannot be found out.
    Unclear {
        /// Which of time, command, output.
        role: &'static str,
        /// Columns that it may be.
        candidates: Vec<String>,
    },
    /// One column was asked for twice.
    SameColumn {
        /// Its name.
        name: String,
    },
    /// A unit that is not known, or measures something else.
    Unit {
        /// Which of time, command, output.
        role: &'static str,
        /// The unit.
        unit: String,
    },
    /// Whole numbers as times, in large steps and without a unit: seconds or milliseconds.
    TimeUnit {
        /// Name of the column.
        name: String,
        /// Usual step.
        step: f64,
    },
    /// More cells in a row than headings, and no decimal point anywhere: decimal commas, parted by commas.
    DecimalCommas {
        /// First row of data.
        line: u64,
        /// Its cells.
        found: usize,
        /// Headings.
        headings: usize,
    },
    /// Times do not rise.
    TimeNotRising {
        /// First line that comes before its forerunner.
        line: u64,
        /// Its time, s.
        time: f64,
        /// Time of the row before, s.
        before: f64,
        /// Rows that do so.
        rows: usize,
    },
    /// Many rows share their instant with other values: the time stamps are too coarse.
    CoarseTime {
        /// Rows that share.
        rows: usize,
        /// Of how many.
        of: usize,
        /// First such line.
        line: u64,
    },
}

impl ImportError {
    /// Stable word for programs.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Empty => "log-empty",
            Self::TooLarge { .. } => "log-too-large",
            Self::TooManyRows => "log-too-many-rows",
            Self::TooFewRows { .. } => "log-too-few-rows",
            Self::Encoding { .. } => "log-encoding",
            Self::NoColumns { .. } => "log-no-columns",
            Self::Ragged { .. } => "log-ragged",
            Self::Csv { .. } => "log-csv",
            Self::NotANumber { .. } => "log-not-a-number",
            Self::NotATime { .. } => "log-not-a-time",
            Self::NoSuchColumn { .. } => "log-no-such-column",
            Self::Unclear { .. } => "log-column-unclear",
            Self::SameColumn { .. } => "log-same-column",
            Self::Unit { .. } => "log-unit",
            Self::TimeUnit { .. } => "log-time-unit",
            Self::DecimalCommas { .. } => "log-decimal-commas",
            Self::TimeNotRising { .. } => "log-time-not-rising",
            Self::CoarseTime { .. } => "log-time-coarse",
        }
    }

    /// Line and column in the file, where there is one; column 0 means the whole line.
    #[must_use]
    pub const fn place(&self) -> Option<(u64, usize)> {
        match self {
            Self::Encoding { line, .. }
            | Self::NoColumns { line, .. }
            | Self::Ragged { line, .. }
            | Self::Csv { line, .. }
            | Self::DecimalCommas { line, .. }
            | Self::TimeNotRising { line, .. }
            | Self::CoarseTime { line, .. } => Some((*line, 0)),
            Self::NotANumber { line, column, .. } | Self::NotATime { line, column, .. } => {
                Some((*line, *column))
            }
            _ => None,
        }
    }

    /// What would mend it.
    #[must_use]
    pub fn cure(&self) -> String {
        match self {
            Self::Empty | Self::TooFewRows { .. } => "a log has a row per sample with time, command and output".into(),
            Self::TooLarge { .. } | Self::TooManyRows => "cut it to the test itself, or keep every tenth row".into(),
            Self::Encoding { .. } => "save it as UTF-8 text".into(),
            Self::NoColumns { .. } => "separate the columns by commas, semicolons, tabs or blanks".into(),
            Self::Ragged { .. } => {
                "give every row the same number of cells, and quote a cell that holds the separator; numbers with decimal commas want \
                 another one, such as a semicolon"
                    .into()
            }
            Self::TimeUnit { .. } => "say which: `--unit time=ms` or `--unit time=s`".into(),
            Self::DecimalCommas { .. } => {
                "part the cells by semicolons or tabs, or write decimal points: a comma cannot be both".into()
            }
            Self::Csv { .. } => "close the quotation marks".into(),
            Self::NotANumber { .. } => "write a number such as 12.5 or 12,5 (no thousands separators), or leave the cell empty".into(),
            Self::NotATime { .. } => {
                "write seconds (12.5), milliseconds, or ISO 8601 (2030-01-31T08:15:00.250Z, 08:15:00.250)".into()
            }
            Self::NoSuchColumn { role, nearest: Some(near), .. } => format!("did you mean `--column \"{role}={near}\"`?"),
            Self::NoSuchColumn { role, .. } | Self::Unclear { role, .. } => {
                format!("name it: `--column {role}=NAME`, or by its number from 1")
            }
            Self::SameColumn { .. } => "name three different columns".into(),
            Self::Unit { role, .. } => format!("give the unit: `--unit {role}=…`, such as s, ms, %, N, kN, bar"),
            Self::TimeNotRising { .. } => "put the rows in order of time; two tests in one file want two files".into(),
            Self::CoarseTime { .. } => "record the time with more digits (milliseconds)".into(),
        }
    }
}

impl fmt::Display for ImportError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Empty => write!(f, "nothing in it but blanks and comments"),
            Self::TooLarge { bytes } => write!(f, "{bytes} bytes; at most {SIZE_LIMIT} are read"),
            Self::TooManyRows => write!(f, "more than {ROW_LIMIT} rows"),
            Self::TooFewRows { rows } => {
                write!(f, "{rows} rows of numbers; a log has at least {LEAST_ROWS}")
            }
            Self::Encoding {
                line, utf16: true, ..
            } => write!(f, "line {line}: UTF-16, not UTF-8"),
            Self::Encoding { line, byte, .. } => {
                write!(f, "line {line}: byte {byte} of the file is not UTF-8")
            }
            Self::NoColumns { line, text } => {
                write!(f, "line {line}: no columns can be told apart in `{text}`")
            }
            Self::Ragged {
                line,
                found,
                expected,
            } => {
                write!(
                    f,
                    "line {line}: {found} cells where the rows before have {expected}"
                )
            }
            Self::Csv { line, text } => write!(f, "line {line}: {text}"),
            Self::NotANumber {
                line,
                column,
                name,
                text,
            } => {
                write!(
                    f,
                    "line {line}, column {column} (`{name}`): `{text}` is not a number"
                )
            }
            Self::NotATime { line, column, text } => {
                write!(f, "line {line}, column {column}: `{text}` is not a time")
            }
            Self::NoSuchColumn {
                role, asked, known, ..
            } => write!(
                f,
                "no column `{asked}` for the {role}; there are {}",
                known
                    .iter()
                    .map(|name| format!("`{name}`"))
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
            Self::Unclear { role, candidates } if candidates.is_empty() => {
                write!(f, "no column looks like the {role}")
            }
            Self::Unclear { role, candidates } => write!(
                f,
                "which column is the {role} is not clear: {}",
                candidates
                    .iter()
                    .map(|name| format!("`{name}`"))
                    .collect::<Vec<_>>()
                    .join(", ")
            ),
            Self::SameColumn { name } => write!(f, "column `{name}` is named for two things"),
            Self::Unit { role, unit } => {
                write!(f, "`{unit}` is not a unit that the {role} can have")
            }
            Self::TimeUnit { name, step } => write!(
                f,
                "the times in `{name}` are whole numbers in steps of {step} without a unit: seconds or milliseconds?"
            ),
            Self::DecimalCommas {
                line,
                found,
                headings,
            } => write!(
                f,
                "line {line}: {found} cells under {headings} headings: the commas seem to be decimal commas as well as separators"
            ),
            Self::TimeNotRising {
                line,
                time,
                before,
                rows,
            } => write!(
                f,
                "line {line}: {time:.4} s comes after {before:.4} s; {rows} rows go back in time"
            ),
            Self::CoarseTime { rows, of, line } => write!(
                f,
                "{rows} of {of} rows share their time with the row before but not their values (first: line {line})"
            ),
        }
    }
}

impl std::error::Error for ImportError {}

//! From the bytes of a recorder's file to a [`Log`]: time in s, command and output in SI units, what is wrong with them named.
//!
//! [`import`] takes CSV text with or without a header, fields apart by comma, semicolon, tab or blanks, decimal points or commas,
//! `#` comments, a byte order mark, any line ends. Which column is which is told by option, or found by header words or by
//! what the columns hold; how it was found is in [`Log::notes`]. Nothing is repaired in silence.

mod assume;
mod cell;
mod columns;
mod defects;
mod error;
mod table;
mod values;

pub use error::ImportError;

use columns::Role;
use std::fmt;

/// Largest file that is read, bytes.
pub const SIZE_LIMIT: usize = 64 << 20;
/// Most rows of data that are read: a million, a quarter of an hour at 1 kHz.
pub const ROW_LIMIT: usize = 1_000_000;
/// Fewest rows of data that can be called a log.
pub const LEAST_ROWS: usize = 3;

/// What a user may say about a file; everything else is found out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ImportOptions {
    /// Columns by header word or by number from 1: time, command, output.
    pub columns: [Option<String>; 3],
    /// Units of time, command, output, as in the other files ("ms", "%", "kN"); they win over those of the header.
    pub units: [Option<String>; 3],
    /// Value of the command before the first row, in the unit of its column.
    pub before: Option<f64>,
}

impl ImportOptions {
    /// Takes `time=…`, `command=…` or `output=…` as a column's name or number (from 1).
    ///
    /// # Errors
    /// A sentence that says what was expected.
    pub fn column(&mut self, text: &str) -> Result<(), String> {
        Self::set(&mut self.columns, text, "Time")
    }

    /// Takes `time=ms` and the like as a column's unit.
    ///
    /// # Errors
    /// A sentence that says what was expected.
    pub fn unit(&mut self, text: &str) -> Result<(), String> {
        Self::set(&mut self.units, text, "ms")
    }

    fn set(all: &mut [Option<String>; 3], text: &str, example: &str) -> Result<(), String> {
        let (role, value) = text.split_once('=').unwrap_or((text, ""));
        let place = Role::ALL
            .iter()
            .position(|known| known.word() == role.trim());
        match place {
            Some(place) if !value.trim().is_empty() => {
                all[place] = Some(value.trim().to_owned());
                Ok(())
            }
            _ => Err(format!(
                "`{text}`: expected `time=…`, `command=…` or `output=…`, such as `time={example}`"
            )),
        }
    }
}

/// A column that was used.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Number from 1.
    pub number: usize,
    /// Header word, or "column 3".
    pub name: String,
    /// Unit in the file; `None` where none was given.
    pub unit: Option<String>,
    /// Unit of the values in the log ("N", "1"); the file's own where it is not known here.
    pub log_unit: Option<String>,
}

/// Which of the two signals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Signal {
    /// The command.
    Command,
    /// The measured output.
    Output,
}

/// Something wrong with a log. `row` is a line of the file, from 1; instants and lengths in s.
#[derive(Clone, Debug, PartialEq)]
pub enum Defect {
    /// Samples are missing: far longer than the usual distance between two rows.
    Gap {
        /// First line after it.
        row: u64,
        /// Instant of the last row before it.
        at: f64,
        /// Length.
        length: f64,
    },
    /// The instant of the row before, once more; the row was dropped.
    Repeat {
        /// Line.
        row: u64,
        /// Instant.
        at: f64,
        /// The whole row is the same.
        same: bool,
    },
    /// Earlier than the row before; the row was dropped.
    OutOfOrder {
        /// Line.
        row: u64,
        /// Its instant.
        at: f64,
    },
    /// An empty cell (or "nan"); the row was dropped.
    Missing {
        /// Line.
        row: u64,
        /// Name of the column.
        column: String,
    },
    /// The output stands at the end of its range, having run into it.
    Clipped {
        /// First line.
        row: u64,
        /// First and last sample (index).
        from: usize,
        /// See `from`.
        to: usize,
        /// Instants of both.
        time: [f64; 2],
        /// Value at which it stands.
        at: f64,
    },
    /// The output stands still though it has noise elsewhere.
    Stuck {
        /// First line.
        row: u64,
        /// First and last sample (index).
        from: usize,
        /// See `from`.
        to: usize,
        /// Instants of both.
        time: [f64; 2],
        /// Value at which it stands.
        at: f64,
    },
}

/// A log, ready for a fit: three lists of one length, time strictly rising.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    /// Name of its file; `None` where it is none.
    pub name: Option<String>,
    /// Time of each sample, s, from the recorder's own zero (the first row for calendar times).
    pub time_s: Vec<f64>,
    /// Command, held from its sample to the next.
    pub command: Vec<f64>,
    /// Measured output.
    pub output: Vec<f64>,
    /// Line of the file of each sample.
    pub rows: Vec<u64>,
    /// Command before the first sample, where told or assumed.
    pub before: Option<f64>,
    /// Time, command and output column.
    pub columns: [Column; 3],
    /// What is wrong with it.
    pub defects: Vec<Defect>,
    /// What was found out or assumed, for people.
    pub notes: Vec<String>,
}

impl Log {
    /// A log from numbers, such as an experiment on the simulated machine gives. Lists of unequal length are cut to the shortest.
    #[must_use]
    pub fn from_samples(
        time_s: Vec<f64>,
        command: Vec<f64>,
        output: Vec<f64>,
        units: [&str; 2],
    ) -> Self {
        let n = time_s.len().min(command.len()).min(output.len());
        let column = |number, name: &str, unit: &str| Column {
            number,
            name: name.to_owned(),
            unit: Some(unit.to_owned()),
            log_unit: Some(unit.to_owned()),
        };
        let cut = |mut all: Vec<f64>| {
            all.truncate(n);
            all
        };
        let mut log = Self {
            name: None,
            time_s: cut(time_s),
            command: cut(command),
            output: cut(output),
            rows: (1..=n as u64).collect(),
            before: None,
            columns: [
                column(1, "time", "s"),
                column(2, "command", units[0]),
                column(3, "output", units[1]),
            ],
            defects: Vec::new(),
            notes: Vec::new(),
        };
        log.defects = defects::find(&log);
        log
    }

    /// Command before the first sample: as told or assumed, or else that of the first sample.
    #[must_use]
    pub fn before(&self) -> f64 {
        self.before
            .or_else(|| self.command.first().copied())
            .unwrap_or(0.0)
    }

    /// For each sample whether a fit may use it: neither clipped nor stuck.
    #[must_use]
    pub fn usable(&self) -> Vec<bool> {
        let mut usable = vec![true; self.time_s.len()];
        for defect in &self.defects {
            if let Defect::Clipped { from, to, .. } | Defect::Stuck { from, to, .. } = defect {
                for sample in usable.iter_mut().take(to + 1).skip(*from) {
                    *sample = false;
                }
            }
        }
        usable
    }
}

impl Defect {
    /// The same with its output in the unit that people are told it in.
    #[must_use]
    pub fn answered(&self, output: impl Fn(f64) -> f64) -> Self {
        let mut told = self.clone();
        if let Self::Clipped { at, .. } | Self::Stuck { at, .. } = &mut told {
            *at = output(*at);
        }
        told
    }
}

impl fmt::Display for Defect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Gap { row, at, length } => {
                write!(
                    f,
                    "line {row}: gap, nothing for {length:.4} s after {at:.4} s"
                )
            }
            Self::Repeat {
                row,
                at,
                same: true,
            } => write!(f, "line {row}: repeats the row before ({at:.4} s); dropped"),
            Self::Repeat {
                row,
                at,
                same: false,
            } => {
                write!(
                    f,
                    "line {row}: the instant of the row before ({at:.4} s) with other values; dropped"
                )
            }
            Self::OutOfOrder { row, at } => {
                write!(
                    f,
                    "line {row}: {at:.4} s comes before the row above it; dropped"
                )
            }
            Self::Missing { row, column } => {
                write!(f, "line {row}: no number in `{column}`; row dropped")
            }
            Self::Clipped { row, time, at, .. } => {
                write!(
                    f,
                    "line {row}: clipped at {at} from {:.4} s to {:.4} s",
                    time[0], time[1]
                )
            }
            Self::Stuck { row, time, at, .. } => {
                write!(
                    f,
                    "line {row}: stuck at {at} from {:.4} s to {:.4} s",
                    time[0], time[1]
                )
            }
        }
    }
}

/// Reads a log.
///
/// # Errors
/// [`ImportError`] with line and column where there is one, what was expected, and what would mend it.
pub fn import(bytes: &[u8], options: &ImportOptions) -> Result<Log, ImportError> {
    let table = table::read(bytes)?;
    let mut log = values::log(&table, options)?;
    log.defects.extend(defects::find(&log));
    assume::step_at_the_beginning(&mut log);
    Ok(log)
}

#[cfg(test)]
mod tests;

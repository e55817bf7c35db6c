//! What keeps the run's history: nothing ([`NoRecorder`]), or a trace of fixed capacity ([`TraceRecorder`]).

use super::TickView;
use super::columns::{self, CELLS, Fast, Format, TRACE_VERSION};
use super::hash::TraceHash;
use std::io::{self, Write};

/// Something that is shown every tick. It may not change the run and may not allocate.
pub trait Recorder {
    /// One tick.
    fn record(&mut self, view: &TickView<'_>);

    /// The run is over, and this was its last tick: what was gathered for an unfinished row becomes a row.
    fn finish(&mut self, _last: &TickView<'_>) {}

    /// Hash of the recorded rows; `None` for a recorder that keeps none.
    fn trace_hash(&self) -> Option<u64> {
        None
    }

    /// The recorded rows, if this recorder keeps any.
    fn into_trace(self) -> Option<Trace>
    where
        Self: Sized,
    {
        None
    }
}

/// Records nothing: for ensembles, where only the summary counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct NoRecorder;

impl Recorder for NoRecorder {
    #[inline(always)]
    fn record(&mut self, _: &TickView<'_>) {}
}

/// Ticks gathered into a row unless asked otherwise: 20 rows a second. Peaks are kept anyway, and the rows of a long cycle stay in tens of megabytes.
pub const DEFAULT_EVERY: u32 = 50;

/// Records one row every so many ticks, with the smallest and largest of what is fast. All room is taken at the start.
#[derive(Clone, Debug)]
pub struct TraceRecorder {
    trace: Trace,
    capacity: usize,
    /// Smallest and largest in the unfinished row.
    ends: [Fast; 2],
    /// Interlock rows that asked at any tick of the row.
    active: u64,
    /// Ticks in the unfinished row.
    gathered: u32,
}

impl TraceRecorder {
    /// A recorder for a run of at most `ticks` ticks that writes a row every `every` ticks (0 counts as 1).
    #[must_use]
    pub fn new(ticks: u32, every: u32) -> Self {
        let every = every.max(1);
        // One more for the unfinished row at the end.
        let capacity = (ticks / every) as usize + 1;
        Self {
            trace: Trace {
                every,
                ticks: Vec::with_capacity(capacity),
                cells: Vec::with_capacity(capacity * CELLS),
                dropped: 0,
                hash: TraceHash::new(TRACE_VERSION),
            },
            capacity,
            ends: Fast::ENDS,
            active: 0,
            gathered: 0,
        }
    }

    #[inline(never)]
    fn end_row(&mut self, view: TickView<'_>) {
        if self.trace.ticks.len() < self.capacity {
            let start = self.trace.cells.len();
            let [least, most] = self.ends.map(|end| end.cells());
            for (least, most) in least.into_iter().zip(most) {
                self.trace.cells.extend_from_slice(&[least, most]);
            }
            self.trace.cells.extend_from_slice(&columns::slow(
                &view,
                &view.plant.truth(),
                self.active,
            ));
            self.trace.ticks.push(view.tick);
            self.trace.hash.row(view.tick, &self.trace.cells[start..]);
        } else {
            self.trace.dropped = self.trace.dropped.saturating_add(1);
        }
        self.ends = Fast::ENDS;
        self.active = 0;
        self.gathered = 0;
    }
}

impl Recorder for TraceRecorder {
    #[inline(always)]
    fn record(&mut self, view: &TickView<'_>) {
        Fast::widen(
            &mut self.ends,
            view,
            view.truth.turned || self.gathered == 0,
        );
        self.active |= view.status.active;
        self.gathered += 1;
        if self.gathered >= self.trace.every {
            // By value: a tick that ends no row has no need of the view in memory.
            self.end_row(*view);
        }
    }

    fn finish(&mut self, last: &TickView<'_>) {
        if self.gathered > 0 {
            self.end_row(*last);
        }
    }

    fn trace_hash(&self) -> Option<u64> {
        Some(self.trace.hash.value())
    }

    fn into_trace(self) -> Option<Trace> {
        Some(self.trace)
    }
}

/// A recorded run: rows of [`CELLS`] cells in the units of [`columns`].
#[derive(Clone, Debug)]
pub struct Trace {
    every: u32,
    ticks: Vec<u32>,
    cells: Vec<f64>,
    dropped: u32,
    hash: TraceHash,
}

impl Trace {
    /// Ticks gathered into a row.
    #[must_use]
    pub const fn every(&self) -> u32 {
        self.every
    }

    /// Number of rows.
    #[must_use]
    pub fn rows(&self) -> usize {
        self.ticks.len()
    }

    /// Rows that found no room, because the run was longer than announced.
    #[must_use]
    pub const fn dropped(&self) -> u32 {
        self.dropped
    }

    /// Last tick of each row.
    #[must_use]
    pub fn ticks(&self) -> &[u32] {
        &self.ticks
    }

    /// Hash of the rows.
    #[must_use]
    pub const fn hash(&self) -> u64 {
        self.hash.value()
    }

    /// One row's cells.
    #[must_use]
    pub fn row(&self, index: usize) -> Option<&[f64]> {
        self.cells.chunks_exact(CELLS).nth(index)
    }

    /// A column by its full name, such as `true_load_max` or `controller_reference_min`: one value a row.
    #[must_use]
    pub fn column(&self, name: &str) -> Option<impl Iterator<Item = f64> + '_> {
        let cell =
            (0..CELLS).find(|cell| columns::cell_name(*cell).is_some_and(|full| full == name))?;
        Some(self.cells.iter().skip(cell).step_by(CELLS).copied())
    }

    /// Writes the trace as CSV (RFC 4180): a header with names and units, one line a row, decimal points.
    ///
    /// The first column is the version of the columns ([`TRACE_VERSION`]), the second the time of the row's last tick.
    ///
    /// # Errors
    /// What the writer reports.
    pub fn write_csv(&self, to: impl Write) -> io::Result<()> {
        let mut csv = csv::Writer::from_writer(to);
        csv.write_field("trace_version")?;
        csv.write_field("time [s]")?;
        for cell in 0..CELLS {
            let (Some((column, _)), Some(name)) =
                (columns::of_cell(cell), columns::cell_name(cell))
            else {
                continue;
            };
            if column.unit.is_empty() {
                csv.write_field(name)?;
            } else {
                csv.write_field(format!("{name} [{}]", column.unit))?;
            }
        }
        csv.write_record(None::<&[u8]>)?;
        let version = TRACE_VERSION.to_string();
        let mut text = String::with_capacity(32);
        for (tick, row) in self.ticks.iter().zip(self.cells.chunks_exact(CELLS)) {
            csv.write_field(&version)?;
            write_cell(&mut csv, &mut text, f64::from(*tick) / 1e3, 3)?;
            for (cell, value) in row.iter().enumerate() {
                match columns::of_cell(cell).map(|(column, _)| column.format) {
                    Some(Format::Decimals(decimals)) => {
                        write_cell(&mut csv, &mut text, *value, decimals)?;
                    }
                    // The cell was made from a u8.
                    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
                    Some(Format::Name(name)) => csv.write_field(name(*value as u8))?,
                    None => {}
                }
            }
            csv.write_record(None::<&[u8]>)?;
        }
        csv.flush()
    }
}

/// Writes one number; `text` is scratch.
fn write_cell<W: Write>(
    csv: &mut csv::Writer<W>,
    text: &mut String,
    value: f64,
    decimals: usize,
) -> io::Result<()> {
    use std::fmt::Write as _;
    text.clear();
    // Writing to a String cannot fail.
    let _ = write!(text, "{value:.decimals$}");
    csv.write_field(text.as_bytes())?;
    Ok(())
}

#[cfg(test)]
#[path = "recorder_tests.rs"]
mod tests;

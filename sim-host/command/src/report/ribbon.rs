//! The cycle ribbon in a terminal: phases to scale in time, the load riding on them, a mark for every event.
//!
//! ```text
//! 350 N ┄┄┄┄┄┄┄┄┄┄┄┄┄ step limit
//!          ▂▅████▇   load
//! 0 s  lower│pre-start│…
//! ```

use super::cycle::{Band, Cycle};
use super::{Paint, Style};
use firmware_core::sequence::Phase;
use twinplate_sim::model::{Of, Shown};

/// Columns of a line that are not the chart's: its axis, and room at the end.
const BESIDE: usize = 12;
/// Rows of the chart.
const ROWS: usize = 9;

/// Characters of the picture.
struct Glyphs {
    blocks: [char; 8],
    limit: char,
    reference: char,
    edge: char,
}

const UNICODE: Glyphs = Glyphs {
    blocks: ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'],
    limit: '┄',
    reference: '─',
    edge: '│',
};

const ASCII: Glyphs = Glyphs {
    blocks: ['.', '.', ':', ':', '+', '+', '#', '#'],
    limit: '-',
    reference: '=',
    edge: '|',
};

/// Blocks from the lowest to the full one.
pub(super) const fn blocks(ascii: bool) -> [char; 8] {
    if ascii { ASCII.blocks } else { UNICODE.blocks }
}

/// Draws the ribbon, as wide as the style says but for two columns.
#[must_use]
pub fn draw(cycle: &Cycle, style: Style) -> String {
    let glyphs = if style.ascii { &ASCII } else { &UNICODE };
    let top = cycle.top_load();
    let chart = style.width.saturating_sub(BESIDE).max(1);
    let columns = gather(cycle, chart);
    let mut text = String::new();
    for row in (0..ROWS).rev() {
        let label = axis_label(row, top, &cycle.shown);
        let mut line = format!("{label:>7} ");
        for column in &columns {
            line.push(cell(column, row, top, glyphs));
        }
        text.push_str(line.trim_end());
        text.push('\n');
    }
    text.push_str(&band_lines(cycle, glyphs, chart));
    text.push_str(&marks(cycle, style));
    let legend = if cycle.simulated {
        format!(
            "{:8}{} true load  {} reference  {} step limit",
            "", glyphs.blocks[7], glyphs.reference, glyphs.limit
        )
    } else {
        format!(
            "{:8}planned, not simulated:  {} reference  {} step limit",
            "", glyphs.reference, glyphs.limit
        )
    };
    text.push_str(&style.paint(Paint::Quiet, &legend));
    text.push('\n');
    text
}

/// Highest values in one column of the picture; NaN for none.
#[derive(Clone, Copy)]
struct Column {
    load: f64,
    reference: f64,
    limit: f64,
}

fn gather(cycle: &Cycle, chart: usize) -> Vec<Column> {
    let none = Column {
        load: f64::NAN,
        reference: f64::NAN,
        limit: f64::NAN,
    };
    let mut columns = vec![none; chart];
    let length = cycle.length();
    for (column, slot) in columns.iter_mut().enumerate() {
        #[allow(clippy::cast_precision_loss)] // a few dozen columns
        let at = |edge: usize| length * edge as f64 / chart as f64;
        let (from, to) = (at(column), at(column + 1));
        let first = cycle.time.partition_point(|time| *time < from);
        let last = cycle.time.partition_point(|time| *time < to);
        // A planned cycle has only its corners: between them the column interpolates.
        if first == last {
            slot.reference = between(&cycle.time, &cycle.reference, 0.5 * (from + to));
            slot.limit = between(&cycle.time, &cycle.limit, 0.5 * (from + to));
            if cycle.simulated {
                slot.load = cycle
                    .load
                    .get(first.saturating_sub(1))
                    .map_or(f64::NAN, |l| l[1]);
            }
            continue;
        }
        for row in first..last {
            slot.reference = higher(slot.reference, cycle.reference[row]);
            slot.limit = higher(slot.limit, cycle.limit[row]);
            if cycle.simulated {
                slot.load = higher(slot.load, cycle.load[row][1]);
            }
        }
    }
    columns
}

fn higher(a: f64, b: f64) -> f64 {
    if a.is_nan() || b > a { b } else { a }
}

/// Value of a curve between its rows; NaN outside and where an end is NaN.
fn between(time: &[f64], values: &[f64], at: f64) -> f64 {
    let next = time.partition_point(|time| *time < at);
    if next == 0 || next >= time.len() {
        return f64::NAN;
    }
    let (t0, t1) = (time[next - 1], time[next]);
    let share = if t1 > t0 { (at - t0) / (t1 - t0) } else { 0.0 };
    values[next - 1] + share * (values[next] - values[next - 1])
}

/// Row of a value, 0 at the bottom; `None` outside the chart.
fn row_of(value: f64, top: f64) -> Option<usize> {
    #[allow(clippy::cast_precision_loss)] // a few rows
    let scaled = value / top * ROWS as f64;
    if scaled.is_nan() || scaled <= 0.0 {
        return None;
    }
    // A few rows at most; the cast saturates.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let row = twinplate_sim::math::floor(scaled) as usize;
    (row < ROWS).then_some(row)
}

fn cell(column: &Column, row: usize, top: f64, glyphs: &Glyphs) -> char {
    #[allow(clippy::cast_precision_loss)] // a few rows
    let height = (column.load / top * ROWS as f64 - row as f64) * 8.0;
    if height >= 8.0 {
        return glyphs.blocks[7];
    }
    if height >= 1.0 {
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // 1..8
        let eighth = height as usize;
        return glyphs.blocks[eighth.clamp(1, 8) - 1];
    }
    if row_of(column.limit, top) == Some(row) {
        return glyphs.limit;
    }
    if row_of(column.reference, top) == Some(row) {
        return glyphs.reference;
    }
    ' '
}

fn axis_label(row: usize, top: f64, shown: &Shown) -> String {
    if row == ROWS - 1 || row == ROWS / 2 || row == 0 {
        #[allow(clippy::cast_precision_loss)] // a few rows
        let value = top * row as f64 / ROWS as f64;
        let places = shown.places(Of::Load, 0).saturating_sub(1);
        shown.with(Of::Load, &format!("{value:.places$}"))
    } else {
        String::new()
    }
}

/// A short word for a phase, for narrow places.
fn short(band: &Band) -> String {
    let name = band.phase.short();
    if band.phase == Phase::Dwell && band.step > 0 {
        format!("{name} {}", band.step)
    } else {
        name.to_owned()
    }
}

/// Phase bands to scale, then a time axis.
fn band_lines(cycle: &Cycle, glyphs: &Glyphs, chart: usize) -> String {
    let length = cycle.length();
    let column_of = |time: f64| -> usize {
        #[allow(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss
        )]
        let column = twinplate_sim::math::floor(time / length * chart as f64) as usize;
        column.min(chart)
    };
    let mut bands = vec![' '; chart];
    for band in &cycle.bands {
        let (from, to) = (column_of(band.start), column_of(band.end));
        if from >= chart {
            continue;
        }
        bands[from] = glyphs.edge;
        let name = short(band);
        let room = to.saturating_sub(from + 1);
        if name.chars().count() <= room {
            for (slot, letter) in bands[from + 1..].iter_mut().zip(name.chars()) {
                *slot = letter;
            }
        }
    }
    let bands: String = bands.into_iter().collect();
    let half = format!("{:.0} s", length / 2.0);
    let end = format!("{length:.0} s");
    let left = chart / 2 - 1;
    let mut axis = format!("0{half:>left$}");
    let room = chart.saturating_sub(axis.chars().count());
    axis.push_str(&format!("{end:>room$}"));
    format!("{:8}{}\n{:8}{axis}\n", "", bands.trim_end(), "")
}

fn marks(cycle: &Cycle, style: Style) -> String {
    let mut text = String::new();
    for mark in &cycle.marks {
        let sign = match (mark.abnormal, style.ascii) {
            (true, false) => "▲",
            (true, true) => "!",
            (false, false) => "·",
            (false, true) => "-",
        };
        let line = format!("{:8}{sign} {:>6.1} s  {}", "", mark.time, mark.text);
        let kind = if mark.abnormal {
            Paint::Danger
        } else {
            Paint::Quiet
        };
        text.push_str(&style.paint(kind, &line));
        text.push('\n');
    }
    text
}

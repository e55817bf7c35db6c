//! What `correct` found: text for a terminal, the verdict in the last line, and one self-contained page with a chart.

mod page;
mod words;

pub(crate) use page::draw as page;

use super::calibration::interval;
use super::{Paint, Style, close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_production::correct::Report;
use words::{Units, capability, due_lines, next, rate, standing_out, subject, verdict};

/// Rows of the table: the last ones; the page has all.
const ROWS: usize = 8;

/// What everybody is told who changes a recipe by its results.
pub(crate) const CAUTION: &str = "a correction is arithmetic on what was written down: look at the parts and at the slurry before you follow it, \
     check the recipe after a large one, and keep to the machine's limits and the local code.";

/// Draws the report; the last line is the verdict.
pub(crate) fn draw(report: &Report, style: Style) -> String {
    let mut text = String::new();
    let title = format!("correct {}", report.recipe);
    // Writing to a String cannot fail.
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, &title));
    paragraph(&mut text, "", &subject(report));
    section(&mut text, "The next batch", &next(report), style);
    section(&mut text, "Removal rate", &rate(report), style);
    table(&mut text, report, style);
    section(&mut text, "Diagnostics", &standing_out(report), style);
    let due = due_lines(report);
    if !due.is_empty() {
        section(&mut text, "Plates and slurry", &due, style);
    }
    section(
        &mut text,
        "Size, as ISO 22514 has it (from memory)",
        &capability(report),
        style,
    );
    text.push('\n');
    let kind = if report.beyond.is_empty() {
        Paint::Normal
    } else {
        Paint::Danger
    };
    close(&mut text, CAUTION, kind, &verdict(report), style);
    text
}

/// Sentences under a title.
fn section(text: &mut String, title: &str, lines: &[String], style: Style) {
    heading(text, title, style);
    for line in lines {
        paragraph(text, "- ", line);
    }
}

/// The last batches.
fn table(text: &mut String, report: &Report, style: Style) {
    let units = Units::of(report);
    heading(text, "The last batches", style);
    let _ = writeln!(
        text,
        "{:>10}{:>10}{:>10}{:>8}{:>9}{:>10}  before it",
        "batch",
        format!("in, {}", units.length.symbol),
        "out",
        format!("t, {}", units.time.symbol),
        units.per_time,
        "filtered"
    );
    let first = report.rows.len().saturating_sub(ROWS);
    for row in report.rows.iter().skip(first) {
        let batch = &row.batch;
        let cell = |value: Option<f64>, size: f64, digits: usize| {
            value.map_or_else(|| "-".to_owned(), |value| number(value / size, digits))
        };
        let mut done = String::new();
        if batch.done.conditioned {
            done.push_str(" plates");
        }
        if batch.done.slurry {
            done.push_str(" slurry");
        }
        let line = format!(
            "{:>10}{:>10}{:>10}{:>8}{:>9}{:>10} {done}",
            batch.called(),
            cell(batch.before, units.length.size, 6),
            cell(batch.after, units.length.size, 6),
            cell(batch.time, units.time.size, 4),
            cell(row.rate, units.rate, 4),
            cell(row.filtered.map(|[value, _]| value), units.rate, 4),
        );
        let _ = writeln!(text, "{}", line.trim_end());
    }
}

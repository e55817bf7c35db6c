//! A draft for a terminal.

use super::{CAUTION, Drafted, TRADED, binds, heads, proved, row, subject, verdict};
use crate::report::{Paint, Style, close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_draft::{Bound, Change, Stage};

/// Draws it; the last line is the verdict.
pub(crate) fn draw(told: &Drafted, style: Style) -> String {
    let mut text = String::new();
    let order = told.order;
    let title = format!("draft {} on {}", order.batch.id, order.machine.id);
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, &title));
    paragraph(&mut text, "", &subject(told));
    match told.drafted {
        Ok(stages) => {
            for stage in stages {
                of_stage(&mut text, stage, style);
            }
        }
        Err(bound) => of_bound(&mut text, bound, style),
    }
    if !told.trade.is_empty() {
        heading(&mut text, "What other goals bring", style);
        table(&mut text, told);
        paragraph(&mut text, "", TRADED);
    }
    text.push('\n');
    let kind = if told.drafted.is_ok() {
        Paint::Normal
    } else {
        Paint::Danger
    };
    close(&mut text, CAUTION, kind, &verdict(told), style);
    text
}

fn of_stage(text: &mut String, stage: &Stage, style: Style) {
    let recipe = &stage.recipe.value;
    heading(
        text,
        &format!("{}: {}", recipe.id, recipe.consumables.grade),
        style,
    );
    paragraph(text, "proved: ", &proved(stage));
    for found in &stage.report.findings {
        let label = format!("{} {}: ", found.severity.word(), found.code);
        paragraph(text, &label, &found.message);
    }
    changes(text, &stage.changes);
    heading(text, "Each number and its reason", style);
    for choice in &stage.choices {
        let _ = writeln!(text, "{} = {}", choice.key, choice.value);
        paragraph(text, "    ", &choice.why);
    }
}

fn of_bound(text: &mut String, bound: &Bound, style: Style) {
    heading(text, "No recipe passes", style);
    paragraph(text, "what binds: ", &binds(&bound.limits));
    if !bound.with.is_empty() {
        paragraph(text, "came furthest with: ", &bound.with);
    }
    paragraph(text, "last said: ", &bound.said);
    changes(text, &bound.changes);
    if bound.tried.len() > 1 {
        heading(text, "Each abrasive by itself", style);
        for tried in &bound.tried {
            paragraph(text, &format!("{}: ", tried.grade), &tried.said);
        }
    }
}

/// What was changed, the last first, where there is much of it.
fn changes(text: &mut String, changes: &[Change]) {
    const MOST: usize = 8;
    for change in changes.iter().take(MOST) {
        paragraph(
            text,
            "changed: ",
            &format!("{} ({})", change.what, change.because),
        );
    }
    if changes.len() > MOST {
        let _ = writeln!(text, "and {} changes more", changes.len() - MOST);
    }
}

fn table(text: &mut String, told: &Drafted) {
    let heads = heads(told);
    let rows: Vec<[String; 6]> = told.trade.iter().map(|trade| row(told, trade)).collect();
    let width = |column: usize| {
        rows.iter()
            .chain([&heads])
            .map(|row| row[column].chars().count())
            .max()
            .unwrap_or(0)
    };
    for row in [&heads].into_iter().chain(&rows) {
        let mut line = String::new();
        for (column, cell) in row.iter().enumerate() {
            let wide = width(column);
            if column == 0 {
                let _ = write!(line, "{cell:<wide$}");
            } else {
                let _ = write!(line, "  {cell:>wide$}");
            }
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
}

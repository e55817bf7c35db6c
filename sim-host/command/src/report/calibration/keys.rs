//! Keys of a machine file, from slurry, heat or plates, for a terminal.

use super::{interval, number, standing_out};
use crate::report::{Paint, Style};
use crate::report::{close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_calibrate::keys::{Found, Group, Key, KeysReport, Kind};
use twinplate_calibrate::least_squares::Estimate;
use twinplate_sim::files::calibrated_key;
use twinplate_sim::math::exp;
use twinplate_sim::model::Machine;

/// What everybody is told who makes these readings.
pub(super) const fn caution(kind: Kind) -> &'static str {
    match kind {
        Kind::Slurry => {
            "pumps, valves and dry running are tried with the guard shut and at the lowest load. Whoever reaches to line or plate has the machine isolated first and its plate held mechanically. Slurry splashes: goggles, and what its data sheet says."
        }
        Kind::Heat => {
            "read thermometers from outside, or from the machine's own sensors; nobody reaches between plates that turn or hang. Stay under the machine's own limits of temperature."
        }
        Kind::Plates => {
            "whoever lays a straightedge or a gauge on a plate has the machine isolated first and the upper plate held mechanically. Keep to the local code."
        }
    }
}

/// Draws the report; the last line is the verdict.
pub(crate) fn draw(report: &KeysReport, stated: Option<&Machine>, style: Style) -> String {
    let mut text = String::new();
    let title = format!("calibrate {}", report.kind.word());
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, &title));
    paragraph(
        &mut text,
        "",
        &format!("{}: {}", report.file, report.subject),
    );
    for note in &report.notes {
        paragraph(&mut text, "note: ", note);
    }
    heading(&mut text, "For the machine file, 95 %", style);
    for key in &report.keys {
        let _ = writeln!(text, "{:<13} {}", key.name, value(key));
        for line in beside(key, stated) {
            paragraph(&mut text, "              ", &line);
        }
    }
    heading(&mut text, "What follows", style);
    for line in report.findings.iter().chain(&report.contradicted) {
        paragraph(&mut text, "- ", line);
    }
    heading(&mut text, "Diagnostics", style);
    for line in diagnostics(report) {
        paragraph(&mut text, "- ", &line);
    }
    text.push('\n');
    let kind = if report.fits() {
        Paint::Normal
    } else {
        Paint::Abnormal
    };
    close(
        &mut text,
        caution(report.kind),
        kind,
        &verdict(report),
        style,
    );
    text
}

/// The value of a key with its interval and unit.
pub(super) fn value(key: &Key) -> String {
    match &key.found {
        Found::Told { estimate, .. } => {
            let typed = Estimate {
                value: key.typed(estimate.value),
                low: key.typed(estimate.low),
                high: key.typed(estimate.high),
                ..*estimate
            };
            format!("{} {}", interval(&typed, 4), key.unit.symbol)
        }
        Found::Untold(_) => "not told".to_owned(),
    }
}

/// What stands beside a key: readings, what is written of it, what the file has.
pub(super) fn beside(key: &Key, stated: Option<&Machine>) -> Vec<String> {
    let mut told = Vec::new();
    if let Found::Untold(why) = &key.found {
        told.push(why.clone());
    }
    if let Some(written) = key.written().filter(|_| key.cautious()) {
        told.push(format!(
            "written: {} {}, the cautious end",
            number(key.typed(written), 4),
            key.unit.symbol
        ));
    }
    let stated = stated.and_then(|machine| calibrated_key(machine, key.table, key.name));
    if let (Some(stated), Some(found)) = (stated, key.told()) {
        let word = if (found.low..=found.high).contains(&stated) {
            "within"
        } else {
            "outside"
        };
        told.push(format!(
            "the file has {} {}, {word}",
            number(key.typed(stated), 4),
            key.unit.symbol
        ));
    }
    told
}

/// What the rows say of themselves.
pub(super) fn diagnostics(report: &KeysReport) -> Vec<String> {
    let mut told = Vec::new();
    for group in &report.groups {
        let lines = standing_out(&group.rows, group.coefficients, |row| {
            residual(group, row.residual)
        });
        told.extend(
            lines
                .into_iter()
                .map(|line| format!("{}: {line}", group.name)),
        );
    }
    if told.is_empty() {
        told.push("no rows were fitted together".to_owned());
    }
    told
}

/// A residual in words.
pub(super) fn residual(group: &Group, left: f64) -> String {
    let value = match group.unit {
        "%" => 100.0 * (exp(left) - 1.0),
        _ => left / group.size,
    };
    format!("{} {}", number(value, 3), group.unit)
}

/// The verdict in a line.
pub(super) fn verdict(report: &KeysReport) -> String {
    let told: Vec<&str> = report
        .keys
        .iter()
        .filter(|key| key.told().is_some())
        .map(|key| key.name)
        .collect();
    let all = report.keys.len();
    format!("{}; told: {} of {all} keys", report.word(), told.len())
}

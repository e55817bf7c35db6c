//! A calibration of drives for a terminal.

use super::{chance, interval, number, standing_out};
use crate::report::{Paint, Style, close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_calibrate::drives::{DrivesReport, Found, LEVEL, REST};
use twinplate_sim::files::{Loaded, inertia_unit};
use twinplate_sim::model::Machine;

/// What everybody is told who lets a drive coast.
pub(super) const CAUTION: &str = "plates coast for a long time and carriers draw in: guard closed, nobody near, the upper plate raised and held or \
     the parts out, and the local code. Wait for standstill, whatever the log says.";

/// Draws the report; the last line is the verdict.
pub(crate) fn draw(report: &DrivesReport, file: Option<&Loaded<Machine>>, style: Style) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, "calibrate drives"));
    paragraph(&mut text, "", &subject(report));
    for found in &report.drives {
        heading(
            &mut text,
            &format!("Drive {}, 95 %", found.drive.name()),
            style,
        );
        for (label, value) in told(report, found, file) {
            let _ = writeln!(text, "  {label:<10}{value}");
        }
        for line in diagnostics(report, found) {
            paragraph(&mut text, "- ", &line);
        }
    }
    text.push('\n');
    let kind = if report.drives.iter().all(Found::holds) {
        Paint::Normal
    } else {
        Paint::Abnormal
    };
    close(&mut text, CAUTION, kind, &verdict(report), style);
    text
}

/// File and runs.
pub(super) fn subject(report: &DrivesReport) -> String {
    let all: Vec<String> = report
        .drives
        .iter()
        .map(|found| {
            let samples: usize = found.runs.iter().map(|run| run.samples.len()).sum();
            format!(
                "{}, {} runs, {samples} samples",
                found.drive.name(),
                found.runs.len()
            )
        })
        .collect();
    format!("{}: {}", report.file, all.join("; "))
}

/// Labels and values of a drive.
pub(super) fn told(
    report: &DrivesReport,
    found: &Found,
    file: Option<&Loaded<Machine>>,
) -> Vec<(&'static str, String)> {
    let torque = report.torque;
    let (unit, per_si) = inertia_unit(file, found.drive);
    let inertia = found.inertia.mapped(|si| si * per_si);
    vec![
        ("inertia", format!("{} {unit}", interval(&inertia, 4))),
        (
            "drag",
            format!(
                "{} {}",
                interval(&found.drag.mapped(|d| torque.typed(d)), 3),
                torque.symbol
            ),
        ),
    ]
}

/// What the samples say of themselves.
pub(super) fn diagnostics(report: &DrivesReport, found: &Found) -> Vec<String> {
    let speed = report.speed;
    let shown = |value: f64| format!("{} {}", number(speed.typed(value), 3), speed.symbol);
    let mut told = standing_out(&found.rows, found.runs.len() + 2, |row| shown(row.residual));
    told.push(format!(
        "speeds scatter by {} about the law",
        shown(found.deviation)
    ));
    if found.widened > 1.2 {
        told.push(format!(
            "neighbouring residuals hang together: intervals are widened {} times for it",
            number(found.widened, 2)
        ));
    }
    if let Some(test) = found.grows.filter(|test| test.chance < LEVEL) {
        told.push(format!(
            "a drag that grows with the speed fits better (F {}, chance {}): the machine file knows one that does not{}",
            number(test.f, 3),
            chance(test.chance),
            if found.holds() { "; over these speeds it hardly matters" } else { ", and the inertia may be off" }
        ));
    }
    let standing: usize = found.runs.iter().map(|run| run.standing).sum();
    if standing > 0 {
        told.push(format!(
            "{standing} samples under {} % of the run's largest speed were left out: friction at rest is another matter",
            number(100.0 * REST, 2)
        ));
    }
    told
}

/// The verdict in a line.
pub(super) fn verdict(report: &DrivesReport) -> String {
    let names: Vec<&str> = report
        .drives
        .iter()
        .map(|found| found.drive.name())
        .collect();
    let word = if report.drives.iter().all(Found::holds) {
        "one drag holds"
    } else {
        "the drag grows with the speed"
    };
    format!("{word}; drives told: {}", names.join(", "))
}

//! A calibration of an actuator for a terminal.

use super::{chance, interval, number, standing_out};
use crate::report::{Paint, Style, close, heading, paragraph};
use std::fmt::Write as _;
use twinplate_calibrate::actuator::{ActuatorReport, LEVEL, Test, Told};
use twinplate_sim::files::Loaded;
use twinplate_sim::math::abs;
use twinplate_sim::model::Machine;

/// What everybody is told who makes such a log.
pub(super) const CAUTION: &str = "the plate moves and presses: guard closed and nobody inside it, the maker's way of moving it, the load kept \
     under that of machine, cell and ring; nothing under a raised plate that is not mechanically held; the local code. A loop that is open has no \
     limit of its own: who makes it is licensed to.";

/// Draws the report; the last line is the verdict.
pub(crate) fn draw(report: &ActuatorReport, file: &Loaded<Machine>, style: Style) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, "calibrate actuator"));
    paragraph(&mut text, "", &subject(report));
    for note in &report.notes {
        paragraph(&mut text, "note: ", note);
    }
    heading(&mut text, "For the machine file, 95 %", style);
    for told in &report.keys {
        if let Some([label, value, now]) = key(told, file) {
            let _ = writeln!(text, "  {label:<17}{value:<40}{now}");
        }
    }
    let untold = untold(report);
    if !untold.is_empty() {
        heading(&mut text, "Not told", style);
        for line in untold {
            paragraph(&mut text, "- ", &line);
        }
    }
    heading(&mut text, "Beside the keys, 95 %", style);
    for (label, value) in beside(report, file) {
        let _ = writeln!(text, "  {label:<17}{value}");
    }
    heading(&mut text, "Diagnostics", style);
    for line in diagnostics(report) {
        paragraph(&mut text, "- ", &line);
    }
    text.push('\n');
    let kind = if report.holds {
        Paint::Normal
    } else {
        Paint::Abnormal
    };
    close(&mut text, CAUTION, kind, &verdict(report), style);
    text
}

/// File, machine, rows.
pub(super) fn subject(report: &ActuatorReport) -> String {
    let rows: Vec<String> = Test::ALL
        .iter()
        .zip(report.rows)
        .filter(|(_, rows)| *rows > 0)
        .map(|(test, rows)| format!("{} {rows}", test.word()))
        .collect();
    format!(
        "{}, machine {}; rows: {}",
        report.file,
        report.machine,
        rows.join(", ")
    )
}

/// A key that is told: its name, its value, what the file has.
pub(super) fn key(told: &Told, file: &Loaded<Machine>) -> Option<[String; 3]> {
    let found = told.found.as_ref().ok()?;
    let (unit, per_si) = told.key.unit_in(file);
    Some([
        told.key.name().to_owned(),
        format!("{} {unit}", interval(&found.mapped(|si| si * per_si), 4)),
        format!("now {}", number(told.now * per_si, 4)),
    ])
}

/// Keys that are not told, and why.
pub(super) fn untold(report: &ActuatorReport) -> Vec<String> {
    report
        .keys
        .iter()
        .filter_map(|told| {
            Some(format!(
                "{}: {}",
                told.key.name(),
                told.found.as_ref().err()?
            ))
        })
        .collect()
}

/// What the log tells that is no key.
pub(super) fn beside(
    report: &ActuatorReport,
    file: &Loaded<Machine>,
) -> Vec<(&'static str, String)> {
    let load = report.load;
    let force = |found: &twinplate_calibrate::least_squares::Estimate| {
        format!(
            "{} {}",
            interval(&found.mapped(|n| load.typed(n)), 4),
            load.symbol
        )
    };
    let share = |found: &twinplate_calibrate::least_squares::Estimate| {
        format!("{} %", interval(&found.mapped(|s| 100.0 * s), 3))
    };
    let mut told = Vec::new();
    if let Some(swept) = &report.swept {
        told.push(("full command", force(&swept.gain)));
        told.push(("hysteresis", share(&swept.hysteresis)));
    }
    if let Some(offset) = &report.offset {
        told.push(("offset", share(offset)));
    }
    if let Some(vent) = &report.vent {
        told.push(("load at rest", force(&vent.rest)));
    }
    if let Some(resting) = &report.resting {
        told.push(("weight less air", force(resting)));
    }
    if let Some(held) = report.held {
        told.push((
            "seals at rest",
            format!("{} {}", number(load.typed(held), 3), load.symbol),
        ));
    }
    if let Some(viscous) = report.seals.as_ref().and_then(|seals| seals.viscous) {
        // As a drag of the file is typed: nothing in it is this one.
        let (unit, size) = file
            .typed("actuator.guide-drag")
            .map_or(("N·s/m", 1.0), |unit| (unit.symbol, unit.to_si(1.0)));
        let told_in = interval(&viscous.mapped(|drag| drag / size), 3);
        told.push(("with the speed", format!("{told_in} {unit}")));
    }
    told
}

/// What the rows say of themselves, and whether the model holds.
pub(super) fn diagnostics(report: &ActuatorReport) -> Vec<String> {
    let load = report.load;
    let force = |newtons: f64| format!("{} {}", number(load.typed(newtons), 3), load.symbol);
    let mut told: Vec<String> = report.breaks.clone();
    if let Some(swept) = &report.swept {
        told.push(format!(
            "sweep: {} blocks of rows from {} to {} % scatter by {} about the line",
            swept.rows.len(),
            number(100.0 * swept.range[0], 3),
            number(100.0 * swept.range[1], 3),
            force(swept.deviation)
        ));
        told.extend(
            standing_out(&swept.rows, 3, |row| force(row.residual))
                .into_iter()
                .map(|line| format!("sweep: {line}")),
        );
        if let Some(test) = swept.bend {
            let word = if test.chance < LEVEL {
                "bends"
            } else {
                "does not bend"
            };
            told.push(format!(
                "sweep: the line {word} (F {}, chance {}): {} % of the span",
                number(test.f, 3),
                chance(test.chance),
                number(100.0 * swept.bent, 2)
            ));
        }
        if let Ok(stairs) = &swept.stairs {
            told.push(format!(
                "sweep: stairs {} times as high as those of such a resolution",
                number(stairs.height, 2)
            ));
        }
    }
    if let Some(found) = &report.response {
        told.push(format!(
            "steps: {} of them, a row every {} ms; loads scatter by {}, {} % of a step is left",
            found.steps,
            number(1e3 * found.interval, 2),
            force(found.deviation),
            number(100.0 * found.share, 2)
        ));
        if found.widened > 1.2 {
            told.push(format!(
                "steps: neighbouring residuals hang together: intervals are widened {} times for it",
                number(found.widened, 2)
            ));
        }
        if found.interval > 0.25 * abs(found.dead_time.value) {
            told.push(
                "steps: rows are too far apart for this dead time; log more often".to_owned(),
            );
        }
    }
    if let Some(vent) = &report.vent {
        told.push(format!(
            "dump: loads scatter by {} about the fall",
            force(vent.deviation)
        ));
    }
    if let Some(seals) = &report.seals {
        told.push(format!("motions: {} of them", seals.motions));
    }
    told
}

/// The verdict in a line.
pub(super) fn verdict(report: &ActuatorReport) -> String {
    let told = report.keys.iter().filter(|told| told.found.is_ok()).count();
    let word = if report.holds {
        "holds"
    } else {
        "does not hold"
    };
    format!(
        "the model {word}; {told} of {} keys told",
        report.keys.len()
    )
}

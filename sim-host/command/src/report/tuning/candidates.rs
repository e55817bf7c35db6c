//! The table of candidates.

use crate::report::{Paint, Style};
use crate::report::{heading, paragraph};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_tune::candidates::{Broken, OnLines};
use twinplate_tune::recommend::Candidate;
use twinplate_tune::typed::Units;
use twinplate_tune::work::TuneReport;

/// One line a candidate.
pub(super) fn candidates(text: &mut String, report: &TuneReport, units: &Units, style: Style) {
    let found = &report.recommendation;
    heading(text, "Candidates", style);
    let judged = report.plan.is_some();
    let unit = if judged { &*units.error.symbol } else { "" };
    let _ = writeln!(
        text,
        "{:<13}{:>11}{:>9}{:>7}{:>7}{:>7}{:>5}{:>9}  holds",
        "set", "gain", "time s", "Ms", "worst", "GM", "PM°", "error"
    );
    let shown = match &found.answer {
        Ok(chosen) => chosen.index,
        Err(nothing) => nothing.nearest,
    };
    for (n, candidate) in found.candidates.iter().enumerate() {
        let chosen = n == shown && found.answer.is_ok();
        let line = candidate_line(candidate, units, chosen);
        let kind = if chosen { Paint::Strong } else { Paint::Quiet };
        let _ = writeln!(text, "{}", style.paint(kind, &line));
    }
    let over = if judged {
        format!(
            "error: worst integral error {unit} under the disturbance, real controller, {} machines",
            report.options.compare + 1
        )
    } else {
        "error: worst integral error for a unit step at the plant's input, over the corners"
            .to_owned()
    };
    paragraph(
        text,
        "",
        &format!(
            "worst: Ms on the worst corner; {over}; optimum with a number: the least error at that Ms"
        ),
    );
    if let Some(why) = &found.no_optimum {
        paragraph(text, "optimum: ", why);
    }
}

fn candidate_line(candidate: &Candidate, units: &Units, chosen: bool) -> String {
    let OnLines {
        nominal,
        worst,
        stable,
        ..
    } = &candidate.on_lines;
    // Without a trial the errors are for a unit step, and have no unit.
    let error = |value: f64| match candidate.judged {
        Some(_) => units.error.number(value, 3),
        None => number(value, 3),
    };
    let ms = |stable: bool, value: f64| {
        if stable {
            format!("{value:.2}")
        } else {
            "-".to_owned()
        }
    };
    format!(
        "{:<13}{:>11}{:>9}{:>7}{:>7}{:>7}{:>5}{:>9}  {}",
        candidate.named.name,
        units.gain.number(candidate.named.gains.kc, 4),
        number(candidate.named.gains.ti, 4),
        ms(nominal.stable, nominal.sensitivity),
        ms(*stable, worst.sensitivity),
        number(nominal.gain, 3),
        format!("{:.0}", nominal.phase.to_degrees()),
        if candidate.worst_iae().is_finite() {
            error(candidate.worst_iae())
        } else {
            "-".to_owned()
        },
        match candidate.broken.first() {
            None if chosen => "chosen",
            None => "all",
            Some(broken) => short(broken),
        }
    )
    .trim_end()
    .to_owned()
}

/// A broken limit in a few letters.
fn short(broken: &Broken) -> &'static str {
    match broken.what.as_str() {
        "Ms on the nominal line" => "no: Ms",
        "Ms at the envelope's corners" => "no: worst",
        "setpoint overshoot" | "overshoot over the reference" => "no: over",
        "travel of the command" => "no: travel",
        "noise on the command" => "no: noise",
        "stability" => "unstable",
        "trips" => "no: trip",
        "harm events" => "no: harm",
        _ => "no: hunts",
    }
}

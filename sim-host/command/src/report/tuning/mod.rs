//! What `tune` found, for a terminal: 80 columns, the recommendation in the last lines.

mod answer;
mod candidates;
mod comparison;
mod log;

pub(crate) use comparison::draw_comparison;

use super::{Paint, Style, paragraph};
use std::fmt::Write as _;
use twinplate_check::finding::significant as number;
use twinplate_sim::model::Gains;
use twinplate_tune::work::TuneReport;

/// What a single change would do where no gain set holds every limit.
pub(super) const fn with_it(passes: bool) -> &'static str {
    if passes {
        "some set passes"
    } else {
        "still none passes"
    }
}

/// The gains block of a machine file.
#[must_use]
pub fn block(gains: &Gains) -> String {
    format!(
        "[gains]\nproportional = \"{} 1/N\"\nintegral-time = \"{} s\"\nsetpoint-weight = {:?}\n",
        gains.kc, gains.ti, gains.weight
    )
}

/// Draws the report; the last line is the verdict.
#[must_use]
pub fn draw(report: &TuneReport, style: Style) -> String {
    let mut text = String::new();
    head(&mut text, report, style);
    if let Some(study) = &report.log {
        log::log(&mut text, study, style);
    }
    log::experiment(&mut text, report, style);
    candidates::candidates(&mut text, report, style);
    match &report.recommendation.answer {
        Ok(chosen) => answer::recommended(&mut text, report, chosen, style),
        Err(nothing) => answer::refused(&mut text, report, nothing, style),
    }
    text
}

fn head(text: &mut String, report: &TuneReport, style: Style) {
    let what = match (&report.machine, &report.log) {
        (Some([id, _]), _) => format!("tune {id}"),
        (None, _) => "tune a log".to_owned(),
    };
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, &what));
    if let Some([_, title]) = &report.machine {
        paragraph(text, "", title);
    }
    if let (Some(batch), Some(plan)) = (&report.batch, &report.plan) {
        paragraph(text, "", &format!("with {batch}"));
        paragraph(
            text,
            "trial: ",
            &format!(
                "{} N to {} N at {} N/s, disturbance {} N at the plant's input, back to {} N",
                number(plan.low, 4),
                number(plan.high, 4),
                number(plan.ramp, 3),
                number(plan.disturbance, 3),
                number(plan.low, 4)
            ),
        );
    }
    paragraph(text, "tuned for: ", &report.tuned_for);
    for note in &report.notes {
        paragraph(text, "note: ", note);
    }
}

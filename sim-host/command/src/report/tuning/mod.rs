//! What `tune` found, for a terminal: 80 columns, the recommendation in the last lines.

pub(super) mod answer;
mod candidates;
mod comparison;
mod log;

pub(crate) use comparison::draw_comparison;

use super::{Paint, Style, paragraph};
use std::fmt::Write as _;
use twinplate_sim::files::written_gain;
use twinplate_sim::model::{Gains, Shown};
use twinplate_tune::typed::Units;
use twinplate_tune::work::TuneReport;

/// What a single change would do where no gain set holds every limit.
pub(super) const fn with_it(passes: bool) -> &'static str {
    if passes {
        "some set passes"
    } else {
        "still none passes"
    }
}

/// The gains block of a machine file, as [`twinplate_sim::files::with_gains`] writes it.
#[must_use]
pub fn block(gains: &Gains, shown: &Shown) -> String {
    format!(
        "[gains]\nproportional = \"{}\"\nintegral-time = \"{} s\"\nsetpoint-weight = {:?}\n",
        written_gain(gains.kc, shown),
        gains.ti,
        gains.weight
    )
}

/// Draws the report; the last line is the verdict.
#[must_use]
pub fn draw(report: &TuneReport, style: Style) -> String {
    let mut text = String::new();
    let units = report.told();
    head(&mut text, report, &units, style);
    if let Some(study) = &report.log {
        log::log(&mut text, study, &units, style);
    }
    log::experiment(&mut text, report, &units, style);
    candidates::candidates(&mut text, report, &units, style);
    match &report.recommendation.answer {
        Ok(chosen) => answer::recommended(&mut text, report, chosen, &units, style),
        Err(nothing) => answer::refused(&mut text, report, nothing, style),
    }
    text
}

fn head(text: &mut String, report: &TuneReport, units: &Units, style: Style) {
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
                "{} to {} at {}, disturbance {} at the plant's input, back to {}",
                units.output.say(plan.low, 4),
                units.output.say(plan.high, 4),
                units.rate.say(plan.ramp, 3),
                units.output.say(plan.disturbance, 3),
                units.output.say(plan.low, 4)
            ),
        );
    }
    paragraph(text, "tuned for: ", &report.tuned_for);
    for note in &report.notes {
        paragraph(text, "note: ", note);
    }
}

//! What `tune` found as one page: the answers on top, then the log, the plane of gains, responses, the loop over frequency, tables.
//!
//! Self-contained like the page of `check`: style and pictures are inside, nothing is fetched, no script runs.

mod cards;
mod chart;
mod contour;
mod frequency;
mod gain_plane;
mod log_picture;
mod responses;
mod tables;

#[cfg(test)]
mod tests;

use super::html::{FOOT, STYLE};
use super::svg::escape;
use std::fmt::Write as _;
use twinplate_tune::recommend::Recommendation;
use twinplate_tune::work::TuneReport;

/// What this page has beside the style of every page.
const OWN_STYLE: &str = include_str!("style.css");

/// Draws the page.
#[must_use]
pub fn draw(report: &TuneReport) -> String {
    let mut html = String::with_capacity(160 * 1024);
    let (name, what) = match &report.machine {
        Some([id, title]) => (format!("tune {id}"), format!("Load loop: {title}")),
        None => ("tune a log".to_owned(), "Load loop, from a log".to_owned()),
    };
    let verdict = if !report.contradicts.is_empty() {
        "contradiction"
    } else if report.recommendation.answer.is_ok() {
        "recommended"
    } else {
        "nothing passes"
    };
    let _ = write!(
        html,
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>{verdict} - {}</title><style>{STYLE}{OWN_STYLE}</style></head><body><main>",
        escape(&name)
    );
    let _ = write!(
        html,
        "<header><h1>{}</h1><p>Tuned for {}.{}</p></header>",
        escape(&what),
        escape(&report.tuned_for),
        report
            .log
            .as_ref()
            .and_then(|study| study.log.name.as_deref())
            .map_or_else(String::new, |name| format!(" Log: {}.", escape(name)))
    );
    cards::draw(&mut html, report);
    notes(&mut html, report);
    if let Some(picture) = log_picture::draw(report) {
        let title = match (&report.log, &report.experiment) {
            (_, Some(experiment)) => format!("The {} experiment", experiment.kind.word()),
            _ => "The log".to_owned(),
        };
        section(&mut html, &title, &picture, true);
        tables::models(&mut html, report);
    }
    pictures(&mut html, report);
    tables::candidates(&mut html, report);
    tables::judged(&mut html, report);
    html.push_str(FOOT);
    html
}

fn notes(html: &mut String, report: &TuneReport) {
    let output = report.told().output;
    // What a fit warns of belongs beside the gains that rest on it, not beside the log further down.
    let warnings: Vec<String> = report
        .log
        .iter()
        .flat_map(|study| &study.found.warnings)
        .map(|warning| format!("Caution: {}", warning.answered(&output)))
        .collect();
    let mut all: Vec<&str> = warnings.iter().map(String::as_str).collect();
    all.extend(report.notes.iter().map(String::as_str));
    let why = report
        .recommendation
        .no_optimum
        .as_ref()
        .map(|why| format!("No optimum: {why}"));
    all.extend(why.as_deref());
    if all.is_empty() {
        return;
    }
    html.push_str("<ul class=\"told\">");
    for note in all {
        let _ = write!(html, "<li>{}</li>", escape(note));
    }
    html.push_str("</ul>");
}

fn section(html: &mut String, title: &str, picture: &str, wide: bool) {
    let class = if wide { "sheet wide" } else { "sheet" };
    let _ = write!(
        html,
        "<div><h2>{}</h2><div class=\"{class}\">{picture}</div></div>",
        escape(title)
    );
}

fn pictures(html: &mut String, report: &TuneReport) {
    let found = &report.recommendation;
    html.push_str("<div class=\"two\">");
    section(html, "Plane of gains", &gain_plane::draw(report), false);
    html.push_str("<div>");
    let responses = responses::draw(report);
    for response in &responses {
        section(html, &response.title, &response.picture, false);
    }
    if responses.is_empty() {
        html.push_str(
            "<h2>Responses</h2><div class=\"sheet\"><p class=\"cure\">None can be drawn: the loop is unstable on the nominal line or \
             on one of its corners.</p></div>",
        );
    }
    html.push_str("</div>");
    let name = &found.shown().named.name;
    section(
        html,
        &format!("Open loop over frequency, {name}, nominal line"),
        &frequency::bode(found),
        false,
    );
    section(
        html,
        &format!("The same in the complex plane, {name}"),
        &frequency::nyquist(found),
        false,
    );
    html.push_str("</div>");
}

/// Index of the set that pictures are drawn for: the recommended or the nearest.
fn shown_index(found: &Recommendation) -> usize {
    match &found.answer {
        Ok(chosen) => chosen.index,
        Err(nothing) => nothing.nearest,
    }
}

/// Word before the axis of a gain that is negative, because its logarithm is drawn.
fn sign_of(gain: f64) -> &'static str {
    if gain < 0.0 { "minus " } else { "" }
}

//! The page of drives.

use super::drives;
use super::page::{Card, axes, end, frame, head, list, picture, range};
use crate::report::svg::Svg;
use twinplate_calibrate::drives::{DrivesReport, Found};
use twinplate_sim::files::Loaded;
use twinplate_sim::math::max;
use twinplate_sim::model::Machine;

/// Draws the page.
pub(crate) fn draw(report: &DrivesReport, file: Option<&Loaded<Machine>>) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let cards: Vec<Card> = report
        .drives
        .iter()
        .map(|found| {
            let told = drives::told(report, found, file);
            let words: Vec<String> = told
                .iter()
                .map(|(label, value)| format!("{label} {value}"))
                .collect();
            (
                "Inertia and drag",
                found.drive.name().to_owned(),
                words.join("; "),
            )
        })
        .collect();
    let verdict = if report.drives.iter().all(Found::holds) {
        ["pass", "✓", "holds"]
    } else {
        ["warn", "▲", "drag grows with speed"]
    };
    let title = "Drives, from run-ups and coast-downs";
    head(&mut html, title, &drives::subject(report), verdict, &cards);
    for found in &report.drives {
        picture(
            &mut html,
            &format!("Drive {}", found.drive.name()),
            drawn(report, found),
        );
        list(
            &mut html,
            "Diagnostics",
            &drives::diagnostics(report, found),
        );
    }
    end(&mut html, &[], drives::CAUTION);
    html
}

/// Speeds of all runs over the time since each began, with the law through them, and what is left.
fn drawn(report: &DrivesReport, found: &Found) -> Svg {
    let mut svg = Svg::new(
        1200.0,
        500.0,
        "Speed over time with the fitted law, and residuals",
    );
    let speed = report.speed;
    let since = |run: &twinplate_calibrate::drives::Run| -> Vec<f64> {
        let start = run.samples.first().map_or(0.0, |first| first.time);
        run.samples
            .iter()
            .map(|sample| sample.time - start)
            .collect()
    };
    let longest = found.runs.iter().flat_map(since).fold(0.0, max);
    let x = [0.0, max(longest, 1e-6)];
    let measured = |run: &twinplate_calibrate::drives::Run| -> Vec<f64> {
        run.samples
            .iter()
            .map(|sample| speed.typed(sample.speed))
            .collect()
    };
    let above = frame(34.0, 250.0, x, range(found.runs.iter().flat_map(measured)));
    axes(
        &mut svg,
        &above,
        &format!("speed, {}; line: the law", speed.symbol),
        "s",
    );
    let left: Vec<f64> = found
        .rows
        .iter()
        .map(|row| speed.typed(row.residual))
        .collect();
    let below = frame(350.0, 100.0, x, range(left.iter().copied()));
    axes(
        &mut svg,
        &below,
        &format!("residual, {}", speed.symbol),
        "s",
    );
    let mut rest = left.iter();
    for (run, fitted) in found.runs.iter().zip(&found.fitted) {
        let times = since(run);
        let law: Vec<f64> = fitted.iter().map(|value| speed.typed(*value)).collect();
        svg.path(&above.curve(&times, &law), "model");
        for (time, value) in times.iter().zip(measured(run)) {
            svg.circle(above.px(*time), above.py(value), 2.0, "bubble");
        }
        for (time, value) in times.iter().zip(rest.by_ref()) {
            svg.circle(below.px(*time), below.py(*value), 2.0, "spot");
        }
    }
    svg
}

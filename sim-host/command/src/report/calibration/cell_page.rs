//! The page of a load cell.

use super::page::{Card, axes, end, frame, head, list, picture, range, residuals, table, weight};
use super::{cell, chance, number};
use crate::report::svg::Svg;
use twinplate_calibrate::cell::{CellReport, DEVIATIONS};
use twinplate_sim::math::max;

/// Draws the page.
pub(crate) fn draw(report: &CellReport) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let verdict = if report.fits {
        ["pass", "✓", "fits"]
    } else {
        ["warn", "▲", "does not fit"]
    };
    let limit = cell::lower_limit(report);
    let cards: [Card; 3] = [
        (
            "Curve",
            format!("degree {}", report.degree),
            format!(
                "residual deviation {}{}",
                number(report.deviation, 4),
                cell::unit(report)
            ),
        ),
        (
            "Lower limit factor, ASTM E74 (from memory)",
            format!(
                "{} {}",
                number(report.lower_limit.factor, 5),
                report.load_unit
            ),
            limit.iter().skip(1).cloned().collect::<Vec<_>>().join("; "),
        ),
        (
            "Class, ISO 376 (from memory)",
            report
                .class
                .class
                .map_or_else(|| "none".to_owned(), |(name, _)| name.to_owned()),
            format!(
                "{} {}",
                cell::class_told(report),
                report.class.lacks.join("; ")
            ),
        ),
    ];
    head(
        &mut html,
        "Load cell, from dead weights",
        &cell::subject(report),
        verdict,
        &cards,
    );
    picture(
        &mut html,
        "What the curve leaves, and what a straight line would",
        drawn(report),
    );
    list(&mut html, "Diagnostics", &cell::diagnostics(report));
    list(
        &mut html,
        "For the machine file",
        &cell::keys(report).unwrap_or_default(),
    );
    tables(&mut html, report);
    end(&mut html, &report.notes, cell::CAUTION);
    html
}

/// Degrees, coefficients, readings.
fn tables(html: &mut String, report: &CellReport) {
    let tried: Vec<Vec<String>> = report
        .tried
        .iter()
        .map(|tried| {
            let test = tried.test.map_or_else(
                || ["–".to_owned(), "–".to_owned()],
                |test| [number(test.f, 4), chance(test.chance)],
            );
            let word = match (tried.degree == report.degree, tried.fits) {
                (true, true) => "✓ chosen",
                (true, false) => "▲ nearest",
                (false, true) => "",
                (false, false) => "does not fit",
            };
            let [f, chance] = test;
            vec![
                tried.degree.to_string(),
                number(tried.deviation, 4),
                f,
                chance,
                word.to_owned(),
            ]
        })
        .collect();
    table(
        html,
        cell::by(report.by),
        &["degree", "residual", "F", "chance", ""],
        &tried,
    );
    let coefficients: Vec<Vec<String>> = report
        .coefficients
        .iter()
        .enumerate()
        .map(|(power, found)| {
            vec![
                power.to_string(),
                format!("{:.14e}", found.value),
                format!("{:.6e}", found.deviation),
                format!("{:.6e} to {:.6e}", found.low, found.high),
            ]
        })
        .collect();
    table(
        html,
        "Reading over load, coefficients of its powers",
        &["power", "coefficient", "deviation", "95 %"],
        &coefficients,
    );
    readings(html, report);
}

/// Every reading with what is left over.
fn readings(html: &mut String, report: &CellReport) {
    let rows: Vec<Vec<String>> = report
        .rows
        .iter()
        .zip(&report.points)
        .map(|(row, [load, deflection])| {
            [
                row.line.to_string(),
                number(*load, 7),
                number(*deflection, 7),
                number(row.residual, 3),
            ]
            .into_iter()
            .chain(weight(row))
            .collect()
        })
        .collect();
    table(
        html,
        "Readings",
        &[
            "line",
            "load",
            "deflection",
            "residual",
            "leverage",
            "studentised",
            "",
        ],
        &rows,
    );
}

fn drawn(report: &CellReport) -> Svg {
    let mut svg = Svg::new(
        1200.0,
        520.0,
        "Residuals of the curve and deviation from a straight line, over the load",
    );
    let loads: Vec<f64> = report.points.iter().map(|[load, _]| *load).collect();
    let top = loads.iter().copied().fold(0.0, max);
    let x = [0.0, 1.03 * top];
    let left: Vec<f64> = report.rows.iter().map(|row| row.residual).collect();
    let band = DEVIATIONS * report.deviation;
    let above = frame(
        34.0,
        190.0,
        x,
        range(left.iter().copied().chain([band, -band])),
    );
    svg.rect(
        above.left,
        above.py(band),
        above.width,
        above.py(-band) - above.py(band),
        "spread-area",
    );
    axes(
        &mut svg,
        &above,
        &format!(
            "residual{}; grey: {DEVIATIONS} deviations either way",
            cell::unit(report)
        ),
        report.load_unit,
    );
    residuals(&mut svg, &above, &report.rows, &loads, &left);
    // The straight line through the curve's own zero and its end.
    let (zero, end) = (report.at(0.0), report.at(top));
    let off =
        |load: f64, value: f64| 100.0 * (value - zero - (end - zero) * load / top) / (end - zero);
    let curve: Vec<[f64; 2]> = (0..=200)
        .map(|n| top * f64::from(n) / 200.0)
        .map(|load| [load, off(load, report.at(load))])
        .collect();
    let marks: Vec<[f64; 2]> = report
        .points
        .iter()
        .map(|[load, value]| [*load, off(*load, *value)])
        .collect();
    let falling: Vec<[f64; 2]> = report
        .falling
        .iter()
        .map(|[load, value]| [*load, off(*load, *value)])
        .collect();
    let all = curve.iter().chain(&marks).chain(&falling).map(|[_, y]| *y);
    let below = frame(290.0, 190.0, x, range(all));
    axes(
        &mut svg,
        &below,
        "off the straight line, % of the span; dots rising, rings falling",
        report.load_unit,
    );
    let (along, up): (Vec<f64>, Vec<f64>) = curve.iter().map(|[x, y]| (*x, *y)).unzip();
    svg.path(&below.curve(&along, &up), "model");
    for [x, y] in &marks {
        svg.circle(below.px(*x), below.py(*y), 3.0, "spot");
    }
    for [x, y] in &falling {
        svg.circle(below.px(*x), below.py(*y), 3.5, "bubble");
    }
    svg
}

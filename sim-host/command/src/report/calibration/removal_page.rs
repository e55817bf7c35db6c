//! The page of removal.

use super::page::{Card, axes, end, frame, head, list, picture, range, residuals, table, weight};
use super::{number, removal};
use crate::report::svg::Svg;
use twinplate_calibrate::removal::{Preston, RemovalReport};
use twinplate_sim::math::exp;

/// Draws the page.
pub(crate) fn draw(report: &RemovalReport) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let verdict = match report.preston {
        Preston::Holds => ["pass", "✓", "holds"],
        Preston::Open => ["warn", "▲", "not contradicted"],
        Preston::Fails => ["fail", "✕", "does not hold"],
    };
    let line = |pairs: Vec<(&'static str, String)>| {
        pairs
            .iter()
            .map(|(label, value)| format!("{label} {value}"))
            .collect::<Vec<_>>()
            .join("; ")
    };
    let mut cards: Vec<Card> = report
        .coefficients
        .iter()
        .map(|found| {
            let short = format!("{} {} 1/Pa", found.abrasive, number(found.fresh.value, 3));
            (
                "Removal coefficient, per face",
                short.trim().to_owned(),
                line(removal::coefficient(report, found)),
            )
        })
        .collect();
    cards.push((
        "Preston's proportionality",
        report.preston.word().to_owned(),
        line(removal::exponents(report)),
    ));
    head(
        &mut html,
        "Removal, from trial runs",
        &removal::subject(report),
        verdict,
        &cards,
    );
    list(&mut html, "What follows", &removal::judged(report));
    picture(
        &mut html,
        "Rates as measured and as fitted, and what is left",
        drawn(report),
    );
    list(&mut html, "Diagnostics", &removal::diagnostics(report));
    if let Some(plan) = &report.plan {
        let mut told: Vec<String> = plan
            .trials
            .iter()
            .map(|next| removal::proposed(report, next))
            .collect();
        told.extend(removal::about(plan));
        list(&mut html, "The next two trials", &told);
        let gains: Vec<Vec<String>> = plan
            .gains
            .iter()
            .map(|gain| removal::gain(report, gain).to_vec())
            .collect();
        table(
            &mut html,
            "What they would bring",
            &["95 % half-width", "now", "with them"],
            &gains,
        );
    }
    trials(&mut html, report);
    end(&mut html, &report.notes, removal::CAUTION);
    html
}

/// Every trial with what is left over.
fn trials(html: &mut String, report: &RemovalReport) {
    let units = &report.units;
    let heads = [
        "line".to_owned(),
        "abrasive".to_owned(),
        format!("pressure, {}", units.pressure.symbol),
        format!("speed, {}", units.speed.symbol),
        format!("time, {}", units.time.symbol),
        "residual, %".to_owned(),
        "leverage".to_owned(),
        "studentised".to_owned(),
        String::new(),
    ];
    let rows: Vec<Vec<String>> = report
        .trials
        .iter()
        .zip(&report.rows)
        .map(|(trial, row)| {
            [
                trial.line.to_string(),
                report
                    .coefficients
                    .get(trial.abrasive)
                    .map_or_else(String::new, |found| found.abrasive.clone()),
                number(units.pressure.typed(trial.pressure), 4),
                number(units.speed.typed(trial.speed), 4),
                number(units.time.typed(trial.time), 4),
                number(100.0 * (exp(row.residual) - 1.0), 3),
            ]
            .into_iter()
            .chain(weight(row))
            .collect()
        })
        .collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    table(html, "Trials", &heads, &rows);
}

fn drawn(report: &RemovalReport) -> Svg {
    let mut svg = Svg::new(
        1200.0,
        540.0,
        "Fitted over measured rates, and residuals in percent",
    );
    let (symbol, size) = removal::depth(report);
    let time = report.units.time;
    let scale = time.size / size;
    let measured: Vec<f64> = report.rates.iter().map(|[rate, _]| rate * scale).collect();
    let fitted: Vec<f64> = report.rates.iter().map(|[_, rate]| rate * scale).collect();
    let both = range(measured.iter().chain(&fitted).copied());
    let above = frame(34.0, 250.0, both, both);
    axes(
        &mut svg,
        &above,
        &format!("fitted, {symbol}/{} a face", time.symbol),
        "measured",
    );
    svg.line(
        [above.px(both[0]), above.py(both[0])],
        [above.px(both[1]), above.py(both[1])],
        "reference",
    );
    for (x, y) in measured.iter().zip(&fitted) {
        svg.circle(above.px(*x), above.py(*y), 3.5, "spot");
    }
    let left: Vec<f64> = report
        .rows
        .iter()
        .map(|row| 100.0 * (exp(row.residual) - 1.0))
        .collect();
    let [low, high] = range(left.iter().copied().chain([0.0]));
    let lines: Vec<f64> = report.rows.iter().map(|row| row.line as f64).collect();
    let below = frame(350.0, 140.0, range(lines.iter().copied()), [low, high]);
    axes(&mut svg, &below, "residual, %", "line");
    residuals(&mut svg, &below, &report.rows, &lines, &left);
    svg
}

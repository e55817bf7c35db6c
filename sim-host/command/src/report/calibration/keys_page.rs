//! The page of keys of a machine file.

use super::keys;
use super::number;
use super::page::{Card, axes, end, frame, head, list, picture, range, table, weight};
use crate::report::svg::Svg;
use twinplate_calibrate::keys::{Chart, KeysReport, Kind};
use twinplate_sim::model::Machine;

/// Most keys that get a card each; more stand in a table.
const CARDS: usize = 4;

/// Draws the page.
pub(crate) fn draw(report: &KeysReport, stated: Option<&Machine>) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let verdict = match report.word() {
        "fits" => ["pass", "✓", "fits"],
        "tells nothing" => ["warn", "▲", "tells nothing"],
        word => ["fail", "✕", word],
    };
    let title = match report.kind {
        Kind::Slurry => "Slurry, by stopwatch and bucket",
        Kind::Heat => "Heat of the plates",
        Kind::Plates => "Wear and form of the plates",
    };
    let told: Vec<[String; 3]> = report
        .keys
        .iter()
        .filter(|key| key.told().is_some())
        .map(|key| {
            let beside = keys::beside(key, stated).join("; ");
            [key.name.to_owned(), keys::value(key), beside]
        })
        .collect();
    let cards: Vec<Card> = if told.len() > CARDS {
        let short = format!("{} of {}", told.len(), report.keys.len());
        vec![(
            "Keys told",
            short,
            "each with its 95 % interval, below".to_owned(),
        )]
    } else {
        let card = |[_, value, beside]: &[String; 3], name| (name, value.clone(), beside.clone());
        let names = report.keys.iter().filter(|key| key.told().is_some());
        told.iter()
            .zip(names)
            .map(|(told, key)| card(told, key.name))
            .collect()
    };
    let subject = format!("{}: {}", report.file, report.subject);
    head(&mut html, title, &subject, verdict, &cards);
    if told.len() > CARDS {
        let rows: Vec<Vec<String>> = told.iter().map(|row| row.to_vec()).collect();
        let heads = ["key", "value, 95 %", ""];
        table(&mut html, "For the machine file", &heads, &rows);
    }
    let untold: Vec<String> = report
        .keys
        .iter()
        .filter(|key| key.told().is_none())
        .map(|key| format!("{}: {}", key.name, keys::beside(key, None).join("; ")))
        .collect();
    let follows: Vec<String> = report
        .contradicted
        .iter()
        .chain(&report.findings)
        .cloned()
        .collect();
    list(&mut html, "What follows", &follows);
    list(&mut html, "Not told", &untold);
    for chart in &report.charts {
        picture(&mut html, &chart.title, drawn(chart));
    }
    list(&mut html, "Diagnostics", &keys::diagnostics(report));
    for group in &report.groups {
        rows(&mut html, group);
    }
    end(&mut html, &report.notes, keys::caution(report.kind));
    html
}

/// Most rows of a table: a log of a shift would bury what else stands on the page.
const ROWS: usize = 60;

fn rows(html: &mut String, group: &twinplate_calibrate::keys::Group) {
    let heads = [
        "line".to_owned(),
        format!("measured, {}", group.value),
        format!("fitted, {}", group.value),
        "residual".to_owned(),
        "leverage".to_owned(),
        "studentised".to_owned(),
        String::new(),
    ];
    let every = group.rows.len().div_ceil(ROWS).max(1);
    let rows: Vec<Vec<String>> = group
        .rows
        .iter()
        .zip(&group.values)
        .enumerate()
        .filter(|(at, (row, _))| at % every == 0 || row.outlier)
        .map(|(_, (row, [measured, fitted]))| {
            [
                row.line.to_string(),
                number(*measured, 5),
                number(*fitted, 5),
                keys::residual(group, row.residual),
            ]
            .into_iter()
            .chain(weight(row))
            .collect()
        })
        .collect();
    let title = match every {
        1 => format!("Rows: {}", group.name),
        _ => format!("Rows: {}, one of {every}", group.name),
    };
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    table(html, &title, &heads, &rows);
}

fn drawn(chart: &Chart) -> Svg {
    let [over, along] = &chart.axes;
    let mut svg = Svg::new(
        1200.0,
        330.0,
        &format!("{}: {over} over {along}", chart.title),
    );
    let all = || chart.points.iter().chain(chart.lines.iter().flatten());
    let frame = frame(
        34.0,
        250.0,
        range(all().map(|[x, _]| *x)),
        range(all().map(|[_, y]| *y)),
    );
    axes(&mut svg, &frame, over, along);
    for line in &chart.lines {
        for pair in line.windows(2) {
            let [from, to] = [pair[0], pair[1]].map(|[x, y]| [frame.px(x), frame.py(y)]);
            svg.line(from, to, "reference");
        }
    }
    for [x, y] in &chart.points {
        svg.circle(frame.px(*x), frame.py(*y), 3.0, "spot");
    }
    svg
}

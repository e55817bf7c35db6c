//! The page of a correction.

use super::words::{Units, capability, due_lines, next, rate, setting, standing_out, subject};
use super::{CAUTION, interval, number};
use crate::report::calibration::page::{Card, axes, end, frame, head, list, picture, range, table};
use crate::report::svg::{Anchor, Frame, Svg};
use std::fmt::Write as _;
use twinplate_production::correct::{By, Report, Row};

/// Deviations that a band goes to either side: about 95 %.
const BAND: f64 = 2.0;

/// Draws the page.
pub(crate) fn draw(report: &Report) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let units = Units::of(report);
    let (new, unit) = setting(report, &report.next.new);
    let verdict = if report.beyond.is_empty() {
        ["pass", "✓", "corrected"]
    } else {
        ["fail", "✕", "beyond the recipe"]
    };
    let what = match report.by {
        By::Time => "Time of the next batch",
        By::Load => "Pressure of the next batch",
    };
    let drifts = report.drift.is_some_and(|drift| drift.told());
    let cards: [Card; 4] = [
        (
            what,
            format!("{} {unit}", number(new.value, 4)),
            next(report).join("; "),
        ),
        (
            "Removal rate",
            format!(
                "{} {}",
                number(report.rate.value / units.rate, 3),
                units.per_time
            ),
            format!(
                "95 %: {}",
                interval(&report.rate.mapped(|x| x / units.rate), 3)
            ),
        ),
        (
            "Drift",
            if drifts { "▲ it drifts" } else { "none told" }.to_owned(),
            rate(report).last().cloned().unwrap_or_default(),
        ),
        (
            "Size, Ppk",
            report.capability.as_ref().map_or_else(
                |_| "not claimed".to_owned(),
                |found| number(found.performance.nearer.value, 3),
            ),
            capability(report).join("; "),
        ),
    ];
    let title = format!("Next batch of {}", report.recipe);
    head(&mut html, &title, &subject(report), verdict, &cards);
    picture(
        &mut html,
        "Removal rate and size, batch by batch",
        chart(report),
    );
    list(&mut html, "Removal rate", &rate(report));
    list(&mut html, "Diagnostics", &standing_out(report));
    list(&mut html, "Plates and slurry", &due_lines(report));
    list(
        &mut html,
        "Size, as ISO 22514 has it (from memory)",
        &capability(report),
    );
    batches(&mut html, report, &units);
    let notes = [
        "dots: as measured; line and band: the filtered rate and 95 % of it; upright lines: plates conditioned or slurry changed; the last one, with its bar, is the next batch as it is expected".to_owned(),
    ];
    end(&mut html, &notes, CAUTION);
    html
}

/// Every batch.
fn batches(html: &mut String, report: &Report, units: &Units) {
    let heads = [
        "batch".to_owned(),
        "date".to_owned(),
        format!("before, {}", units.length.symbol),
        format!("after, {}", units.length.symbol),
        format!("time, {}", units.time.symbol),
        format!("rate, {}", units.per_time),
        "filtered".to_owned(),
        "before it".to_owned(),
        String::new(),
    ];
    let cell = |value: Option<f64>, size: f64, digits: usize| {
        value.map_or_else(|| "–".to_owned(), |value| number(value / size, digits))
    };
    let rows: Vec<Vec<String>> = report
        .rows
        .iter()
        .enumerate()
        .map(|(at, row)| {
            let batch = &row.batch;
            let off = report.off.iter().any(|off| off.outlier.at == at);
            vec![
                batch.called(),
                batch.date.clone(),
                cell(batch.before, units.length.size, 6),
                cell(batch.after, units.length.size, 6),
                cell(batch.time, units.time.size, 4),
                cell(row.rate, units.rate, 4),
                cell(row.filtered.map(|[value, _]| value), units.rate, 4),
                batch.done.words().to_owned(),
                if off { "✕ off" } else { "" }.to_owned(),
            ]
        })
        .collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    table(html, "Batches", &heads, &rows);
}

/// Rate above, size under it.
fn chart(report: &Report) -> Svg {
    let units = Units::of(report);
    let mut svg = Svg::new(
        1200.0,
        600.0,
        "Removal rate with its band, and mean size, batch by batch",
    );
    svg.describe(&rate(report).join("; "));
    let rows = &report.rows;
    let last = rows.len() as f64;
    let x = [0.0, last + 2.0];
    let band = |row: &Row| {
        row.filtered
            .map(|[value, deviation]| [value - BAND * deviation, value + BAND * deviation])
    };
    let all = rows
        .iter()
        .flat_map(|row| row.rate.into_iter().chain(band(row).into_iter().flatten()));
    let ends = all
        .chain([report.rate.low, report.rate.high])
        .map(|rate| rate / units.rate);
    let above = frame(34.0, 240.0, x, range(ends));
    axes(
        &mut svg,
        &above,
        &format!("removal rate, {}", units.per_time),
        "batch",
    );
    let mut upper = String::new();
    let mut lower = Vec::new();
    let mut line = String::new();
    for (row, x) in rows.iter().zip((1_u32..).map(f64::from)) {
        let (Some([low, high]), Some([middle, _])) = (band(row), row.filtered) else {
            continue;
        };
        let sign = if upper.is_empty() { 'M' } else { 'L' };
        let at = |rate: f64| above.py(rate / units.rate);
        // Writing to a String cannot fail.
        let _ = write!(upper, "{sign}{:.1} {:.1}", above.px(x), at(high));
        let _ = write!(line, "{sign}{:.1} {:.1}", above.px(x), at(middle));
        lower.push(format!("L{:.1} {:.1}", above.px(x), at(low)));
    }
    lower.reverse();
    if !upper.is_empty() {
        svg.path(&format!("{upper}{}Z", lower.concat()), "spread-area");
        svg.path(&line, "model");
    }
    let rates: Vec<Option<f64>> = rows
        .iter()
        .map(|row| row.rate.map(|r| r / units.rate))
        .collect();
    let to = [report.rate.low, report.rate.value, report.rate.high].map(|rate| rate / units.rate);
    drawn(&mut svg, &above, report, &rates, to);
    sizes(&mut svg, report, &units, x);
    svg
}

/// Mean sizes within their tolerance.
fn sizes(svg: &mut Svg, report: &Report, units: &Units, x: [f64; 2]) {
    let [target, tolerance] = report.target;
    // Off the target, in the small unit: differences of sizes are what is looked at.
    let off = |size: f64| (size - target) / units.small.size;
    let sizes: Vec<Option<f64>> = report
        .rows
        .iter()
        .map(|row| row.batch.after.map(off))
        .collect();
    let next = [
        report.next.size.low,
        report.next.size.value,
        report.next.size.high,
    ]
    .map(off);
    let wide = tolerance / units.small.size;
    let y = range(
        sizes
            .iter()
            .flatten()
            .copied()
            .chain(next)
            .chain([-wide, wide]),
    );
    let below = frame(340.0, 210.0, x, y);
    let over = format!("mean size off its target, {}", units.small.symbol);
    svg.rect(
        below.left,
        below.py(wide),
        below.width,
        below.py(-wide) - below.py(wide),
        "tolerance",
    );
    axes(svg, &below, &over, "batch");
    svg.line(
        [below.left, below.py(0.0)],
        [below.right(), below.py(0.0)],
        "reference",
    );
    drawn(svg, &below, report, &sizes, next);
}

/// Dots of the batches, what was done before them, and the next one with its bar.
fn drawn(svg: &mut Svg, frame: &Frame, report: &Report, values: &[Option<f64>], next: [f64; 3]) {
    let places = || (1_u32..).map(f64::from);
    for ((at, row), x) in report.rows.iter().enumerate().zip(places()) {
        if row.batch.done.any() {
            let x = frame.px(x - 0.5);
            svg.line([x, frame.top], [x, frame.bottom()], "conditioned");
            let word = match (row.batch.done.conditioned, row.batch.done.slurry) {
                (true, true) => "plates, slurry",
                (true, false) => "plates",
                (false, _) => "slurry",
            };
            svg.text(x + 3.0, frame.top + 12.0, Anchor::Start, "note", word);
        }
        let Some(value) = values.get(at).copied().flatten() else {
            continue;
        };
        let [x, y] = [frame.px(x), frame.py(value)];
        svg.circle(x, y, 3.0, "spot");
        if report.off.iter().any(|off| off.outlier.at == at) {
            svg.line([x - 7.0, y - 7.0], [x + 7.0, y + 7.0], "spread bad");
            svg.line([x - 7.0, y + 7.0], [x + 7.0, y - 7.0], "spread bad");
            svg.text(x + 10.0, y + 4.0, Anchor::Start, "bad-text", "off");
        }
    }
    let x = frame.px(values.len() as f64 + 1.0);
    let [low, middle, high] = next.map(|value| frame.py(value));
    svg.line([x, low], [x, high], "spread");
    svg.circle(x, middle, 4.5, "bubble");
}

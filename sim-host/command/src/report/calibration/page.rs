//! What the pages of `calibrate` share: cards on top, pictures, lists, tables. Self-contained like the other pages: nothing is fetched, no
//! script runs.

use super::number;
use crate::report::html::{FOOT, STYLE};
use crate::report::svg::{Anchor, Frame, Svg, escape};
use std::fmt::Write as _;
use twinplate_calibrate::least_squares::Row;
use twinplate_sim::math::{abs, max, min};

/// What these pages have beside the style of every page.
const OWN_STYLE: &str = include_str!("style.css");

/// A card: its heading, its answer, what stands behind it.
pub(crate) type Card = (&'static str, String, String);

/// The beginning of a page, down to its cards.
pub(crate) fn head(
    html: &mut String,
    title: &str,
    subject: &str,
    verdict: [&str; 3],
    cards: &[Card],
) {
    let [class, sign, word] = verdict;
    let _ = write!(
        html,
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>{word} - {title}</title><style>{STYLE}{OWN_STYLE}</style></head><body><main><header><h1>{title}</h1><p>{}</p></header>\
         <section class=\"five\" aria-label=\"Answers\"><div class=\"card verdict {class}\"><h2>Verdict</h2>\
         <div class=\"sign\" aria-hidden=\"true\">{sign}</div><div class=\"short\">{word}</div></div>",
        escape(subject)
    );
    for (question, short, detail) in cards {
        let _ = write!(
            html,
            "<div class=\"card\"><h2>{question}</h2><div class=\"short\">{}</div><div class=\"detail\">{}</div></div>",
            escape(short),
            escape(detail)
        );
    }
    html.push_str("</section>");
}

/// Sentences under a title, where there are some.
pub(crate) fn list(html: &mut String, title: &str, lines: &[String]) {
    if lines.is_empty() {
        return;
    }
    let _ = write!(html, "<h2>{title}</h2><ul class=\"told\">");
    for line in lines {
        let _ = write!(html, "<li>{}</li>", escape(line));
    }
    html.push_str("</ul>");
}

/// The end of a page: its notes, the caution, the foot.
pub(crate) fn end(html: &mut String, notes: &[String], caution: &str) {
    let mut told = notes.to_vec();
    told.push(format!("Caution: {caution}"));
    list(html, "Notes", &told);
    html.push_str(FOOT);
}

/// What a table says of a row's weight: leverage, studentised residual, and whether it is an outlier.
pub(in crate::report) fn weight(row: &Row) -> [String; 3] {
    let outlier = if row.outlier { "✕ outlier" } else { "" };
    [
        number(row.leverage, 2),
        number(row.studentised, 3),
        outlier.to_owned(),
    ]
}

/// A table under its title.
pub(crate) fn table(html: &mut String, title: &str, heads: &[&str], rows: &[Vec<String>]) {
    table_of(html, title, heads, rows, |_| "");
}

/// A table of words: its lines fold, so that nothing of a reason is out of sight; what is named first stands in one line.
pub(crate) fn worded(html: &mut String, title: &str, heads: &[&str], rows: &[Vec<String>]) {
    let last = heads.len().saturating_sub(1);
    table_of(html, title, heads, rows, |column| match column {
        0 => " class=\"l\"",
        _ if column == last => " class=\"l what\"",
        _ => " class=\"l where\"",
    });
}

/// A table whose columns have attributes of their own.
fn table_of(
    html: &mut String,
    title: &str,
    heads: &[&str],
    rows: &[Vec<String>],
    attribute: impl Fn(usize) -> &'static str,
) {
    let _ = write!(
        html,
        "<h2>{}</h2><div class=\"sheet scroll\"><table><tr>",
        escape(title)
    );
    for (column, head) in heads.iter().enumerate() {
        let _ = write!(html, "<th{}>{}</th>", attribute(column), escape(head));
    }
    html.push_str("</tr>");
    for row in rows {
        html.push_str("<tr>");
        for (column, cell) in row.iter().enumerate() {
            let _ = write!(html, "<td{}>{}</td>", attribute(column), escape(cell));
        }
        html.push_str("</tr>");
    }
    html.push_str("</table></div>");
}

/// A picture under its title.
pub(crate) fn picture(html: &mut String, title: &str, svg: Svg) {
    let _ = write!(
        html,
        "<h2>{}</h2><div class=\"sheet wide\">{}</div>",
        escape(title),
        svg.finish()
    );
}

/// A range with a little room.
pub(in crate::report) fn range(values: impl Iterator<Item = f64>) -> [f64; 2] {
    let [low, high] = values.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], v| {
        [min(low, v), max(high, v)]
    });
    if low > high {
        return [0.0, 1.0];
    }
    let room = max(0.06 * (high - low), max(1e-9 * abs(high), 1e-300));
    [low - room, high + room]
}

/// A frame of a picture of 1200 px.
pub(crate) fn frame(top: f64, height: f64, x: [f64; 2], y: [f64; 2]) -> Frame {
    Frame {
        left: 90.0,
        top,
        width: 1020.0,
        height,
        x,
        y,
    }
}

/// Both axes of a frame: words over the vertical one, a unit at the end of the other.
pub(crate) fn axes(svg: &mut Svg, frame: &Frame, over: &str, along: &str) {
    frame.axis_y(svg, "");
    svg.text(8.0, frame.top - 10.0, Anchor::Start, "unit", over);
    // A unit fits beside the axis; words stand under its end.
    let unit = along.chars().count() <= 3;
    frame.axis_x(svg, if unit { along } else { "" });
    if !unit {
        svg.text(
            frame.right(),
            frame.bottom() + 32.0,
            Anchor::End,
            "unit",
            along,
        );
    }
}

/// Residuals of rows over something; outliers are crossed and named by their line.
pub(in crate::report) fn residuals(
    svg: &mut Svg,
    frame: &Frame,
    rows: &[Row],
    x: &[f64],
    y: &[f64],
) {
    svg.line(
        [frame.left, frame.py(0.0)],
        [frame.right(), frame.py(0.0)],
        "axis",
    );
    for ((row, x), y) in rows.iter().zip(x).zip(y) {
        let (x, y) = (frame.px(*x), frame.py(*y));
        svg.circle(x, y, 3.0, "spot");
        if row.outlier {
            svg.line([x - 7.0, y - 7.0], [x + 7.0, y + 7.0], "spread bad");
            svg.line([x - 7.0, y + 7.0], [x + 7.0, y - 7.0], "spread bad");
            svg.text(
                x + 10.0,
                y + 4.0,
                Anchor::Start,
                "bad-text",
                &format!("line {}", row.line),
            );
        }
    }
}

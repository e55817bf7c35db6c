//! What a short machine or batch file leaves out, and what of it to measure first, as text and as a sheet of the page.

use super::svg::escape;
use super::{Paint, Style, heading, wrap};
use std::fmt::Write as _;
use twinplate_check::assumed::{AssumedKey, AssumedReport};
use twinplate_sim::files::FileKind;

/// Files that may leave something out, in the order in which they are told.
const FILES: [FileKind; 2] = [FileKind::Machine, FileKind::Batch];

/// The heading of a file's list.
fn left_out(file: FileKind) -> String {
    format!("Assumed: what the {} file leaves out", file.word())
}

/// Draws it for a terminal.
pub(super) fn draw(text: &mut String, report: &AssumedReport, style: Style) {
    if report.margin_pct.is_some() {
        heading(text, "What to measure first", style);
        indented(text, 0, &nominal(report), style);
        for key in report.first() {
            let title = format!(
                "{}. {} = {} ({})",
                key.rank.unwrap_or(0),
                key.key,
                key.value,
                key.envelope
            );
            for line in wrap(&title, style.width) {
                // Writing to a String cannot fail.
                let _ = writeln!(text, "{}", style.paint(Paint::Strong, &line));
            }
            indented(text, 3, &effect(key), style);
            indented(text, 3, &format!("{}: {}", key.measured_by, key.how), style);
        }
    }
    for file in FILES {
        let mut keys = report.of_file(file).peekable();
        if keys.peek().is_some() {
            heading(text, &left_out(file), style);
        }
        for key in keys {
            let words = format!(
                "{} = {} ({}): {}",
                key.key, key.value, key.envelope, key.rule
            );
            indented(text, 0, &words, style);
            if file == FileKind::Batch {
                indented(text, 3, &format!("{}: {}", key.measured_by, key.how), style);
            }
        }
    }
}

/// Words so far from the left.
fn indented(text: &mut String, by: usize, words: &str, style: Style) {
    for line in wrap(words, style.width - by) {
        let _ = writeln!(text, "{:by$}{line}", "");
    }
}

/// The nominal run's smallest margin, and what the list is in order of.
fn nominal(report: &AssumedReport) -> String {
    let margin = report.margin_pct.unwrap_or(0.0);
    format!(
        "Each assumed key by itself at both ends of its envelope, in the order of what it takes of any margin beyond what noise alone does. \
         As assumed, the smallest margin of the verdict is {margin} % ({}).",
        report.binds.unwrap_or("")
    )
}

/// What a ranked key does to the margins.
fn effect(key: &AssumedKey) -> String {
    let takes = match (key.takes_of, key.takes_pct) {
        (Some(of), Some(share)) => format!("takes {share} % of what is left: {of}"),
        _ => "takes no more of any margin than noise does".to_owned(),
    };
    let [lower, upper] = key.margin_pct.unwrap_or_default();
    let moves = format!(
        "{takes}; smallest margin {lower} % at its lower end, {upper} % at its upper, {}",
        key.binds.unwrap_or("")
    );
    match &key.fails {
        Some(why) => format!("fails: {why}; {moves}"),
        None => moves,
    }
}

/// Draws it for the page.
pub(super) fn sheet(html: &mut String, report: &AssumedReport) {
    if report.margin_pct.is_some() {
        let _ = write!(
            html,
            "<h2>What to measure first</h2><div class=\"sheet scroll\"><p>{}</p><table><tr><th>rank</th><th class=\"l\">key</th>\
             <th class=\"l\">assumed</th><th class=\"l\">what it decides, and how to measure it</th><th>takes, %</th></tr>",
            escape(&nominal(report))
        );
        for key in report.first() {
            let class = if key.fails.is_some() {
                " class=\"bad\""
            } else {
                ""
            };
            let _ = write!(
                html,
                "<tr{class}><td>{}</td><td class=\"l code\">{}</td><td class=\"l\">{} ({})</td><td class=\"l what\">{}\
                 <div class=\"cure\">{}: {}</div></td><td>{}</td></tr>",
                key.rank.unwrap_or(0),
                key.key,
                escape(&key.value),
                escape(&key.envelope),
                escape(&effect(key)),
                escape(key.measured_by),
                escape(key.how),
                key.takes_pct.unwrap_or(0.0)
            );
        }
        html.push_str("</table></div>");
    }
    for file in FILES {
        let keys: Vec<&AssumedKey> = report.of_file(file).collect();
        if keys.is_empty() {
            continue;
        }
        let _ = write!(
            html,
            "<h2>{}</h2><div class=\"sheet scroll\"><table><tr><th class=\"l\">key</th>\
             <th class=\"l\">assumed</th><th class=\"l\">envelope</th><th class=\"l\">rule</th><th class=\"l\">measured by</th></tr>",
            left_out(file)
        );
        for key in keys {
            row(html, key, file);
        }
        html.push_str("</table></div>");
    }
}

/// A key of the page's table. How a batch's key is measured stands here: a machine's has a page of the book.
fn row(html: &mut String, key: &AssumedKey, file: FileKind) {
    let how = if file == FileKind::Batch {
        format!("<div class=\"cure\">{}</div>", escape(key.how))
    } else {
        String::new()
    };
    let _ = write!(
        html,
        "<tr><td class=\"l code\">{}</td><td class=\"l\">{}</td><td class=\"l\">{}</td><td class=\"l what\">{}\
         <div class=\"cure\">{}</div></td><td class=\"l\">{}{how}</td></tr>",
        key.key,
        escape(&key.value),
        escape(&key.envelope),
        escape(key.rule),
        escape(key.source),
        escape(key.measured_by)
    );
}

//! The page of loads and pockets.

use super::lay_in::{CAUTION, ENDS, advice, ended, lot, table_of_loads, table_of_ways, ways_told};
use super::pockets::{self, Tag};
use super::{Laid, fine, minutes, thickness};
use crate::report::calibration::page::{Card, end, head, list, picture, table};
use twinplate_shop::lay_in::{LayInReport, Layout, Load};
use twinplate_sim::model::Of;

/// Draws the page.
pub(crate) fn draw(
    report: &LayInReport,
    subject: &str,
    laid: Laid,
    layout: &dyn Fn(&Load) -> Layout,
) -> String {
    let mut html = String::with_capacity(64 * 1024);
    let verdict = if report.holds() {
        ["pass", "✓", "pass"]
    } else {
        ["fail", "✕", "fail"]
    };
    let title = "Parts into loads and pockets";
    head(
        &mut html,
        title,
        &format!("{subject}. {}", lot(report)),
        verdict,
        &cards(report),
    );
    plans(&mut html, report, laid, layout);
    tables(&mut html, report);
    end(&mut html, &report.notes, CAUTION);
    html
}

/// The answers on top.
fn cards(report: &LayInReport) -> [Card; 4] {
    let [listed, balanced] = ENDS.map(|way| report.total(way));
    let unit = &report.unit;
    let load = |newtons: f64| report.shown.say(Of::Load, newtons, 3);
    [
        (
            "Loads",
            report.loads().len().to_string(),
            format!("{} min of cycles", minutes(balanced.time)),
        ),
        (
            "Largest load on one part",
            load(balanced.largest),
            format!(
                "as listed {}; a part may crack at {}",
                load(listed.largest),
                load(report.strength)
            ),
        ),
        (
            "Range of a load at its end",
            fine(unit, balanced.range_out),
            format!("as listed {}", fine(unit, listed.range_out)),
        ),
        (
            "Lean of the plate",
            fine(unit, balanced.lean),
            format!("as listed {}", fine(unit, listed.lean)),
        ),
    ]
}

/// The plan of each load.
fn plans(html: &mut String, report: &LayInReport, laid: Laid, layout: &dyn Fn(&Load) -> Layout) {
    let unit = &report.unit;
    html.push_str("<div class=\"loads\">");
    for (at, load) in report.loads().iter().enumerate() {
        let layout = layout(load);
        let tags: Vec<Tag> = load
            .pieces
            .iter()
            .zip(&layout.laid)
            .map(|(part, lies)| {
                let [carrier, pocket] = [lies.pocket.carrier + 1, lies.pocket.pocket + 1];
                let (word, metres) = part.map_or(("dummy", load.dummy), |part| {
                    let part = &report.parts[part];
                    (part.id.as_str(), part.thickness)
                });
                Tag {
                    word: word.to_owned(),
                    told: format!(
                        "carrier {carrier}, pocket {pocket}: {word}, {}",
                        thickness(unit, metres)
                    ),
                    dummy: part.is_none(),
                }
            })
            .collect();
        let title = format!(
            "Load {}: {} parts, {} to {}{}",
            at + 1,
            load.parts(),
            thickness(unit, load.ends[0]),
            thickness(unit, load.ends[1]),
            match load.dummies() {
                0 => String::new(),
                n => format!(", {n} dummies (grey) of {}", thickness(unit, load.dummy)),
            }
        );
        let label = format!("Plan of load {}", at + 1);
        html.push_str("<div class=\"load\">");
        picture(
            html,
            &title,
            pockets::draw(laid, &label, &layout.laid, &tags),
        );
        html.push_str("</div>");
    }
    html.push_str("</div>");
}

/// The ways, the loads, and what is left to decide.
fn tables(html: &mut String, report: &LayInReport) {
    let rows = |rows: Vec<[String; 8]>| rows.into_iter().map(Vec::from).collect::<Vec<_>>();
    let ways = rows(table_of_ways(report));
    let heads: Vec<String> = ways[0]
        .iter()
        .zip(&ways[1])
        .map(|(over, under)| format!("{over} {under}"))
        .collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    table(html, "Three ways to lay them in", &heads, &ways[2..]);
    list(html, "What the columns say", &[ways_told(report)]);
    let loads = rows(table_of_loads(report));
    let heads: Vec<&str> = loads[0].iter().map(String::as_str).collect();
    table(html, "Loads, balanced", &heads, &loads[1..]);
    list(html, "Loads that do not hold", &ended(report));
    list(html, "What is left to decide", &advice(report));
}

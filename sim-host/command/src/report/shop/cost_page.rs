//! The page of time and money.

use super::cost::{CAUTION, holds, money, order, percent, sums, table, time, verdict};
use super::{minutes, number};
use crate::report::calibration::page::{
    Card, end, frame, head, list, picture, table as draw_table,
};
use crate::report::svg::{Anchor, Svg};
use twinplate_shop::cost::CostReport;
use twinplate_shop::cost::order::Odds;
use twinplate_sim::math::{max, min};

/// Draws the page.
pub(crate) fn draw(report: &CostReport) -> String {
    let mut html = String::with_capacity(32 * 1024);
    let word = if holds(report) {
        ["pass", "✓", "holds"]
    } else {
        ["warn", "▲", "does not hold"]
    };
    let [recipe, machine, batch] = &report.names;
    let currency = report.prices.as_ref().map_or("", |list| &list.currency);
    let mut cards: Vec<Card> = vec![(
        "Good parts an hour",
        number(report.rate(), 3),
        format!(
            "{} min from one loading to the next",
            minutes(report.pace()[0])
        ),
    )];
    if let (Some(part), Some(batch)) = (report.part_cost(), report.batch_cost()) {
        cards.push((
            "Cost of a good part",
            money(part, currency),
            format!("{} a batch", money(batch, currency)),
        ));
    }
    if let Some(odds) = report.ordered.as_ref().and_then(|ordered| ordered.odds) {
        let [low, high] = odds.between;
        cards.push((
            "The order is done in time",
            percent(odds.chance),
            format!(
                "as short as the record is: {} to {}",
                percent(low),
                percent(high)
            ),
        ));
    }
    let subject = format!("{recipe} on {machine} with {batch}: {}", verdict(report));
    head(&mut html, "Time and money", &subject, word, &cards);
    list(&mut html, "Time", &time(report));
    let rows: Vec<Vec<String>> = table(report).into_iter().map(Vec::from).collect();
    let heads: Vec<&str> = rows[0].iter().map(String::as_str).collect();
    draw_table(&mut html, "A batch takes", &heads, &rows[1..]);
    list(&mut html, "Sums", &sums(report));
    if let Some(ordered) = &report.ordered {
        if let Some(odds) = &ordered.odds {
            picture(
                &mut html,
                "When the order is done, and when it is due",
                when(odds, ordered.order.within),
            );
        }
        list(&mut html, "The order", &order(ordered));
    }
    end(&mut html, &report.notes, CAUTION);
    html
}

/// From when to when the order is done, and the day it is due.
fn when(odds: &Odds, within: f64) -> Svg {
    let hours = |seconds: f64| seconds / 3600.0;
    let [early, middle, late] = odds.time.map(hours);
    let due = hours(within);
    let mut svg = Svg::new(1200.0, 190.0, "Time at which the order is done, and due");
    let room = 0.1 * max(late - early, 0.05 * late);
    let x = [min(early, due) - room, max(late, due) + room];
    let frame = frame(40.0, 90.0, x, [0.0, 1.0]);
    svg.describe(&format!(
        "90 % of all draws are done between {early:.1} and {late:.1} h, half by {middle:.1} h; due after {due:.1} h"
    ));
    frame.axis_x(&mut svg, "h");
    let y = frame.py(0.5);
    svg.line([frame.px(early), y], [frame.px(late), y], "load");
    // Where the three lie close together their words would cover each other: the outer ones stand outwards of their spots, the middle one under.
    for (at, words, anchor, down) in [
        (early, "5 %", Anchor::End, -12.0),
        (middle, "half", Anchor::Middle, 24.0),
        (late, "95 %", Anchor::Start, -12.0),
    ] {
        svg.circle(frame.px(at), y, 4.0, "spot");
        svg.text(frame.px(at), y + down, anchor, "num", words);
    }
    svg.line(
        [frame.px(due), frame.top],
        [frame.px(due), frame.bottom()],
        "reference",
    );
    svg.text(frame.px(due), frame.top - 8.0, Anchor::Middle, "key", "due");
    svg
}

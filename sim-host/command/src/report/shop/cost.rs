//! Time and money for a terminal.

use super::{minutes, number};
use crate::report::{Paint, Style, close, duration, heading, paragraph};
use firmware_core::process_image::ALL_DRIVES;
use std::fmt::Write as _;
use twinplate_shop::cost::prices::Item;
use twinplate_shop::cost::{CostReport, Line, Ordered};
use twinplate_sim::model::Of;

/// What everybody is told who plans by it.
pub(super) const CAUTION: &str = "times and costs are those of a model and of a list: a shop's own record goes before them. No deadline shortens a check, a \
     rinse or a lock-out.";

/// Draws the report; the last line is the verdict.
pub(crate) fn draw(report: &CostReport, style: Style) -> String {
    let mut text = String::new();
    let [recipe, machine, batch] = &report.names;
    let title = format!("cost {recipe} on {machine} with {batch}");
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, &title));
    paragraph(&mut text, "", &report.title);
    heading(&mut text, "Time", style);
    for line in time(report) {
        paragraph(&mut text, "- ", &line);
    }
    heading(&mut text, "A batch takes", style);
    for row in table(report) {
        let mut line = format!("{:<10}", row[0]);
        for (cell, wide) in row[1..].iter().zip([16, 16, 16]) {
            let _ = write!(line, "{cell:>wide$}");
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
    for line in sums(report) {
        paragraph(&mut text, "- ", &line);
    }
    if let Some(ordered) = &report.ordered {
        heading(&mut text, "The order", style);
        for line in order(ordered) {
            paragraph(&mut text, "- ", &line);
        }
    }
    text.push('\n');
    for note in &report.notes {
        paragraph(&mut text, "note: ", note);
    }
    let kind = if holds(report) {
        Paint::Normal
    } else {
        Paint::Abnormal
    };
    close(&mut text, CAUTION, kind, &verdict(report), style);
    text
}

/// Whether the run finished its batch, and the order is more likely done in time than not.
pub(crate) fn holds(report: &CostReport) -> bool {
    let in_time = report.ordered.as_ref().is_none_or(|ordered| {
        ordered.odds.as_ref().map_or_else(
            || ordered.time <= ordered.order.within,
            |odds| odds.chance >= 0.5,
        )
    });
    report.complete && in_time
}

/// The verdict in a line.
pub(super) fn verdict(report: &CostReport) -> String {
    if !report.complete {
        return format!("no batch: {}", report.ending);
    }
    let mut words = format!("{} good parts an hour", number(report.rate(), 3));
    if let (Some(cost), Some(list)) = (report.part_cost(), &report.prices) {
        let _ = write!(words, ", {} a part", money(cost, &list.currency));
    }
    if let Some(ordered) = &report.ordered {
        let _ = match &ordered.odds {
            Some(odds) => write!(words, ", {} likely in time", percent(odds.chance)),
            None if ordered.time <= ordered.order.within => write!(words, ", in time"),
            None => write!(words, ", too late"),
        };
    }
    words
}

/// Times in sentences.
pub(super) fn time(report: &CostReport) -> Vec<String> {
    let [loading, cleaning] = report.hands;
    let mut told = vec![format!(
        "cycle {}, loading {}, unloading and cleaning {}: {} min from one loading to the next, {} parts",
        duration(report.taken.time),
        duration(loading),
        duration(cleaning),
        minutes(report.turn()),
        report.parts
    )];
    if let (Some(([mean, good], batches)), Some(deviation)) = (report.recorded, report.deviation) {
        told.push(format!(
            "record of {batches} batches: {} min in the mean, standard deviation {} min, {} good parts a batch; what follows goes by it",
            minutes(mean),
            minutes(deviation),
            number(good, 4)
        ));
    }
    told.push(format!("{} good parts an hour", number(report.rate(), 3)));
    told
}

/// Money with two places, or more where it is little.
pub(super) fn money(amount: f64, currency: &str) -> String {
    let digits = if amount < 0.1 { 4 } else { 2 };
    format!("{amount:.digits$} {currency}")
        .trim_end()
        .to_owned()
}

/// A chance; never quite sure.
pub(super) fn percent(chance: f64) -> String {
    if chance >= 0.9995 {
        "over 99.9 %".to_owned()
    } else if chance < 0.0005 {
        "under 0.1 %".to_owned()
    } else {
        format!("{:.1} %", 100.0 * chance)
    }
}

/// An amount in the unit of its price, or in a usual one.
fn amount(line: &Line, report: &CostReport) -> String {
    let price = report.prices.as_ref().and_then(|list| list.of(line.item));
    let (size, unit) = match (price, line.item) {
        (_, Item::Blank) => (1.0, "parts"),
        (_, Item::Batch) => (1.0, "batch"),
        (Some(price), _) => (price.size, price.per.as_str()),
        (None, Item::Abrasive) => return report.shown.say(Of::Mass, line.amount, 3),
        (None, Item::Vehicle) => return report.shown.say(Of::Volume, line.amount, 3),
        (None, Item::Energy) => (3.6e6, "kWh"),
        (None, Item::Labour | Item::Machine) => (3600.0, "h"),
    };
    format!("{} {unit}", number(line.amount / size, 3))
}

/// What a batch takes: heads, then a row each.
pub(super) fn table(report: &CostReport) -> Vec<[String; 4]> {
    let currency = report.prices.as_ref().map_or("", |list| &list.currency);
    let mut rows = vec![["item", "amount", "price", "cost"].map(str::to_owned)];
    rows.extend(report.lines.iter().map(|line| {
        let price = report.prices.as_ref().and_then(|list| list.of(line.item));
        [
            line.item.word().to_owned(),
            amount(line, report),
            price.map_or_else(
                || "-".to_owned(),
                |price| format!("{} a {}", number(price.price, 4), price.per),
            ),
            line.cost
                .map_or_else(|| "-".to_owned(), |cost| money(cost, currency)),
        ]
    }));
    rows
}

/// Sums and what they leave out.
pub(super) fn sums(report: &CostReport) -> Vec<String> {
    let mut told = Vec::new();
    if let (Some(list), Some(batch), Some(part)) =
        (&report.prices, report.batch_cost(), report.part_cost())
    {
        told.push(format!(
            "{} a batch, {} a good part",
            money(batch, &list.currency),
            money(part, &list.currency)
        ));
    }
    if report.prices.is_some() {
        let without: Vec<&str> = report.unpriced().map(Item::word).collect();
        if !without.is_empty() {
            told.push(format!("without a price: {}", without.join(", ")));
        }
    }
    let shares: Vec<String> = ALL_DRIVES
        .iter()
        .zip(report.taken.energy)
        .map(|(drive, joule)| format!("{} {} kJ", drive.word(), number(joule / 1e3, 3)))
        .collect();
    told.push(format!(
        "energy is work at the shafts ({}); pump, air, cooling and the drives' own losses are not in it",
        shares.join(", ")
    ));
    told.push(format!(
        "slurry pumped and not run back: {}, by the recipe's concentration and densities of handbooks",
        report.shown.say(Of::Volume, report.taken.slurry, 3)
    ));
    told
}

/// The order in sentences.
pub(super) fn order(ordered: &Ordered) -> Vec<String> {
    let asked = &ordered.order;
    let hours = |seconds: f64| format!("{:.1} h", seconds / 3600.0);
    let mut told = vec![format!(
        "{} good parts in {} of working time on {} machine{}: in the mean {:.0} batches, {}",
        asked.parts,
        hours(asked.within),
        asked.machines,
        if asked.machines == 1 { "" } else { "s" },
        ordered.batches,
        hours(ordered.time)
    )];
    if let Some(odds) = &ordered.odds {
        let [early, middle, late] = odds.time;
        let [few, _, many] = odds.batches;
        let batches = if few == many {
            few.to_string()
        } else {
            format!("{few} to {many}")
        };
        told.push(format!(
            "{} likely to be done in time; half are done after {}, 90 % between {} and {}, with {batches} batches",
            percent(odds.chance),
            hours(middle),
            hours(early),
            hours(late)
        ));
        let [low, high] = odds.between;
        told.push(format!(
            "how sure that is, the record being as short as it is: {} to {} (90 %)",
            percent(low),
            percent(high)
        ));
        told.push(format!(
            "model: each batch takes as long and gives as many good parts as one of the record, any alike, whatever went before ({} draws \
             of the order); machines work on until it is filled",
            odds.draws
        ));
    }
    told
}

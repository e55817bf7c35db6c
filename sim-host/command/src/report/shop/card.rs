//! The setup card for a terminal, and the words of its cells.

use super::cautions::for_the_operator;
use super::number;
use crate::report::{Paint, Style, heading, paragraph};
use std::fmt::Write as _;
use twinplate_shop::card::{Card, Checked, Row, Slurry, WHEN, drives};
use twinplate_sim::convert::rpm;
use twinplate_sim::files::quantity::find;
use twinplate_sim::files::{POUND_FORCE, PSI};
use twinplate_sim::math::round;
use twinplate_sim::model::{Consumables, End};

/// Version of the program that made the card.
pub(super) const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Draws the card; the last line says whether it was checked.
pub(crate) fn draw(card: &Card, consumables: &Consumables, trade: bool, style: Style) -> String {
    let mut text = String::new();
    let [recipe, machine, batch] = &card.files;
    let title = format!(
        "setup card {} on {} with {}",
        recipe.id, machine.id, batch.id
    );
    let _ = writeln!(text, "{}", style.paint(Paint::Strong, &title));
    paragraph(&mut text, "", &card.title);
    paragraph(&mut text, "", &identity(card));
    if card.checked == Checked::Not {
        let line = "*".repeat(60);
        let _ = writeln!(text, "\n{line}\n{:^60}\n{line}", card.checked.words());
    }
    heading(&mut text, "Steps", style);
    for row in rows(card, trade) {
        let mut line = String::new();
        for (at, (cell, wide)) in row.iter().zip(WIDTHS).enumerate() {
            let _ = match at {
                0 => write!(line, "{cell:<wide$}"),
                _ => write!(line, "{cell:>wide$}"),
            };
        }
        let _ = writeln!(text, "{}", line.trim_end());
    }
    paragraph(&mut text, "- ", &speeds_told());
    for step in &card.steps {
        let [name, turning, end] = steps(step);
        let words = format!("{name}: {turning} rpm; ends {end}");
        paragraph(&mut text, "- ", &words);
    }
    heading(&mut text, "Regulators", style);
    for line in regulators(card, trade) {
        paragraph(&mut text, "- ", &line);
    }
    heading(&mut text, "Slurry", style);
    for line in slurry(&card.slurry, consumables) {
        paragraph(&mut text, "- ", &line);
    }
    for (when, lines) in WHEN.iter().zip(&card.look) {
        heading(&mut text, when, style);
        for line in lines {
            paragraph(&mut text, "- ", line);
        }
    }
    heading(&mut text, "Cautions", style);
    for (lead, rest) in for_the_operator() {
        paragraph(&mut text, "- ", &format!("{lead}{rest}"));
    }
    let kind = match card.checked {
        Checked::Passed(_) => Paint::Normal,
        Checked::Warned(_) | Checked::Not => Paint::Abnormal,
        Checked::Failed => Paint::Danger,
    };
    let _ = writeln!(text, "\n{}", style.paint(kind, &card.checked.words()));
    text
}

/// Columns of the steps in the terminal, characters.
const WIDTHS: [usize; 6] = [17, 7, 8, 11, 10, 9];

/// What the card is of.
pub(super) fn identity(card: &Card) -> String {
    let files: Vec<String> = card
        .files
        .iter()
        .map(|file| format!("{} {} {:016x}", file.kind.word(), file.id, file.hash))
        .collect();
    format!(
        "{}; hash of all {:016x}; {}; program {VERSION}",
        files.join(", "),
        card.hash,
        card.date
    )
}

/// The table of the steps: heads, then a row each.
pub(super) fn rows(card: &Card, trade: bool) -> Vec<[String; 6]> {
    let heads = if trade {
        ["step", "psi", "lbf", "gauge psi", "limit lbf", "gal/min"]
    } else {
        ["step", "kPa", "N", "gauge bar", "limit N", "L/min"]
    };
    let mut rows = vec![heads.map(str::to_owned)];
    rows.extend(card.steps.iter().map(|step| {
        let load = |newtons: f64| {
            if trade {
                newtons / POUND_FORCE
            } else {
                newtons
            }
        };
        [
            step.name.clone(),
            number(step.pressure / if trade { PSI } else { 1e3 }, 3),
            number(load(step.load), 4),
            step.gauge.map_or_else(
                || "resting".to_owned(),
                |gauge| format!("{:.2}", gauge_in(gauge, trade)),
            ),
            number(load(step.limit), 4),
            number(flow(step.flow, trade), 3),
        ]
    }));
    rows
}

/// A flow, m³/s, in gallons of the United States a minute or in litres a minute.
fn flow(flow: f64, trade: bool) -> f64 {
    let gallon = find("gal").filter(|_| trade);
    60.0 * gallon.map_or(flow * 1e3, |gallon| flow / gallon.to_si(1.0))
}

fn gauge_in(pascal: f64, trade: bool) -> f64 {
    pascal / if trade { PSI } else { 1e5 }
}

/// What the numbers of the speeds are.
pub(super) fn speeds_told() -> String {
    let names: Vec<&str> = drives().collect();
    format!(
        "speeds: {}; + counter-clockwise seen from above",
        names.join(", ")
    )
}

/// Name, speeds and end of a step.
pub(super) fn steps(step: &Row) -> [String; 3] {
    let speeds: Vec<String> = step
        .speeds
        .iter()
        .map(|speed| format!("{:+}", round(f64::from(rpm(*speed).get()) * 100.0) / 100.0))
        .collect();
    let longest = format!("at the latest after {:.0} s", step.longest);
    let end = match step.end {
        End::Time { seconds } => format!("after {seconds:.0} s in band, {longest}"),
        End::Stock { depth } => format!("with {} µm off, {longest}", number(depth * 1e6, 4)),
        End::Size { thickness } => format!("at {:.4} mm, {longest}", thickness * 1e3),
    };
    [step.name.clone(), speeds.join(" "), end]
}

/// Both regulators in words.
pub(super) fn regulators(card: &Card, trade: bool) -> Vec<String> {
    let unit = if trade { "psi" } else { "bar" };
    let load = if trade {
        format!("{} lbf", number(card.resting / POUND_FORCE, 3))
    } else {
        format!("{} N", number(card.resting, 3))
    };
    vec![
        format!(
            "counterbalance at {:.2} {unit}: the plate then rests with {load}",
            gauge_in(card.counterbalance, trade)
        ),
        "the controller sets the load by the cell; the gauge shows about the pressure in the table, by the machine file's bore, and no \
         friction in it: another reading by more than a tenth is to be looked into"
            .to_owned(),
    ]
}

/// The slurry in words.
pub(super) fn slurry(slurry: &Slurry, consumables: &Consumables) -> Vec<String> {
    let Consumables {
        abrasive,
        grade,
        vehicle,
        ..
    } = consumables;
    let [grains, volume] = slurry.tank;
    match (slurry.to_a_kilogram, slurry.to_a_volume) {
        (Some(mass), Some(density)) => vec![
            format!(
                "{abrasive} {grade} in {vehicle}: {} g to a kilogram, about {} g to a litre of {vehicle}",
                number(mass * 1e3, 3),
                number(density, 3)
            ),
            format!(
                "a full tank: about {} kg in {} L",
                number(grains, 3),
                number(volume * 1e3, 3)
            ),
        ],
        _ => vec![format!(
            "no grains in it: {vehicle} alone, {} L to a full tank; the grains ({abrasive} {grade}) are bound",
            number(volume * 1e3, 3)
        )],
    }
}

//! The setup card for a terminal, and the words of its cells.

use super::cautions::for_the_operator;
use super::number;
use crate::report::{Paint, Style, heading, paragraph};
use std::fmt::Write as _;
use twinplate_shop::card::{Card, Checked, Row, Slurry, WHEN, drives};
use twinplate_sim::convert::rpm;
use twinplate_sim::math::round;
use twinplate_sim::model::{Consumables, End, Of, Shown};

/// Version of the program that made the card.
pub(super) const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Draws the card; the last line says whether it was checked.
pub(crate) fn draw(card: &Card, consumables: &Consumables, shown: &Shown, style: Style) -> String {
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
    for row in rows(card, shown) {
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
        let [name, turning, end] = steps(step, shown);
        let words = format!("{name}: {turning} rpm; ends {end}");
        paragraph(&mut text, "- ", &words);
    }
    heading(&mut text, "Regulators", style);
    for line in regulators(card, shown) {
        paragraph(&mut text, "- ", &line);
    }
    heading(&mut text, "Slurry", style);
    for line in slurry(&card.slurry, consumables, shown) {
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
pub(super) fn rows(card: &Card, shown: &Shown) -> Vec<[String; 6]> {
    let [pressure, load, air, flow] =
        [Of::Pressure, Of::Load, Of::Air, Of::Flow].map(|of| shown.symbol(of).to_owned());
    let mut rows = vec![[
        "step".to_owned(),
        pressure,
        load.clone(),
        format!("gauge {air}"),
        format!("limit {load}"),
        flow,
    ]];
    rows.extend(card.steps.iter().map(|step| {
        [
            step.name.clone(),
            shown.bare(Of::Pressure, step.pressure, 3),
            shown.bare(Of::Load, step.load, 4),
            step.gauge
                .map_or_else(|| "resting".to_owned(), |gauge| air_at(gauge, shown)),
            shown.bare(Of::Load, step.limit, 4),
            shown.bare(Of::Flow, step.flow, 3),
        ]
    }));
    rows
}

/// A pressure of air as a gauge is read.
fn air_at(pascal: f64, shown: &Shown) -> String {
    shown.fixed(Of::Air, pascal * 1e-5, 2)
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
pub(super) fn steps(step: &Row, shown: &Shown) -> [String; 3] {
    let speeds: Vec<String> = step
        .speeds
        .iter()
        .map(|speed| format!("{:+}", round(f64::from(rpm(*speed).get()) * 100.0) / 100.0))
        .collect();
    let longest = format!("at the latest after {:.0} s", step.longest);
    let end = match step.end {
        End::Time { seconds } => format!("after {seconds:.0} s in band, {longest}"),
        End::Stock { depth } => format!("with {} off, {longest}", shown.say(Of::Size, depth, 4)),
        End::Size { thickness } => format!(
            "at {}, {longest}",
            shown.fixed_with(Of::Thickness, thickness * 1e3, 4)
        ),
    };
    [step.name.clone(), speeds.join(" "), end]
}

/// Both regulators in words.
pub(super) fn regulators(card: &Card, shown: &Shown) -> Vec<String> {
    vec![
        format!(
            "counterbalance at {}: the plate then rests with {}",
            shown.with(Of::Air, &air_at(card.counterbalance, shown)),
            shown.say(Of::Load, card.resting, 3)
        ),
        "the controller sets the load by the cell; the gauge shows about the pressure in the table, by the machine file's bore, and no \
         friction in it: another reading by more than a tenth is to be looked into"
            .to_owned(),
    ]
}

/// The slurry in words.
pub(super) fn slurry(slurry: &Slurry, consumables: &Consumables, shown: &Shown) -> Vec<String> {
    let (named, vehicle) = (consumables.named(), &consumables.vehicle);
    let [grains, volume] = slurry.tank;
    let full = shown.tell(Of::Volume, volume * 1e3, 3);
    match (slurry.to_a_kilogram, slurry.to_a_volume) {
        (Some(share), Some(density)) => vec![
            format!(
                "{named} in {vehicle}: {}",
                mixed(share, density, vehicle, shown)
            ),
            format!(
                "a full tank: about {} in {full}",
                shown.say(Of::Mass, grains, 3)
            ),
        ],
        _ => vec![format!(
            "no grains in it: {vehicle} alone, {full} to a full tank; the grains ({named}) are bound"
        )],
    }
}

/// What goes to a mass and to a volume of the vehicle: grams to a kilogram and to a litre, or as mass and volume were typed.
fn mixed(share: f64, density: f64, vehicle: &str, shown: &Shown) -> String {
    let (mass, volume) = (shown.symbol(Of::Mass), shown.symbol(Of::Volume));
    if (mass, volume) == (Of::Mass.unit(), Of::Volume.unit()) {
        return format!(
            "{} g to a kilogram, about {} g to a litre of {vehicle}",
            number(share * 1e3, 3),
            number(density, 3)
        );
    }
    // Litres count in the house, and so many of what was typed are one.
    let each = density * 1e-3 / shown.again(Of::Volume, 1.0);
    format!(
        "{} {mass} to 1 {mass}, about {} to 1 {volume} of {vehicle}",
        number(share, 3),
        shown.say(Of::Mass, each, 3)
    )
}

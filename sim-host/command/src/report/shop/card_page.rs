//! The setup card as a page that prints on one sheet, A4 or letter.

use super::card::{VERSION, identity, regulators, rows, slurry, speeds_told, steps};
use super::cautions::for_the_operator;
use super::pockets::{self, Tag};
use super::{Laid, number};
use crate::report::svg::escape;
use std::fmt::Write as _;
use twinplate_shop::card::{Card, Checked, WHEN};
use twinplate_sim::model::{Consumables, Shown};
use twinplate_sim::plant::places::{LaidIn, laid_in};

const STYLE: &str = include_str!("card.css");

/// Draws the card.
pub(crate) fn draw(card: &Card, consumables: &Consumables, laid: Laid, shown: &Shown) -> String {
    let mut html = String::with_capacity(32 * 1024);
    let (class, sign) = match card.checked {
        Checked::Passed(_) => ("pass", "✓"),
        Checked::Warned(_) => ("warn", "▲"),
        Checked::Failed => ("fail", "✕"),
        Checked::Not => ("not", "▲"),
    };
    let [recipe, machine, batch] = &card.files;
    // Writing to a String cannot fail.
    let _ = write!(
        html,
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\
         <title>Setup card {0}</title><style>{STYLE}</style></head><body><main class=\"{1}\"><header><div><h1>{0}</h1>\
         <p>{2}</p><p>on <b>{3}</b> with <b>{4}</b></p></div>\
         <div class=\"checked {class}\"><span aria-hidden=\"true\">{sign}</span> {5}</div>\
         <div class=\"id\"><b>{6}</b><br>hash <b>{7:016x}</b><br>recipe {8:016x}<br>machine {9:016x}<br>batch {10:016x}<br>program {VERSION}</div></header>",
        escape(&recipe.id),
        if card.steps.len() > 4 { "many" } else { "few" },
        escape(&card.title),
        escape(&machine.id),
        escape(&batch.id),
        card.checked.words(),
        escape(&card.date),
        card.hash,
        recipe.hash,
        machine.hash,
        batch.hash,
    );
    table(&mut html, card, shown);
    html.push_str("<div class=\"middle\"><div class=\"plan\">");
    html.push_str(&plan(laid));
    let _ = write!(
        html,
        "<p>Carriers as laid in. Pockets are counted circle by circle, counter-clockwise from the one that points outwards.</p></div><div>"
    );
    part(&mut html, "Regulators", &regulators(card, shown));
    part(
        &mut html,
        "Slurry",
        &slurry(&card.slurry, consumables, shown),
    );
    for (when, lines) in WHEN.iter().zip(&card.look) {
        part(&mut html, when, lines);
    }
    html.push_str("</div></div><section class=\"cautions\"><h2>Cautions</h2><ul>");
    for (lead, rest) in for_the_operator() {
        let _ = write!(html, "<li><b>{}</b>{}</li>", escape(lead), escape(&rest));
    }
    let _ = writeln!(
        html,
        "</ul></section><footer>{} A card of a simulated check is no safety function; the machine's safety belongs to rated hardware under \
         local codes. {}</footer></main></body></html>",
        card.checked.words(),
        escape(&identity(card)),
    );
    html
}

fn table(html: &mut String, card: &Card, shown: &Shown) {
    let rows = rows(card, shown);
    html.push_str("<table><tr>");
    for head in &rows[0] {
        let _ = write!(html, "<th>{head}</th>");
    }
    html.push_str("<th>speeds rpm</th><th class=\"l\">ends</th></tr>");
    for (row, step) in rows[1..].iter().zip(&card.steps) {
        html.push_str("<tr>");
        for cell in row {
            let _ = write!(html, "<td>{}</td>", escape(cell));
        }
        let [_, turning, end] = steps(step, shown);
        let _ = write!(
            html,
            "<td>{}</td><td class=\"l\">{}</td></tr>",
            escape(&turning),
            escape(&end)
        );
    }
    let _ = write!(html, "</table><p class=\"told\">{}</p>", speeds_told());
}

fn part(html: &mut String, title: &str, lines: &[String]) {
    let _ = write!(html, "<h2>{title}</h2><ul>");
    for line in lines {
        let _ = write!(html, "<li>{}</li>", escape(line));
    }
    html.push_str("</ul>");
}

/// Pockets with their numbers; dummies are grey.
fn plan(laid: Laid) -> String {
    let places = laid_in(&laid.machine.geometry, laid.batch);
    let tag = |(at, lies): (usize, &LaidIn)| {
        let dummy = at >= laid.batch.parts as usize;
        let [carrier, pocket] = [lies.pocket.carrier + 1, lies.pocket.pocket + 1];
        Tag {
            word: pocket.to_string(),
            told: format!(
                "carrier {carrier}, pocket {pocket}{}",
                if dummy { ": dummy" } else { "" }
            ),
            dummy,
        }
    };
    let tags: Vec<Tag> = places.iter().enumerate().map(tag).collect();
    let label = format!(
        "Plan of {} carriers with {} pieces, parts {} mm across",
        laid.machine.geometry.carriers,
        places.len(),
        number(2e3 * laid.batch.outline.outer_radius(), 4)
    );
    pockets::draw(laid, &label, &places, &tags).finish()
}

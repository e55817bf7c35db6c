//! Two recipes side by side, as text and as a page.

use super::{CAUTION, told};
use crate::report::calibration::page::{end, head, list, table};
use crate::report::{Style, heading, paragraph, unit_of};
use std::fmt::Write as _;
use twinplate_check::verdict::Verdict;
use twinplate_sweep::beside::{Beside, OtherKey, Row};

/// The tables of numbers, with their titles.
fn tables(beside: &Beside) -> [(&'static str, &[Row]); 3] {
    [
        ("The nominal cycle", &beside.cycle),
        ("Worst of all runs", &beside.worst),
        ("What is left under the bound", &beside.left),
    ]
}

/// What one file has of a key.
fn had(value: Option<&String>) -> &str {
    value.map_or("not there", String::as_str)
}

fn both(beside: &Beside) -> Verdict {
    let [first, second] = beside.verdicts;
    first.max(second)
}

/// Draws it.
pub(crate) fn draw(beside: &Beside, style: Style) -> String {
    let mut text = String::new();
    for ((names, which), index) in beside.names.iter().zip(["first ", "second"]).zip(0..) {
        let [recipe, machine, batch] = names;
        let told = format!(
            "{recipe} on {machine} with {batch}: {}, {} of {} runs failed",
            beside.verdicts[index].word(),
            beside.failed[index],
            beside.runs[index]
        );
        paragraph(&mut text, &format!("{which}  "), &told);
    }
    let shown = &beside.shown;
    for (title, rows) in tables(beside) {
        heading(&mut text, title, style);
        let _ = writeln!(
            text,
            "{:<26} {:>5} {:>8} {:>8} {:>8}",
            "", "", "first", "second", "more"
        );
        for row in rows {
            let _ = writeln!(
                text,
                "{:<26} {:>5} {:>8} {:>8} {:>8}",
                row.what,
                unit_of(shown, row.of, row.unit),
                told(shown, row.of, row.first, 4),
                told(shown, row.of, row.second, 4),
                told(shown, row.of, row.difference(), 3)
            );
        }
    }
    for (codes, which) in beside.findings.iter().zip(["first", "second"]) {
        if !codes.is_empty() {
            heading(&mut text, &format!("Found in the {which} alone"), style);
            paragraph(&mut text, "", &codes.join(", "));
        }
    }
    heading(&mut text, "Keys that differ", style);
    if beside.keys.is_empty() {
        text.push_str("none\n");
    }
    for key in &beside.keys {
        let OtherKey {
            file,
            key,
            first,
            second,
        } = key;
        let told = format!(
            "{file} {key}: {}, then {}",
            had(first.as_ref()),
            had(second.as_ref())
        );
        paragraph(&mut text, "- ", &told);
    }
    let _ = writeln!(text, "\nverdict: {}", both(beside).word());
    text
}

/// Draws the page.
#[must_use]
pub(crate) fn page(beside: &Beside) -> String {
    let mut html = String::with_capacity(32 * 1024);
    let cards: Vec<_> = [("First", 0), ("Second", 1)]
        .into_iter()
        .map(|(which, index)| {
            let [recipe, machine, batch] = &beside.names[index];
            (
                which,
                format!("{recipe}: {}", beside.verdicts[index].word()),
                format!(
                    "on {machine} with {batch}; {} of {} runs failed",
                    beside.failed[index], beside.runs[index]
                ),
            )
        })
        .collect();
    let [first, second] = [0, 1].map(|index: usize| &beside.names[index][0]);
    head(
        &mut html,
        &format!("{first} beside {second}"),
        "Two recipes, checked alike",
        super::card(both(beside)),
        &cards,
    );
    let shown = &beside.shown;
    for (title, rows) in tables(beside) {
        let rows: Vec<Vec<String>> = rows
            .iter()
            .map(|row| {
                vec![
                    row.what.clone(),
                    unit_of(shown, row.of, row.unit).to_owned(),
                    told(shown, row.of, row.first, 4),
                    told(shown, row.of, row.second, 4),
                    told(shown, row.of, row.difference(), 3),
                ]
            })
            .collect();
        table(
            &mut html,
            title,
            &["what", "unit", "first", "second", "second is more by"],
            &rows,
        );
    }
    for (codes, title) in beside
        .findings
        .iter()
        .zip(["Found in the first alone", "Found in the second alone"])
    {
        list(&mut html, title, codes);
    }
    let rows: Vec<Vec<String>> = beside
        .keys
        .iter()
        .map(|key| {
            vec![
                key.file.to_owned(),
                key.key.clone(),
                had(key.first.as_ref()).to_owned(),
                had(key.second.as_ref()).to_owned(),
            ]
        })
        .collect();
    table(
        &mut html,
        "Keys that differ",
        &["file", "key", "first", "second"],
        &rows,
    );
    end(&mut html, &[], CAUTION);
    html
}

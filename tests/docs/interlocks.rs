//! The interlock table of the sequence page.

use crate::pages::{check, table};
use firmware_core::interlock::{Debounce, Effect, TABLE};
use firmware_core::judge::PRECHECK_ITEMS;

const PAGE: &str = "docs/sequence-and-interlocks.md";

fn debounce(debounce: Debounce) -> String {
    match debounce {
        Debounce::Ticks(1) => "at once".to_owned(),
        Debounce::Ticks(n) if n < 1000 => format!("{n} ms"),
        Debounce::Ticks(n) => format!("{} s", f64::from(n) / 1000.0),
        Debounce::StopTime => "`control.stop-time`".to_owned(),
        Debounce::CoastTime => "`slurry.film-life`".to_owned(),
        Debounce::SettleLimit => "`control.settle-limit`".to_owned(),
    }
}

#[test]
fn table_of_rows() {
    let rows = TABLE.iter().map(|row| {
        let effect = match row.effect {
            Effect::None => String::new(),
            effect => format!(", {}", effect.word()),
        };
        vec![
            row.id.to_string(),
            format!("`{}`", row.name),
            row.inputs.to_owned(),
            row.watch.text().to_owned(),
            debounce(row.debounce),
            format!("{}{effect}", row.respond.word()),
            row.reset.word().to_owned(),
        ]
    });
    let head = [
        "id",
        "row",
        "condition",
        "watched",
        "for",
        "response",
        "released",
    ];
    check(PAGE, "interlocks", &table(&head, rows));
}

#[test]
fn texts_for_the_operator() {
    let rows = TABLE.iter().map(|row| {
        vec![
            row.id.to_string(),
            row.happened.to_owned(),
            row.cure.to_owned(),
        ]
    });
    check(
        PAGE,
        "operator-texts",
        &table(&["id", "what happened", "what to do"], rows),
    );
}

#[test]
fn precheck_list() {
    let rows = PRECHECK_ITEMS
        .iter()
        .enumerate()
        .map(|(bit, item)| vec![bit.to_string(), (*item).to_owned()]);
    check(PAGE, "precheck", &table(&["bit", "must be true"], rows));
}

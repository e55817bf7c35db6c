//! The interlock table of the sequence page.

use crate::pages::{check, table};
use firmware_core::interlock::{Debounce, Effect, ResetRule, Respond, TABLE};
use firmware_core::judge::PRECHECK_ITEMS;
use firmware_core::status::Response;

const PAGE: &str = "docs/sequence-and-interlocks.md";

fn response(respond: Respond) -> &'static str {
    match respond {
        Respond::EstopCategory => "category 0 or 1 by parameter",
        Respond::With(response) => match response {
            Response::None => "none",
            Response::Alarm => "alarm",
            Response::StartInhibit => "start inhibit",
            Response::Hold => "hold",
            Response::StopAtStepEnd => "stop at step end",
            Response::ControlledStop => "controlled stop",
            Response::ImmediateStop => "immediate stop",
        },
    }
}

fn debounce(debounce: Debounce) -> String {
    match debounce {
        Debounce::Ticks(1) => "at once".to_owned(),
        Debounce::Ticks(n) if n < 1000 => format!("{n} ms"),
        Debounce::Ticks(n) => format!("{} s", f64::from(n) / 1000.0),
        Debounce::StopTime => "`control.stop-time`".to_owned(),
        Debounce::CoastTime => "`slurry.film-life`".to_owned(),
        Debounce::SettleLimit => "`control.settle-limit`".to_owned(),
        Debounce::TravelTime => "travel time".to_owned(),
    }
}

#[test]
fn table_of_rows() {
    let rows = TABLE.iter().map(|row| {
        let effect = match row.effect {
            Effect::None => "",
            Effect::EndByTime => ", step ends by time",
            Effect::DisarmRemote => ", remote disarmed",
        };
        let reset = match row.reset {
            ResetRule::Follows => "with the condition",
            ResetRule::Reset => "Reset",
            ResetRule::CycleBoth => "both channels cycled, then Reset",
        };
        vec![
            row.id.to_string(),
            format!("`{}`", row.name),
            row.inputs.to_owned(),
            row.watch.text().to_owned(),
            debounce(row.debounce),
            format!("{}{effect}", response(row.respond)),
            reset.to_owned(),
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

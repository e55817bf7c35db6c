//! The words of the machine for the pages: the core's, the interlock rows, and what can be made to fail and how. A page has none of
//! its own.

use super::protocol::unit_cards;
use super::words::{LATCHED, Look, STOP_CATEGORIES};
use firmware_core::interlock::{AlarmState, Row, TABLE};
use firmware_core::process_image::Drive;
use firmware_core::sequence::{Command, Mode, Phase, Plate, SetupMove, State};
use firmware_core::status::{LoadMode, Response};
use serde_json::{Value, json};
use twinplate_sim::fault_words::COMPONENTS;
use twinplate_sim::model::{Component, Shown};
use twinplate_sim::plant::fault_table::{SUPPORTED, mode_name};
use twinplate_sim::training::act::VERDICTS;

/// Name and word of each of an enum's members.
macro_rules! pairs {
    ($type:ident) => {
        $type::NAMES
            .map(|(name, member)| json!({ "name": name, "word": member.word() }))
            .to_vec()
    };
}

/// Every word of the core that a page shows, with what the page must know of it, and the rows and components: the body of
/// `GET /api/vocabulary`.
#[must_use]
pub fn json() -> Value {
    json!({
        "states": states(),
        "phases": phases(),
        "modes": pairs!(Mode),
        "plates": pairs!(Plate),
        "load_modes": pairs!(LoadMode),
        "moves": pairs!(SetupMove),
        "drives": pairs!(Drive),
        "commands": commands(),
        "responses": responses(),
        "stop_categories": STOP_CATEGORIES,
        "alarm_states": alarm_states(),
        "rows": rows(),
        "components": components(),
        "verdicts": VERDICTS.map(|(name, word)| json!({ "name": name, "word": word })),
        "tasks": super::tasks::tasks().iter().map(|(name, word)| json!({ "name": name, "word": word })).collect::<Vec<_>>(),
        "units": unit_cards(&Shown::default()),
    })
}

fn states() -> Vec<Value> {
    let told = |(name, state): (&str, State)| json!({ "name": name, "word": state.word(), "look": Look::of_state(state).name() });
    State::NAMES.map(told).to_vec()
}

fn phases() -> Vec<Value> {
    let told = |(name, phase): (&str, Phase)| {
        json!({
            "name": name,
            "word": phase.word(),
            "short": phase.short(),
            "on_ladder": phase.on_ladder(),
            "in_step": phase.in_step(),
        })
    };
    Phase::NAMES.map(told).to_vec()
}

fn commands() -> Vec<Value> {
    let told = |(name, command): (&str, Command)| json!({ "name": name, "word": command.word(), "stop_category": command.stop_category() });
    Command::NAMES.map(told).to_vec()
}

fn responses() -> Vec<Value> {
    let told = |(name, response): (&str, Response)| {
        json!({
            "name": name,
            "word": response.word(),
            "stop_category": response.stop_category(),
            "look": Look::of_response(response).name(),
        })
    };
    Response::NAMES.map(told).to_vec()
}

fn alarm_states() -> Vec<Value> {
    let (name, word) = LATCHED;
    let mut all = pairs!(AlarmState);
    all.push(json!({ "name": name, "word": word }));
    all
}

/// The interlock rows. `responses` are those of a machine whose emergency stop is of category 0, and of category 1.
fn rows() -> Vec<Value> {
    let told = |row: &Row| {
        let responses = [0, 1].map(|category| row.response(category).name());
        json!({
            "id": row.id,
            "name": row.name,
            "inputs": row.inputs,
            "watched": row.watch.text(),
            "responses": responses,
            "reset": row.reset.name(),
            "released": row.reset.word(),
            "happened": row.happened,
            "cure": row.cure,
        })
    };
    TABLE.iter().map(told).collect()
}

fn components() -> Vec<Value> {
    let of = |component: Component| -> Vec<Value> {
        SUPPORTED
            .iter()
            .filter(|row| row.component == component)
            .map(|row| {
                json!({
                    "mode": mode_name(row.mode),
                    "meaning": row.meaning,
                    "magnitude": row.magnitude,
                    "unit": row.unit,
                })
            })
            .collect()
    };
    COMPONENTS
        .iter()
        .map(|(word, component)| json!({ "component": word, "modes": of(*component) }))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_and_every_supported_pair_is_told_once() {
        let told = json();
        let rows = told["rows"].as_array().expect("rows");
        assert_eq!(rows.len(), TABLE.len());
        let pairs: usize = told["components"]
            .as_array()
            .expect("components")
            .iter()
            .map(|c| c["modes"].as_array().expect("modes").len())
            .sum();
        assert_eq!(pairs, SUPPORTED.len());
        assert_eq!(
            rows[0]["responses"],
            json!(["immediate-stop", "controlled-stop"]),
            "the machine says which"
        );
        assert_eq!(
            rows[1]["responses"],
            json!(["immediate-stop", "immediate-stop"])
        );
    }
}

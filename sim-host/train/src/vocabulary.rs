//! The words of the machine for the pages, in a language: the core's, the interlock rows, and what can be made to fail and how. A page
//! has none of its own.

use super::machine_words;
use super::protocol::unit_cards;
use super::words::{Look, latched, stop_categories};
use firmware_core::interlock::{AlarmState, Row, TABLE};
use firmware_core::process_image::Drive;
use firmware_core::sequence::{Command, Mode, Phase, Plate, SetupMove, State};
use firmware_core::status::{LoadMode, Response};
use serde_json::{Value, json};
use twinplate_sim::fault_words::COMPONENTS;
use twinplate_sim::model::{Component, Shown};
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported, mode_name};
use twinplate_sim::training::act::VERDICTS;
use twinplate_words::Words;

/// Name and word of each of an enum's members.
macro_rules! pairs {
    ($words:ident, $type:ident, $word:ident) => {
        $type::NAMES
            .map(|(name, member)| pair(name, &machine_words::$word($words, member)))
            .to_vec()
    };
}

/// Every word of the core that a page shows, with what the page must know of it, and the rows and components: the body of
/// `GET /api/vocabulary`.
#[must_use]
pub fn json(words: &Words) -> Value {
    json!({
        "states": states(words),
        "phases": phases(words),
        "modes": pairs!(words, Mode, mode),
        "plates": pairs!(words, Plate, plate),
        "load_modes": pairs!(words, LoadMode, load_mode),
        "moves": pairs!(words, SetupMove, setup_move),
        "drives": pairs!(words, Drive, drive),
        "commands": commands(words),
        "responses": responses(words),
        "stop_categories": stop_categories(words),
        "alarm_states": alarm_states(words),
        "rows": rows(words),
        "components": components(words),
        "verdicts": VERDICTS.map(|(name, _)| pair(name, &machine_words::verdict(words, name))),
        "tasks": tasks(words),
        "units": unit_cards(&Shown::default()),
    })
}

fn pair(name: &str, word: &str) -> Value {
    json!({ "name": name, "word": word })
}

fn states(words: &Words) -> Vec<Value> {
    let told = |(name, state): (&str, State)| {
        json!({
            "name": name,
            "word": machine_words::state(words, state),
            "look": Look::of_state(state).name(),
        })
    };
    State::NAMES.map(told).to_vec()
}

fn phases(words: &Words) -> Vec<Value> {
    let told = |(name, phase): (&str, Phase)| {
        json!({
            "name": name,
            "word": machine_words::phase(words, phase),
            "short": machine_words::phase_short(words, phase),
            "on_ladder": phase.on_ladder(),
            "in_step": phase.in_step(),
        })
    };
    Phase::NAMES.map(told).to_vec()
}

fn commands(words: &Words) -> Vec<Value> {
    let told = |(name, command): (&str, Command)| {
        json!({
            "name": name,
            "word": machine_words::command(words, command),
            "stop_category": command.stop_category(),
        })
    };
    Command::NAMES.map(told).to_vec()
}

fn responses(words: &Words) -> Vec<Value> {
    let told = |(name, response): (&str, Response)| {
        json!({
            "name": name,
            "word": machine_words::response(words, response),
            "stop_category": response.stop_category(),
            "look": Look::of_response(response).name(),
        })
    };
    Response::NAMES.map(told).to_vec()
}

fn alarm_states(words: &Words) -> Vec<Value> {
    let (name, word) = latched(words);
    let mut all = pairs!(words, AlarmState, alarm_state);
    all.push(pair(name, &word));
    all
}

/// The interlock rows. `responses` are those of a machine whose emergency stop is of category 0, and of category 1.
fn rows(words: &Words) -> Vec<Value> {
    let told = |row: &Row| {
        let responses = [0, 1].map(|category| row.response(category).name());
        json!({
            "id": row.id,
            "name": machine_words::row_name(words, row),
            "inputs": machine_words::row_inputs(words, row),
            "watched": machine_words::row_watched(words, row),
            "responses": responses,
            "reset": row.reset.name(),
            "released": machine_words::row_released(words, row),
            "happened": machine_words::row_happened(words, row),
            "cure": machine_words::row_cure(words, row),
        })
    };
    TABLE.iter().map(told).collect()
}

fn components(words: &Words) -> Vec<Value> {
    let mode = |row: &Supported| {
        json!({
            "mode": mode_name(row.mode),
            "meaning": machine_words::fault(words, row),
            "magnitude": row.magnitude,
            "unit": machine_words::magnitude_unit(words, row.unit),
        })
    };
    let modes = |component: Component| -> Vec<Value> {
        let rows = SUPPORTED.iter().filter(|row| row.component == component);
        rows.map(mode).collect()
    };
    let told = |(name, component): &(&str, Component)| {
        json!({
            "component": name,
            "word": machine_words::component(words, name),
            "modes": modes(*component),
        })
    };
    COMPONENTS.iter().map(told).collect()
}

fn tasks(words: &Words) -> Vec<Value> {
    let all = super::tasks::tasks(words);
    all.iter().map(|(name, word)| pair(name, word)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_words::Language;

    #[test]
    fn every_row_and_every_supported_pair_is_told_once() {
        let told = json(Words::of(Language::English));
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

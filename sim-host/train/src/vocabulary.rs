//! The words of the machine for the pages: interlock rows, and what can be made to fail and how.

use firmware_core::interlock::{ResetRule, Respond, TABLE};
use firmware_core::status::Response;
use serde_json::{Value, json};
use twinplate_sim::fault_words::COMPONENTS;
use twinplate_sim::model::Component;
use twinplate_sim::plant::fault_table::{SUPPORTED, mode_name};

/// The word for a response.
#[must_use]
pub const fn response(response: Response) -> &'static str {
    match response {
        Response::None => "none",
        Response::Alarm => "alarm",
        Response::StartInhibit => "start-inhibit",
        Response::StopAtStepEnd => "stop-at-step-end",
        Response::Hold => "hold",
        Response::ControlledStop => "controlled-stop",
        Response::ImmediateStop => "immediate-stop",
    }
}

/// Category of the stop that a response is (IEC 60204-1); `None` where it is none.
#[must_use]
pub const fn stop_category(response: Response) -> Option<u8> {
    match response {
        Response::Hold => Some(2),
        Response::ControlledStop => Some(1),
        Response::ImmediateStop => Some(0),
        Response::None | Response::Alarm | Response::StartInhibit | Response::StopAtStepEnd => None,
    }
}

/// Rows, components with their modes, as JSON for `GET /api/vocabulary`. `estop_category` is the machine's.
#[must_use]
pub fn json(estop_category: u8) -> Value {
    let rows: Vec<Value> = TABLE
        .iter()
        .map(|row| {
            let answer = row.response(estop_category);
            json!({
                "id": row.id,
                "name": row.name,
                "inputs": row.inputs,
                "watched": row.watch.text(),
                "response": response(answer),
                "stop_category": stop_category(answer),
                "by_machine": matches!(row.respond, Respond::EstopCategory),
                "reset": match row.reset {
                    ResetRule::Follows => "follows",
                    ResetRule::Reset => "reset",
                    ResetRule::CycleBoth => "cycle-both",
                },
                "happened": row.happened,
                "cure": row.cure,
            })
        })
        .collect();
    let components: Vec<Value> = COMPONENTS
        .iter()
        .map(|(word, component)| {
            let modes: Vec<Value> = SUPPORTED
                .iter()
                .filter(|row| row.component == *component)
                .map(|row| {
                    json!({
                        "mode": mode_name(row.mode),
                        "meaning": row.meaning,
                        "magnitude": row.magnitude,
                        "unit": row.unit,
                    })
                })
                .collect();
            json!({ "component": word, "modes": modes })
        })
        .collect();
    json!({ "rows": rows, "components": components })
}

/// What a remedy can be asked for: (component word, what is done, for people).
#[must_use]
pub fn remedies() -> Vec<(String, String)> {
    COMPONENTS
        .iter()
        .map(|(word, component)| ((*word).to_owned(), remedy(*component).to_owned()))
        .collect()
}

/// What is done when a component is put right.
const fn remedy(component: Component) -> &'static str {
    match component {
        Component::Regulator => "have the pressure regulator exchanged",
        Component::DumpValve => "have the dump valve exchanged",
        Component::DumpFeedback => "have the dump valve's feedback switch exchanged",
        Component::Counterbalance => "have the counterbalance regulator set",
        Component::RodValve => "have the check valve of the rod side exchanged",
        Component::RodSwitch => "have the rod-pressure switch exchanged",
        Component::Supply => "have the air supply restored",
        Component::LoadCell => "have the load cell and its amplifier exchanged and checked",
        Component::CapTransmitter => "have the cap-pressure transmitter exchanged",
        Component::HeightTransmitter => "have the height transmitter exchanged",
        Component::Pin => "have the parking pin repaired",
        Component::Arm => "have the swing arm's switch set",
        Component::EstopA => "have channel A of the emergency stop repaired",
        Component::EstopB => "have channel B of the emergency stop repaired",
        Component::GuardA => "have channel A of the guard switch repaired",
        Component::GuardB => "have channel B of the guard switch repaired",
        Component::GuardLock => "have the guard lock repaired",
        Component::DriveInner => "have the inner ring's drive checked and its trip reset",
        Component::DriveOuter => "have the outer ring's drive checked and its trip reset",
        Component::DriveLower => "have the lower plate's drive checked and its trip reset",
        Component::DriveUpper => "have the upper plate's drive checked and its trip reset",
        Component::Pump => "have the slurry pump repaired",
        Component::SlurryLine => "free and flush the slurry line",
        Component::FlowSensor => "have the flow switch exchanged",
        Component::Agitator => "put the agitator right and switch it on at the tank",
        Component::TankLevel => "have the level transmitter exchanged",
        Component::RinseWater => "have the rinse water restored",
        Component::Cooling => "have the plate cooling restored",
        Component::TempLower => "have the lower plate's temperature sensor exchanged",
        Component::TempUpper => "have the upper plate's temperature sensor exchanged",
        Component::Gauge => "have the size gauge put right",
        Component::Parts => "free or lay right the parts, by the safe procedure for this machine",
        Component::Dog => "have the upper plate's drive dog put right",
        Component::Tick => "have the controller checked",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_and_every_supported_pair_is_told_once() {
        let told = json(1);
        let rows = told["rows"].as_array().expect("rows");
        assert_eq!(rows.len(), TABLE.len());
        let pairs: usize = told["components"]
            .as_array()
            .expect("components")
            .iter()
            .map(|c| c["modes"].as_array().expect("modes").len())
            .sum();
        assert_eq!(pairs, SUPPORTED.len());
        let estop = &rows[0];
        assert_eq!(
            (&estop["response"], &estop["stop_category"]),
            (&json!("controlled-stop"), &json!(1))
        );
        assert_eq!(json(0)["rows"][0]["stop_category"], 0);
        assert_eq!(remedies().len(), COMPONENTS.len());
    }
}

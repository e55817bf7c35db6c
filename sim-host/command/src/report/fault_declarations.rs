//! What is declared of faults before a matrix is run, as tables for the book.

use super::faults::mark;
use firmware_core::status::LoadMode;
use twinplate_falsify::faults::answers::{EXCUSES, Longer};
use twinplate_falsify::faults::harms::{DECLARED, STATED};
use twinplate_falsify::faults::moments::Column;
use twinplate_falsify::faults::pairs::MASKS;
use twinplate_sim::plant::fault_table::{mode_name, name};

/// Table of the kinds of harm.
#[must_use]
pub fn kinds() -> Vec<Vec<String>> {
    STATED
        .iter()
        .map(|stated| {
            vec![
                mark(stated.kind).to_owned(),
                stated.name.to_owned(),
                stated.severity.word().to_owned(),
                stated.threshold.to_owned(),
            ]
        })
        .collect()
}

fn names(
    components: &[twinplate_sim::model::Component],
    modes: &[twinplate_sim::model::FaultMode],
) -> [String; 2] {
    let components: Vec<&str> = components.iter().map(|c| name(*c)).collect();
    let modes: Vec<&str> = modes.iter().map(|m| mode_name(*m)).collect();
    [components.join(", "), modes.join(", ")]
}

/// Table of declared harm, with how often it was seen in these matrices.
#[must_use]
pub fn declarations() -> Vec<Vec<String>> {
    DECLARED
        .iter()
        .map(|entry| {
            let [components, modes] = names(entry.components, entry.modes);
            let kinds: Vec<&str> = entry.kinds.iter().map(|kind| kind.stated().name).collect();
            vec![
                components,
                modes,
                span(entry.columns),
                kinds.join(", "),
                entry.reason.to_owned(),
            ]
        })
        .collect()
}

/// Table of stops that are declared to take longer.
#[must_use]
pub fn excuses() -> Vec<Vec<String>> {
    EXCUSES
        .iter()
        .map(|excuse| {
            let [components, modes] = names(excuse.components, excuse.modes);
            let what: Vec<&str> = excuse
                .what
                .iter()
                .map(|what| match what {
                    Longer::Standstill => "standstill",
                    Longer::Load => LoadMode::Resting.word(),
                    Longer::Plate => "plate at rest",
                    Longer::Never => "never safe",
                })
                .collect();
            vec![components, modes, what.join(", "), excuse.reason.to_owned()]
        })
        .collect()
}

fn span((first, last): (Column, Column)) -> String {
    if first == last {
        first.word().to_owned()
    } else {
        format!("{} to {}", first.word(), last.word())
    }
}

/// Table of the masks.
#[must_use]
pub fn masks() -> Vec<Vec<String>> {
    let of = |components, modes: &[twinplate_sim::model::FaultMode]| {
        let [components, words] = names(components, modes);
        if modes.len() == twinplate_sim::model::FaultMode::ALL.len() {
            components
        } else {
            format!("{components} ({words})")
        }
    };
    MASKS
        .iter()
        .map(|mask| {
            let kinds: Vec<&str> = mask.kinds.iter().map(|kind| kind.stated().name).collect();
            vec![
                of(mask.one, mask.one_modes),
                of(mask.other, mask.other_modes),
                kinds.join(", "),
                mask.reason.to_owned(),
            ]
        })
        .collect()
}

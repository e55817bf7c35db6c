//! What is declared of faults before a matrix is run, as tables for the book.

use super::faults::mark;
use crate::plant::fault_table::{mode_name, name};
use crate::study::faults::answers::{EXCUSES, Longer};
use crate::study::faults::harms::{DECLARED, STATED};
use crate::study::faults::moments::Column;
use crate::study::faults::owed::{OWED, On, Until};
use crate::study::faults::pairs::MASKS;
use firmware_core::interlock::TABLE;

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

fn names(components: &[crate::model::Component], modes: &[crate::model::FaultMode]) -> [String; 2] {
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
                    Longer::Load => "resting load",
                    Longer::Plate => "plate at rest",
                    Longer::Never => "never safe",
                })
                .collect();
            vec![components, modes, what.join(", "), excuse.reason.to_owned()]
        })
        .collect()
}

/// Table of the rows that are owed.
#[must_use]
pub fn owed() -> Vec<Vec<String>> {
    OWED.iter()
        .map(|owed| {
            let [components, modes] = names(owed.components, owed.modes);
            let row = TABLE.get(owed.row as usize);
            let on = match owed.on {
                On::All => "",
                On::Gauge => "; where the step with the highest setpoint ends by gauge",
                On::SwappedOverLimit => "; where that is over every step's limit",
            };
            vec![
                components,
                modes,
                span(owed.columns),
                row.map_or(String::new(), |row| format!("{} `{}`", row.id, row.name)),
                match owed.until {
                    Until::Seconds(seconds) => format!("{seconds} s"),
                    Until::SettleLimit => "`control.settle-limit`".to_owned(),
                    Until::End => "the cycle's end".to_owned(),
                    Until::First => "before any other stop".to_owned(),
                },
                format!("{}{on}", owed.reason),
            ]
        })
        .collect()
}

fn span((first, last): (Column, Column)) -> String {
    if first == last {
        first.name().to_owned()
    } else {
        format!("{} to {}", first.name(), last.name())
    }
}

/// Table of the masks.
#[must_use]
pub fn masks() -> Vec<Vec<String>> {
    let of = |components, modes: &[crate::model::FaultMode]| {
        let [components, words] = names(components, modes);
        if modes.len() == crate::model::FaultMode::ALL.len() {
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

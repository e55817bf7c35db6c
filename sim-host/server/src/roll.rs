//! What goes from a session into the records.

use crate::records::Closing;
use crate::records::export::ActRow;
use serde::Serialize;
use serde_json::Value;
use std::sync::Arc;
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::training::act::Act;
use twinplate_train::attempt::{Attempt, replay};
use twinplate_train::exercise::Exercise;
use twinplate_train::log::seconds;
use twinplate_train::log::{Deed, Done};
use twinplate_train::session::Session;

/// The attempt as it stands, as JSON.
#[must_use]
pub fn attempt<C: ControllerPort>(session: &Session<C>) -> String {
    json(&session.attempt())
}

/// The attempt and what it comes to.
#[must_use]
pub fn closing<C: ControllerPort>(session: &Session<C>, finished: bool) -> Closing {
    let debrief = session.debrief();
    Closing {
        finished,
        score: f64::from(debrief.score.points),
        points: f64::from(debrief.score.of),
        passed: debrief.score.passed,
        attempt: attempt(session),
        debrief: json(&debrief),
    }
}

fn json(value: &impl Serialize) -> String {
    serde_json::to_string(value).unwrap_or_else(|error| {
        // Maps with keys that are no strings, of which there are none.
        tracing::error!("what is recorded cannot be written: {error}");
        "null".into()
    })
}

/// Does an attempt again from what was saved of it, for its debrief.
///
/// # Errors
/// For people: what is saved cannot be read, or comes out differently, because the files have changed since.
pub fn again(exercise: &Arc<Exercise>, attempt: &str) -> Result<Closing, String> {
    let attempt: Attempt = serde_json::from_str(attempt).map_err(|error| error.to_string())?;
    let session = replay(Arc::clone(exercise), &attempt).map_err(|error| error.to_string())?;
    Ok(closing(&session, false))
}

/// Hash of what the controller did in an attempt; none where what is saved cannot be read.
pub(crate) fn run(attempt: &str) -> Option<String> {
    let attempt: Attempt = serde_json::from_str(attempt).ok()?;
    Some(format!("{:#018x}", attempt.control_hash))
}

/// The acts of an attempt, for the CSV.
#[must_use]
pub fn acts(attempt: &str) -> Vec<ActRow> {
    let Ok(attempt) = serde_json::from_str::<Attempt>(attempt) else {
        return Vec::new();
    };
    let row = |deed: &Deed| ActRow {
        time_s: seconds(deed.tick),
        by: match deed.done {
            Done::Operate(_) => "operator".into(),
            Done::Inject { .. } | Done::Repair { .. } => "instructor".into(),
        },
        act: match &deed.done {
            Done::Operate(act) => words(act),
            Done::Inject {
                component, mode, ..
            } => format!("inject {component} {mode}"),
            Done::Repair { component } => format!("repair {component}"),
        },
    };
    attempt.deeds.iter().map(row).collect()
}

/// An act in the words of the scripts: its word and its parameters.
fn words(act: &Act) -> String {
    let mut text = act.word().to_owned();
    let Ok(Value::Object(fields)) = serde_json::to_value(act) else {
        return text;
    };
    for (name, value) in fields {
        let word = match value {
            _ if name == "act" => continue,
            Value::Bool(on) => if on { "on" } else { "off" }.to_owned(),
            Value::String(word) => word,
            other => other.to_string(),
        };
        text.push(' ');
        text.push_str(&word);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn acts_are_told_in_the_words_of_the_scripts() {
        for (act, wanted) in [
            (Act::PressEmergencyStop, "press-emergency-stop"),
            (Act::ConfirmParts { pieces: 15 }, "confirm-parts 15"),
            (Act::HoldToRun { on: true }, "hold-to-run on"),
            (
                Act::Remedy {
                    component: "slurry-line".into(),
                },
                "remedy slurry-line",
            ),
            (
                Act::ReportForm {
                    by: "straightedge".into(),
                    lower: 2.4,
                    upper: -1.8,
                },
                "report-form straightedge 2.4 -1.8",
            ),
        ] {
            assert_eq!(words(&act), wanted);
        }
    }
}

//! What goes from a session into the records.

use crate::train::records::Closing;
use crate::train::records::export::ActRow;
use crate::train::session::{Attempt, Session, replay};
use crate::train::exercise::Exercise;
use firmware_core::units::TICKS_PER_SECOND;
use std::sync::Arc;

/// The attempt as it stands, as JSON.
#[must_use]
pub fn attempt(session: &Session) -> String {
    json(&session.attempt())
}

/// The attempt and what it comes to.
#[must_use]
pub fn closing(session: &Session, finished: bool) -> Closing {
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

fn json(value: &impl serde::Serialize) -> String {
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

/// The acts of an attempt, for the CSV.
#[must_use]
pub fn acts(attempt: &str) -> Vec<ActRow> {
    let Ok(attempt) = serde_json::from_str::<Attempt>(attempt) else {
        return Vec::new();
    };
    attempt
        .acts
        .iter()
        .map(|(tick, act)| ActRow {
            time_s: f64::from(*tick) / f64::from(TICKS_PER_SECOND),
            by: "operator".into(),
            act: json(act),
        })
        .collect()
}

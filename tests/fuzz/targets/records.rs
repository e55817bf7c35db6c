//! What runs and sessions leave behind, read and done again.

use super::machine::{DEMO, job};
use super::training::exercise;
use std::sync::Arc;
use twinplate_falsify::again::again;
use twinplate_sim::bench::Journal;
use twinplate_train::attempt::{Attempt, replay};

/// Longest run that is made again here, ticks.
const TICKS: u32 = 400;

/// A journal, which comes back as it was written; a short one is run again.
pub fn journal(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else {
        return;
    };
    match Journal::from_text(text) {
        Err(error) => {
            let lines = text.lines().count().max(1);
            assert!((1..=lines).contains(&error.line), "{error}");
            assert!(!error.what.is_empty());
        }
        Ok(journal) => {
            let again_text = journal.to_text().expect("what was read can be written");
            assert_eq!(Journal::from_text(&again_text).as_ref(), Ok(&journal));
            if journal.end.is_some_and(|end| end.ticks <= TICKS) {
                // What cannot be run again says why.
                let _ = again(job(DEMO[0]), &journal);
            }
        }
    }
}

/// A recorded attempt; a short one is done again.
pub fn attempt(bytes: &[u8]) {
    let Ok(mut attempt) = serde_json::from_slice::<Attempt>(bytes) else {
        return;
    };
    let text = serde_json::to_string(&attempt).expect("what was read can be written");
    assert_eq!(
        serde_json::from_str::<Attempt>(&text).ok().as_ref(),
        Some(&attempt)
    );
    let exercise = exercise();
    // Of these very files: otherwise no entry would outlive their next edit.
    attempt.files.clone_from(&exercise.files);
    exercise.id().clone_into(&mut attempt.exercise);
    if attempt.end_tick <= TICKS {
        let _ = replay(Arc::clone(exercise), &attempt);
    }
}

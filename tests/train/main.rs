//! Exercises, scores and sessions from outside: every script of the set comes out as it says, everything that was done can be done
//! again, and nothing that hands can do makes a session fail.

mod advice;
mod form;
mod full_shelf;
mod hands;
mod inspection;
mod plan;
mod ports;
mod recall;
mod remedy;
mod scripts;
mod strategies;
mod tasks;
mod texts;
mod units;
mod wire;

use std::path::{Path, PathBuf};
use std::sync::Arc;
use twinplate_sim::files::render_errors;
use twinplate_sim::training::act::Act;
use twinplate_train::exercise::{self, Exercise};
use twinplate_train::session::Session;

/// Folder of the exercises.
pub fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../recipes/exercises")
}

/// Does these acts, each of them taken, and lets so many ticks pass after each.
pub fn work(session: &mut Session, acts: &[Act], ticks: u32) {
    for act in acts {
        session.operate(act).expect("taken");
        session.advance(ticks);
    }
}

/// An exercise of the set.
pub fn exercise(id: &str) -> Arc<Exercise> {
    let path = folder().join(format!("{id}.toml"));
    match exercise::load(&path) {
        Ok(exercise) => Arc::new(exercise),
        Err(errors) => panic!("{}", render_errors(&errors, false)),
    }
}

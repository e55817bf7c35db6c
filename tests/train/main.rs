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
use twinplate_train::protocol::Pace;
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

/// Something is under way at the machine.
pub fn at_work(session: &Session) -> bool {
    session.picture(Pace::Real, 1.0).at_work_s.is_some()
}

/// Lets time pass until the cycle is complete.
pub fn to_the_end(session: &mut Session) {
    while session.picture(Pace::Real, 1.0).state != "complete" {
        assert!(session.advance(1000) > 0, "it comes to its end");
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

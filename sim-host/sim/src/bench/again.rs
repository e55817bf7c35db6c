//! A journal's run, again.

use super::Bench;
use super::job::Setup;
use super::journal::Journal;
use super::port::{InProcess, PortError};
use super::recorder::TraceRecorder;
use super::run::{Ended, Outcome, replay};
use firmware_core::sequence::State;

/// Runs a journal again as far as it went, or to the longest time of its recipe where it does not say. `setup` is the journal's
/// ([`Job::setup_of_journal`](super::Job::setup_of_journal)); `look` sees the bench after every tick.
///
/// The outcome's journal names what the first run was made from, so that it is judged as that one was.
///
/// # Errors
/// What the port reports; a controller in this process is always there.
pub fn again(
    setup: &Setup<'_>,
    journal: &Journal,
    mut look: impl FnMut(&Bench<InProcess, TraceRecorder>),
) -> Result<Outcome, PortError> {
    let ticks = journal
        .end
        .map_or_else(|| setup.longest(None), |end| end.ticks);
    let recorder = Setup::recorder_for(ticks);
    let mut bench = replay(setup.controller(), setup, journal, 0, recorder)?;
    while bench.tick() < ticks {
        bench.step()?;
        look(&bench);
    }
    let ended = match bench.status().map(|status| status.state) {
        Some(State::Complete) => Ended::Complete,
        Some(State::Stopped) => Ended::Stopped,
        Some(State::Aborted) => Ended::Aborted,
        Some(State::Idle) => Ended::Idle,
        None => Ended::NotStarted,
        Some(
            State::Running
            | State::Holding
            | State::Held
            | State::Restarting
            | State::Stopping
            | State::Aborting,
        ) => Ended::LongestTime,
    };
    let mut outcome = bench.finish(ended)?;
    // The bench knows the files and the draw of this run only; what else the first run was made from is the journal's to say.
    let told = &mut outcome.journal;
    told.files.clone_from(&journal.files);
    told.sought.clone_from(&journal.sought);
    (told.drawn, told.deviations, told.pieces) =
        (journal.drawn, journal.deviations, journal.pieces);
    Ok(outcome)
}

/// Whether an outcome is the run that a journal tells of, to the last bit: as many ticks and the same control hash. `None` where the
/// journal does not say how its run ended.
#[must_use]
pub fn same_run(journal: &Journal, outcome: &Outcome) -> Option<bool> {
    journal.end.map(|end| Some(end) == outcome.journal.end)
}

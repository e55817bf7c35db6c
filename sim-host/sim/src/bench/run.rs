//! One cycle from power-up to its end, and many of them on several threads.

use super::job::Setup;
use super::journal::Journal;
use super::port::{ControllerPort, PortError};
use super::recorder::{Recorder, Trace};
use super::scenario::Player;
use super::summary::Summary;
use super::{Bench, Events, Refused, missing_items};
use crate::model::Scenario;
use crate::plant::part_form::FormOfPart;
use crate::plant::plate_form::PlateForm;
use crate::plant::{Lasting, PartTruth};
use firmware_core::events::EventKind;
use firmware_core::sequence::{Request, State};
use firmware_core::units::TICKS_PER_SECOND;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Ticks that a run goes on after `Complete`.
pub const AFTER_COMPLETE: u32 = TICKS_PER_SECOND;
/// Ticks that a run goes on after `Stopped`, `Aborted`, or back at `Idle`: 1.5 s are allowed for the load to reach resting load.
pub const AFTER_STOP: u32 = 2 * TICKS_PER_SECOND;
/// Ticks that a run waits for a start: longer than `Precheck` may take (10 s).
pub const AWAIT_START: u32 = 15 * TICKS_PER_SECOND;

/// Why a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Ended {
    /// The batch was completed.
    Complete,
    /// The cycle was stopped.
    Stopped,
    /// The cycle was aborted.
    Aborted,
    /// It never ran: nobody started it, or the start was refused.
    NotStarted,
    /// It came back to `Idle` and nothing more was to come.
    Idle,
    /// The longest time was up.
    LongestTime,
}

impl Ended {
    /// How it ended, in words.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Complete => "complete",
            Self::Stopped => "stopped",
            Self::Aborted => "aborted",
            Self::NotStarted => "not started",
            Self::Idle => "back at idle",
            Self::LongestTime => "not over in its longest time",
        }
    }
}

/// What a run leaves behind.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Why it ended.
    pub ended: Ended,
    /// What it came to.
    pub summary: Summary,
    /// The recorded rows, if the recorder kept any.
    pub trace: Option<Trace>,
    /// Hash of what the controller did.
    pub control_hash: u64,
    /// Hash of the recorded rows, if the recorder kept any.
    pub trace_hash: Option<u64>,
    /// What was done from outside, complete with its end.
    pub journal: Journal,
    /// Whether a scenario was played, and not only a cycle by the book.
    pub scripted: bool,
    /// Actions that were refused.
    pub refused: Vec<Refused>,
    /// Events of the scenario that never happened, by their number in the file from 0.
    pub never: Vec<usize>,
    /// The controller's events.
    pub events: Events,
    /// True states of the parts at the end, in pocket order, dummies last.
    pub parts: Vec<PartTruth>,
    /// Forms of the parts at the end, in the same order.
    pub forms: Vec<FormOfPart>,
    /// Form of the plates at the end.
    pub plates: PlateForm,
}

impl Outcome {
    /// Names of what was missing when a start was refused.
    #[must_use]
    pub fn missing(&self) -> Vec<&'static str> {
        let bits = self
            .events
            .list
            .iter()
            .filter(|event| event.kind == EventKind::Missing)
            .fold(0, |bits, event| bits | event.detail);
        missing_items(u16::try_from(bits).unwrap_or(0))
    }
}

/// Runs one cycle on whatever controller is behind the port.
///
/// It ends one second after `Complete`, two after `Stopped` or `Aborted`, or at the longest time; not while a scenario still has
/// something dated to come.
///
/// # Errors
/// What the port reports.
pub fn run<C: ControllerPort, R: Recorder>(
    port: C,
    setup: &Setup<'_>,
    scenario: Option<&Scenario>,
    recorder: R,
) -> Result<Outcome, PortError> {
    Ok(run_after(setup.unused(), port, setup, scenario, recorder)?.0)
}

/// Runs one cycle on a machine as the batches before have left it, and says what the next one finds. See [`run`].
///
/// Between two batches no time passes: carriers are changed at once, plates stay as warm as they were.
///
/// # Errors
/// What the port reports.
pub fn run_after<C: ControllerPort, R: Recorder>(
    before: Lasting,
    port: C,
    setup: &Setup<'_>,
    scenario: Option<&Scenario>,
    recorder: R,
) -> Result<(Outcome, Lasting), PortError> {
    let form = setup.report(&before);
    run_reported(before, port, setup, scenario, recorder, form)
}

/// As [`run_after`], with this report of the plates' form.
pub(super) fn run_reported<C: ControllerPort, R: Recorder>(
    before: Lasting,
    port: C,
    setup: &Setup<'_>,
    scenario: Option<&Scenario>,
    recorder: R,
    form: Option<Request>,
) -> Result<(Outcome, Lasting), PortError> {
    let span = tracing::debug_span!(
        "run",
        machine = setup.job.machine.id,
        batch = setup.job.batch.id,
        recipe = setup.job.recipe.id,
        seed = setup.seed,
        scenario = scenario.map(|scenario| scenario.id.as_str()),
    );
    let _in_span = span.enter();
    let mut bench = setup.bench_after(before, port, recorder, form);
    bench.play(Player::new(scenario, setup.job.compiled.pieces));
    let ended = run_to_end(&mut bench, setup.longest(scenario))?;
    let after = bench.plant().lasting().clone();
    Ok((bench.finish(ended)?, after))
}

/// Runs one cycle on a controller in this process. See [`run`].
///
/// # Errors
/// None in practice: a controller in this process is always there.
pub fn run_cycle<R: Recorder>(
    setup: &Setup<'_>,
    scenario: Option<&Scenario>,
    recorder: R,
) -> Result<Outcome, PortError> {
    run(setup.controller(), setup, scenario, recorder)
}

/// Runs again what a journal tells, for as many ticks: with the same setup, the same hashes come out.
///
/// # Errors
/// What the port reports.
pub fn replay<C: ControllerPort, R: Recorder>(
    port: C,
    setup: &Setup<'_>,
    journal: &Journal,
    ticks: u32,
    recorder: R,
) -> Result<Bench<C, R>, PortError> {
    let mut bench = setup.bare_bench(port, recorder);
    for entry in &journal.entries {
        bench.act_at(entry.tick, entry.action.clone());
    }
    bench.advance(ticks)?;
    Ok(bench)
}

/// Steps until the run is over.
pub(super) fn run_to_end<C: ControllerPort, R: Recorder>(
    bench: &mut Bench<C, R>,
    longest: u32,
) -> Result<Ended, PortError> {
    let mut state = State::Idle;
    let mut since = 0;
    let mut ran = false;
    while bench.tick() < longest {
        let now = bench.step()?.state;
        if now != state {
            (state, since) = (now, bench.tick());
        }
        let (linger, ended) = match state {
            State::Complete => (AFTER_COMPLETE, Ended::Complete),
            State::Stopped if ran => (AFTER_STOP, Ended::Stopped),
            State::Aborted if ran => (AFTER_STOP, Ended::Aborted),
            State::Idle if ran => (AFTER_STOP, Ended::Idle),
            // A controller powers up stopped.
            State::Stopped | State::Aborted | State::Idle => (AWAIT_START, Ended::NotStarted),
            State::Running
            | State::Holding
            | State::Held
            | State::Restarting
            | State::Stopping
            | State::Aborting => {
                ran = true;
                continue;
            }
        };
        if bench.tick().wrapping_sub(since) >= linger && !bench.pending() {
            return Ok(ended);
        }
    }
    Ok(Ended::LongestTime)
}

/// Does `job` for every index below `count` on up to `threads` threads and returns the results in the order of the indices, whatever
/// the number of threads. `progress` hears how many are done (from any thread, in no particular order).
pub fn ensemble<T: Send>(
    count: usize,
    threads: usize,
    progress: &(dyn Fn(usize) + Sync),
    job: impl Fn(usize) -> T + Sync,
) -> Vec<T> {
    let next = AtomicUsize::new(0);
    let done = AtomicUsize::new(0);
    let work = || {
        let mut results = Vec::new();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            if index >= count {
                return results;
            }
            results.push((index, job(index)));
            progress(done.fetch_add(1, Ordering::Relaxed) + 1);
        }
    };
    let mut results = std::thread::scope(|scope| {
        let helpers: Vec<_> = (1..threads.min(count)).map(|_| scope.spawn(work)).collect();
        let mut results = work();
        for helper in helpers {
            match helper.join() {
                Ok(more) => results.extend(more),
                // A job that panicked is a defect of this program: it goes on up, as it would on one thread.
                Err(panic) => std::panic::resume_unwind(panic),
            }
        }
        results
    });
    results.sort_unstable_by_key(|(index, _)| *index);
    results.into_iter().map(|(_, result)| result).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Mutex;
    use std::time::Duration;

    #[test]
    fn an_ensemble_keeps_its_order_on_any_number_of_threads() {
        let job = |index: usize| {
            // Unequal work, so that threads overtake each other.
            std::thread::sleep(Duration::from_micros((index as u64 * 7919) % 300));
            index * index
        };
        let plain: Vec<_> = (0..100).map(job).collect();
        for threads in [0, 1, 2, 3, 16, 200] {
            let heard = Mutex::new(Vec::new());
            let progress = |done| heard.lock().unwrap().push(done);
            assert_eq!(ensemble(100, threads, &progress, job), plain);
            let mut heard = heard.into_inner().unwrap();
            heard.sort_unstable();
            assert_eq!(heard, (1..=100).collect::<Vec<_>>());
        }
        assert!(ensemble(0, 4, &|_| (), job).is_empty());
    }
}

//! Moments to go back to: snapshots every few seconds of simulated time, thinned with age.

use super::{Live, Refused, Session, behind};
use crate::protocol::NewsKind;
use crate::watcher::Watcher;
use twinplate_sim::bench::{Bench, ControllerPort, PortError};

/// Snapshots that are kept; when there are more, the older half is thinned.
const SNAPSHOTS: usize = 64;

/// A moment to go back to.
#[derive(Clone, Debug)]
pub(super) struct Snapshot<C> {
    pub tick: u32,
    bench: Bench<C, Watcher>,
    live: Live,
    log: usize,
    marks: usize,
    samples: usize,
}

impl<C: ControllerPort> Session<C> {
    /// Keeps this moment, if there can be a second controller to keep it with.
    pub(super) fn keep_snapshot(&mut self, tick: u32) -> Result<(), PortError> {
        let Some(bench) = self.bench.fork()? else {
            return Ok(());
        };
        if self.snapshots.last().is_some_and(|last| last.tick == tick) {
            self.snapshots.pop();
        }
        if self.snapshots.len() >= SNAPSHOTS {
            // The older half at twice its spacing; the very first moment stays.
            let half = SNAPSHOTS / 2;
            let mut index = 0;
            self.snapshots.retain(|_| {
                index += 1;
                index > half || index % 2 == 1
            });
        }
        self.snapshots.push(Snapshot {
            tick,
            bench,
            live: self.live.clone(),
            log: self.log.len(),
            marks: self.marks.len(),
            samples: self.samples.len(),
        });
        Ok(())
    }

    /// Goes back to the last snapshot at or before a tick and says at which tick it is now. What was done after it is forgotten,
    /// news apart. An attempt that was over goes on.
    ///
    /// # Errors
    /// Where the controller behind the port cannot be had a second time. Nothing has changed then.
    pub fn go_back(&mut self, to_tick: u32) -> Result<u32, Refused> {
        let words = self.words();
        let lost = |error: PortError| Refused::new("controller-lost", behind::lost(words, &error));
        if self.snapshots.is_empty() {
            self.keep_snapshot(self.tick()).map_err(lost)?;
        }
        let index = self.snapshots.iter().rposition(|s| s.tick <= to_tick);
        let index = index.unwrap_or(0);
        let found = self.snapshots.get_mut(index);
        let bench = match found.map(|snapshot| snapshot.bench.fork()) {
            Some(forked) => forked.map_err(lost)?,
            None => None,
        };
        let (Some(snapshot), Some(bench)) = (self.snapshots.get(index), bench) else {
            return Err(Refused::new("cannot-go-back", words.say("cannot-go-back")));
        };
        self.bench = bench;
        self.live = snapshot.live.clone();
        self.log.truncate(snapshot.log);
        self.marks.truncate(snapshot.marks);
        self.samples.truncate(snapshot.samples);
        self.snapshots.truncate(index + 1);
        let under_way = self.live.work.iter().map(|work| work.entry);
        for entry in self.live.sent.iter().copied().chain(under_way) {
            if let Some(logged) = self.log.get_mut(entry) {
                logged.waiting = true;
                (logged.refused, logged.ended, logged.needless) = (None, None, false);
            }
        }
        self.finished = false;
        self.failure = None;
        self.progress = super::progress::Progress::default();
        self.quiet = true;
        self.follow_exercise();
        self.quiet = false;
        let seconds = words.number(self.time_s(), 1);
        self.tell(
            NewsKind::Instructor,
            words.tell("attempt-went-back", &[("seconds", seconds.into())]),
            0,
        );
        Ok(self.tick())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise;
    use std::path::Path;
    use std::sync::Arc;
    use twinplate_sim::training::act::Act;

    /// Guards: every moment held a copy of all that was done before it, recalled recipes among it, and a trainee whose hand never
    /// rests made a session hundreds of megabytes large.
    #[test]
    fn neither_a_session_nor_a_moment_of_it_keeps_a_second_account_of_what_was_done() {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes/exercises/plain-cycle.toml");
        let exercise = exercise::load(&path).unwrap_or_else(|errors| panic!("{errors:?}"));
        let mut session = Session::new(Arc::new(exercise), 1);
        for _ in 0..40 {
            for _ in 0..20 {
                let _ = session.operate(&Act::RecallRecipe { slot: 1 });
            }
            session.advance(500);
            assert!(session.bench.journal().entries.is_empty());
            assert!(session.bench.refused().is_empty());
        }
        assert!(session.snapshots.len() > 2);
        for snapshot in &session.snapshots {
            assert!(snapshot.bench.journal().entries.is_empty());
            assert!(snapshot.bench.refused().is_empty());
        }
        // The log is the account, up to where it went back to.
        let back = session.go_back(12_000).expect("back");
        assert!(session.log.len() >= 100);
        assert!(session.log.iter().all(|logged| logged.deed.tick <= back));
    }
}

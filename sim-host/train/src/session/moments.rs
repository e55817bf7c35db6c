//! Moments to go back to: snapshots every few seconds of simulated time, thinned with age.

use super::{Live, Session};
use crate::protocol::NewsKind;

/// Snapshots that are kept; when there are more, the older half is thinned.
const SNAPSHOTS: usize = 64;

/// A moment to go back to.
#[derive(Clone, Debug)]
pub(super) struct Snapshot {
    pub tick: u32,
    live: Live,
    log: usize,
    marks: usize,
    samples: usize,
}

impl Session {
    pub(super) fn keep_snapshot(&mut self, tick: u32) {
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
            live: self.live.clone(),
            log: self.log.len(),
            marks: self.marks.len(),
            samples: self.samples.len(),
        });
    }

    /// Goes back to the last snapshot at or before a tick and says at which tick it is now. What was done after it is forgotten,
    /// news apart. An attempt that was over goes on.
    pub fn go_back(&mut self, to_tick: u32) -> u32 {
        let found = self.snapshots.iter().rposition(|s| s.tick <= to_tick);
        let Some(index) = found.or(if self.snapshots.is_empty() {
            None
        } else {
            Some(0)
        }) else {
            return self.tick();
        };
        self.snapshots.truncate(index + 1);
        let Some(snapshot) = self.snapshots.last().cloned() else {
            return self.tick();
        };
        self.live = snapshot.live;
        self.log.truncate(snapshot.log);
        self.marks.truncate(snapshot.marks);
        self.samples.truncate(snapshot.samples);
        for entry in self.live.sent.clone() {
            if let Some(logged) = self.log.get_mut(entry) {
                logged.waiting = true;
                logged.refused = None;
            }
        }
        self.finished = false;
        self.progress = super::progress::Progress::default();
        self.quiet = true;
        self.follow_exercise();
        self.quiet = false;
        self.tell(
            NewsKind::Instructor,
            format!("Went back to {:.1} s.", self.time_s()),
            0,
        );
        self.tick()
    }
}

//! The past of a bench, apart from it: moments to go back to need no copy of it.

use super::{Bench, ControllerPort, Entry, Recorder, Refused};

/// What was done and refused up to a moment.
#[derive(Debug)]
pub struct Past {
    done: Vec<Entry>,
    refused: Vec<Refused>,
}

impl Past {
    /// How much was done, and how much refused.
    #[must_use]
    pub const fn length(&self) -> [usize; 2] {
        [self.done.len(), self.refused.len()]
    }

    /// The past of an earlier moment, by its length.
    #[must_use]
    pub fn until(mut self, [done, refused]: [usize; 2]) -> Self {
        self.done.truncate(done);
        self.refused.truncate(refused);
        self
    }
}

impl<C: ControllerPort, R: Recorder> Bench<C, R> {
    /// Takes out what was done and refused so far, until it is put back: a copy of the bench is as small as the machine then.
    #[must_use]
    pub fn take_past(&mut self) -> Past {
        Past {
            done: std::mem::take(&mut self.journal.entries),
            refused: std::mem::take(&mut self.refused),
        }
    }

    /// Puts it back.
    pub fn put_past(&mut self, past: Past) {
        self.journal.entries = past.done;
        self.refused = past.refused;
    }
}

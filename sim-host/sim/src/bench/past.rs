//! The past of a bench, apart from it: whoever works it off as it comes need not keep it.

use super::{Bench, ControllerPort, Entry, Recorder, Refused};

/// What was done and refused, each oldest first.
#[derive(Debug)]
pub struct Past {
    /// What acted, and when.
    pub done: Vec<Entry>,
    /// What of it was refused.
    pub refused: Vec<Refused>,
}

impl<C: ControllerPort, R: Recorder> Bench<C, R> {
    /// Hands over what was done and refused since this was asked last. It is no longer kept here: such a bench, and a copy of it, is as
    /// small as the machine.
    #[must_use]
    pub fn take_past(&mut self) -> Past {
        Past {
            done: std::mem::take(&mut self.journal.entries),
            refused: std::mem::take(&mut self.refused),
        }
    }
}

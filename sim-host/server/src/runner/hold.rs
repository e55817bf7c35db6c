//! The hold-to-run control of a station: held only as long as its page says so.

use super::super::desk::Client;
use super::{Runner, Stage};
use std::time::Duration;
use twinplate_sim::training::act::Act;
use twinplate_train::protocol::HELD_FOR_MS;

/// A control of which nothing was heard for so long counts as let go.
pub(super) const HELD_FOR: Duration = Duration::from_millis(HELD_FOR_MS as u64);

impl Runner {
    /// Whoever held the hold-to-run control no longer does.
    pub(super) fn let_go(&mut self) {
        let held = self.held.is_some() || self.picture().switches.hold_to_run;
        if held && self.stage == Stage::Running {
            // Letting go is never refused; if it were, there is nobody to tell.
            let _ = self.session.operate(&Act::HoldToRun { on: false });
        }
        self.held = None;
    }

    /// Lets go of a hold-to-run control of which nothing was heard: its page hangs, or the line is dead.
    pub(super) fn watch_the_hold(&mut self) {
        let silent = |since: Duration| self.now().saturating_sub(since) >= HELD_FOR;
        if self.held.is_some_and(silent) {
            self.let_go();
            self.touch();
        }
    }

    /// The page says that the control is still held.
    pub(super) fn still_held(&mut self, client: Client, id: u32) {
        if self.desk.holds(client) && self.held.is_some() {
            self.held = Some(self.now());
            self.done(client, id);
        } else {
            let why = self.words().say("station-not-held");
            self.refuse(client, id, "not-held", why);
        }
    }
}

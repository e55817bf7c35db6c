//! A bench a second time, and whether two will go the same way.

use super::{Bench, ControllerPort, PortError, Recorder};

impl<C: ControllerPort, R: Recorder> Bench<C, R> {
    /// The bench as it stands, a second time, to go back to; `None` where there can be no second controller.
    ///
    /// # Errors
    /// What the port reports.
    pub fn fork(&mut self) -> Result<Option<Self>, PortError>
    where
        R: Clone,
    {
        Ok(self.port.fork()?.map(|port| Self {
            port,
            plant: self.plant.clone(),
            recorder: self.recorder.clone(),
            tally: self.tally.clone(),
            hash: self.hash,
            journal: self.journal.clone(),
            player: self.player.clone(),
            dated: self.dated.clone(),
            ready: self.ready.clone(),
            next: self.next,
            refused: self.refused.clone(),
            events: self.events.clone(),
            tick: self.tick,
        }))
    }

    /// Whether all that is still to come is the same for both: everything that a later tick, or what is told of the run at its end,
    /// depends on is equal. How they came there (journal, hash, events) may differ.
    #[must_use]
    pub fn same_ahead(&self, other: &Self) -> bool
    where
        C: PartialEq,
        R: PartialEq,
    {
        self.tick == other.tick
            && self.plant == other.plant
            && self.port == other.port
            && self.recorder == other.recorder
            && self.tally == other.tally
            && self.dated == other.dated
            && self.ready == other.ready
            && self.player.is_none()
            && other.player.is_none()
    }
}

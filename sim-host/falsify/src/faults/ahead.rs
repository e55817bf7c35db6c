//! Where forks of one fault meet. A fault that does nothing for a while leaves the bench as the same fault does that begins later, and
//! from there on both are one run. So the forks of a fault are made from the last moment to the first, and an earlier one is followed
//! only until it stands where a later one stood.
//!
//! Nothing is guessed: two have met where all that a later tick depends on is equal
//! ([`Bench::same_ahead`](twinplate_sim::bench::Bench::same_ahead)), and only in a running cycle in which nothing has shown yet.

use super::fork::{Seen, Trip};
use super::moments::Rig;
use super::witness::Witness;
use firmware_core::sequence::State;

/// Ticks from a fault to where its fork can be met: every part of the machine has had its turn, the rarest ones twice.
pub(super) const MET: u32 = 200;

/// Where a fork stood [`MET`] ticks after its fault.
#[derive(Clone, Debug)]
pub struct Stood {
    rig: Rig,
    since: u32,
    /// Rows that were there before the fault.
    base: u64,
}

impl Stood {
    /// Of a fork whose fault came at `since`, [`MET`] ticks ago, with the rows `base` there before; where it can be met here.
    pub(super) fn of(rig: &Rig, since: u32, base: u64, seen: &Seen) -> Option<Self> {
        quiet(rig, seen).then(|| Self {
            rig: rig.clone(),
            since,
            base,
        })
    }
}

/// A fork, where it stood, and what came of it.
#[derive(Clone, Debug)]
pub struct Ahead {
    /// Where it stood.
    pub stood: Stood,
    /// What came of it.
    pub seen: Seen,
}

impl Ahead {
    /// Tick at which it can be met.
    pub(super) const fn at(&self) -> u32 {
        self.stood.since + MET
    }

    /// What comes of the fork that stands here, whose fault came at `since` and of which so much was `seen`, if it has met this one.
    pub(super) fn met(&self, rig: &Rig, since: u32, base: u64, seen: &Seen) -> Option<Seen> {
        (base == self.stood.base && quiet(rig, seen) && rig.same_ahead(&self.stood.rig))
            .then(|| self.told_from(since, seen))
    }

    /// What came of this one, told from an earlier fault, whose fork has seen `seen` up to here.
    fn told_from(&self, since: u32, seen: &Seen) -> Seen {
        let earlier = self.stood.since - since;
        let last = |later: u32, sooner: u32| if later > 0 { later + earlier } else { sooner };
        let trip = |trip: Option<Trip>| {
            trip.map(|trip| Trip {
                after: trip.after + earlier,
                ..trip
            })
        };
        let rest = &self.seen;
        Seen {
            first: trip(rest.first),
            acted: trip(rest.acted),
            silent: rest
                .silent
                .iter()
                .map(|(row, ago)| (*row, ago + earlier))
                .collect(),
            turned: last(rest.turned, seen.turned),
            loaded: last(rest.loaded, seen.loaded),
            pressed: last(rest.pressed, seen.pressed),
            moved: last(rest.moved, seen.moved),
            ran: rest.ran + earlier,
            ..rest.clone()
        }
    }
}

/// Nothing has shown: no row asked, none was owed, and the cycle runs, so that no end is near.
fn quiet(rig: &Rig, seen: &Seen) -> bool {
    seen.rows == 0
        && seen.witness == Witness::default()
        && rig.recorder().silent().is_empty()
        && rig
            .status()
            .is_some_and(|status| status.state == State::Running)
}

//! The bench: the one way to close the loop. A controller behind a [`ControllerPort`], the simulated machine, the actions from
//! outside, the two hashes, the running summary and a [`Recorder`] meet here, once a tick.
//!
//! One tick, in this order:
//!
//! 1. what is due from outside acts: hands and faults on the plant at once, at most one request and one command on the controller
//!    (a request acts before a command; whatever cannot keep its order this tick waits, with all behind it, for the next). Each is
//!    noted in the [`Journal`] with the tick at which it acted;
//! 2. the controller gets the inputs that the plant's last step left, and answers with outputs and status;
//! 3. summary and recorder see the tick: inputs, outputs, status and the true values *of the same instant as the inputs*;
//! 4. the plant makes its step with the outputs;
//! 5. the hash takes in outputs and status. It comes last because it waits for nothing: it fills the time in which the readings of the
//!    plant's step are still on their way to the controller's next tick.
//!
//! Nothing here reads a clock, draws a random number, prints, or allocates while ticks pass (actions excepted). A bench in process is
//! `Clone`: a snapshot to go back to, or to fork from. On any port [`Bench::fork`] tries the same.

mod again;
mod batches;
pub mod columns;
mod forked;
pub mod hash;
pub mod job;
pub mod journal;
mod past;
pub mod port;
pub mod recorder;
pub mod run;
pub mod scenario;
pub mod summary;
#[cfg(test)]
mod testing;
mod warm;

pub use again::{again, same_run};
pub use batches::{OneOfBatches, run_batches};
pub use hash::{ControlHash, TraceHash};
pub use job::{Job, Setup};
pub use journal::{Action, Drawn, End, Entry, FileHash, Journal, Sought};
pub use past::Past;
pub use port::{Answer, ControllerPort, InProcess, PortError};
pub use recorder::{NoRecorder, Recorder, Trace, TraceRecorder};
pub use run::{Ended, Outcome, ensemble, replay, run, run_after, run_cycle};
pub use scenario::Player;
pub use summary::{Summary, Tally, Targets};
pub use warm::Settled;

use crate::plant::{FastTruth, FaultRefused, Plant};
use firmware_core::events::{EVENTS, Event};
use firmware_core::interlock::row_of;
use firmware_core::judge::PRECHECK_ITEMS;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::{Command, Refusal, Request};
use firmware_core::status::Status;
use std::collections::VecDeque;
use std::vec::Drain;

/// Events of a run that are kept; a cycle has about a hundred.
pub const EVENTS_KEPT: usize = 1024;
/// The controller's ring is read every so many ticks.
const READ_EVENTS: u32 = 64;
const _: () = assert!(
    READ_EVENTS as usize <= EVENTS,
    "the ring holds an event a tick until it is read"
);

/// Everything about one tick.
#[derive(Clone, Copy, Debug)]
pub struct TickView<'a> {
    /// Tick of the bench, from 0.
    pub tick: u32,
    /// What the controller was given.
    pub inputs: &'a Inputs,
    /// What it answered.
    pub outputs: &'a Outputs,
    /// Its status after the tick.
    pub status: &'a Status,
    /// The fast ones of the true values, at the instant of the inputs.
    pub truth: FastTruth,
    /// The machine at that instant, for everything else.
    pub plant: &'a Plant,
}

/// An action that was not taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Refused {
    /// When.
    pub tick: u32,
    /// By whom and why.
    pub by: RefusedBy,
}

/// Names of what a precheck still misses, by its bits in [`Status::missing`] and in the event that tells of it.
#[must_use]
pub fn missing_items(bits: u16) -> Vec<&'static str> {
    (0..)
        .zip(PRECHECK_ITEMS)
        .filter(|(bit, _)| bits & (1_u16 << bit) != 0)
        .map(|(_, item)| item)
        .collect()
}

/// Name of an interlock row by its number, as the controller's table has it.
#[must_use]
pub fn row_name(id: u16) -> &'static str {
    row_of(id).map_or("unknown", |row| row.name)
}

/// What acts on the controller in one tick.
type Due = (Option<Command>, Option<Box<Request>>);

/// Who refused an action.
#[derive(Clone, Debug, PartialEq)]
pub enum RefusedBy {
    /// The controller refused a request.
    Controller(Refusal),
    /// The plant cannot fail that way.
    Plant(FaultRefused),
}

/// Controller and machine in a closed loop.
#[derive(Clone, Debug)]
pub struct Bench<C, R> {
    port: C,
    plant: Plant,
    recorder: R,
    tally: Tally,
    hash: ControlHash,
    journal: Journal,
    player: Option<Player>,
    /// Actions for a tick to come, by tick; those of one tick in the order in which they were given.
    dated: VecDeque<(u32, Action)>,
    /// Actions that are due, in order.
    ready: VecDeque<Action>,
    /// No action is due before this tick: all that an ordinary tick asks. Whoever adds an action sets it back to 0.
    next: u32,
    refused: Vec<Refused>,
    events: Events,
    tick: u32,
}

/// The controller's events, gathered before its ring drops them.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Events {
    /// Oldest first, up to [`EVENTS_KEPT`].
    pub list: Vec<Event>,
    /// Events that were not kept.
    pub missed: u32,
}

impl<C: ControllerPort, R: Recorder> Bench<C, R> {
    /// A bench before its first tick.
    #[must_use]
    pub fn new(port: C, plant: Plant, recorder: R, tally: Tally, journal: Journal) -> Self {
        Self {
            port,
            plant,
            recorder,
            tally,
            hash: ControlHash::new(),
            journal,
            player: None,
            dated: VecDeque::with_capacity(16),
            ready: VecDeque::with_capacity(16),
            next: 0,
            refused: Vec::with_capacity(16),
            events: Events {
                list: Vec::with_capacity(EVENTS_KEPT),
                missed: 0,
            },
            tick: 0,
        }
    }

    /// Lets a scenario be played from here on.
    pub fn play(&mut self, player: Player) {
        self.player = Some(player);
        self.next = 0;
    }

    /// Has an action act at the next tick.
    pub fn act(&mut self, action: Action) {
        self.act_at(self.tick, action);
    }

    /// Has an action act at a tick; at the next one if that tick has passed.
    pub fn act_at(&mut self, tick: u32, action: Action) {
        let behind = self.dated.partition_point(|(due, _)| *due <= tick);
        self.dated.insert(behind, (tick, action));
        self.next = 0;
    }

    /// Has an action act at the next tick, before all others that wait: for an emergency stop, which no queue may delay.
    pub fn act_first(&mut self, action: Action) {
        self.ready.push_front(action);
        self.next = 0;
    }

    /// True while an action is still to come at a known tick.
    #[must_use]
    pub fn pending(&self) -> bool {
        !self.dated.is_empty()
            || !self.ready.is_empty()
            || self.player.as_ref().is_some_and(Player::pending)
    }

    /// One tick. Gives the controller's status after it.
    ///
    /// # Errors
    /// What the port reports; the tick has then not happened, but actions due at it are spent.
    #[inline(always)]
    pub fn step(&mut self) -> Result<&Status, PortError> {
        let tick = self.tick;
        if tick.is_multiple_of(READ_EVENTS) {
            read_events(&mut self.port, &mut self.events)?;
        }
        let (command, request) = if tick < self.next {
            (None, None)
        } else {
            self.gather(tick)?
        };
        let answer = self
            .port
            .exchange(self.plant.inputs(), command, request.as_deref())?;
        if let Some(refusal) = answer.refusal {
            self.refused.push(Refused {
                tick,
                by: RefusedBy::Controller(refusal),
            });
        }
        let Answer {
            outputs, status, ..
        } = answer;
        let view = view(tick, &self.plant, &answer);
        self.tally.observe(&view);
        self.recorder.record(&view);
        if let Some(player) = &mut self.player
            && player.watch(tick, status)
        {
            self.next = 0;
        }
        self.plant.step(outputs);
        self.hash.tick(outputs, status);
        self.tick = tick.wrapping_add(1);
        Ok(status)
    }

    /// So many ticks.
    ///
    /// # Errors
    /// What the port reports; earlier ticks have happened.
    pub fn advance(&mut self, ticks: u32) -> Result<(), PortError> {
        for _ in 0..ticks {
            self.step()?;
        }
        Ok(())
    }

    /// What acts on the controller at this tick; acts on the plant itself. Finds out when something is due next.
    #[cold]
    fn gather(&mut self, tick: u32) -> Result<Due, PortError> {
        if let Some(player) = &mut self.player {
            player.due(tick, |action| self.ready.push_back(action));
        }
        while self.dated.front().is_some_and(|(due, _)| *due <= tick) {
            if let Some((_, action)) = self.dated.pop_front() {
                self.ready.push_back(action);
            }
        }
        let due = self.act_in_order(tick)?;
        let dated = self.dated.front().map_or(u32::MAX, |(due, _)| *due);
        let played = self.player.as_ref().map_or(u32::MAX, Player::next);
        self.next = if self.ready.is_empty() {
            dated.min(played)
        } else {
            0
        };
        Ok(due)
    }

    /// Takes from what is ready as long as the order can be kept within this tick.
    fn act_in_order(&mut self, tick: u32) -> Result<Due, PortError> {
        let (mut command, mut request) = (None, None);
        while let Some(action) = self.ready.pop_front() {
            match &action {
                Action::Command(now) if command.is_none() => command = Some(*now),
                // After a command it would act before it: the next tick, then.
                Action::Request(now) if request.is_none() && command.is_none() => {
                    request = Some(now.clone());
                }
                Action::Command(_) | Action::Request(_) => {
                    self.ready.push_front(action);
                    break;
                }
                Action::Station(act) => self.plant.act(*act),
                Action::Fault(fault) => {
                    if let Err(refusal) = self.plant.inject(fault) {
                        self.refused.push(Refused {
                            tick,
                            by: RefusedBy::Plant(refusal),
                        });
                    }
                }
                Action::Clear(component) => self.plant.clear(*component),
                Action::PowerReturns if command.is_none() && request.is_none() => {
                    self.port.power_returns()?;
                }
                // What was given to the controller before is its own; the next tick, then.
                Action::PowerReturns => {
                    self.ready.push_front(action);
                    break;
                }
            }
            self.journal.note(tick, action);
        }
        Ok((command, request))
    }

    /// Ticks made.
    #[must_use]
    pub const fn tick(&self) -> u32 {
        self.tick
    }

    /// The machine as it stands between ticks, with the controller's last answer; `None` before the first tick.
    #[must_use]
    pub fn view(&self) -> Option<TickView<'_>> {
        let answer = self.port.answer()?;
        Some(view(self.tick.wrapping_sub(1), &self.plant, &answer))
    }

    /// The controller's status after the last tick; `None` before the first.
    #[must_use]
    pub fn status(&self) -> Option<&Status> {
        self.port.answer().map(|answer| answer.status)
    }

    /// The machine.
    #[must_use]
    pub const fn plant(&self) -> &Plant {
        &self.plant
    }

    /// The controller's port.
    #[must_use]
    pub const fn port(&self) -> &C {
        &self.port
    }

    /// The controller's port, to act on between ticks: what is done through it is not in the journal.
    pub const fn port_mut(&mut self) -> &mut C {
        &mut self.port
    }

    /// The recorder.
    #[must_use]
    pub const fn recorder(&self) -> &R {
        &self.recorder
    }

    /// The recorder, for whoever takes from it what it gathered.
    pub const fn recorder_mut(&mut self) -> &mut R {
        &mut self.recorder
    }

    /// What was done from outside so far.
    #[must_use]
    pub const fn journal(&self) -> &Journal {
        &self.journal
    }

    /// Actions that were refused so far.
    #[must_use]
    pub fn refused(&self) -> &[Refused] {
        &self.refused
    }

    /// The controller's events, up to the last reading of its ring (at most 64 ticks ago).
    #[must_use]
    pub const fn events(&self) -> &Events {
        &self.events
    }

    /// Reads the controller's ring now and hands over all events that were gathered, oldest first: for whoever works them off as they
    /// come. They are no longer kept here.
    ///
    /// # Errors
    /// What the port reports; what was gathered before stays.
    pub fn take_events(&mut self) -> Result<Drain<'_, Event>, PortError> {
        read_events(&mut self.port, &mut self.events)?;
        Ok(self.events.list.drain(..))
    }

    /// Hash of all ticks so far.
    #[must_use]
    pub const fn control_hash(&self) -> u64 {
        self.hash.value()
    }

    /// The summary as it would be if the run ended now.
    #[must_use]
    pub fn summary(&self) -> Summary {
        self.tally.clone().finish(&self.plant)
    }

    /// Ends the run: the unfinished row is recorded, the summary closed.
    ///
    /// # Errors
    /// What the port reports when the last events are read.
    pub fn finish(mut self, ended: Ended) -> Result<Outcome, PortError> {
        read_events(&mut self.port, &mut self.events)?;
        if let Some(answer) = self.port.answer() {
            let last = self.tick.wrapping_sub(1);
            self.recorder.finish(&view(last, &self.plant, &answer));
        }
        let control_hash = self.hash.value();
        self.journal.end = Some(End {
            ticks: self.tick,
            control_hash,
        });
        Ok(Outcome {
            ended,
            summary: self.tally.finish(&self.plant),
            control_hash,
            trace_hash: self.recorder.trace_hash(),
            trace: self.recorder.into_trace(),
            journal: self.journal,
            refused: self.refused,
            scripted: self.player.as_ref().is_some_and(Player::scripted),
            never: self.player.as_ref().map_or_else(Vec::new, Player::waiting),
            events: self.events,
            parts: self.plant.parts().collect(),
            forms: self.plant.part_forms().collect(),
            plates: self.plant.lasting().plates().clone(),
        })
    }
}

/// Reads the controller's ring.
#[inline(never)]
fn read_events<C: ControllerPort>(port: &mut C, events: &mut Events) -> Result<(), PortError> {
    let mut beyond = 0;
    let lost = port.events(&mut |event| {
        if events.list.len() < EVENTS_KEPT {
            events.list.push(*event);
        } else {
            beyond += 1;
        }
    })?;
    events.missed = events.missed.saturating_add(lost).saturating_add(beyond);
    Ok(())
}

/// A tick with the machine as it stands.
#[inline(always)]
fn view<'a>(tick: u32, plant: &'a Plant, answer: &Answer<'a>) -> TickView<'a> {
    TickView {
        tick,
        inputs: plant.inputs(),
        outputs: answer.outputs,
        status: answer.status,
        truth: plant.fast_truth(),
        plant,
    }
}

#[cfg(test)]
#[path = "bench_tests.rs"]
mod tests;

#[cfg(test)]
mod cycle_tests;

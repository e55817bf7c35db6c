//! What the store holds: recipes with what `check` said of them, parameters, and how far a cycle got. Each begins with the version of its
//! layout, so that an old record is told apart before it is read.

use crate::checksum::crc32_of;
use crate::recipe::RecipeWire;
use crate::sequence::{Phase, State};
use crate::status::Status;
use crate::units::{Micrometres, TICKS_PER_SECOND, Ticks};
use crate::words::words;
use heapless::String;
use serde::{Deserialize, Serialize};

/// What `check` said of a recipe before it was stored.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u8)]
pub enum Verdict {
    /// Nobody checked it.
    #[default]
    Unchecked = 0,
    /// No error, no warning.
    Pass = 1,
    /// No error, but warnings.
    Warn = 2,
    /// At least one error.
    Fail = 3,
    /// At least one error, and stored on purpose all the same.
    Forced = 4,
}

words!(Verdict, ALL_VERDICTS {
    Unchecked => "unchecked", "not checked";
    Pass => "pass", "checked: passes";
    Warn => "warn", "checked: passes with warnings";
    Fail => "fail", "checked: fails";
    Forced => "forced", "checked: fails, and stored on purpose";
});

/// A verdict, and what it is about.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Checked {
    /// The verdict.
    pub verdict: Verdict,
    /// Version of the program that gave it.
    pub program: String<16>,
    /// Hash of the machine, batch and recipe that were checked; the host's, which alone can make it again.
    pub inputs: u64,
    /// [`fingerprint`] of the recipe that was checked.
    pub recipe: u32,
}

/// A recipe as it is stored.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StoredRecipe {
    /// The recipe; its schema is the version of this record, its name the one that an operator reads.
    pub recipe: RecipeWire,
    /// What `check` said.
    pub checked: Checked,
}

impl StoredRecipe {
    /// No recipe: a place to read one into.
    pub const EMPTY: Self = Self {
        recipe: RecipeWire::EMPTY,
        checked: Checked {
            verdict: Verdict::Unchecked,
            program: String::new(),
            inputs: 0,
            recipe: 0,
        },
    };

    /// Reads a payload into this place, all of it.
    pub(super) fn read(&mut self, payload: &[u8]) -> Result<(), postcard::Error> {
        let rest = self.recipe.read(payload)?;
        let (checked, rest) = postcard::take_from_bytes(rest)?;
        self.checked = checked;
        if rest.is_empty() {
            Ok(())
        } else {
            Err(postcard::Error::SerdeDeCustom)
        }
    }

    /// What `check` said of this very recipe: nothing, where the verdict is about another one.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        if fingerprint(&self.recipe) == Some(self.checked.recipe) {
            self.checked.verdict
        } else {
            Verdict::Unchecked
        }
    }
}

/// Tells two compiled recipes apart: the CRC-32 of their postcard bytes. The parameters' hash is among them. `None` for no recipe that
/// can be made.
#[must_use]
pub fn fingerprint(recipe: &RecipeWire) -> Option<u32> {
    crc32_of(recipe)
}

/// Version of [`Progress`].
pub const PROGRESS_SCHEMA: u16 = 1;

/// A record of progress is due after so much time of a step in band, though nothing else has changed.
pub const PROGRESS_EVERY: Ticks = Ticks(30 * TICKS_PER_SECOND);

/// How far a cycle got. What is in the flash after a loss of power tells the operator which step, and how much of it was done.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Progress {
    /// [`PROGRESS_SCHEMA`].
    pub schema: u16,
    /// Boot count of the run that wrote it.
    pub boots: u16,
    /// Slot that the recipe was recalled from; none if it came another way.
    pub slot: Option<u8>,
    /// [`fingerprint`] of the recipe; 0 for none loaded.
    pub recipe: u32,
    /// Procedural state.
    pub state: State,
    /// Phase.
    pub phase: Phase,
    /// Step, 0-based.
    pub step: u8,
    /// In-band time spent in the step.
    pub step_time: Ticks,
    /// Part thickness by gauge; zero when unknown.
    pub size: Micrometres,
}

impl Progress {
    /// The progress that a status shows, of the recipe with this fingerprint.
    #[must_use]
    pub const fn of(status: &Status, slot: Option<u8>, recipe: u32) -> Self {
        Self {
            schema: PROGRESS_SCHEMA,
            boots: status.boots,
            slot,
            recipe,
            state: status.state,
            phase: status.phase,
            step: status.step,
            step_time: status.step_time,
            size: status.size,
        }
    }

    /// Worth a record, after the last one that was written: a cycle begins, ends or has another state, a step begins or ends, or
    /// [`PROGRESS_EVERY`] more of it is done. Everything else would wear the flash for nothing. At rest nothing is due that would
    /// overwrite what an earlier boot left: it stays until the next cycle begins.
    #[must_use]
    pub fn is_due(&self, last: Option<&Self>) -> bool {
        if !self.in_cycle() {
            return last.is_some_and(|last| last.boots == self.boots && last.in_cycle());
        }
        last.is_none_or(|last| {
            (self.boots, self.slot, self.recipe) != (last.boots, last.slot, last.recipe)
                || (self.state, self.step) != (last.state, last.step)
                || self.phase.in_step() != last.phase.in_step()
                || self.step_time.since(last.step_time) >= PROGRESS_EVERY
        })
    }

    /// A cycle is under way. Found at power-up it says that one was cut off, and is to be told.
    #[must_use]
    pub const fn in_cycle(&self) -> bool {
        match self.state {
            State::Running
            | State::Holding
            | State::Held
            | State::Restarting
            | State::Stopping
            | State::Aborting => true,
            State::Idle | State::Stopped | State::Aborted | State::Complete => false,
        }
    }
}

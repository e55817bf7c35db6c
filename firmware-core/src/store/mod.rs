//! Stored recipes, machine parameters and the progress of a cycle, in NOR flash, safe against a loss of power at any moment.
//!
//! Two banks, one of them in force. A change is a record behind the last one of that bank, ended by a commit word; nothing that counts is
//! ever overwritten. When the bank is full, what is still in force is copied into the other one, and that bank's commit word moves the
//! store over. Opening only reads, so a recovery cannot be cut. Why so, and every byte: `docs/store.md`.
//!
//! A recipe from the flash is believed no more than one from a wire: [`Store::recall`] takes it through the same check.
//!
//! Reading needs [`ReadNorFlash`] alone and has no panic path. Writing blocks, and moving to the other bank erases, which takes a flash
//! up to seconds: [`Store::make_room`] at rest, so that [`Store::note`] never has to while a cycle runs.

mod image;
mod layout;
mod records;
mod scan;
mod shelf;
mod write;

pub use image::Image;
pub use layout::{SLOTS, STORE_FORMAT};
pub use records::{
    ALL_VERDICTS, Checked, PROGRESS_EVERY, PROGRESS_SCHEMA, Progress, StoredRecipe, Verdict,
    fingerprint,
};
pub use shelf::Shelf;

use crate::params::{CheckedParams, PARAMS_SCHEMA, ParamsWire};
use crate::recipe::{CheckedRecipe, MAX_VIOLATIONS, RECIPE_SCHEMA, Violation};
use crate::words::words;
use embedded_storage::nor_flash::ReadNorFlash;
use heapless::Vec;
use layout::{BANK_COMMIT, Bank, BankHead, Head, Key, MAX_RECORD, MIN_BANK, STEP, WORD};
use scan::{Active, Place};
use serde::{Deserialize, Serialize};

/// Why the store did not do what it was asked. Explicit numbers: they go over the link.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u16)]
pub enum StoreError {
    /// No slot has this number.
    NoSuchSlot = 1,
    /// Nothing is stored there.
    Empty = 2,
    /// What is stored there fails its checksum, or is no record of its kind.
    Damaged = 3,
    /// What is stored there is of another version of its layout.
    OtherSchema = 4,
    /// The whole store is of another version of its layout; it is neither read nor written.
    OtherFormat = 5,
    /// The flash is too small, or its sectors or words do not fit the banks.
    Unsuitable = 6,
    /// The flash did not read, write or erase, or did not keep what was written.
    Device = 7,
    /// There is no room without an erase, which is not for this moment.
    Full = 8,
    /// The record is longer than the store takes.
    TooLong = 9,
}

words!(StoreError, ALL_STORE_ERRORS {
    NoSuchSlot => "no-such-slot", "no slot has this number";
    Empty => "slot-empty", "nothing is stored there";
    Damaged => "record-damaged", "what is stored there is damaged: store it again";
    OtherSchema => "record-of-another-version", "what is stored there is of another version: store it again";
    OtherFormat => "store-of-another-version", "the store is of another version of this program";
    Unsuitable => "flash-unsuitable", "the flash is too small for the store, or its sectors do not fit";
    Device => "flash-failed", "the flash failed";
    Full => "store-full", "the store must be tidied first, at rest";
    TooLong => "record-too-long", "this is longer than the store takes";
});

/// Why a recipe was not recalled.
#[allow(clippy::large_enum_variant)] // no heap to box it on
#[derive(Clone, Debug, PartialEq)]
pub enum RecallError {
    /// The store has none to give.
    Store(StoreError),
    /// It fails its check against this machine: every violation.
    Refused(Vec<Violation, MAX_VIOLATIONS>),
}

/// The store, on a flash that it owns.
#[derive(Debug)]
pub struct Store<F> {
    flash: F,
    /// Size of a bank, bytes.
    bank: u32,
    /// Erases of each bank.
    erases: [u32; 2],
    /// The bank in force; none on a flash that holds no store yet.
    active: Option<Active>,
    /// One record, on its way in or out.
    buffer: [u8; MAX_RECORD],
}

impl<F: ReadNorFlash> Store<F> {
    /// Finds what is stored. Reads only; a flash without a store is an empty one.
    ///
    /// # Errors
    /// [`StoreError::Unsuitable`], [`StoreError::OtherFormat`], [`StoreError::Device`].
    pub fn open(flash: F) -> Result<Self, StoreError> {
        let mut store = Self {
            flash,
            bank: 0,
            erases: [0; 2],
            active: None,
            buffer: [0; MAX_RECORD],
        };
        store.reopen()?;
        Ok(store)
    }

    /// [`Store::open`], in the place of what was known before.
    ///
    /// # Errors
    /// As there; nothing is stored then.
    fn reopen(&mut self) -> Result<(), StoreError> {
        self.active = None;
        self.erases = [0; 2];
        let capacity = u32::try_from(self.flash.capacity()).map_err(|_| StoreError::Unsuitable)?;
        self.bank = capacity / 2;
        let fits = WORD.is_multiple_of(F::READ_SIZE.max(1)) && self.bank.is_multiple_of(STEP);
        if self.bank < MIN_BANK || !fits {
            return Err(StoreError::Unsuitable);
        }
        let [lower, upper] = Bank::BOTH.map(|bank| self.bank_head(bank));
        self.active = self.newest(lower?, upper?)?;
        Ok(())
    }

    /// A stored recipe, with what `check` said of it, to be shown or copied. Whoever wants to run it recalls it.
    ///
    /// # Errors
    /// What the slot lacks.
    pub fn recipe(&mut self, slot: u8) -> Result<StoredRecipe, StoreError> {
        let mut stored = StoredRecipe::EMPTY;
        self.read_recipe(slot, &mut stored)?;
        Ok(stored)
    }

    /// [`Store::recipe`], into a place that is there already: a recipe is large for a stack.
    ///
    /// # Errors
    /// What the slot lacks; the place then holds nothing that passes a check.
    pub fn read_recipe(&mut self, slot: u8, into: &mut StoredRecipe) -> Result<(), StoreError> {
        into.recipe.steps.clear();
        let payload = self.of_schema(recipe_key(slot)?, RECIPE_SCHEMA)?;
        into.read(payload).map_err(|_| StoreError::Damaged)
    }

    /// Recalls a recipe for these parameters, through the same check as any other.
    ///
    /// # Errors
    /// What the slot lacks, or every violation.
    #[allow(clippy::result_large_err)] // no heap to box it on, and a recipe is recalled once, not in the tick
    pub fn recall(
        &mut self,
        slot: u8,
        params: &CheckedParams,
    ) -> Result<CheckedRecipe, RecallError> {
        let stored = self.recipe(slot).map_err(RecallError::Store)?;
        stored.recipe.check(params).map_err(RecallError::Refused)
    }

    /// The machine's parameters, not yet believed: they go through their own check.
    ///
    /// # Errors
    /// What the record lacks.
    pub fn params(&mut self) -> Result<ParamsWire, StoreError> {
        self.decode(Key::Params, PARAMS_SCHEMA)
    }

    /// How far the last cycle got.
    ///
    /// # Errors
    /// What the record lacks.
    pub fn progress(&mut self) -> Result<Progress, StoreError> {
        self.decode(Key::Progress, PROGRESS_SCHEMA)
    }

    /// Erases that each sector of the lower and of the upper bank has had. It may lack one for each time that the power went during a
    /// move.
    #[must_use]
    pub const fn erases(&self) -> [u32; 2] {
        self.erases
    }

    /// Bytes left in the bank in force; none if it takes no more.
    #[must_use]
    pub fn room(&self) -> u32 {
        self.active
            .as_ref()
            .map_or(0, |active| active.room(self.bank))
    }

    /// Records were found that a loss of power does not explain: the flash has lost bits, or something else wrote to it.
    #[must_use]
    pub fn is_damaged(&self) -> bool {
        self.active.as_ref().is_some_and(|active| active.damaged)
    }

    /// The flash, to be looked at.
    #[must_use]
    pub const fn flash(&self) -> &F {
        &self.flash
    }

    /// Gives the flash back.
    #[must_use]
    pub fn into_flash(self) -> F {
        self.flash
    }

    /// Reads a record of this kind, if it is of this version.
    fn decode<T: for<'a> Deserialize<'a>>(
        &mut self,
        key: Key,
        schema: u16,
    ) -> Result<T, StoreError> {
        match postcard::take_from_bytes(self.of_schema(key, schema)?) {
            Ok((value, [])) => Ok(value),
            _ => Err(StoreError::Damaged),
        }
    }

    /// The payload of the record in force, if it is of this version.
    fn of_schema(&mut self, key: Key, schema: u16) -> Result<&[u8], StoreError> {
        let payload = self.payload(key)?;
        let (found, _) =
            postcard::take_from_bytes::<u16>(payload).map_err(|_| StoreError::Damaged)?;
        if found == schema {
            Ok(payload)
        } else {
            Err(StoreError::OtherSchema)
        }
    }

    /// The payload of the record in force, from the flash, its checksum proved.
    fn payload(&mut self, key: Key) -> Result<&[u8], StoreError> {
        let found = self.active.as_ref().and_then(|active| active.place(key));
        let place = found.ok_or(StoreError::Empty)?;
        let head = Head::read(self.read(place.at)?).ok_or(StoreError::Damaged)?;
        if head.key != key || head.size() != place.size {
            return Err(StoreError::Damaged);
        }
        let payload = self.fetch(place)?.get(WORD..).unwrap_or_default();
        let payload = payload.get(..usize::from(head.length)).unwrap_or_default();
        if head.fits(payload) {
            Ok(payload)
        } else {
            Err(StoreError::Damaged)
        }
    }

    /// A whole record, read into the buffer.
    fn fetch(&mut self, place: Place) -> Result<&mut [u8], StoreError> {
        let record = usize::try_from(place.size)
            .ok()
            .and_then(|size| self.buffer.get_mut(..size))
            .ok_or(StoreError::Damaged)?;
        self.flash
            .read(place.at, record)
            .map_err(|_| StoreError::Device)?;
        Ok(record)
    }

    /// Some bytes at an offset.
    fn read<const N: usize>(&mut self, at: u32) -> Result<[u8; N], StoreError> {
        let mut bytes = [0; N];
        self.flash
            .read(at, &mut bytes)
            .map_err(|_| StoreError::Device)?;
        Ok(bytes)
    }

    /// Header of a bank, and whether the bank counts.
    fn bank_head(&mut self, bank: Bank) -> Result<Option<(BankHead, bool)>, StoreError> {
        let start = bank.start(self.bank);
        let Some(head) = BankHead::read(&self.read(start)?) else {
            return Ok(None);
        };
        let commit = self.read(start.saturating_add(BANK_COMMIT))?;
        Ok(Some((head, head.commit() == commit)))
    }
}

fn recipe_key(slot: u8) -> Result<Key, StoreError> {
    if slot < SLOTS {
        Ok(Key::Recipe(slot))
    } else {
        Err(StoreError::NoSuchSlot)
    }
}

#[cfg(test)]
#[allow(
    clippy::cast_possible_truncation,
    clippy::disallowed_methods,
    clippy::wildcard_enum_match_arm
)] // a flash of bytes, and hexadecimal digits
mod tests;

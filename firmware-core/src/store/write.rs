//! What changes the flash: one record behind the last, or a move of everything into the other bank.

use super::layout::{
    BANK_COMMIT, Bank, BankHead, Head, Key, MAX_PAYLOAD, STEP, STORE_FORMAT, WORD,
};
use super::scan::{Active, Place};
use super::{Progress, Store, StoreError, StoredRecipe, recipe_key};
use crate::params::{CheckedParams, ParamsWire};
use embedded_storage::nor_flash::NorFlash;

/// What a record holds.
#[derive(Clone, Copy)]
enum Payload<'a> {
    /// What was there is no more.
    Nothing,
    Recipe(&'a StoredRecipe),
    Params(&'a ParamsWire),
    Progress(&'a Progress),
}

impl Payload<'_> {
    /// Its bytes, in this room. Not generic over the flash: the code for every kind of value is made once, and with this crate.
    #[inline(never)]
    fn bytes(self, room: &mut [u8]) -> Result<&[u8], StoreError> {
        let bytes = match self {
            Self::Nothing => return Ok(&[]),
            Self::Recipe(recipe) => postcard::to_slice(recipe, room),
            Self::Params(params) => postcard::to_slice(params, room),
            Self::Progress(progress) => postcard::to_slice(progress, room),
        };
        bytes.map(|bytes| &*bytes).map_err(|_| StoreError::TooLong)
    }
}

impl<F: NorFlash> Store<F> {
    /// Stores a recipe in a slot; what was there stays until the new one is whole.
    ///
    /// # Errors
    /// Nothing has changed then.
    pub fn put(&mut self, slot: u8, recipe: &StoredRecipe) -> Result<(), StoreError> {
        self.keep(recipe_key(slot)?, Payload::Recipe(recipe))
    }

    /// Empties a slot.
    ///
    /// # Errors
    /// As [`Store::put`].
    pub fn erase(&mut self, slot: u8) -> Result<(), StoreError> {
        let key = recipe_key(slot)?;
        if self.active.as_ref().and_then(|a| a.place(key)).is_none() {
            return Ok(());
        }
        self.keep(key, Payload::Nothing)
    }

    /// Stores the machine's parameters. Recipes that were compiled against others are refused when they are recalled.
    ///
    /// # Errors
    /// As [`Store::put`].
    pub fn put_params(&mut self, params: &CheckedParams) -> Result<(), StoreError> {
        self.keep(Key::Params, Payload::Params(params.get()))
    }

    /// Stores how far a cycle got, where there is room; never erases, so it may be called while a cycle runs.
    ///
    /// # Errors
    /// [`StoreError::Full`] without room; what was stored before stays.
    pub fn note(&mut self, progress: &Progress) -> Result<(), StoreError> {
        let head = self.encode(Key::Progress, Payload::Progress(progress))?;
        self.append(head)
    }

    /// Makes room for so many bytes, at rest: moves to the other bank if this one has less.
    ///
    /// # Errors
    /// [`StoreError::Full`] if there is less room even then; otherwise as [`Store::put`].
    pub fn make_room(&mut self, bytes: u32) -> Result<(), StoreError> {
        if self.room() < bytes {
            self.change_banks()?;
        }
        if self.room() < bytes {
            return Err(StoreError::Full);
        }
        Ok(())
    }

    /// Adds a record; where it does not fit, or the flash does not keep it there, moves first.
    fn keep(&mut self, key: Key, payload: Payload<'_>) -> Result<(), StoreError> {
        let head = self.encode(key, payload)?;
        if self.append(head).is_ok() {
            return Ok(());
        }
        self.change_banks()?;
        // The move used the buffer.
        let head = self.encode(key, payload)?;
        self.append(head)
    }

    /// Puts header, payload and padding into the buffer.
    fn encode(&mut self, key: Key, payload: Payload<'_>) -> Result<Head, StoreError> {
        self.buffer.fill(0xFF);
        let (first, rest) = self
            .buffer
            .split_first_chunk_mut::<WORD>()
            .ok_or(StoreError::TooLong)?;
        let payload = payload.bytes(rest.get_mut(..MAX_PAYLOAD).unwrap_or_default())?;
        let head = Head::of(key, payload).ok_or(StoreError::TooLong)?;
        *first = head.word();
        Ok(head)
    }

    /// Writes the record in the buffer behind the last one: header and payload, then the word that ends it.
    fn append(&mut self, head: Head) -> Result<(), StoreError> {
        let active = self.active.as_mut().ok_or(StoreError::Full)?;
        if active.room(self.bank) < head.size() {
            return Err(StoreError::Full);
        }
        // Until it is whole, nothing else may be written behind it.
        active.sealed = true;
        let start = active.bank.start(self.bank);
        let at = start.saturating_add(active.end);
        let body = usize::try_from(head.body()).unwrap_or(usize::MAX);
        let body = self.buffer.get(..body).ok_or(StoreError::TooLong)?;
        write(&mut self.flash, at, body)?;
        let end = at.saturating_add(head.body());
        write(&mut self.flash, end, &head.commit())?;
        active.take(head, start);
        active.sealed = false;
        Ok(())
    }

    /// Moves everything in force into the other bank. This one counts until the other's commit word is written.
    pub(super) fn change_banks(&mut self) -> Result<(), StoreError> {
        let sectors = F::ERASE_SIZE > 0 && (self.bank as usize).is_multiple_of(F::ERASE_SIZE);
        let words = F::WRITE_SIZE > 0 && WORD.is_multiple_of(F::WRITE_SIZE);
        if !sectors || !words {
            return Err(StoreError::Unsuitable);
        }
        let (to, generation) = match &self.active {
            Some(from) => (from.bank.other(), from.head.generation.wrapping_add(1)),
            None => (Bank::Lower, 1),
        };
        let start = to.start(self.bank);
        self.flash
            .erase(start, start.saturating_add(self.bank))
            .map_err(|_| StoreError::Device)?;
        let [lower, upper] = &mut self.erases;
        let (own, other) = match to {
            Bank::Lower => (lower, upper),
            Bank::Upper => (upper, lower),
        };
        *own = own.saturating_add(1);
        let head = BankHead {
            format: STORE_FORMAT,
            generation,
            own: *own,
            other: *other,
        };
        write(&mut self.flash, start, &head.bytes())?;
        let mut moved = Active::new(to, head);
        for key in Key::all() {
            let place = self.active.as_ref().and_then(|from| from.place(key));
            if let Some(place) = place {
                self.copy(place, start, &mut moved)?;
            }
        }
        let commit = start.saturating_add(BANK_COMMIT);
        write(&mut self.flash, commit, &head.commit())?;
        self.active = Some(moved);
        Ok(())
    }

    /// Copies a record as it is: a damaged one stays a damaged one, and is not taken for none.
    fn copy(&mut self, place: Place, start: u32, moved: &mut Active) -> Result<(), StoreError> {
        let at = start.saturating_add(moved.end);
        let head = Head::read(self.read(place.at)?).ok_or(StoreError::Device)?;
        self.fetch(place)?;
        let size = usize::try_from(place.size).unwrap_or(usize::MAX);
        let record = self.buffer.get(..size).ok_or(StoreError::Device)?;
        write(&mut self.flash, at, record)?;
        moved.take(head, start);
        Ok(())
    }
}

/// Writes whole words, and reads them back.
fn write<F: NorFlash>(flash: &mut F, at: u32, bytes: &[u8]) -> Result<(), StoreError> {
    flash.write(at, bytes).map_err(|_| StoreError::Device)?;
    let mut place = at;
    for word in bytes.as_chunks::<WORD>().0 {
        let mut found = [0; WORD];
        flash
            .read(place, &mut found)
            .map_err(|_| StoreError::Device)?;
        if found != *word {
            return Err(StoreError::Device);
        }
        place = place.saturating_add(STEP);
    }
    Ok(())
}

//! The store as link and cycle use it: recipes by slot for a host, the progress of a cycle as it comes.

use super::{Checked, Progress, SLOTS, Store, StoreError, StoredRecipe, fingerprint};
use crate::link::slots::{SlotFault, Slots};
use crate::recipe::RecipeWire;
use crate::status::Status;
use embedded_storage::nor_flash::NorFlash;
use heapless::String;

/// Room that is made for the progress of a cycle while the machine rests, bytes: some 50 records of it (`docs/store.md`).
const ROOM: u32 = 2048;

/// Recipes by slot, from 1, and the progress of the last cycle.
#[derive(Debug)]
pub struct Shelf<F> {
    store: Store<F>,
    /// A recipe on its way in or out.
    place: StoredRecipe,
    /// Slot of the recipe that was loaded last, where it came from one, and its fingerprint.
    loaded: Option<(Option<u8>, u32)>,
    noted: Option<Progress>,
    changed: bool,
}

impl<F: NorFlash> Shelf<F> {
    /// On this store.
    pub fn on(mut store: Store<F>) -> Self {
        let noted = store.progress().ok();
        Self {
            store,
            place: StoredRecipe::EMPTY,
            loaded: None,
            noted,
            changed: false,
        }
    }

    /// Begins anew in this place, on what the flash holds: the power has come back.
    ///
    /// # Errors
    /// What the flash lacks to be a store; it is an empty one then.
    #[inline(never)]
    pub fn power_up(&mut self) -> Result<(), StoreError> {
        self.loaded = None;
        self.changed = false;
        let opened = self.store.reopen();
        self.noted = self.store.progress().ok();
        opened
    }

    /// How far the last cycle got.
    #[must_use]
    pub const fn progress(&self) -> Option<&Progress> {
        self.noted.as_ref()
    }

    /// The store.
    pub const fn store(&mut self) -> &mut Store<F> {
        &mut self.store
    }

    /// The controller has loaded the recipe in the place, which came from no slot.
    pub fn loaded_otherwise(&mut self) {
        self.keep(None);
    }

    #[inline(never)]
    fn keep(&mut self, slot: Option<u8>) {
        self.loaded = fingerprint(&self.place.recipe).map(|print| (slot, print));
    }

    /// Notes how far a cycle has got, where that is due; makes room for it while the machine rests.
    ///
    /// # Errors
    /// The flash failed, or is full. The cycle goes on.
    #[inline(never)]
    pub fn note(&mut self, status: &Status) -> Result<(), StoreError> {
        let now = self.now(status);
        if now.is_due(self.noted.as_ref()) {
            self.write(now)
        } else if !now.in_cycle() && self.store.room() < ROOM {
            self.changed = true;
            self.store.make_room(ROOM)
        } else {
            Ok(())
        }
    }

    /// The power is going: notes how far a cycle has got, due or not. At rest nothing is written.
    ///
    /// # Errors
    /// As [`Shelf::note`].
    #[inline(never)]
    pub fn note_last(&mut self, status: &Status) -> Result<(), StoreError> {
        let now = self.now(status);
        if now.in_cycle() {
            self.write(now)
        } else {
            Ok(())
        }
    }

    /// The flash may hold something else than when this was asked last.
    pub const fn has_changed(&mut self) -> bool {
        core::mem::replace(&mut self.changed, false)
    }

    fn now(&self, status: &Status) -> Progress {
        let (slot, recipe) = self.loaded.unwrap_or_default();
        Progress::of(status, slot, recipe)
    }

    #[inline(never)]
    fn write(&mut self, now: Progress) -> Result<(), StoreError> {
        self.noted = Some(now);
        self.changed = true;
        self.store.note(&now)
    }

    #[inline(never)]
    fn take(&mut self, slot: u8) -> Result<(), SlotFault> {
        let read = self.store.read_recipe(counted(slot)?, &mut self.place);
        read.map_err(fault)
    }
}

/// The store counts its slots from 0.
fn counted(slot: u8) -> Result<u8, SlotFault> {
    slot.checked_sub(1).ok_or(SlotFault::NoSuch)
}

const fn fault(error: StoreError) -> SlotFault {
    match error {
        StoreError::NoSuchSlot => SlotFault::NoSuch,
        StoreError::Empty => SlotFault::Empty,
        StoreError::Damaged
        | StoreError::OtherSchema
        | StoreError::OtherFormat
        | StoreError::Unsuitable
        | StoreError::Device
        | StoreError::Full
        | StoreError::TooLong => SlotFault::Failed,
    }
}

impl<F: NorFlash> Slots for Shelf<F> {
    fn count(&self) -> u8 {
        SLOTS
    }

    fn name(&mut self, slot: u8) -> Result<String<24>, SlotFault> {
        self.take(slot)?;
        Ok(self.place.recipe.name.clone())
    }

    fn place(&mut self) -> &mut RecipeWire {
        &mut self.place.recipe
    }

    fn get(&mut self, slot: u8) -> Result<&RecipeWire, SlotFault> {
        self.take(slot)?;
        Ok(&self.place.recipe)
    }

    #[inline(never)]
    fn put(&mut self, slot: u8) -> Result<(), SlotFault> {
        // What came over a line was checked by nobody that this side knows.
        self.place.checked = Checked::default();
        self.changed = true;
        self.store.put(counted(slot)?, &self.place).map_err(fault)
    }

    #[inline(never)]
    fn erase(&mut self, slot: u8) -> Result<(), SlotFault> {
        self.take(slot)?;
        self.changed = true;
        self.store.erase(counted(slot)?).map_err(fault)
    }

    fn loaded(&mut self, slot: u8) {
        self.keep(Some(slot));
    }
}

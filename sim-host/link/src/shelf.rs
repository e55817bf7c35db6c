//! Recipes by slot, in the store of a simulated flash.

use firmware_core::link::slots::{SlotFault, Slots};
use firmware_core::recipe::RecipeWire;
use firmware_core::status::Status;
use firmware_core::store::{Checked, Progress, Store, StoreError, StoredRecipe, fingerprint};
use heapless::String;
use twinplate_sim::flash::Flash;

/// Room that is made for the progress of a cycle while the machine rests, bytes: some 50 records of it (`docs/store.md`).
const ROOM: u32 = 2048;

/// Recipes by slot, from 1, and the progress of the last cycle.
#[derive(Debug)]
pub struct Shelf {
    store: Store<Flash>,
    /// Slot that was read last, and the fingerprint of its recipe: what a recall loads.
    read: Option<(u8, u32)>,
    noted: Option<Progress>,
    changed: bool,
}

impl Shelf {
    /// On this flash.
    ///
    /// # Errors
    /// What its content lacks to be a store.
    pub fn on(flash: Flash) -> Result<Self, StoreError> {
        let mut store = Store::open(flash)?;
        let noted = store.progress().ok();
        Ok(Self {
            store,
            read: None,
            noted,
            changed: false,
        })
    }

    /// How far the last cycle got.
    #[must_use]
    pub const fn progress(&self) -> Option<&Progress> {
        self.noted.as_ref()
    }

    /// Notes how far a cycle has got, where that is due; makes room for it while the machine rests.
    ///
    /// # Errors
    /// The flash failed, or is full. The cycle goes on.
    pub fn note(&mut self, status: &Status) -> Result<(), StoreError> {
        let (slot, recipe) = self.read.unzip();
        let now = Progress::of(status, slot, recipe.unwrap_or_default());
        if now.is_due(self.noted.as_ref()) {
            self.noted = Some(now);
            self.store.note(&now)?;
            self.changed = true;
        } else if !now.in_cycle() && self.store.room() < ROOM {
            self.store.make_room(ROOM)?;
            self.changed = true;
        }
        Ok(())
    }

    /// The bytes of the flash, if they have changed since this was asked last.
    pub fn changes(&mut self) -> Option<&[u8]> {
        std::mem::take(&mut self.changed).then(|| self.store.flash().bytes())
    }

    fn stored(&mut self, slot: u8) -> Result<StoredRecipe, SlotFault> {
        self.store.recipe(place(slot)?).map_err(fault)
    }
}

/// The store counts its slots from 0.
fn place(slot: u8) -> Result<u8, SlotFault> {
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

impl Slots for Shelf {
    fn count(&self) -> u8 {
        firmware_core::store::SLOTS
    }

    fn name(&mut self, slot: u8) -> Result<String<24>, SlotFault> {
        Ok(self.stored(slot)?.recipe.name)
    }

    fn get(&mut self, slot: u8) -> Result<RecipeWire, SlotFault> {
        let recipe = self.stored(slot)?.recipe;
        self.read = fingerprint(&recipe).map(|print| (slot, print));
        Ok(recipe)
    }

    fn put(&mut self, slot: u8, recipe: &RecipeWire) -> Result<(), SlotFault> {
        // What came over a line was checked by nobody that this side knows.
        let stored = StoredRecipe {
            recipe: recipe.clone(),
            checked: Checked::default(),
        };
        self.store.put(place(slot)?, &stored).map_err(fault)?;
        self.changed = true;
        Ok(())
    }

    fn erase(&mut self, slot: u8) -> Result<(), SlotFault> {
        self.stored(slot)?;
        self.store.erase(place(slot)?).map_err(fault)?;
        self.changed = true;
        Ok(())
    }
}

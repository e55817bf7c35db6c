//! Recipes by slot, in memory: gone with the process.

use firmware_core::link::slots::{SlotFault, Slots};
use firmware_core::recipe::RecipeWire;
use heapless::String;

/// How many slots there are.
pub const SLOTS: u8 = 16;

/// Recipes by slot.
#[derive(Clone, Debug, Default)]
pub struct Shelf {
    stored: [Option<RecipeWire>; SLOTS as usize],
}

impl Shelf {
    fn place(&mut self, slot: u8) -> Result<&mut Option<RecipeWire>, SlotFault> {
        usize::from(slot)
            .checked_sub(1)
            .and_then(|place| self.stored.get_mut(place))
            .ok_or(SlotFault::NoSuch)
    }
}

impl Slots for Shelf {
    fn count(&self) -> u8 {
        SLOTS
    }

    fn name(&mut self, slot: u8) -> Result<String<24>, SlotFault> {
        let place = self.place(slot)?.as_ref();
        place
            .map(|recipe| recipe.name.clone())
            .ok_or(SlotFault::Empty)
    }

    fn get(&mut self, slot: u8) -> Result<RecipeWire, SlotFault> {
        self.place(slot)?.clone().ok_or(SlotFault::Empty)
    }

    fn put(&mut self, slot: u8, recipe: &RecipeWire) -> Result<(), SlotFault> {
        *self.place(slot)? = Some(recipe.clone());
        Ok(())
    }

    fn erase(&mut self, slot: u8) -> Result<(), SlotFault> {
        self.place(slot)?.take().map(drop).ok_or(SlotFault::Empty)
    }
}

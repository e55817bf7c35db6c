//! Where recipes are stored, as far as the link asks.

use crate::recipe::RecipeWire;
use heapless::String;

/// Why a slot did not do what was asked. Nothing has changed then.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SlotFault {
    /// There is no such slot.
    NoSuch,
    /// Nothing is stored there.
    Empty,
    /// The memory failed.
    Failed,
}

/// Stored recipes by slot, from 1 to [`Slots::count`], and one place where a recipe lies on its way in or out: it is large for a stack.
pub trait Slots {
    /// How many slots there are.
    fn count(&self) -> u8;

    /// Name of the recipe in a slot.
    ///
    /// # Errors
    /// No such slot, an empty one, or the memory failed.
    fn name(&mut self, slot: u8) -> Result<String<24>, SlotFault>;

    /// The place, for a recipe that is to be put.
    fn place(&mut self) -> &mut RecipeWire;

    /// Takes the recipe in a slot, as it was put, into the place.
    ///
    /// # Errors
    /// As [`Slots::name`].
    fn get(&mut self, slot: u8) -> Result<&RecipeWire, SlotFault>;

    /// Stores the recipe in the place; what was in the slot before is replaced.
    ///
    /// # Errors
    /// No such slot, or the memory failed.
    fn put(&mut self, slot: u8) -> Result<(), SlotFault>;

    /// Empties a slot.
    ///
    /// # Errors
    /// As [`Slots::name`].
    fn erase(&mut self, slot: u8) -> Result<(), SlotFault>;

    /// The controller has loaded the recipe in the place; it came from this slot.
    fn loaded(&mut self, slot: u8);
}

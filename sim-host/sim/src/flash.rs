//! NOR flash in memory, as the recipe store of a simulated controller has it: an erase sets every bit, a write clears bits.

use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash};
use firmware_core::store::{Image, Store, StoreError, StoredRecipe};
use std::ops::Range;

/// Bytes of a sector (invented; a common size of serial flash).
const SECTOR: usize = 4096;
/// Bytes of a write (invented; the coarsest that the store serves).
const WORD: usize = 8;
/// The flash of a simulated controller.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flash(Vec<u8>);

impl Flash {
    /// Its bytes: two banks of eight sectors.
    pub const SIZE: usize = 16 * SECTOR;

    /// As it comes from the factory.
    #[must_use]
    pub fn erased() -> Self {
        Self(vec![0xFF; Self::SIZE])
    }

    /// With these recipes in the slots of its store, from the first one on.
    ///
    /// # Errors
    /// More than there are slots, or longer than a slot takes.
    pub fn holding<'a>(
        recipes: impl IntoIterator<Item = &'a StoredRecipe>,
    ) -> Result<Store<Self>, StoreError> {
        let mut store = Store::open(Self::erased())?;
        for (slot, recipe) in (0..).zip(recipes) {
            store.put(slot, recipe)?;
        }
        Ok(store)
    }

    /// With these bytes in it. The store says whether they suit it.
    #[must_use]
    pub const fn of(bytes: Vec<u8>) -> Self {
        Self(bytes)
    }

    /// What is in it.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.0
    }

    /// The place from `from` to `to`, if it begins and ends on multiples of `step`.
    fn place(&mut self, range: Range<usize>, step: usize) -> Result<&mut [u8], NorFlashErrorKind> {
        if !(range.start.is_multiple_of(step) && range.end.is_multiple_of(step)) {
            return Err(NorFlashErrorKind::NotAligned);
        }
        self.0.get_mut(range).ok_or(NorFlashErrorKind::OutOfBounds)
    }
}

impl ErrorType for Flash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for Flash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        Image(&self.0).read(offset, bytes)
    }

    fn capacity(&self) -> usize {
        self.0.len()
    }
}

impl NorFlash for Flash {
    const WRITE_SIZE: usize = WORD;
    const ERASE_SIZE: usize = SECTOR;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
        let range = from as usize..to as usize;
        self.place(range, SECTOR).map(|place| place.fill(0xFF))
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
        let from = offset as usize;
        let place = self.place(from..from + bytes.len(), WORD)?;
        for (old, new) in place.iter_mut().zip(bytes) {
            *old &= *new;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_erase_sets_what_writes_have_cleared_and_nothing_else_does() {
        let mut flash = Flash::erased();
        flash.write(8, &[0x0F; 8]).expect("inside");
        flash.write(8, &[0xF5; 8]).expect("inside");
        assert_eq!(flash.bytes()[7..17], [0xFF, 5, 5, 5, 5, 5, 5, 5, 5, 0xFF]);
        flash.erase(0, 4096).expect("a sector");
        assert_eq!(flash, Flash::erased());
    }

    #[test]
    fn what_is_not_in_it_or_not_whole_is_refused() {
        let mut flash = Flash::erased();
        assert_eq!(flash.write(4, &[0; 8]), Err(NorFlashErrorKind::NotAligned));
        assert_eq!(flash.write(0, &[0; 4]), Err(NorFlashErrorKind::NotAligned));
        assert_eq!(flash.erase(0, 8), Err(NorFlashErrorKind::NotAligned));
        let size = u32::try_from(Flash::SIZE).expect("small");
        assert_eq!(
            flash.write(size, &[0; 8]),
            Err(NorFlashErrorKind::OutOfBounds)
        );
        assert_eq!(
            flash.erase(size, size + 4096),
            Err(NorFlashErrorKind::OutOfBounds)
        );
        assert_eq!(flash, Flash::erased());
    }
}

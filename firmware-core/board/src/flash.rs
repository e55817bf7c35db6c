//! The recipe store's flash: a piece of the board's memory that obeys the rules of NOR flash and outlasts the power where the emulator
//! keeps it in a file. An erase sets every bit of a sector, a write clears bits of whole words.

use core::ops::Range;
use embedded_storage::nor_flash::{ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash};
use firmware_core::store::Image;

/// Where it begins: the board's outer memory.
const BASE: usize = 0x2100_0000;
/// Bytes: two banks of eight sectors.
const SIZE: usize = 16 * SECTOR;
/// Bytes of an erase and of a write (invented; as in the simulated controller's).
const SECTOR: usize = 4096;
const WORD: usize = 8;

/// The flash. There is one.
pub struct Flash(());

impl Flash {
    fn bytes(&mut self) -> &mut [u8] {
        // SAFETY: memory that the linker gives to nothing; whoever has it has the only flash.
        unsafe { core::slice::from_raw_parts_mut(BASE as *mut u8, SIZE) }
    }

    /// The place from `from` to `to`, if it begins and ends on multiples of `step`.
    fn place(&mut self, range: Range<usize>, step: usize) -> Result<&mut [u8], NorFlashErrorKind> {
        if !(range.start.is_multiple_of(step) && range.end.is_multiple_of(step)) {
            return Err(NorFlashErrorKind::NotAligned);
        }
        let place = self.bytes().get_mut(range);
        place.ok_or(NorFlashErrorKind::OutOfBounds)
    }
}

impl ErrorType for Flash {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for Flash {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        Image(self.bytes()).read(offset, bytes)
    }

    fn capacity(&self) -> usize {
        SIZE
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
        let place = self.place(from..from.saturating_add(bytes.len()), WORD)?;
        for (old, new) in place.iter_mut().zip(bytes) {
            *old &= *new;
        }
        Ok(())
    }
}

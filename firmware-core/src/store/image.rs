//! A flash that can only be read: one that the processor sees in its memory, or the copy of one in a file.

use core::ops::Range;
use embedded_storage::nor_flash::{ErrorType, NorFlashErrorKind, ReadNorFlash};

/// The bytes of a flash.
#[derive(Clone, Copy, Debug)]
pub struct Image<'a>(pub &'a [u8]);

impl ErrorType for Image<'_> {
    type Error = NorFlashErrorKind;
}

impl ReadNorFlash for Image<'_> {
    const READ_SIZE: usize = 1;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        let found = range(offset, bytes.len())
            .and_then(|range| self.0.get(range))
            .ok_or(NorFlashErrorKind::OutOfBounds)?;
        for (byte, found) in bytes.iter_mut().zip(found) {
            *byte = *found;
        }
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.0.len()
    }
}

fn range(offset: u32, length: usize) -> Option<Range<usize>> {
    let from = usize::try_from(offset).ok()?;
    Some(from..from.checked_add(length)?)
}

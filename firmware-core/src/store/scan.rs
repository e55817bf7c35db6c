//! Which bank is in force, and what is in it.

use super::layout::{BANK_HEADER, Bank, BankHead, Head, KEYS, Key, STEP, STORE_FORMAT, WORD};
use super::{Store, StoreError};
use embedded_storage::nor_flash::ReadNorFlash;

/// A word that nothing was written to.
const BLANK: [u8; WORD] = [0xFF; WORD];

/// Where a record lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Place {
    /// Offset in the flash.
    pub at: u32,
    /// Bytes, header and commit word included.
    pub size: u32,
}

/// The bank in force.
#[derive(Clone, Debug)]
pub(super) struct Active {
    pub bank: Bank,
    pub head: BankHead,
    /// The last record of each key; none where nothing is stored.
    places: [Option<Place>; KEYS],
    /// Offset behind everything that is written, from the bank's start.
    pub end: u32,
    /// Something was written behind the last record, or is being written: no word of it may be written again.
    pub sealed: bool,
    pub damaged: bool,
}

impl Active {
    pub(super) const fn new(bank: Bank, head: BankHead) -> Self {
        Self {
            bank,
            head,
            places: [None; KEYS],
            end: BANK_HEADER,
            sealed: false,
            damaged: false,
        }
    }
    pub(super) fn place(&self, key: Key) -> Option<Place> {
        self.places.get(key.index()).copied().flatten()
    }
    pub(super) fn room(&self, bank: u32) -> u32 {
        if self.sealed {
            0
        } else {
            bank.saturating_sub(self.end)
        }
    }
    /// Takes a whole record at the end into force.
    pub(super) fn take(&mut self, head: Head, start: u32) {
        let place = Place {
            at: start.saturating_add(self.end),
            size: head.size(),
        };
        if let Some(kept) = self.places.get_mut(head.key.index()) {
            *kept = (head.length > 0).then_some(place);
        }
        self.end = self.end.saturating_add(head.size());
    }
}

impl<F: ReadNorFlash> Store<F> {
    /// Chooses the newer of the banks that count, and reads it. What both know of erases is kept either way.
    pub(super) fn newest(
        &mut self,
        lower: Option<(BankHead, bool)>,
        upper: Option<(BankHead, bool)>,
    ) -> Result<Option<Active>, StoreError> {
        for (bank, found) in [(Bank::Lower, lower), (Bank::Upper, upper)] {
            if let Some((head, _)) = found {
                self.learn_erases(bank, head);
            }
        }
        let [lower, upper] = [lower, upper].map(|found| found.filter(|(_, counts)| *counts));
        let (bank, head) = match (lower, upper) {
            (None, None) => return Ok(None),
            (Some((head, _)), None) => (Bank::Lower, head),
            (None, Some((head, _))) => (Bank::Upper, head),
            (Some((lower, _)), Some((upper, _))) => {
                if upper.is_after(lower) {
                    (Bank::Upper, upper)
                } else {
                    (Bank::Lower, lower)
                }
            }
        };
        if head.format != STORE_FORMAT {
            return Err(StoreError::OtherFormat);
        }
        self.scan(Active::new(bank, head)).map(Some)
    }

    fn learn_erases(&mut self, bank: Bank, head: BankHead) {
        let [lower, upper] = &mut self.erases;
        let (own, other) = match bank {
            Bank::Lower => (lower, upper),
            Bank::Upper => (upper, lower),
        };
        *own = (*own).max(head.own);
        *other = (*other).max(head.other);
    }

    /// Reads a bank from its first record to its last byte. After a loss of power only the end of it can be anything but whole records.
    fn scan(&mut self, mut active: Active) -> Result<Active, StoreError> {
        let start = active.bank.start(self.bank);
        let mut at = BANK_HEADER;
        while at.saturating_add(STEP) <= self.bank {
            let word = self.read(start.saturating_add(at))?;
            if word == BLANK {
                at = at.saturating_add(STEP);
                continue;
            }
            // Something behind a gap: what should be there was never whole.
            active.sealed |= at != active.end;
            active.end = at;
            match self.whole(word, start, at)? {
                Some(head) => {
                    // Nothing is ever written behind a record that is not whole: a flash that shows it has lost something.
                    active.damaged |= active.sealed;
                    active.take(head, start);
                }
                None => {
                    active.sealed = true;
                    active.end = at.saturating_add(STEP);
                }
            }
            at = active.end;
        }
        Ok(active)
    }

    /// The header that a word is, if the record that it begins was written to its end.
    fn whole(&mut self, word: [u8; WORD], start: u32, at: u32) -> Result<Option<Head>, StoreError> {
        let Some(head) = Head::read(word) else {
            return Ok(None);
        };
        if head.size() > self.bank.saturating_sub(at) {
            return Ok(None);
        }
        let commit = self.read(start.saturating_add(at).saturating_add(head.body()))?;
        Ok((commit == head.commit()).then_some(head))
    }
}

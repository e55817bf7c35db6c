//! A NOR flash in memory, with the rules of one: a write only clears bits, an erase sets a whole sector. And the power may go at any byte.

use embedded_storage::nor_flash::{
    ErrorType, NorFlash, NorFlashErrorKind, ReadNorFlash, check_erase, check_read, check_write,
};
use std::vec::Vec;

/// What a second write to a word does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Twice {
    /// It is refused: the word has an error-correcting code, or the part forbids it.
    Refused,
    /// Bits are cleared on top of those that are.
    Anded,
}

/// A flash with sectors of `SECTOR` bytes that writes words of `W` bytes.
#[derive(Clone, Debug)]
pub struct Nor<const W: usize, const SECTOR: usize> {
    pub bytes: Vec<u8>,
    pub twice: Twice,
    /// A bit for each word: it was written to since its erase, whatever it reads.
    written: Vec<bool>,
    /// Erases of each sector that came to their end.
    pub erases: Vec<u32>,
    /// Bytes of a sector that a step of an erase takes: 1 has every byte as a place to be cut at.
    pub stride: usize,
    /// Steps until the power goes; none: it stays.
    pub cut: Option<u64>,
    /// Steps taken: a byte written, or [`Nor::stride`] bytes erased.
    pub steps: u64,
    /// How often the power went.
    pub cuts: u32,
    /// The power went. Nothing answers any more.
    pub dead: bool,
    pub random: Random,
}

/// A small generator of numbers (xorshift, G. Marsaglia, J. Statistical Software 8 (2003) 14): what a cut leaves.
#[derive(Clone, Debug)]
pub struct Random(pub u64);

impl Random {
    pub fn next(&mut self) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        self.0
    }
    pub fn byte(&mut self) -> u8 {
        (self.next() >> 32) as u8
    }
    pub fn below(&mut self, bound: u64) -> u64 {
        (self.next() >> 16) % bound
    }
}

impl<const W: usize, const SECTOR: usize> Nor<W, SECTOR> {
    pub fn new(size: usize, twice: Twice, seed: u64) -> Self {
        Self {
            bytes: std::vec![0xFF; size],
            twice,
            written: std::vec![false; size / W],
            erases: std::vec![0; size / SECTOR],
            stride: 1,
            cut: None,
            steps: 0,
            cuts: 0,
            dead: false,
            random: Random(seed | 1),
        }
    }

    /// The power is back: what is in the flash is what is left.
    pub fn restart(&mut self, seed: u64) {
        self.cut = None;
        self.steps = 0;
        self.dead = false;
        self.random = Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    }

    /// One step; false if the power goes in it.
    fn step(&mut self) -> bool {
        if self.cut == Some(self.steps) {
            self.dead = true;
            self.cuts += 1;
            return false;
        }
        self.steps += 1;
        true
    }

    /// An erase that stopped after `done` bytes. Charge leaves a sector evenly or from its beginning, and nobody knows which: every other
    /// time the bytes before it are erased and those behind it untouched, else every byte of the sector is the old one, erased, or
    /// between them.
    fn half_erased(&mut self, from: usize, done: usize) {
        let mixed = self.random.byte() & 1 == 0;
        for at in 0..SECTOR {
            let erased = if mixed {
                self.random.below(SECTOR as u64) < done as u64
            } else {
                at < done
            };
            let half = if mixed {
                self.random.byte() & 3 == 0
            } else {
                at == done
            };
            let some = if half { self.random.byte() } else { 0 };
            self.bytes[from + at] |= if erased { 0xFF } else { some };
        }
    }
}

impl<const W: usize, const SECTOR: usize> ErrorType for Nor<W, SECTOR> {
    type Error = NorFlashErrorKind;
}

impl<const W: usize, const SECTOR: usize> ReadNorFlash for Nor<W, SECTOR> {
    const READ_SIZE: usize = W;

    fn read(&mut self, offset: u32, bytes: &mut [u8]) -> Result<(), Self::Error> {
        check_read(self, offset, bytes.len())?;
        if self.dead {
            return Err(NorFlashErrorKind::Other);
        }
        let from = offset as usize;
        bytes.copy_from_slice(&self.bytes[from..from + bytes.len()]);
        Ok(())
    }

    fn capacity(&self) -> usize {
        self.bytes.len()
    }
}

impl<const W: usize, const SECTOR: usize> NorFlash for Nor<W, SECTOR> {
    const WRITE_SIZE: usize = W;
    const ERASE_SIZE: usize = SECTOR;

    fn erase(&mut self, from: u32, to: u32) -> Result<(), Self::Error> {
        check_erase(self, from, to)?;
        for from in (from as usize..to as usize).step_by(SECTOR) {
            if self.dead {
                return Err(NorFlashErrorKind::Other);
            }
            for done in (0..SECTOR).step_by(self.stride) {
                if !self.step() {
                    self.half_erased(from, done);
                    return Err(NorFlashErrorKind::Other);
                }
            }
            self.bytes[from..from + SECTOR].fill(0xFF);
            self.written[from / W..(from + SECTOR) / W].fill(false);
            self.erases[from / SECTOR] += 1;
        }
        Ok(())
    }

    fn write(&mut self, offset: u32, bytes: &[u8]) -> Result<(), Self::Error> {
        check_write(self, offset, bytes.len())?;
        for (index, byte) in bytes.iter().enumerate() {
            if self.dead {
                return Err(NorFlashErrorKind::Other);
            }
            let at = offset as usize + index;
            // The first byte of a word begins it; what was written before, whole or not, makes it a second time.
            let begins = at.is_multiple_of(W);
            if begins && self.written[at / W] && self.twice == Twice::Refused {
                return Err(NorFlashErrorKind::Other);
            }
            self.written[at / W] = true;
            if !self.step() {
                // Some of the bits were cleared in time.
                let some = self.random.byte();
                self.bytes[at] &= *byte | some;
                return Err(NorFlashErrorKind::Other);
            }
            self.bytes[at] &= *byte;
        }
        Ok(())
    }
}

/// The mock keeps the rules that a store must not break.
#[test]
fn a_write_only_clears_bits_and_an_erase_sets_a_sector() {
    type Small = Nor<4, 16>;
    let mut anded = Small::new(32, Twice::Anded, 1);
    anded.write(4, &[0xF0; 4]).unwrap();
    anded.write(4, &[0x3C; 4]).unwrap();
    assert_eq!(anded.bytes[4..8], [0x30; 4]);
    assert_eq!(anded.write(2, &[0; 4]), Err(NorFlashErrorKind::NotAligned));
    assert_eq!(anded.write(4, &[0; 3]), Err(NorFlashErrorKind::NotAligned));
    assert_eq!(anded.erase(0, 8), Err(NorFlashErrorKind::NotAligned));
    anded.erase(0, 16).unwrap();
    assert_eq!(anded.bytes, [0xFF; 32]);
    assert_eq!(anded.erases, [1, 0]);

    let mut refused = Small::new(32, Twice::Refused, 1);
    refused.write(4, &[0xF0; 4]).unwrap();
    assert_eq!(refused.write(4, &[0; 4]), Err(NorFlashErrorKind::Other));
    assert_eq!(refused.bytes[4..8], [0xF0; 4]);
    refused.erase(0, 16).unwrap();
    refused.write(4, &[0; 4]).unwrap();
}

#[test]
fn a_cut_leaves_a_byte_half_written_and_a_sector_undefined() {
    type Small = Nor<1, 64>;
    let mut halves = std::collections::BTreeSet::new();
    for seed in 0..64 {
        let mut flash = Small::new(64, Twice::Anded, 1);
        flash.restart(seed);
        flash.cut = Some(2);
        assert!(flash.write(0, &[0; 8]).is_err());
        assert_eq!(flash.bytes[..2], [0; 2]);
        assert_eq!(flash.bytes[3..], [0xFF; 61]);
        halves.insert(flash.bytes[2]);
        assert!(flash.read(0, &mut [0]).is_err(), "nothing answers");
    }
    assert!(halves.len() > 32, "{halves:?}");

    let mut mixed = 0;
    for seed in 0..64 {
        let mut flash = Small::new(64, Twice::Anded, 1);
        flash.write(0, &[0; 64]).unwrap();
        flash.restart(seed);
        flash.cut = Some(32);
        assert!(flash.erase(0, 64).is_err());
        let first = flash.bytes[..32].iter().all(|b| *b == 0xFF);
        let second = flash.bytes[33..].iter().all(|b| *b == 0);
        mixed += u32::from(!(first && second));
    }
    assert!((16..48).contains(&mixed), "{mixed}");
}

//! Where what lies: banks, records, and the words that end them. `docs/store.md` has the tables byte by byte.

use crate::checksum::crc32;

/// Version of this layout: bank header, record header, commit words.
pub const STORE_FORMAT: u16 = 1;

/// Recipes that fit, slots 0 to 15.
pub const SLOTS: u8 = 16;

/// Things that the store holds: the recipes, the parameters, the progress.
pub(super) const KEYS: usize = PROGRESS + 1;
/// Places of what has no slot, behind the recipes.
const PARAMS: usize = SLOTS as usize;
const PROGRESS: usize = PARAMS + 1;

/// Everything begins on a multiple of this and fills it, bytes: the coarsest write granularity that is served.
pub(super) const WORD: usize = 8;
/// [`WORD`], for offsets.
pub(super) const STEP: u32 = offset(WORD);

/// Longest payload of a record, bytes; a whole number of words. A test holds the largest recipe against it.
pub(super) const MAX_PAYLOAD: usize = 880;

/// Longest record, bytes: header, payload, commit word.
pub(super) const MAX_RECORD: usize = MAX_PAYLOAD + 2 * WORD;

/// Most that the records of parameters and progress take together, bytes; a test holds them against it.
pub(super) const MAX_REST: usize = 320;

/// Least size of a bank, bytes: its header, everything that the store can hold, and the largest record again, for the old content stays
/// until the new one is whole.
pub(super) const MIN_BANK: u32 = BANK_HEADER + offset(MAX_RECORD * (SLOTS as usize + 1) + MAX_REST);

/// Bytes of a bank before its first record: header and commit word.
pub(super) const BANK_HEADER: u32 = BANK_COMMIT + STEP;

/// Offset of the commit word in a bank.
pub(super) const BANK_COMMIT: u32 = offset(BankHead::BYTES);

/// First bytes of a bank: "LAPS", little-endian.
const MAGIC: u32 = u32::from_le_bytes(*b"LAPS");

#[allow(clippy::cast_possible_truncation)] // sizes of a few kilobytes
const fn offset(size: usize) -> u32 {
    size as u32
}

/// One of the two halves of the flash.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bank {
    Lower,
    Upper,
}

impl Bank {
    pub const BOTH: [Self; 2] = [Self::Lower, Self::Upper];

    pub(super) const fn other(self) -> Self {
        match self {
            Self::Lower => Self::Upper,
            Self::Upper => Self::Lower,
        }
    }
    /// Offset of its first byte, from its size.
    pub(super) const fn start(self, size: u32) -> u32 {
        match self {
            Self::Lower => 0,
            Self::Upper => size,
        }
    }
}

/// What a record is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Key {
    Recipe(u8),
    Params,
    Progress,
}

impl Key {
    /// All of them, in the order of [`Key::index`].
    pub(super) fn all() -> impl Iterator<Item = Self> {
        (0..SLOTS)
            .map(Self::Recipe)
            .chain([Self::Params, Self::Progress])
    }
    pub(super) const fn index(self) -> usize {
        match self {
            Self::Recipe(slot) => slot as usize,
            Self::Params => PARAMS,
            Self::Progress => PROGRESS,
        }
    }
    const fn numbers(self) -> [u8; 2] {
        match self {
            Self::Recipe(slot) => [1, slot],
            Self::Params => [2, 0],
            Self::Progress => [3, 0],
        }
    }
    fn numbered(kind: u8, slot: u8) -> Option<Self> {
        match (kind, slot) {
            (1, slot) if slot < SLOTS => Some(Self::Recipe(slot)),
            (2, 0) => Some(Self::Params),
            (3, 0) => Some(Self::Progress),
            _ => None,
        }
    }
}

/// First word of a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Head {
    pub key: Key,
    /// Bytes of the payload, at most [`MAX_PAYLOAD`]; none: what was there is erased.
    pub length: u16,
    /// Over the four bytes before it and the payload.
    sum: u32,
}

impl Head {
    /// The header of a payload; none if it is too long.
    pub(super) fn of(key: Key, payload: &[u8]) -> Option<Self> {
        let length = u16::try_from(payload.len()).ok()?;
        let head = Self {
            key,
            length,
            sum: 0,
        };
        let sum = head.sum_with(payload);
        (payload.len() <= MAX_PAYLOAD).then_some(Self { sum, ..head })
    }
    /// The header that a word is, if it is one.
    pub(super) fn read(word: [u8; WORD]) -> Option<Self> {
        let [kind, slot, short, long, a, b, c, d] = word;
        let length = u16::from_le_bytes([short, long]);
        let key = Key::numbered(kind, slot)?;
        (usize::from(length) <= MAX_PAYLOAD).then_some(Self {
            key,
            length,
            sum: u32::from_le_bytes([a, b, c, d]),
        })
    }
    pub(super) fn word(self) -> [u8; WORD] {
        let [kind, slot, short, long] = self.first_half();
        let [a, b, c, d] = self.sum.to_le_bytes();
        [kind, slot, short, long, a, b, c, d]
    }
    fn first_half(self) -> [u8; 4] {
        let [kind, slot] = self.key.numbers();
        let [short, long] = self.length.to_le_bytes();
        [kind, slot, short, long]
    }
    /// The word that ends the record: no bit of it is that of the header.
    pub(super) fn commit(self) -> [u8; WORD] {
        self.word().map(|byte| !byte)
    }
    /// Offset of the commit word from the header: header and payload, in whole words.
    pub(super) fn body(self) -> u32 {
        u32::from(self.length)
            .next_multiple_of(STEP)
            .saturating_add(STEP)
    }
    /// Bytes of the whole record.
    pub(super) fn size(self) -> u32 {
        self.body().saturating_add(STEP)
    }
    /// This is the payload that the header was made for.
    pub(super) fn fits(self, payload: &[u8]) -> bool {
        self.sum == self.sum_with(payload)
    }
    fn sum_with(self, payload: &[u8]) -> u32 {
        crc32(&[&self.first_half(), payload])
    }
}

/// Header of a bank, written right after its erase. The bank counts once its commit word is written too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct BankHead {
    pub format: u16,
    /// Which of two banks is newer: one more with every move.
    pub generation: u32,
    /// Erases of this bank, the one before this header included.
    pub own: u32,
    /// Erases of the other bank.
    pub other: u32,
}

impl BankHead {
    pub const BYTES: usize = 24;

    /// The header that these bytes are, if they are one.
    pub(super) fn read(bytes: &[u8; Self::BYTES]) -> Option<Self> {
        let mut words = bytes.as_chunks::<4>().0.iter();
        let mut word = || words.next().copied().map(u32::from_le_bytes);
        let (magic, format, generation) = (word()?, word()?, word()?);
        let (own, other, sum) = (word()?, word()?, word()?);
        let head = Self {
            format: u16::try_from(format).ok()?,
            generation,
            own,
            other,
        };
        (magic == MAGIC && sum == head.sum()).then_some(head)
    }
    pub(super) fn bytes(self) -> [u8; Self::BYTES] {
        let mut bytes = [0; Self::BYTES];
        let words = self.fields().into_iter().chain([self.sum()]);
        for (place, byte) in bytes.iter_mut().zip(words.flat_map(u32::to_le_bytes)) {
            *place = byte;
        }
        bytes
    }
    /// The word that makes the bank count: generation and checksum, every bit turned.
    pub(super) fn commit(self) -> [u8; WORD] {
        let [a, b, c, d] = self.generation.to_le_bytes();
        let [e, f, g, h] = self.sum().to_le_bytes();
        [a, b, c, d, e, f, g, h].map(|byte| !byte)
    }
    /// Newer than another, also where the count has wrapped.
    pub(super) const fn is_after(self, other: Self) -> bool {
        self.generation.wrapping_sub(other.generation).cast_signed() > 0
    }
    const fn fields(self) -> [u32; 5] {
        [
            MAGIC,
            self.format as u32,
            self.generation,
            self.own,
            self.other,
        ]
    }
    fn sum(self) -> u32 {
        let [magic, format, generation, own, other] = self.fields().map(u32::to_le_bytes);
        crc32(&[&magic, &format, &generation, &own, &other])
    }
}

//! Mutations by a fixed seed: the same in every run.

use twinplate_sim::plant::seed::substream;

/// Pieces that readers stumble over.
const PIECES: [&[u8]; 20] = [
    b"nan",
    b"inf",
    b"-",
    b"1e308",
    b"1e-308",
    b"4294967295",
    b"18446744073709551616",
    b"0",
    b"\xff",
    b"\0",
    b"\n",
    b"\r",
    b"\xc2\xb5",
    b"\xe2\x88\x92",
    b"\"",
    b"[[",
    b"{",
    b",",
    b";",
    b"#",
];

/// Makes entries out of entries.
pub struct Mutator {
    seed: u64,
    drawn: u64,
}

impl Mutator {
    pub const fn new(seed: u64) -> Self {
        Self { seed, drawn: 0 }
    }

    /// A number below another one.
    fn below(&mut self, end: usize) -> usize {
        self.drawn += 1;
        let bits = substream(self.seed, "fuzz", "mutation", self.drawn);
        usize::try_from(bits % end.max(1) as u64).expect("below a usize")
    }

    /// One of the entries with one to four changes.
    pub fn mutated(&mut self, entries: &[&[u8]]) -> Vec<u8> {
        let mut bytes = entries[self.below(entries.len())].to_vec();
        for _ in 0..=self.below(4) {
            self.change(&mut bytes, entries);
        }
        bytes
    }

    fn change(&mut self, bytes: &mut Vec<u8>, entries: &[&[u8]]) {
        let at = self.below(bytes.len() + 1);
        let end = (at + 1 + self.below(40)).min(bytes.len());
        match self.below(8) {
            0 if at < bytes.len() => bytes[at] ^= 1 << self.below(8),
            1 if at < bytes.len() => bytes[at] = self.below(256).to_le_bytes()[0],
            2 => drop(bytes.drain(at.min(end)..end)),
            3 => bytes.truncate(at),
            4 => {
                let again = bytes[at.min(end)..end].to_vec();
                bytes.splice(at..at, again);
            }
            5 => {
                let other = entries[self.below(entries.len())];
                let from = self.below(other.len() + 1);
                let to = (from + self.below(80)).min(other.len());
                bytes.splice(at..at, other[from..to].iter().copied());
            }
            6 => {
                let piece = PIECES[self.below(PIECES.len())];
                bytes.splice(at.min(end)..end, piece.iter().copied());
            }
            _ => {
                let piece = PIECES[self.below(PIECES.len())];
                bytes.splice(at..at, piece.iter().copied());
            }
        }
    }
}

//! Structure out of bytes: what comes next is decided by the next byte, and when they have run out by zeros. Plain on purpose: an entry of
//! the corpus means the same for ever.

/// Floats at the edges of what a float is, and of what a machine is.
const EDGES: [f32; 16] = [
    0.0,
    -0.0,
    1.0,
    -1.0,
    f32::NAN,
    f32::INFINITY,
    f32::NEG_INFINITY,
    f32::MAX,
    f32::MIN,
    f32::MIN_POSITIVE,
    1e-45,
    1e-9,
    1e9,
    1e18,
    6.4e31,
    0.5,
];

/// Bytes that are taken one after another.
pub struct Bytes<'a>(&'a [u8]);

impl<'a> Bytes<'a> {
    pub const fn new(bytes: &'a [u8]) -> Self {
        Self(bytes)
    }

    /// Some are left.
    pub const fn more(&self) -> bool {
        !self.0.is_empty()
    }

    pub fn u8(&mut self) -> u8 {
        let Some((first, rest)) = self.0.split_first() else {
            return 0;
        };
        self.0 = rest;
        *first
    }

    pub fn u16(&mut self) -> u16 {
        u16::from_le_bytes([self.u8(), self.u8()])
    }

    pub fn u32(&mut self) -> u32 {
        u32::from_le_bytes([self.u8(), self.u8(), self.u8(), self.u8()])
    }

    pub fn bool(&mut self) -> bool {
        self.u8() & 1 == 1
    }

    /// One of several.
    pub fn pick<'t, T>(&mut self, all: &'t [T]) -> &'t T {
        &all[usize::from(self.u8()) % all.len()]
    }

    /// Any float at all, an edge more often than not.
    pub fn f32(&mut self) -> f32 {
        match self.u8() {
            any @ 0..64 => EDGES[usize::from(any) % EDGES.len()],
            _ => f32::from_bits(self.u32()),
        }
    }

    /// A number near another one, at its edges, or anywhere.
    pub fn near(&mut self, value: f32) -> f32 {
        match self.u8() % 12 {
            0 => value.next_up(),
            1 => value.next_down(),
            2 => value * 0.5,
            3 => value * 2.0,
            4 => value * 1e-6,
            5 => value * 1e6,
            6 => value * 1e-30,
            7 => value * 1e30,
            8 => -value,
            9 => value * (f32::from(self.u8()) / 128.0),
            _ => self.f32(),
        }
    }
}

//! The two hashes that say whether two runs were the same run, bit for bit.
//!
//! * [`ControlHash`]: what the controller did, taken every tick from [`Outputs`] and [`Status`]. The host takes it from what came
//!   through the port, so it is the same number for the controller in process, over a link and on a board.
//! * [`TraceHash`]: what was recorded, taken from each row of the trace.
//!
//! # Definition (version 2)
//!
//! All arithmetic is on unsigned 64-bit words, modulo 2^64. A hash has four lanes. Lane `i` (0..=3) starts as
//! `LANE[i] ^ kind ^ version`, `kind` being [`KIND_CONTROL`] or [`KIND_TRACE`]. Word `j` of a block (a tick or a row), counted from 0
//! within the block, goes to lane `j mod 4`:
//!
//! ```text
//! lane = (rotate_left(lane, 23) ^ word) * 0x9E3779B97F4A7C15
//! ```
//!
//! The value of the hash is taken by mixing `LANE[0]` with the four lanes in order by that same rule, then with the number of blocks,
//! then `x ^= x >> 32; x *= 0x9E3779B97F4A7C15; x ^= x >> 29`.
//!
//! Every step is a bijection of the lane and of the word, so one changed bit in one word always changes the result. The rotate
//! matters: without it, a difference in the top bit (the sign of a float) stays in the top bit through every multiplication, and a
//! second such difference cancels it. Four lanes because the multiplications of one lane wait for each other.
//!
//! A float enters by its IEEE 754 bits, every NaN as the one quiet NaN `0x7FC00000` (`0x7FF8000000000000`), so that hosts that
//! generate NaN with another sign agree. `-0.0` and `+0.0` differ.
//!
//! ## Block of the control hash: 13 words, bit 0 lowest
//!
//! | word | bits | field |
//! |---|---|---|
//! | 0 | 0–15 | `Outputs::cap_command` |
//! |   | 16–31 | `Outputs::pump` |
//! |   | 32–39 | `Outputs::rod` as its number |
//! |   | 40, 41, 42, 43, 44 | `dump_shut`, `pin_withdraw`, `rinse`, `agitator`, `guard_unlock` |
//! |   | 48–51 | `Outputs::drives[0..=3].enable` |
//! | 1 | 0–15, 16–31, 32–47, 48–63 | `Outputs::drives[0..=3].setpoint`, two's complement |
//! | 2 | 0–15, 16–31, 32–63 | `Status::version`, `boots`, `tick` |
//! | 3 | 0–7, 8–15, 16–23, 24–31, 32–39, 40–47, 48–55 | `state`, `phase`, `step`, `mode`, `plate`, `load_mode`, `response` as numbers |
//! |   | 56, 57, 58, 59 | `drives_in_band`, `standstill`, `flow_proven`, `ends_by_time` |
//! | 4 | 0–15, 16–31, 32–63 | `cause`, `missing`, `step_time` |
//! | 5, 6 | all | `active`, `latched` |
//! | 7 | low, high half | `load_raw`, `load` |
//! | 8 | low, high half | `reference`, `load_limit` |
//! | 9 | low, high half | `command`, `governor` |
//! | 10 | low half | `size` |
//! |   | 32–39, 40–55 | `ring_setting`, `form_age` |
//! | 11 | all | `unacknowledged` |
//! | 12 | low, high half | `form[0]`, `form[1]` |
//!
//! ## Block of the trace hash
//!
//! The row's tick as a word, then the row's cells in column order, each the bits of its `f64`. The trace's own version (its columns)
//! is mixed into the start beside this one: see [`TraceHash::new`].

use firmware_core::process_image::Outputs;
use firmware_core::status::Status;

/// Version of both definitions above; part of the start value.
pub const HASH_VERSION: u16 = 2;
/// Marks a control hash ("ctrl" in ASCII).
pub const KIND_CONTROL: u64 = 0x6374_726C << 32;
/// Marks a trace hash ("trac" in ASCII).
pub const KIND_TRACE: u64 = 0x7472_6163 << 32;

/// Start values of the lanes: the first 256 bits of the fraction of pi, which nobody chose.
const LANE: [u64; 4] = [
    0x243F_6A88_85A3_08D3,
    0x1319_8A2E_0370_7344,
    0xA409_3822_299F_31D0,
    0x082E_FA98_EC4E_6C89,
];
/// Odd multiplier: 2^64 divided by the golden ratio.
const MULTIPLIER: u64 = 0x9E37_79B9_7F4A_7C15;
/// Rotation; coprime to 64, so that a bit visits every place.
const ROTATION: u32 = 23;

/// Mixes one word into one lane.
#[inline(always)]
const fn mix(lane: u64, word: u64) -> u64 {
    (lane.rotate_left(ROTATION) ^ word).wrapping_mul(MULTIPLIER)
}

/// The state of either hash.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Lanes {
    lanes: [u64; 4],
    blocks: u64,
}

impl Lanes {
    const fn new(kind: u64, version: u16) -> Self {
        let start = kind ^ version as u64;
        Self {
            lanes: [
                LANE[0] ^ start,
                LANE[1] ^ start,
                LANE[2] ^ start,
                LANE[3] ^ start,
            ],
            blocks: 0,
        }
    }

    const fn value(&self) -> u64 {
        let mut x = LANE[0];
        x = mix(x, self.lanes[0]);
        x = mix(x, self.lanes[1]);
        x = mix(x, self.lanes[2]);
        x = mix(x, self.lanes[3]);
        x = mix(x, self.blocks);
        x ^= x >> 32;
        x = x.wrapping_mul(MULTIPLIER);
        x ^ (x >> 29)
    }
}

/// Canonical bits of an `f32` in the low half of a word.
#[inline(always)]
fn bits32(value: f32) -> u64 {
    u64::from(if value.is_nan() {
        0x7FC0_0000
    } else {
        value.to_bits()
    })
}

/// Whether a float of a status is NaN.
#[inline(always)]
fn any_nan(status: &Status) -> bool {
    let [lower, upper] = status.form;
    [
        status.load_raw.get(),
        status.load.get(),
        status.reference.get(),
        status.load_limit.get(),
        status.command.get(),
        status.governor.get(),
        status.size.get(),
        lower.get(),
        upper.get(),
    ]
    .into_iter()
    .fold(false, |any, value| any | value.is_nan())
}

/// Bits from the highest place down, the last of them at place 0: one shift and one addition each.
#[inline(always)]
fn flags<const N: usize>(bits: [bool; N]) -> u64 {
    bits.into_iter()
        .fold(0, |word, bit| word * 2 + u64::from(bit))
}

/// Canonical bits of an `f64`.
#[inline(always)]
fn bits64(value: f64) -> u64 {
    if value.is_nan() {
        0x7FF8_0000_0000_0000
    } else {
        value.to_bits()
    }
}

/// Two's complement of a setpoint in 16 bits.
#[inline(always)]
const fn word16(value: i16) -> u64 {
    value.cast_unsigned() as u64
}

/// What the controller did, tick by tick.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ControlHash(Lanes);

impl Default for ControlHash {
    fn default() -> Self {
        Self::new()
    }
}

impl ControlHash {
    /// Before the first tick.
    #[must_use]
    pub const fn new() -> Self {
        Self(Lanes::new(KIND_CONTROL, HASH_VERSION))
    }

    /// Takes in one tick.
    #[inline(always)]
    pub fn tick(&mut self, outputs: &Outputs, status: &Status) {
        if any_nan(status) {
            self.tick_with_nan(outputs, status);
        } else {
            self.mix(control_words(outputs, status, |value| {
                u64::from(value.to_bits())
            }));
        }
    }

    /// The same where a float is NaN.
    #[cold]
    fn tick_with_nan(&mut self, outputs: &Outputs, status: &Status) {
        self.mix(control_words(outputs, status, bits32));
    }

    #[inline(always)]
    fn mix(&mut self, words: [u64; 13]) {
        let [mut a, mut b, mut c, mut d] = self.0.lanes;
        a = mix(mix(mix(mix(a, words[0]), words[4]), words[8]), words[12]);
        b = mix(mix(mix(b, words[1]), words[5]), words[9]);
        c = mix(mix(mix(c, words[2]), words[6]), words[10]);
        d = mix(mix(mix(d, words[3]), words[7]), words[11]);
        self.0.lanes = [a, b, c, d];
        self.0.blocks = self.0.blocks.wrapping_add(1);
    }

    /// The hash of all ticks so far.
    #[must_use]
    pub const fn value(&self) -> u64 {
        self.0.value()
    }
}

/// The canonical words of one tick, as tabled in the module's documentation; `bits` makes canonical bits of a float.
#[inline(always)]
fn control_words(outputs: &Outputs, status: &Status, bits: impl Fn(f32) -> u64) -> [u64; 13] {
    let pair = |low, high| bits(low) | bits(high) << 32;
    let drives = &outputs.drives;
    [
        u64::from(outputs.cap_command)
            | u64::from(outputs.pump) << 16
            | (outputs.rod as u64) << 32
            | flags([
                outputs.guard_unlock,
                outputs.agitator,
                outputs.rinse,
                outputs.pin_withdraw,
                outputs.dump_shut,
            ]) << 40
            | flags([
                drives[3].enable,
                drives[2].enable,
                drives[1].enable,
                drives[0].enable,
            ]) << 48,
        word16(drives[0].setpoint)
            | word16(drives[1].setpoint) << 16
            | word16(drives[2].setpoint) << 32
            | word16(drives[3].setpoint) << 48,
        u64::from(status.version) | u64::from(status.boots) << 16 | u64::from(status.tick.0) << 32,
        (status.state as u64)
            | (status.phase as u64) << 8
            | u64::from(status.step) << 16
            | (status.mode as u64) << 24
            | (status.plate as u64) << 32
            | (status.load_mode as u64) << 40
            | (status.response as u64) << 48
            | flags([
                status.ends_by_time,
                status.flow_proven,
                status.standstill,
                status.drives_in_band,
            ]) << 56,
        u64::from(status.cause)
            | u64::from(status.missing) << 16
            | u64::from(status.step_time.0) << 32,
        status.active,
        status.latched,
        pair(status.load_raw.get(), status.load.get()),
        pair(status.reference.get(), status.load_limit.get()),
        pair(status.command.get(), status.governor.get()),
        bits(status.size.get())
            | u64::from(status.ring_setting) << 32
            | u64::from(status.form_age) << 40,
        status.unacknowledged,
        pair(status.form[0].get(), status.form[1].get()),
    ]
}

/// What was recorded, row by row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TraceHash(Lanes);

impl TraceHash {
    /// Before the first row of a trace whose columns have this version.
    #[must_use]
    pub const fn new(trace_version: u16) -> Self {
        Self(Lanes::new(
            KIND_TRACE ^ (trace_version as u64) << 16,
            HASH_VERSION,
        ))
    }

    /// Takes in one row.
    pub fn row(&mut self, tick: u32, cells: &[f64]) {
        let [mut a, mut b, mut c, mut d] = self.0.lanes;
        a = mix(a, u64::from(tick));
        // The first three cells fill the block's first group of four; from there groups of four cells go to lanes 0 to 3.
        let (first, rest) = cells.split_at(cells.len().min(3));
        for (lane, &cell) in [&mut b, &mut c, &mut d].into_iter().zip(first) {
            *lane = mix(*lane, bits64(cell));
        }
        let mut groups = rest.chunks_exact(4);
        for group in &mut groups {
            a = mix(a, bits64(group[0]));
            b = mix(b, bits64(group[1]));
            c = mix(c, bits64(group[2]));
            d = mix(d, bits64(group[3]));
        }
        for (lane, &cell) in [&mut a, &mut b, &mut c].into_iter().zip(groups.remainder()) {
            *lane = mix(*lane, bits64(cell));
        }
        self.0.lanes = [a, b, c, d];
        self.0.blocks = self.0.blocks.wrapping_add(1);
    }

    /// The hash of all rows so far.
    #[must_use]
    pub const fn value(&self) -> u64 {
        self.0.value()
    }
}

#[cfg(test)]
#[path = "hash_tests.rs"]
mod tests;

//! How deep the stack was used: painted at power-up, looked at when asked.

use cortex_m::register::msp;

unsafe extern "C" {
    static mut __ebss: u32;
    static _stack_start: u32;
}

/// What unused stack holds.
const PAINT: u32 = 0x5AA5_C33C;
/// Words above the deepest use that are left alone while painting: this function's own.
const OWN: usize = 64;

fn bottom() -> *mut u32 {
    &raw mut __ebss
}

/// Paints what lies below the present use.
pub fn paint() {
    let mut word = bottom();
    let end = (msp::read() as usize).saturating_sub(4 * OWN);
    while (word as usize) < end {
        // SAFETY: between the end of the static variables and the stack's present end there is nothing that anybody uses.
        unsafe {
            word.write_volatile(PAINT);
            word = word.add(1);
        }
    }
}

/// Deepest use since then, bytes.
pub fn used() -> u32 {
    let top = &raw const _stack_start as usize;
    let mut word = bottom();
    // SAFETY: only reads, below the stack's beginning.
    while (word as usize) < top && unsafe { word.read_volatile() } == PAINT {
        word = unsafe { word.add(1) };
    }
    u32::try_from(top.saturating_sub(word as usize)).unwrap_or(u32::MAX)
}

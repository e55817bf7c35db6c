//! The board's watchdog (Arm, "Cortex-M System Design Kit", APB watchdog): when nobody has fed it for its time, an interrupt that
//! nothing masks puts out safe outputs; after as long again it resets the board.

use crate::clock;
use crate::pace::PERIOD;
use crate::safe;
use core::sync::atomic::{AtomicU32, Ordering::Relaxed};
use cortex_m_rt::exception;
use lockstep::Why;

const BASE: usize = 0x4000_8000;
const LOAD: usize = BASE;
const CONTROL: usize = BASE + 8;
const CLEAR: usize = BASE + 12;
const LOCK: usize = BASE + 0xC00;

/// Opens its registers for writing.
const KEY: u32 = 0x1ACC_E551;
/// Interrupt and reset are on.
const ON: u32 = 3;
/// Its time, ticks: a store that moves into its other bank takes some of them, at rest (invented; a real flash takes longer to erase).
const TICKS: u32 = 20;

fn write(at: usize, value: u32) {
    // SAFETY: a register of the watchdog, which nobody else uses.
    unsafe { (at as *mut u32).write_volatile(value) }
}

/// Starts it. Nothing stops it again.
pub fn start() {
    write(LOCK, KEY);
    write(LOAD, PERIOD * TICKS);
    write(CONTROL, ON);
}

/// Where the clock stood when it was fed last.
static FED: AtomicU32 = AtomicU32::new(0);

/// Feeds it, when the outputs of a tick are out; not more than once in a period of the clock, which stands at this: feeding costs an
/// emulator what many a tick does.
pub fn feed(now: u32) {
    if clock::between(FED.load(Relaxed), now) >= PERIOD {
        FED.store(now, Relaxed);
        write(CLEAR, 1);
    }
}

#[exception]
unsafe fn NonMaskableInt() -> ! {
    safe::end(Why::Hung)
}

//! A timer that runs freely, for measuring: the first of the board's (Arm, "Cortex-M System Design Kit", APB timer).

const BASE: usize = 0x4000_0000;
const CONTROL: usize = BASE;
const VALUE: usize = BASE + 4;
const RELOAD: usize = BASE + 8;

fn register(at: usize) -> *mut u32 {
    at as *mut u32
}

/// Starts it.
pub fn start() {
    // SAFETY: registers of this timer, which nobody else uses.
    unsafe {
        register(RELOAD).write_volatile(u32::MAX);
        register(VALUE).write_volatile(u32::MAX);
        register(CONTROL).write_volatile(1);
    }
}

/// Where it stands; it counts down.
pub fn now() -> u32 {
    // SAFETY: reading changes nothing.
    unsafe { register(VALUE).read_volatile() }
}

/// Counts since it stood there.
pub fn since(began: u32) -> u32 {
    began.wrapping_sub(now())
}

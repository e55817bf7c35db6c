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

/// Counts from where it stood then to where it stood later.
pub const fn between(then: u32, later: u32) -> u32 {
    then.wrapping_sub(later)
}

/// What lasts how long, one thing after another, with one look at the clock for each: a look costs an emulator what many instructions do.
pub struct Laps {
    at: u32,
}

impl Laps {
    /// From now on.
    pub fn start() -> Self {
        Self { at: now() }
    }

    /// Counts since the last lap.
    pub fn lap(&mut self) -> u32 {
        let then = core::mem::replace(&mut self.at, now());
        between(then, self.at)
    }

    /// Where the clock stood at the last lap.
    pub const fn at(&self) -> u32 {
        self.at
    }
}

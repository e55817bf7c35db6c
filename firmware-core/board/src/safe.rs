//! The way out where nothing can go on: everything de-energised, and then nothing more until the watchdog resets the board.

use crate::host::{self, Pipe};
use core::sync::atomic::{AtomicBool, AtomicUsize, Ordering::Relaxed};
use firmware_core::process_image::Outputs;
use lockstep::{Told, Why};

/// Where outputs go.
static FIELD: AtomicUsize = AtomicUsize::new(0);
/// They are out.
static ENDED: AtomicBool = AtomicBool::new(false);

/// Says where outputs go.
pub fn field(pipe: Pipe) {
    FIELD.store(pipe.number(), Relaxed);
}

/// Puts out what de-energises everything, and ends.
pub fn end(why: Why) -> ! {
    cortex_m::interrupt::disable();
    if !ENDED.load(Relaxed) {
        ENDED.store(true, Relaxed);
        let outputs = Outputs::default();
        let mut message = [0; 64];
        let told = Told::Safe { outputs, why };
        if let Some(bytes) = told.write(&mut message) {
            host::write(Pipe::numbered(FIELD.load(Relaxed)), bytes);
        }
    }
    loop {
        cortex_m::asm::nop();
    }
}

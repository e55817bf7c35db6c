//! Semihosting: the few calls that reach the bench's pipes.

use core::arch::asm;

const SYS_OPEN: usize = 0x01;
const SYS_WRITE: usize = 0x05;
const SYS_READ: usize = 0x06;
const SYS_EXIT: usize = 0x18;
/// Reason for SYS_EXIT: the application ends.
const APPLICATION_EXIT: usize = 0x0002_0026;

/// A pipe's number on the host.
#[derive(Clone, Copy)]
pub struct Pipe(usize);

impl Pipe {
    /// None yet.
    pub const NONE: Self = Self(0);

    /// Its number.
    pub const fn number(self) -> usize {
        self.0
    }

    /// The pipe of a number.
    pub const fn numbered(number: usize) -> Self {
        Self(number)
    }
}

/// One semihosting call.
fn call(operation: usize, argument: usize) -> usize {
    let answer;
    // SAFETY: the breakpoint that Arm's semihosting defines for M-profile; `argument` points at words that live over the call, or is
    // a number where the operation takes one. The debugger may write to memory that those words point at.
    unsafe {
        asm!("bkpt #0xAB", inout("r0") operation => answer, in("r1") argument, options(nostack));
    }
    answer
}

fn pipe(name: &[u8], mode: usize) -> Pipe {
    // The length is without the nought at the end.
    let block = [name.as_ptr() as usize, mode, name.len().saturating_sub(1)];
    Pipe(call(SYS_OPEN, block.as_ptr() as usize))
}

/// The pipe to read from and the one to write to, in the folder where the emulator was started.
pub fn open() -> (Pipe, Pipe) {
    // Modes: 1 is "rb", 5 is "wb".
    (pipe(b"asks\0", 1), pipe(b"tells\0", 5))
}

/// Waits for a message; empty when the other side has gone.
pub fn read(pipe: Pipe, buffer: &mut [u8]) -> &[u8] {
    let block = [pipe.0, buffer.as_mut_ptr() as usize, buffer.len()];
    // What comes back is how many bytes were not filled.
    let left = call(SYS_READ, block.as_ptr() as usize);
    buffer
        .get(..buffer.len().saturating_sub(left))
        .unwrap_or(&[])
}

/// Sends a message.
pub fn write(pipe: Pipe, bytes: &[u8]) {
    let block = [pipe.0, bytes.as_ptr() as usize, bytes.len()];
    call(SYS_WRITE, block.as_ptr() as usize);
}

/// Ends the emulator.
pub fn leave() -> ! {
    loop {
        call(SYS_EXIT, APPLICATION_EXIT);
    }
}

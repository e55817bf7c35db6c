//! The guard as a program for a microcontroller: built by `firmware-core/board/build PART tests/guard`, and never run.
#![no_std]
#![no_main]

#[path = "../src/exports.rs"]
mod exports;

/// Where the linker begins to look for what is needed; it keeps the exports all the same (`build.rs`).
// SAFETY: unique name; the program is linked, never loaded.
#[unsafe(no_mangle)]
pub extern "C" fn _start() -> ! {
    loop {}
}

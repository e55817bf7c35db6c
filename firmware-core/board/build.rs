//! Puts the memory layout and the interrupts' names where the linker looks for them, and has it take the script that goes with them.
use std::path::PathBuf;
use std::{env, fs};

fn main() {
    let out = PathBuf::from(env::var_os("OUT_DIR").expect("cargo sets it"));
    for layout in ["memory.x", "device.x"] {
        fs::copy(layout, out.join(layout)).expect("a copy of the layout");
        println!("cargo:rerun-if-changed={layout}");
    }
    println!("cargo:rustc-link-search={}", out.display());
    println!("cargo:rustc-link-arg-bins=-Tlink.x");
}

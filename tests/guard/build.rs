//! The program for a microcontroller keeps what nothing calls.
fn main() {
    println!("cargo:rustc-link-arg-examples=--no-gc-sections");
}

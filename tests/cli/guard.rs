//! Builds `tests/guard`: the core without std and without a single panic path. Its own docs say how the link proves both.

use std::path::Path;
use std::process::Command;

#[test]
fn the_core_links_without_std_and_without_a_panic_path() {
    let guard = Path::new(env!("CARGO_MANIFEST_DIR")).join("guard");
    let target = guard.join("../../target/guard");
    let output = Command::new(env!("CARGO"))
        .args(["build", "--release", "--locked"])
        .current_dir(&guard)
        // Undefined symbols refused; memcpy and memset come from the C library.
        .env("RUSTFLAGS", "-C link-arg=-Wl,-z,defs -C link-arg=-lc")
        .env("CARGO_TARGET_DIR", target)
        .output()
        .expect("cargo runs");
    assert!(
        output.status.success(),
        "the guard does not link: std or a panic path (undefined symbol a_panic_path_is_left_in_the_core) is in the core\n{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

//! The long run of the fuzz targets: `tests/fuzz/run` builds and drives it. `FUZZ_TARGET` names the target; without it, as `--list`, all
//! targets are listed with their seeds.

#![no_main]

#[path = "../../targets/mod.rs"]
mod targets;

use libfuzzer_sys::fuzz_target;
use std::sync::OnceLock;
use targets::{TARGETS, Target, root};

fn target() -> &'static Target {
    static TARGET: OnceLock<&'static Target> = OnceLock::new();
    TARGET.get_or_init(|| {
        let Ok(name) = std::env::var("FUZZ_TARGET") else {
            list();
        };
        let found = TARGETS.iter().find(|target| target.name == name);
        found.unwrap_or_else(|| panic!("no target `{name}`"))
    })
}

/// A line for each target: its name, and folder and beginning of the names of its seeds.
fn list() -> ! {
    for target in TARGETS {
        let seeds: Vec<String> = target
            .seeds
            .iter()
            .map(|(folder, begins)| format!("{}/{begins}", root().join(folder).display()))
            .collect();
        println!("{} {}", target.name, seeds.join(" "));
    }
    std::process::exit(0)
}

fuzz_target!(init: { let _ = target(); }, |bytes: &[u8]| (target().run)(bytes));

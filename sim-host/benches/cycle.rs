//! What a tick costs. `cargo bench -p sim-host`; plain timing, the best of several repeats, one core.
//!
//! Not a test: it fails nothing. The budgets it prints beside its numbers are those of the project's requirements.

mod reference_loop;

use firmware_core::process_image::{Inputs, Outputs};
use reference_loop::ReferenceLoop;
use std::hint::black_box;
use std::time::Instant;

/// Ticks of a 20-minute cycle.
const CYCLE: u32 = 1_200_000;

/// Best of `repeats`, nanoseconds for each of `ticks`.
fn best(repeats: u32, ticks: u32, mut job: impl FnMut()) -> f64 {
    (0..repeats)
        .map(|_| {
            let start = Instant::now();
            job();
            start.elapsed().as_secs_f64() * 1e9 / f64::from(ticks)
        })
        .fold(f64::INFINITY, f64::min)
}

fn line(name: &str, ns: f64, reference: f64, budget: &str) {
    println!(
        "{name:<52} {ns:8.1} ns/tick   {:5.2} x reference   {budget}",
        ns / reference
    );
}

/// The processor's own name, where the system tells it.
fn processor() -> String {
    std::fs::read_to_string("/proc/cpuinfo")
        .ok()
        .and_then(|text| {
            let model = text.lines().find(|line| line.starts_with("model name"))?;
            Some(model.split(':').nth(1)?.trim().to_owned())
        })
        .unwrap_or_else(|| "unknown processor".into())
}

fn main() {
    println!("{}, {}", processor(), std::env::consts::ARCH);
    let reference = best(5, CYCLE, || {
        let mut looped = ReferenceLoop::new();
        for _ in 0..CYCLE {
            black_box(looped.tick());
        }
    });
    line("reference loop", reference, reference, "");
}

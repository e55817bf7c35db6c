//! Similarity: a machine and its parts made larger, pressed as hard and slid as fast, take as long and come out as thick.
//!
//! What grows by how much stands in [`twinplate_tests::similar`].

use twinplate_sim::bench::{Job, NoRecorder, run_cycle};
use twinplate_sim::demo;
use twinplate_tests::similar::{batch, machine, recipe};

const SCALES: [f64; 2] = [0.635, 2.52];
/// Runs of a mean.
const RUNS: u64 = 16;

/// Mean cycle, s, and mean thickness of the parts, m, over some runs: the noise of the gauge moves the end of the last step by some
/// tenths of a second.
fn cycle_and_size(name: &str, scale: f64) -> [f64; 2] {
    let (mut m, mut b, mut r) = demo::set(name);
    // Runout turns with the plates, and the plates of a larger machine turn slower: the one thing that is not similar.
    m.geometry.runout_ripple = 0.0;
    machine(&mut m, scale);
    batch(&mut b, scale);
    recipe(&mut r, scale);
    let job = Job::new(m, b, r).expect("the controller takes it");
    let mut sums = [0.0; 2];
    for seed in 0..RUNS {
        let outcome = run_cycle(&job.nominal(seed), None, NoRecorder).expect("in process");
        sums[0] += outcome.summary.cycle.expect("complete");
        sums[1] += outcome.summary.parts.mean;
    }
    sums.map(|sum| sum / RUNS as f64)
}

#[test]
fn a_larger_machine_pressed_as_hard_and_slid_as_fast_laps_alike() {
    for name in ["glass-f800", "steel-f400", "zirconia-fixed"] {
        let [cycle, size] = cycle_and_size(name, 1.0);
        for scale in SCALES {
            let [other, thickness] = cycle_and_size(name, scale);
            let (longer, thicker) = (other / cycle - 1.0, thickness - size);
            assert!(
                longer.abs() < 5e-4 && thicker.abs() < 0.02e-6,
                "{name} x {scale}: cycle {:.4} % longer, parts {:.4} µm thicker",
                100.0 * longer,
                1e6 * thicker
            );
        }
    }
}

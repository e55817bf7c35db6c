//! Nothing is allocated while ticks pass: the loop of controller, plant, hashes, summary and recorder, counted by an allocator
//! that counts.
//!
//! One test in a process of its own, so that no other test's allocations are counted.

use firmware_core::sequence::Phase;
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use twinplate_sim::bench::{Player, TraceRecorder};
use twinplate_sim::demo;

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

#[test]
fn ten_thousand_ticks_of_dwell_allocate_nothing() {
    let job = demo::job("glass-f800");
    let setup = job.nominal(1);
    let mut bench = setup.bench(setup.controller(), TraceRecorder::new(400_000, 50));
    bench.play(Player::new(None, job.compiled.pieces));
    while bench
        .status()
        .is_none_or(|status| status.phase != Phase::Dwell)
    {
        bench.step().unwrap();
        assert!(bench.tick() < 300_000, "no dwell: {:?}", bench.status());
    }
    let region = Region::new(ALLOCATOR);
    bench.advance(10_000).unwrap();
    let counted = region.change();
    assert_eq!(
        bench.status().map(|status| status.phase),
        Some(Phase::Dwell)
    );
    assert_eq!(
        (
            counted.allocations,
            counted.reallocations,
            counted.deallocations
        ),
        (0, 0, 0),
        "{counted:?}"
    );
    // The counter counts: a snapshot of the bench is made of allocations.
    let region = Region::new(ALLOCATOR);
    let snapshot = bench.clone();
    assert!(region.change().allocations > 0);
    drop(snapshot);
}

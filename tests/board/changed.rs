//! One constant changed in the image alone: does the comparison see it? `tests/board/changed` makes such images and starts this.

use crate::{bench, cases, config, random, short};
use proptest::prelude::*;
use proptest::test_runner::TestRunner;
use std::panic::{AssertUnwindSafe, catch_unwind};
use twinplate_sim::demo;

/// Runs until an answer differs, and says in which run.
#[test]
#[ignore = "tests/board/changed makes the image that this is for"]
fn the_image_is_another() {
    let mut seen = None;
    for recipe in demo::recipes() {
        let run = || {
            let job = short(&recipe);
            let mut bench = bench(&job, crate::SEED);
            bench.advance(job.nominal(crate::SEED).longest(None))
        };
        if catch_unwind(AssertUnwindSafe(run)).is_err() {
            seen = Some(format!("cycle of {recipe}"));
            break;
        }
    }
    if seen.is_none() {
        // What panics in a case fails it, and the first that fails ends the run.
        let runs = TestRunner::new(config(40)).run(&cases(), |case| {
            random(case).map_err(|error| TestCaseError::fail(error.to_string()))
        });
        seen = runs.is_err().then(|| "random faults".into());
    }
    println!("seen: {}", seen.as_deref().unwrap_or("in no run"));
    assert!(seen.is_some(), "the change is not seen");
}

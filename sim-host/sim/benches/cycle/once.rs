//! One run of a kind, without a clock: what a profiler is given.

use super::{job, run};
use twinplate_sim::bench::{Drawn, Job, NoRecorder, TraceRecorder};
use twinplate_sim::demo;

/// Length of the last step, s: with it the cycle takes about twenty minutes.
const LAST_STEP: f64 = 1000.0;
/// The draw that is tried.
const DRAWN: Drawn = Drawn { seed: 1, index: 1 };

/// Runs what the command line asks for after the word `once` and prints its ticks; answers whether it asked.
pub fn asked() -> bool {
    let mut words = std::env::args().skip_while(|word| word != "once").skip(1);
    let Some(what) = words.next() else {
        return false;
    };
    let ticks = match what.as_str() {
        "cycle" => {
            run(
                &job(100, LAST_STEP).nominal(1),
                TraceRecorder::new(1_300_000, 50),
            )
            .0
        }
        "trial" => run(&job(100, LAST_STEP).drawn(DRAWN), NoRecorder).0,
        "trials" => demo::recipes().iter().map(|recipe| trial(recipe)).sum(),
        _ => panic!("once cycle, once trial or once trials"),
    };
    println!("{ticks} ticks");
    true
}

/// A drawn trial of a demonstration recipe, as `check` makes them.
fn trial(recipe: &str) -> u32 {
    let (machine, batch, recipe) = demo::set(recipe);
    let job = Job::new(machine, batch, recipe).expect("a demonstration job compiles");
    run(&job.drawn(DRAWN), NoRecorder).0
}

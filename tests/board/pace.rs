//! How fast a cycle runs through the board: simulated time over the clock's, and over the processor's, which a busy host leaves alone.

use crate::SEED;
use crate::twin::image;
use std::time::Instant;
use twinplate_board::OnBoard;
use twinplate_sim::bench::{NoRecorder, run};
use twinplate_sim::demo;

/// Processor time of this process and of those it has waited for, s (proc(5), `/proc/pid/stat`, fields 14 to 17, in hundredths).
fn processor() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").expect("Linux");
    // The second field is a name in brackets, in which anything may stand.
    let (_, rest) = stat.rsplit_once(')').expect("a name in brackets");
    let fields = rest.split_whitespace().skip(11).take(4);
    let hundredths: f64 = fields
        .map(|field| field.parse::<f64>().expect("a number"))
        .sum();
    hundredths / 100.0
}

/// What a run is to reach on a quiet core, times real time: a released program does. The one of the tests took half as long again beside
/// the same image, and other guests of a host take half of a core: so much it must reach on any.
const WANTED: f64 = 40.0;
const LEAST: f64 = 10.0;
/// A host is busy for moments: so many runs at most, and the best of them counts.
const TRIES: u32 = 3;

/// Emulator and bench wait for each other, so that one core is all that they use: what they take of it together is what a run costs.
#[test]
fn a_cycle_runs_many_times_faster_than_the_machine() {
    let job = demo::job("glass-f800");
    let mut best = 0.0_f64;
    for _ in 0..TRIES {
        let mut board = OnBoard::new(&image(), job.params.clone()).expect("a board");
        let (clock, before) = (Instant::now(), processor());
        let outcome = run(&mut board, &job.nominal(SEED), None, NoRecorder).expect("a cycle");
        // The emulator's time counts when it has ended.
        drop(board);
        let (clock, processor) = (clock.elapsed().as_secs_f64(), processor() - before);
        let simulated = f64::from(outcome.summary.ticks) / 1000.0;
        let pace = simulated / processor;
        let by_clock = simulated / clock;
        println!("{simulated:.1} s simulated in {clock:.2} s, {by_clock:.0} times real time");
        println!(
            "{processor:.2} s of processor for emulator and bench, {pace:.0} times on one core"
        );
        best = best.max(pace);
        if best >= WANTED {
            break;
        }
    }
    assert!(best > LEAST, "{best:.1} times real time");
}

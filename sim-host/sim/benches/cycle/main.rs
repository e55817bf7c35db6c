//! What a tick costs. `cargo bench -p twinplate-sim`; plain timing, the best of several repeats, one core.
//!
//! The budgets beside the numbers are the project's requirements. The reference loop is the yardstick between machines: compare ratios,
//! not nanoseconds. It fails where a figure is worse by more than a fifth than its committed ratio to that loop (`ratios`).
//!
//! `cargo bench -p twinplate-sim -- once cycle` (or `trial`, `trials`) times nothing: it runs that once and says how many ticks it was, for
//! `benches/profile`, which counts its instructions.

#![allow(clippy::disallowed_methods)] // figures for people, not part of any trace

mod once;
mod ratios;
mod reference_loop;

use firmware_core::controller::Controller;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::Phase;
use firmware_core::status::Status;
use reference_loop::ReferenceLoop;
use std::hint::black_box;
use std::process::ExitCode;
use std::time::Instant;
use twinplate_sim::bench::{
    Bench, ControlHash, Ended, InProcess, Job, NoRecorder, Player, Recorder, Setup, Tally, Targets,
    TickView, TraceRecorder, ensemble, run_cycle,
};
use twinplate_sim::demo;
use twinplate_sim::model::{Deviations, End, Outline};
use twinplate_sim::plant::FastTruth;

/// Ticks of a 20-minute cycle.
const CYCLE: u32 = 1_200_000;
/// Repeats of each measurement; the best counts, because whatever else the processor does only ever adds.
const REPEATS: u32 = 5;

fn main() -> ExitCode {
    if once::asked() {
        return ExitCode::SUCCESS;
    }
    println!(
        "{}, {}, {} threads",
        processor(),
        std::env::consts::ARCH,
        std::thread::available_parallelism().map_or(1, usize::from)
    );
    let mut report = Report::default();
    let reference = best(CYCLE, || reference_loop(CYCLE));
    report.line("reference loop", reference, "");
    cycle(&mut report);
    let ticks = record();
    controller(&mut report, &ticks);
    plant(&mut report, &ticks);
    observers(&mut report, &ticks);
    part_counts(&mut report);
    envelope();
    ratios::judge(&report.ratios)
}

/// What was measured, as ratios to the reference loop.
#[derive(Default)]
struct Report {
    ratios: Vec<(&'static str, f64)>,
}

impl Report {
    /// Prints nanoseconds a tick beside their ratio to the reference loop, and keeps it.
    fn line(&mut self, name: &'static str, measured: Measured, note: &str) {
        let ratio = measured.ns / measured.reference;
        println!(
            "{name:<46} {:7.1} ns/tick {ratio:6.2} x reference  {note}",
            measured.ns
        );
        self.ratios.push((name, ratio));
    }
}

/// Best times, nanoseconds a tick.
#[derive(Clone, Copy)]
struct Measured {
    ns: f64,
    /// Of the reference loop, in the same minute.
    reference: f64,
}

/// Best of the repeats for each of `ticks`, and of the reference loop in turn with them: what another program takes of the machine for a
/// while both feel.
fn best(ticks: u32, mut job: impl FnMut()) -> Measured {
    let time = |ticks: u32, job: &mut dyn FnMut()| {
        let start = Instant::now();
        job();
        start.elapsed().as_secs_f64() * 1e9 / f64::from(ticks)
    };
    let mut best = Measured {
        ns: f64::INFINITY,
        reference: f64::INFINITY,
    };
    for _ in 0..REPEATS {
        let reference = time(CYCLE, &mut || reference_loop(CYCLE));
        best.reference = best.reference.min(reference);
        best.ns = best.ns.min(time(ticks, &mut job));
    }
    best
}

fn reference_loop(ticks: u32) {
    let mut looped = ReferenceLoop::new();
    for _ in 0..ticks {
        black_box(looped.tick());
    }
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

/// Demo job `glass-f800` with so many parts (their area together unchanged, so that pressures and loads stay) and a last step of so many
/// seconds.
fn job(parts: u32, last_step: f64) -> Job {
    let (machine, mut batch, mut recipe) = demo::set("glass-f800");
    if let Outline::Disc { diameter } = &mut batch.outline {
        *diameter *= (f64::from(batch.parts) / f64::from(parts)).sqrt();
    }
    batch.parts = parts;
    // No gauge: a step of any length, whatever the parts' size.
    recipe.gauge = false;
    if let Some(step) = recipe.steps.last_mut() {
        step.end = End::Time { seconds: last_step };
        step.longest = 2.0 * last_step;
    }
    Job::new(machine, batch, recipe).expect("the demo job compiles")
}

/// The whole loop over one 20-minute cycle of 100 parts.
fn cycle(report: &mut Report) {
    // A guess at everything before and after the last step, then the step that makes it 20 minutes.
    let guess = 100.0;
    let ticks = run(&job(100, guess).nominal(1), NoRecorder).0;
    let job = job(100, guess + f64::from(CYCLE - ticks) / 1e3);
    let setup = job.nominal(1);
    let mut ticks = 0;
    let with_trace = best(CYCLE, || {
        let (made, hash) = run(&setup, TraceRecorder::new(CYCLE + 1000, 50));
        ticks = made;
        black_box(hash);
    });
    println!(
        "20-minute cycle, 100 parts: {ticks} ticks, {:.3} s (budget 0.20 s)",
        with_trace.ns * f64::from(CYCLE) * 1e-9
    );
    report.line(
        "  with recorder, summary and hashes",
        with_trace,
        "budget 166",
    );
    let without = best(CYCLE, || {
        black_box(run(&setup, NoRecorder));
    });
    report.line("  without recorder", without, "");
}

/// Ticks and hash of one cycle, which must have completed or the time means nothing.
fn run(setup: &Setup<'_>, recorder: impl Recorder) -> (u32, u64) {
    let outcome = run_cycle(setup, None, recorder).expect("in process");
    assert_eq!(outcome.ended, Ended::Complete, "{:?}", outcome.summary);
    (outcome.summary.ticks, outcome.control_hash)
}

/// A stretch of a dwell: what every part of the loop saw, and the loop at its beginning.
struct Stretch {
    start: Bench<InProcess, NoRecorder>,
    ticks: Vec<(Inputs, Outputs, Status, FastTruth)>,
    job: Job,
}

/// Records two seconds of dwell of 100 parts.
fn record() -> Stretch {
    let job = job(100, 100.0);
    let start = dwelling(&job);
    let ticks = {
        let mut bench = start.clone();
        (0..2000)
            .filter_map(|_| {
                bench.step().expect("in process");
                let view = bench.view()?;
                Some((*view.inputs, *view.outputs, *view.status, view.truth))
            })
            .collect()
    };
    Stretch { start, ticks, job }
}

/// A bench ten seconds into its first dwell.
fn dwelling(job: &Job) -> Bench<InProcess, NoRecorder> {
    let setup = job.nominal(1);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    while bench
        .status()
        .is_none_or(|status| status.phase != Phase::Dwell)
    {
        bench.step().expect("in process");
        assert!(bench.tick() < 300_000, "no dwell: {:?}", bench.status());
    }
    bench.advance(10_000).expect("in process");
    bench
}

/// The controller's tick on recorded inputs.
fn controller(report: &mut Report, stretch: &Stretch) {
    let rounds = 200;
    let start: &Controller = stretch.start.port().controller();
    let ns = best(rounds * 2000, || {
        for _ in 0..rounds {
            let mut controller = start.clone();
            for (inputs, ..) in &stretch.ticks {
                black_box(controller.tick(inputs, None));
            }
        }
    });
    report.line("controller, recorded inputs", ns, "budget 90");
}

/// The plant's step on recorded outputs.
fn plant(report: &mut Report, stretch: &Stretch) {
    let rounds = 200;
    let ns = best(rounds * 2000, || {
        for _ in 0..rounds {
            let mut plant = stretch.start.plant().clone();
            for (_, outputs, ..) in &stretch.ticks {
                plant.step(outputs);
            }
            black_box(plant.truth());
        }
    });
    report.line("plant, 100 parts, recorded outputs", ns, "");
}

/// What the bench adds to controller and plant.
fn observers(report: &mut Report, stretch: &Stretch) {
    let targets = Targets::new(&stretch.job.compiled, &stretch.job.machine.control);
    let each = |hash_on: bool, tally_on: bool, recorder_on: bool| {
        best(CYCLE, || {
            let mut hash = ControlHash::new();
            let mut tally = Tally::new(targets.clone());
            let mut recorder = TraceRecorder::new(CYCLE, 50);
            let mut ticks = stretch.ticks.iter().take(250).cycle();
            for tick in 0..CYCLE {
                let Some((inputs, outputs, status, truth)) = ticks.next() else {
                    break;
                };
                if hash_on {
                    hash.tick(outputs, status);
                }
                let view = TickView {
                    tick,
                    inputs,
                    outputs,
                    status,
                    truth: *truth,
                    plant: stretch.start.plant(),
                };
                if tally_on {
                    tally.observe(&view);
                }
                if recorder_on {
                    recorder.record(&view);
                }
            }
            black_box((hash.value(), tally, recorder));
        })
    };
    report.line("hash", each(true, false, false), "budget 12");
    report.line("summary", each(false, true, false), "");
    report.line("recorder", each(false, false, true), "");
    report.line(
        "hash, summary and recorder",
        each(true, true, true),
        "budget 35",
    );
}

/// One part against a thousand.
fn part_counts(report: &mut Report) {
    let cost = |parts: u32| {
        let job = job(parts, 200.0);
        let start = dwelling(&job);
        best(100_000, || {
            let mut bench = start.clone();
            bench.advance(100_000).expect("in process");
            black_box(bench.control_hash());
        })
    };
    // Three parts are the fewest a gimballed plate can rest on.
    let (few, many) = (cost(3), cost(1000));
    report.line("loop, 3 parts", few, "");
    let growth = format!("growth {:.2}, budget 1.5", many.ns / few.ns);
    report.line("loop, 1000 parts", many, &growth);
}

/// Runs of a 20-minute cycle on two threads, as `check` makes them; a tenth of its number.
fn envelope() {
    let job = job(15, 1000.0);
    let runs = 20;
    let start = Instant::now();
    let hashes = ensemble(runs, 2, &|_| (), |index| {
        run(&job.setup(Deviations::NOMINAL, index as u64), NoRecorder)
    });
    let took = start.elapsed().as_secs_f64();
    println!(
        "{runs} runs of {} ticks on two threads: {took:.2} s; 200 would take {:.1} s (budget 25 s)",
        hashes[0].0,
        took * 200.0 / runs as f64
    );
}

//! The demonstration jobs, and their machines at every place of a cycle, made once.

use firmware_core::controller::Controller;
use firmware_core::params::CheckedParams;
use firmware_core::recipe::EndWire;
use firmware_core::sequence::{Command, Phase, State};
use firmware_core::units::Ticks;
use std::sync::OnceLock;
use twinplate_sim::bench::{Action, Job, NoRecorder, Player};
use twinplate_sim::demo;
use twinplate_sim::plant::Plant;

/// Jobs on three machines: small by time, middle by gauge, large.
pub const DEMO: [&str; 3] = ["glass-f800", "steel-f400", "silicon-f1000"];

/// Longest in-band time of a step here, ticks: a dwell is a dwell after two seconds.
const DWELL: Ticks = Ticks(2_000);
/// Longest that a cycle so shortened takes, ticks.
const LONGEST: u32 = 400_000;

/// A machine with its controller at some place of a cycle.
#[derive(Clone)]
pub struct Moment {
    pub plant: Plant,
    pub controller: Controller,
    /// Pieces in it.
    pub pieces: u16,
}

/// A job of [`DEMO`], its dwells shortened.
pub fn job(name: &str) -> &'static Job {
    static JOBS: OnceLock<Vec<Job>> = OnceLock::new();
    let jobs = JOBS.get_or_init(|| DEMO.map(shortened).into());
    let at = DEMO.iter().position(|one| *one == name);
    &jobs[at.expect("a job of the list")]
}

fn shortened(name: &str) -> Job {
    let mut job = demo::job(name);
    for step in &mut job.compiled.steps {
        if !matches!(step.end, EndWire::Time(time) if time < DWELL) {
            step.end = EndWire::Time(DWELL);
        }
    }
    job
}

/// Every place of a cycle of a job, and of a hold in its dwell: as each state and phase is entered.
pub fn moments(name: &'static str) -> &'static [Moment] {
    static MOMENTS: OnceLock<Vec<OnceLock<Vec<Moment>>>> = OnceLock::new();
    let all = MOMENTS.get_or_init(|| DEMO.map(|_| OnceLock::new()).into());
    let at = DEMO.iter().position(|one| *one == name);
    all[at.expect("a job of the list")].get_or_init(|| {
        let job = job(name);
        let mut found = vec![power_up(job, job.params.clone())];
        cycle(job, &mut found);
        found
    })
}

/// A machine before its first tick, with a controller of these parameters.
pub fn power_up(job: &Job, params: CheckedParams) -> Moment {
    Moment {
        plant: job.nominal(1).plant(),
        controller: Controller::new(params, 1),
        pieces: job.compiled.pieces,
    }
}

fn cycle(job: &Job, found: &mut Vec<Moment>) {
    let setup = job.nominal(1);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    let mut place = None;
    let mut held = false;
    while bench.tick() < LONGEST {
        let status = *bench.step().expect("in process");
        let now = (status.state, status.phase, status.step);
        if place != Some(now) {
            place = Some(now);
            found.push(Moment {
                plant: bench.plant().clone(),
                controller: bench.port().controller().clone(),
                pieces: job.compiled.pieces,
            });
        }
        if !held && now.1 == Phase::Dwell {
            held = true;
            bench.act(Action::Command(Command::Hold));
        }
        if now.0 == State::Held {
            bench.act(Action::Command(Command::Restart));
        }
        if now.0 == State::Complete {
            return;
        }
    }
    panic!("{}: the cycle ends", job.recipe.id);
}

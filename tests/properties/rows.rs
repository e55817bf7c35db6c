//! Each interlock row, tripped at a random moment of a random phase where it is watched, gives its declared response.

use crate::common::{Case, RandomStep, cases, config};
use crate::tamper::Tamper;
use crate::trips::{Place, TRIPS, Trip};
use firmware_core::interlock::TABLE;
use firmware_core::process_image::{DriveOutput, Outputs, RodValve};
use firmware_core::sequence::{Command, Phase, Plate, State};
use firmware_core::status::Response;
use proptest::prelude::*;
use twinplate_sim::bench::{Action, Bench, Job, NoRecorder, Player};
use twinplate_sim::model::{Deviations, End, Machine};

/// Longest allowed from a stop response to resting load, s, where the machine declares no shorter dump time.
const RESTING_WITHIN: f64 = 1.5;
/// A held plate may sink and swing this much on its trapped air, m.
const HELD_WITHIN: f64 = 5e-3;
/// A drive turns slower than this at standstill, rad/s (0.15 rpm and a rounding).
const STILL: f64 = 0.02;
/// Longest coast of any demo machine at resting load, s (common practice, no source: 6–22 s).
const COAST: u32 = 30_000;

type Rig = Bench<Tamper, NoRecorder>;

fn rig(job: &Job, deviations: Deviations, seed: u64) -> Rig {
    let setup = job.setup(deviations, seed);
    #[allow(clippy::cast_possible_truncation)]
    let taught = (job.batch.thickness * 1e6) as f32;
    let limit = job.compiled.steps[0].load_limit.get();
    let mut bench = setup.bench(Tamper::new(setup.controller(), limit, taught), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    bench
}

fn run_until(bench: &mut Rig, most: u32, mut done: impl FnMut(&Rig) -> bool) -> bool {
    for _ in 0..most {
        bench.step().expect("in process");
        if done(bench) {
            return true;
        }
    }
    false
}

fn at(bench: &Rig) -> (State, Phase) {
    bench
        .status()
        .map_or((State::Stopped, Phase::Rest), |s| (s.state, s.phase))
}

/// Brings the machine to a place.
fn reach(bench: &mut Rig, place: Place) -> bool {
    const LONG: u32 = 200_000;
    match place {
        Place::Running(phase) => run_until(bench, LONG, |b| at(b) == (State::Running, phase)),
        Place::Idle => run_until(bench, 250, |b| at(b).0 == State::Idle),
        Place::Held | Place::Stopping | Place::Aborting | Place::Stopped => {
            if !run_until(bench, LONG, |b| at(b) == (State::Running, Phase::Dwell)) {
                return false;
            }
            let (command, state) = match place {
                Place::Held => (Command::Hold, State::Held),
                Place::Stopping => (Command::Stop, State::Stopping),
                Place::Aborting => (Command::Abort, State::Aborting),
                Place::Stopped | Place::Idle | Place::Running(_) => (Command::Stop, State::Stopped),
            };
            bench.act(Action::Command(command));
            run_until(bench, LONG, |b| at(b).0 == state)
        }
    }
}

fn quiet(out: &Outputs) -> bool {
    out.cap_command == 0
        && !out.dump_shut
        && out.rod == RodValve::Trapped
        && !out.pin_withdraw
        && out.drives == [DriveOutput::default(); 4]
        && out.pump == 0
        && !out.rinse
}

fn trips_as_declared(
    case: &Case,
    trip: &Trip,
    place: usize,
    delay: u32,
) -> Result<(), TestCaseError> {
    let index = TABLE
        .iter()
        .position(|row| row.name == trip.row)
        .expect("rows by name");
    let row = &TABLE[index];
    let job = gauged(case);
    let deviations = case.deviations();
    let place = trip.places[place % trip.places.len()];
    let mut bench = rig(&job, deviations, case.seed);
    prop_assert!(reach(&mut bench, place), "{:?} was not reached", place);
    // A random moment of the phase, if the phase lasts that long.
    let here = at(&bench);
    run_until(&mut bench, delay, |b| at(b) != here);
    if at(&bench) != here {
        return Ok(());
    }
    let before = bench.status().copied().expect("ran");

    bench.port_mut().begin(trip.lie);
    let debounce = row.debounce.ticks(job.params.get());
    let within = debounce + trip.slack;
    let mut seen = 0;
    let mut left = false;
    let asked = run_until(&mut bench, within, |b| {
        seen += 1;
        let s = b.status().expect("ran");
        left |= (s.state, s.phase) != here;
        (s.active | s.latched) >> index & 1 == 1
    });
    // Another row may be quicker to take the machine out of the place where this one is watched.
    if !asked && left && !row.watch.covers(at(&bench).0, at(&bench).1) {
        return Ok(());
    }
    prop_assert!(
        asked,
        "{} in {:?} did not trip within {} ticks",
        row.name,
        place,
        within
    );
    let height = bench.plant().truth().height;
    let response = row.response(job.params.get().estop_category);
    let status = bench.status().copied().expect("ran");
    prop_assert!(
        status.response >= response,
        "{}: {:?} asked, {:?} in force",
        row.name,
        response,
        status.response
    );
    match response {
        Response::None => {}
        Response::Alarm => {
            prop_assert!(
                left || at(&bench) == here || status.response > Response::Alarm,
                "{} left its place",
                row.name
            );
        }
        Response::StartInhibit => inhibits(&mut bench, row.name)?,
        Response::Hold => {
            prop_assert!(
                matches!(status.state, State::Holding | State::Held | State::Stopping),
                "{}: {:?}",
                row.name,
                at(&bench)
            );
            prop_assert!(
                run_until(&mut bench, 60_000, |b| matches!(
                    at(b).0,
                    State::Held | State::Stopped
                )),
                "{} never held",
                row.name
            );
        }
        Response::StopAtStepEnd => {
            // The last step ends the batch in order; any other is followed by the stop.
            let last = usize::from(status.step) + 1 == job.compiled.steps.len();
            let end = if last {
                State::Complete
            } else {
                State::Stopped
            };
            prop_assert!(
                run_until(&mut bench, 300_000, |b| at(b).0 == end),
                "{} never came to {:?}",
                row.name,
                end
            );
            prop_assert!(
                last || bench.status().expect("ran").cause == row.id,
                "{}: cause",
                row.name
            );
        }
        Response::ControlledStop | Response::ImmediateStop => {
            stops(
                &mut bench,
                &job,
                &deviations,
                &before,
                height,
                response,
                row.name,
            )?;
        }
    }
    Ok(())
}

/// The demo job's own random steps with a gauge, its first step ended by size, so that gauge rows can be tripped as well.
fn gauged(case: &Case) -> Job {
    let mut job = case.job();
    job.recipe.gauge = true;
    for step in &mut job.recipe.steps {
        step.longest = 20.0;
        step.end = End::Size {
            thickness: job.batch.target * 0.99,
        };
    }
    Job::new(job.machine, job.batch, job.recipe).expect("still within the limits")
}

fn inhibits(bench: &mut Rig, name: &str) -> Result<(), TestCaseError> {
    let (state, _) = at(bench);
    let command = match state {
        State::Idle => Command::Start,
        State::Held => Command::Restart,
        _ => return Ok(()),
    };
    bench.act(Action::Command(command));
    for _ in 0..200 {
        bench.step().expect("in process");
        prop_assert_eq!(at(bench).0, state, "{}: started all the same", name);
    }
    Ok(())
}

/// The load of a plate that is let go on a drawn machine, and how far it may be off, N: seal breakaway, and what the drive dog may
/// hold, at most half of its friction at the small machine's full torque.
pub fn resting(machine: &Machine, deviations: &Deviations) -> [f64; 2] {
    let a = &machine.actuator;
    let rest = a.weight() * deviations.weight
        - a.area_rod() * a.counterbalance * deviations.counterbalance;
    [rest, a.seal_breakaway * deviations.seal_friction + 3.0]
}

fn stops(
    bench: &mut Rig,
    job: &Job,
    deviations: &Deviations,
    before: &firmware_core::status::Status,
    height: f64,
    response: Response,
    name: &str,
) -> Result<(), TestCaseError> {
    let stopping = |s: State| {
        matches!(
            s,
            State::Stopping | State::Stopped | State::Aborting | State::Aborted
        )
    };
    let quiet_before = matches!(before.state, State::Idle | State::Complete);
    prop_assert!(
        quiet_before || stopping(at(bench).0),
        "{}: {:?} is no stop",
        name,
        at(bench)
    );
    let [rest, give] = resting(&job.machine, deviations);
    let contact = before.plate == Plate::Contact && before.phase != Phase::Lift;
    let dump = RESTING_WITHIN.min(job.machine.control.dump_time);
    let stop_time = job.params.get().stop_time.0;
    let still_within = if response == Response::ImmediateStop {
        COAST
    } else {
        stop_time
    };
    let mut resting_at = None;
    let mut still_at = None;
    for n in 0..still_within.max(2000) + 1000 {
        bench.step().expect("in process");
        let truth = bench.plant().truth();
        // A plate stopped while it still came down may stay lighter than at rest: its rod side is trapped as it is.
        let seating = before.phase == Phase::TouchDown && truth.load_without_runout < rest;
        if (truth.load_without_runout - rest).abs() <= give || seating {
            resting_at.get_or_insert(f64::from(n) / 1000.0);
        } else if contact && f64::from(n) / 1000.0 > dump {
            prop_assert!(
                false,
                "{}: {:.1} N, not resting load {:.1} ± {:.1} N, {} ticks after the response",
                name,
                truth.load_without_runout,
                rest,
                give,
                n
            );
        }
        if truth.speeds.iter().all(|s| s.abs() < STILL) {
            still_at.get_or_insert(n);
            if n > 3000 {
                break;
            }
        }
    }
    prop_assert!(
        still_at.is_some_and(|n| n <= still_within),
        "{}: standstill after {:?} ticks",
        name,
        still_at
    );
    if !contact && !quiet_before {
        let moved = (bench.plant().truth().height - height).abs();
        let descending = matches!(before.phase, Phase::Lower | Phase::Lift);
        prop_assert!(
            moved <= HELD_WITHIN || !descending,
            "{}: the plate moved {:.2} mm after the stop",
            name,
            moved * 1e3
        );
    }
    // No motion without a fresh command, with the cause gone or not.
    bench.port_mut().end();
    prop_assert!(
        run_until(bench, stop_time + 12_000, |b| matches!(
            at(b).0,
            State::Stopped | State::Aborted | State::Idle
        )),
        "{}: never came to rest: {:?}",
        name,
        at(bench)
    );
    for _ in 0..3000 {
        bench.step().expect("in process");
        let view = bench.view().expect("ran");
        prop_assert!(
            quiet(view.outputs),
            "{}: moves by itself: {:?}",
            name,
            view.outputs
        );
    }
    Ok(())
}

fn tripped() -> impl Strategy<Value = (Case, usize, usize, u32)> {
    (cases(1), 0..TRIPS.len(), any::<usize>(), 0..4000_u32)
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn each_row_gives_its_declared_response((case, row, place, delay) in tripped()) {
        let trip = &TRIPS[row];
        if !trip.places.is_empty() {
            trips_as_declared(&case, trip, place, delay)?;
        }
    }
}

/// No row is left to chance: each in each of its places, once, on a nominal machine.
#[test]
fn every_row_in_every_place_gives_its_declared_response() {
    let names: Vec<_> = TRIPS.iter().map(|trip| trip.row).collect();
    let table: Vec<_> = TABLE.iter().map(|row| row.name).collect();
    assert_eq!(names, table, "one entry a row, in the table's order");
    let step = RandomStep::middling(3.0);
    let jobs = TRIPS
        .iter()
        .flat_map(|trip| (0..trip.places.len()).map(move |place| (trip, place)));
    let jobs: Vec<_> = jobs.collect();
    twinplate_sim::bench::ensemble(jobs.len(), 2, &|_| (), |n| {
        let (trip, place) = jobs[n];
        let case = Case {
            base: n % 6,
            steps: vec![step; 1 + n % 2],
            rinse: false,
            corner: true,
            draw: 0,
            seed: n as u64,
        };
        if let Err(e) = trips_as_declared(&case, trip, place, 30) {
            panic!("{} in {:?}: {e}", trip.row, trip.places[place]);
        }
    });
}

//! Parts that hang on the raised plate before a cycle, or while its precheck weighs the plate: either the row says so and nothing moves,
//! or the load on the parts is what the step asks for. The truth of the plant judges the load.

use crate::common::{Case, DEMO, RandomStep, config};
use firmware_core::interlock::Cond;
use firmware_core::sequence::{Command, Phase, Plate, Request, State};
use proptest::prelude::*;
use twinplate_sim::bench::scenario::{RESET_TICK, START_TICK};
use twinplate_sim::bench::{Action, Bench, InProcess, Job, NoRecorder};
use twinplate_sim::model::{Component, Deviations, Fault, FaultMode, G};

type Rig = Bench<InProcess, NoRecorder>;

/// First tick at which the controller, powered up, takes a reset.
const RESET: u32 = RESET_TICK;
/// And a start: standstill is proven.
const FIRST: u32 = START_TICK;
/// Ticks in which a precheck has weighed the plate.
const WEIGHED: u32 = 600;
/// First ticks of the second start.
const SECOND: u32 = FIRST + WEIGHED + 100;

/// A job whose parts weigh `weight` N in all; the carriers that hang with them come on top.
fn heavy(base: usize, weight: f64) -> Job {
    let mut case_step = RandomStep::middling(2.0);
    case_step.limit = 0.9;
    let case = Case {
        base,
        steps: vec![case_step],
        rinse: false,
        corner: true,
        draw: 0,
        seed: 1,
    };
    let job = case.job();
    let mut batch = job.batch.clone();
    batch.density *= weight / (batch.area() * batch.thickness * batch.density * G);
    Job::new(job.machine, batch, job.recipe).expect("heavier parts lap as well")
}

/// The machine has weighed its plate once: a start before the parts are counted, stopped again, as by an operator who forgot to count.
fn known(job: &Job, deviations: Deviations, seed: u64, hang: Option<u32>) -> Rig {
    let setup = job.setup(deviations, seed);
    let mut rig = setup.bench(setup.controller(), NoRecorder);
    let confirm = Request::ConfirmParts {
        pieces: job.compiled.pieces,
    };
    for (tick, action) in [
        (RESET, Action::Command(Command::Reset)),
        (FIRST, Action::Command(Command::Start)),
        (FIRST + WEIGHED, Action::Command(Command::Stop)),
        (SECOND, Action::Command(Command::Reset)),
        (SECOND + 10, Action::Request(Box::new(confirm))),
        (SECOND + 50, Action::Command(Command::Start)),
    ] {
        rig.act_at(tick, action);
    }
    if let Some(tick) = hang {
        rig.act_at(SECOND + tick, Action::Fault(stuck(job.compiled.pieces)));
    }
    rig
}

fn stuck(parts: u16) -> Fault {
    Fault {
        component: Component::Parts,
        mode: FaultMode::Stuck,
        magnitude: Some(f64::from(parts)),
    }
}

fn at(rig: &Rig) -> (State, Phase) {
    let s = rig.status().expect("ran");
    (s.state, s.phase)
}

/// Runs until the cycle is in dwell or at rest, and says whether the row asked.
fn on(rig: &mut Rig, job: &Job) -> Result<bool, TestCaseError> {
    rig.advance(SECOND + 60).expect("in process");
    while !matches!(
        at(rig),
        (State::Running, Phase::Dwell) | (State::Stopped, _)
    ) {
        rig.step().expect("in process");
        prop_assert!(rig.tick() < 300_000, "{:?}", at(rig));
    }
    let s = *rig.status().expect("ran");
    let told = s.latched & Cond::TareChanged.bit() != 0;
    if told {
        prop_assert_eq!((s.state, s.plate), (State::Stopped, Plate::Parked));
        return Ok(true);
    }
    let p = job.params.get();
    let setpoint = job.compiled.steps[0].load;
    let band = f64::from(p.band_around(setpoint).get());
    // What the row lets pass, and the cell's span on the plate's weight.
    let off = f64::from(p.stuck.get()) + 0.005 * f64::from(p.weight.get());
    while at(rig) == (State::Running, Phase::Dwell) {
        let [_, load] = rig.plant().load();
        let wrong = (load - f64::from(setpoint.get())).abs();
        prop_assert!(
            wrong <= band + off,
            "{wrong:.1} N off the setpoint, and no row"
        );
        rig.step().expect("in process");
    }
    Ok(false)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: (config().cases / 8).max(1), ..config() })]

    #[test]
    fn parts_that_hang_before_the_precheck_are_told_or_take_nothing_from_the_load(
        base in 0..6_usize,
        share in 0.0..2.0_f64,
        hang in 0..700_u32,
        corner in 0..1000_u64,
        seed in any::<u64>(),
    ) {
        let weight = share * f64::from(DEMO[base].params.get().tare_band.get());
        let job = heavy(base, weight.max(0.5));
        let deviations = twinplate_sim::plant::envelope::corner(&job.machine.envelope, corner);
        let mut rig = known(&job, deviations, seed, Some(hang));
        let told = on(&mut rig, &job)?;
        // Hung before the start, and by a fifth more than the row lets pass: it must be told.
        let clearly = 1.2 * f64::from(job.params.get().stuck.get());
        prop_assert!(told || hang >= 50 || weight < clearly, "{weight:.1} N hung, and no row");
    }
}

/// With nothing on it the plate weighs as it did, on the machines of every corner; and once freed it does so again.
#[test]
fn a_plate_with_nothing_on_it_is_not_told_and_a_freed_one_runs() {
    for base in 0..6 {
        // Thrice what counts as a stuck part: inside the machine's own band, so that only the last tare tells.
        let job = heavy(base, 3.0 * f64::from(DEMO[base].params.get().stuck.get()));
        for corner in 0..4 {
            let deviations = twinplate_sim::plant::envelope::corner(&job.machine.envelope, corner);
            let mut rig = known(&job, deviations, corner, None);
            let told = on(&mut rig, &job).expect("holds its load");
            assert!(!told, "{base}, corner {corner}");
        }
        let mut rig = known(&job, Deviations::NOMINAL, 1, Some(0));
        assert!(on(&mut rig, &job).expect("at rest"), "{base}: parts hang");
        let start = |rig: &mut Rig| {
            let confirm = Request::ConfirmParts {
                pieces: job.compiled.pieces,
            };
            for action in [
                Action::Command(Command::Reset),
                Action::Request(Box::new(confirm)),
                Action::Command(Command::Start),
            ] {
                rig.act(action);
                rig.advance(20).expect("in process");
            }
            rig.advance(WEIGHED).expect("in process");
        };
        // Reset and started with the parts still hanging: told again, for it is compared with what was believed.
        start(&mut rig);
        assert_eq!(at(&rig), (State::Stopped, Phase::Rest), "{base}: told once");
        rig.act(Action::Clear(Component::Parts));
        start(&mut rig);
        assert_eq!(at(&rig), (State::Running, Phase::Lower), "{base}: freed");
    }
}

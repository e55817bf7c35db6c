//! Rows that no lie about one input trips, each in its own story on a nominal machine.

use crate::common::{Case, DEMO, RandomStep};
use firmware_core::interlock::TABLE;
use firmware_core::params::machine_id;
use firmware_core::sequence::{Command, Mode, Phase, Plate, Refusal, Request, SetupMove, State};
use twinplate_sim::bench::{Action, Bench, InProcess, Job, NoRecorder, Player};
use twinplate_sim::compile;
use twinplate_sim::model::{Component, End, Fault, FaultMode, StationAct};

type Rig = Bench<InProcess, NoRecorder>;

fn job(base: usize) -> Job {
    let step = RandomStep::middling(30.0);
    Case {
        base,
        steps: vec![step],
        rinse: false,
        corner: true,
        draw: 0,
        seed: 1,
    }
    .job()
}

fn rig(job: &Job) -> Rig {
    let setup = job.nominal(1);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    bench
}

fn until(bench: &mut Rig, what: &str, done: impl Fn(&Rig) -> bool) -> u32 {
    for n in 0..400_000 {
        bench.step().expect("in process");
        if done(bench) {
            return n;
        }
    }
    panic!("never {what}: {:?}", bench.status());
}

fn in_phase(bench: &Rig, state: State, phase: Phase) -> bool {
    bench
        .status()
        .is_some_and(|s| (s.state, s.phase) == (state, phase))
}

fn id(name: &str) -> u16 {
    TABLE
        .iter()
        .find(|row| row.name == name)
        .expect("rows by name")
        .id
}

fn bit(name: &str) -> u64 {
    1 << TABLE
        .iter()
        .position(|row| row.name == name)
        .expect("rows by name")
}

#[test]
fn a_dead_regulator_takes_the_load_out_of_band_and_holds_the_cycle() {
    let mut bench = rig(&job(4));
    until(&mut bench, "in dwell", |b| {
        in_phase(b, State::Running, Phase::Dwell)
    });
    bench.act(Action::Fault(Fault {
        component: Component::Regulator,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    let ticks = until(&mut bench, "holding", |b| {
        b.status().is_some_and(|s| s.state == State::Holding)
    });
    // Two seconds out of band, and the time the air takes to leave.
    assert!((2000..3500).contains(&ticks), "{ticks}");
    assert_eq!(
        bench.status().map(|s| s.cause),
        Some(id("load-out-of-band"))
    );
    until(&mut bench, "held", |b| {
        b.status()
            .is_some_and(|s| matches!(s.state, State::Held | State::Stopped))
    });
}

#[test]
fn an_agitator_left_off_in_a_hold_settles_the_slurry() {
    let job = job(1);
    let mut bench = rig(&job);
    until(&mut bench, "in dwell", |b| {
        in_phase(b, State::Running, Phase::Dwell)
    });
    bench.act(Action::Fault(Fault {
        component: Component::Agitator,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    bench.act(Action::Command(Command::Hold));
    until(&mut bench, "held", |b| {
        b.status().is_some_and(|s| s.state == State::Held)
    });
    let limit = job.params.get().settle_limit.0;
    until(&mut bench, "settled", |b| {
        b.status()
            .is_some_and(|s| s.active & bit("agitator-settled") != 0)
    });
    assert!(bench.tick() > limit);
    // No restart on settled slurry.
    bench.act(Action::Command(Command::Restart));
    bench.advance(50).expect("in process");
    assert_eq!(bench.status().map(|s| s.state), Some(State::Held));
}

#[test]
fn parts_stuck_to_the_raised_plate_are_held_in_the_air() {
    let mut bench = rig(&job(4));
    until(&mut bench, "in slurry stop", |b| {
        in_phase(b, State::Running, Phase::SlurryStop)
    });
    // The fault is refused while the plate is down: it shows once the plate has lifted off.
    until(&mut bench, "lifting", |b| {
        in_phase(b, State::Running, Phase::Lift) && b.plant().truth().load <= 0.0
    });
    bench.act(Action::Fault(Fault {
        component: Component::Parts,
        mode: FaultMode::Stuck,
        magnitude: None,
    }));
    until(&mut bench, "held in the air", |b| {
        b.status()
            .is_some_and(|s| matches!(s.state, State::Held | State::Complete))
    });
    assert!(bench.refused().is_empty(), "{:?}", bench.refused());
    let s = *bench.status().expect("ran");
    assert_eq!((s.state, s.cause), (State::Held, id("parts-stuck")));
    let height = bench.plant().truth().height;
    bench.advance(5000).expect("in process");
    assert!(
        (bench.plant().truth().height - height).abs() < 1e-3,
        "the plate is held where it is"
    );
}

#[test]
fn a_recipe_for_another_machine_inhibits_the_start_until_a_right_one_is_loaded() {
    let job = job(1);
    let mut bench = rig(&job);
    let mut wrong = job.compiled.clone();
    wrong.machine_id = machine_id("another");
    bench.act_at(250, Action::Request(Box::new(Request::LoadRecipe(wrong))));
    bench.advance(2000).expect("in process");
    let s = *bench.status().expect("ran");
    assert_eq!(s.state, State::Idle, "not started");
    assert!(s.active & bit("recipe-wrong") != 0);
    assert!(
        bench
            .refused()
            .iter()
            .any(|r| format!("{:?}", r.by).contains(&format!("{:?}", Refusal::RecipeInvalid)))
    );
    for action in [
        Action::Request(Box::new(Request::LoadRecipe(job.compiled.clone()))),
        Action::Request(Box::new(Request::ConfirmParts {
            pieces: job.compiled.pieces,
        })),
        Action::Command(Command::Start),
    ] {
        bench.act(action);
        bench.advance(20).expect("in process");
    }
    assert_eq!(bench.status().map(|s| s.state), Some(State::Running));
}

#[test]
fn a_lost_link_disarms_remote_start() {
    let mut bench = rig(&job(1));
    bench.act_at(160, Action::Station(StationAct::Link(true)));
    bench.act_at(160, Action::Station(StationAct::LocalEnable(true)));
    bench.act_at(200, Action::Request(Box::new(Request::ArmRemote(true))));
    bench.act_at(240, Action::Station(StationAct::Link(false)));
    // Before the operator by the book starts, the debounce is not over: look at the row alone.
    bench.advance(290).expect("in process");
    assert!(bench.refused().is_empty(), "{:?}", bench.refused());
    let armed = bench.port().controller().remote_armed();
    assert!(armed, "armed until the debounce is over");
    // Keep it from starting.
    bench.act_at(295, Action::Station(StationAct::PressEstop));
    bench.advance(1500).expect("in process");
    assert_eq!(bench.status().map(|s| s.state), Some(State::Idle));
    assert!(!bench.port().controller().remote_armed(), "disarmed");
}

#[test]
fn a_hold_that_lasts_too_long_becomes_a_stop() {
    let mut machine = DEMO[1].machine.clone();
    machine.control.hold_time = 5.0;
    let job = job(1);
    let job = Job::new(machine, job.batch, job.recipe).expect("valid");
    let mut bench = rig(&job);
    until(&mut bench, "in dwell", |b| {
        in_phase(b, State::Running, Phase::Dwell)
    });
    bench.act(Action::Command(Command::Hold));
    until(&mut bench, "held", |b| {
        b.status().is_some_and(|s| s.state == State::Held)
    });
    let ticks = until(&mut bench, "stopped", |b| {
        b.status().is_some_and(|s| s.state == State::Stopped)
    });
    assert!((5000..20_000).contains(&ticks), "{ticks}");
    assert_eq!(bench.status().map(|s| s.cause), Some(id("hold-timeout")));
}

#[test]
fn a_step_ended_by_its_longest_time_says_so() {
    let mut job = job(1);
    job.recipe.gauge = true;
    job.recipe.steps[0].end = End::Size {
        thickness: job.batch.target * 0.98,
    };
    job.recipe.steps[0].longest = 10.0;
    let job = Job::new(job.machine, job.batch, job.recipe).expect("valid");
    let mut bench = rig(&job);
    until(&mut bench, "complete", |b| {
        b.status().is_some_and(|s| s.state == State::Complete)
    });
    assert!(
        bench.summary().rows & bit("step-overtime") != 0,
        "the alarm was given"
    );
}

/// The tick counter wraps after 49.7 days, in the middle of a dwell if it must.
#[test]
fn the_tick_counter_wraps_without_a_trace() {
    let job = job(1);
    let run = |start: u32| {
        let setup = job.nominal(1);
        let mut controller = firmware_core::controller::Controller::new(
            compile::params(&job.machine).expect("valid"),
            1,
        );
        controller.set_tick(firmware_core::units::Ticks(start));
        let mut bench = setup.bench(InProcess::with(controller), NoRecorder);
        bench.play(Player::new(None, job.compiled.pieces));
        let ticks = until(&mut bench, "complete", |b| {
            b.status().is_some_and(|s| s.state == State::Complete)
        });
        (ticks, bench.plant().truth().thickness.to_bits())
    };
    assert_eq!(run(0), run(u32::MAX - 50_000));
}

/// Guards: contact was not believed for the first 10 mm after a restart, and a hold in the creep ended in a time-out.
#[test]
fn a_hold_in_the_creep_is_resumed_and_the_batch_completed() {
    let job = job(1);
    let mut bench = rig(&job);
    until(&mut bench, "creeping", |b| {
        in_phase(b, State::Running, Phase::Lower)
            && b.plant().truth().height < job.batch.thickness + 1e-3
    });
    bench.act(Action::Command(Command::Hold));
    until(&mut bench, "held", |b| {
        b.status().is_some_and(|s| s.state == State::Held)
    });
    bench.act(Action::Command(Command::Restart));
    until(&mut bench, "complete or stopped", |b| {
        b.status()
            .is_some_and(|s| matches!(s.state, State::Complete | State::Stopped))
    });
    assert_eq!(bench.status().map(|s| s.state), Some(State::Complete));
}

/// Guards: a plate stopped as it touched was taken to be in the air for ever, and a jog turned it dry.
#[test]
fn a_plate_stopped_as_it_touches_is_known_to_rest_on_the_parts_and_is_not_jogged() {
    let mut bench = rig(&job(1));
    until(&mut bench, "touching", |b| b.plant().truth().load > 30.0);
    bench.act(Action::Command(Command::Stop));
    until(&mut bench, "stopped", |b| {
        b.status().is_some_and(|s| s.state == State::Stopped)
    });
    bench.advance(1000).expect("in process");
    assert_eq!(bench.status().map(|s| s.plate), Some(Plate::Contact));
    for action in [
        Action::Station(StationAct::SetupKey(true)),
        Action::Request(Box::new(Request::SetMode(Mode::Setup))),
        Action::Request(Box::new(Request::SelectMove(SetupMove::Jog))),
        Action::Station(StationAct::HoldToRun(true)),
    ] {
        bench.act(action);
        bench.advance(50).expect("in process");
    }
    bench.advance(5000).expect("in process");
    assert!(bench.refused().is_empty(), "{:?}", bench.refused());
    assert!(in_phase(&bench, State::Stopped, Phase::Rest));
    assert!(!bench.summary().harm.dry_turning.happened());
}

/// Guards: a tank that runs empty must not put a hold off to the end of the step.
#[test]
fn a_hold_is_not_put_off_by_a_stop_at_step_end() {
    let mut bench = rig(&job(4));
    until(&mut bench, "in dwell", |b| {
        in_phase(b, State::Running, Phase::Dwell)
    });
    bench.act(Action::Fault(Fault {
        component: Component::TankLevel,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    bench.act(Action::Fault(Fault {
        component: Component::Regulator,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    until(&mut bench, "holding", |b| {
        b.status()
            .is_some_and(|s| matches!(s.state, State::Holding | State::Complete))
    });
    assert_eq!(bench.status().map(|s| s.state), Some(State::Holding));
}

/// Guards: a cycle that was to stop at the end of its step, because the tank had run empty, forgot why when the tank was topped up
/// before the plates stood.
#[test]
fn a_stop_at_the_end_of_a_step_keeps_the_reason_that_is_gone_when_it_comes() {
    let step = RandomStep::middling(10.0);
    let job = Case {
        base: 1,
        steps: vec![step; 2],
        rinse: false,
        corner: true,
        draw: 0,
        seed: 1,
    }
    .job();
    let mut bench = rig(&job);
    until(&mut bench, "in dwell", |b| {
        in_phase(b, State::Running, Phase::Dwell)
    });
    bench.act(Action::Fault(Fault {
        component: Component::TankLevel,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    until(&mut bench, "released", |b| {
        in_phase(b, State::Running, Phase::LoadRelease)
    });
    bench.act(Action::Clear(Component::TankLevel));
    until(&mut bench, "stopped", |b| {
        b.status()
            .is_some_and(|s| matches!(s.state, State::Stopped | State::Complete))
    });
    let s = *bench.status().expect("ran");
    assert_eq!((s.state, s.cause), (State::Stopped, id("tank-empty")));
}

/// Guards: a drive that ran on after a category 0 stop left the controller in Aborting for ever, and nobody was told.
#[test]
fn a_drive_that_outlasts_its_coast_is_told_and_stays_told_until_reset() {
    let job = job(0);
    let mut bench = rig(&job);
    until(&mut bench, "in dwell", |b| {
        in_phase(b, State::Running, Phase::Dwell)
    });
    bench.act(Action::Fault(Fault {
        component: Component::DriveLower,
        mode: FaultMode::Stuck,
        magnitude: None,
    }));
    bench.act(Action::Command(Command::Abort));
    until(&mut bench, "aborting", |b| {
        b.status().is_some_and(|s| s.state == State::Aborting)
    });
    let row = bit("coast-overrun");
    let ticks = until(&mut bench, "told", |b| {
        b.status().is_some_and(|s| s.active & row != 0)
    });
    // The film life of the machine's file, to the tick in which the stop began.
    let life = (job.machine.slurry.film_life * 1000.0) as u32;
    assert!((life - 2..=life + 2).contains(&ticks), "{ticks}");
    bench.advance(5000).expect("in process");
    assert_eq!(bench.status().map(|s| s.state), Some(State::Aborting));
    // The main switch stops it.
    bench.act(Action::Clear(Component::DriveLower));
    until(&mut bench, "aborted", |b| {
        b.status().is_some_and(|s| s.state == State::Aborted)
    });
    bench.advance(1000).expect("in process");
    assert!(bench.status().is_some_and(|s| s.latched & row != 0));
    bench.act(Action::Command(Command::Reset));
    bench.advance(10).expect("in process");
    assert!(bench.status().is_some_and(|s| s.latched & row == 0));
}

/// Guards: stopped on its parts after its counterbalance was lost, the machine had no way home. What is trapped under the plate keeps
/// the switch open, the row forbade the raise, and nothing but the raise brings the pressure back.
#[test]
fn a_plate_that_lost_its_counterbalance_is_raised_once_that_is_restored() {
    let mut bench = rig(&job(1));
    until(&mut bench, "in dwell", |b| {
        in_phase(b, State::Running, Phase::Dwell)
    });
    bench.act(Action::Fault(Fault {
        component: Component::Counterbalance,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    let stopped = |b: &Rig| b.status().is_some_and(|s| s.state == State::Stopped);
    until(&mut bench, "stopped", stopped);
    bench.advance(5000).expect("in process");
    assert_eq!(
        bench.status().map(|s| s.cause),
        Some(id("counterbalance-lost"))
    );
    let told = |b: &Rig| {
        b.status()
            .is_some_and(|s| s.active & bit("counterbalance-lost-stopped") != 0)
    };
    assert!(told(&bench), "the weight on the parts is told");
    bench.act(Action::Clear(Component::Counterbalance));
    bench.act(Action::Command(Command::Reset));
    bench.advance(100).expect("in process");
    bench.act(Action::Request(Box::new(Request::Raise)));
    until(&mut bench, "parked", |b| {
        b.status()
            .is_some_and(|s| s.phase == Phase::Rest && s.plate == Plate::Parked)
    });
    bench.act(Action::Command(Command::Reset));
    bench.advance(100).expect("in process");
    assert_eq!(bench.status().map(|s| s.state), Some(State::Idle));
    assert!(!told(&bench), "and goes with its cause");
}

/// Guards: a counterbalance that is lost while the machine stands stopped with the plate in the air was told nobody. It is an alarm
/// within its debounce, and nothing but that: the raise, which is the cure, stays allowed.
#[test]
fn a_counterbalance_lost_under_a_plate_in_the_air_is_told_and_forbids_no_raise() {
    let mut bench = rig(&job(1));
    until(&mut bench, "in lift", |b| {
        in_phase(b, State::Running, Phase::Lift)
    });
    bench.advance(500).expect("in process");
    bench.act(Action::Command(Command::Stop));
    until(&mut bench, "stopped", |b| {
        in_phase(b, State::Stopped, Phase::Rest)
    });
    bench.act(Action::Fault(Fault {
        component: Component::RodSwitch,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    bench.advance(30).expect("in process");
    let row = bit("counterbalance-lost-stopped");
    let s = *bench.status().expect("running");
    assert_eq!((s.state, s.phase), (State::Stopped, Phase::Rest));
    assert!(s.active & row != 0);
    assert!(s.active & bit("counterbalance-lost") == 0);
    bench.act(Action::Command(Command::Reset));
    bench.act(Action::Request(Box::new(Request::Raise)));
    bench.advance(10).expect("in process");
    assert_eq!(bench.status().map(|s| s.phase), Some(Phase::Lift));
}

/// And where it is not restored, the parked machine does not start.
#[test]
fn a_counterbalance_that_stays_lost_forbids_the_start() {
    let mut bench = rig(&job(1));
    bench.act(Action::Fault(Fault {
        component: Component::Counterbalance,
        mode: FaultMode::Off,
        magnitude: None,
    }));
    bench.advance(3000).expect("in process");
    assert_eq!(bench.status().map(|s| s.state), Some(State::Idle));
    assert!(
        bench
            .status()
            .is_some_and(|s| s.active & bit("counterbalance-lost") != 0)
    );
}

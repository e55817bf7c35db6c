use super::run::{AFTER_COMPLETE, AFTER_STOP, AWAIT_START, run_to_end};
use super::testing::{Script, Scripted, control, plant, quiet, recipe, status};
use super::*;
use crate::model::{Component, Fault, FaultMode, StationAct};
use firmware_core::sequence::{Phase, State};

fn bench(script: Script) -> Bench<Scripted, TraceRecorder> {
    let (journal, tally) = (Journal::new(1, Vec::new()), Tally::new(targets()));
    let recorder = TraceRecorder::new(100_000, 10);
    Bench::new(Scripted::new(script), plant(), recorder, tally, journal)
}

fn targets() -> Targets {
    Targets::new(&recipe(), &control())
}

fn confirm(pieces: u16) -> Request {
    Request::ConfirmParts { pieces }
}

fn request(request: Request) -> Action {
    Action::Request(Box::new(request))
}

/// A controller whose command follows its own tick and the inputs it is given.
fn lively(tick: u32, inputs: &Inputs) -> (Outputs, Status) {
    let outputs = Outputs {
        cap_command: (tick % 700) as u16 * 50,
        dump_shut: inputs.estop_a,
        ..Outputs::default()
    };
    let mut status = status();
    status.state = State::Running;
    status.phase = if tick % 1000 < 500 {
        Phase::LoadRamp
    } else {
        Phase::Dwell
    };
    (outputs, status)
}

#[test]
fn actions_keep_their_order_one_request_and_one_command_a_tick() {
    let mut bench = bench(quiet);
    bench.advance(3).unwrap();
    bench.act_at(5, request(confirm(1)));
    bench.act_at(5, Action::Command(Command::Start));
    bench.act_at(5, request(confirm(2))); // would act before Start: next tick
    bench.act_at(5, Action::Station(StationAct::PressEstop)); // not ahead of the request
    bench.act_at(5, request(confirm(3)));
    bench.act_at(4, Action::Command(Command::Hold));
    bench.act_at(9, Action::Command(Command::Stop));
    bench.act_at(9, request(Request::Raise)); // would act before Stop: next tick
    assert!(bench.pending());
    bench.advance(8).unwrap();
    assert!(!bench.pending());
    let heard = [
        (4, Some(Command::Hold), None),
        (5, Some(Command::Start), Some(confirm(1))),
        (6, None, Some(confirm(2))),
        (7, None, Some(confirm(3))),
        (9, Some(Command::Stop), None),
        (10, None, Some(Request::Raise)),
    ];
    assert_eq!(bench.port().heard, heard);
    let ticks: Vec<_> = bench.journal().entries.iter().map(|e| e.tick).collect();
    assert_eq!(ticks, [4, 5, 5, 6, 6, 7, 9, 10]);
}

#[test]
fn a_late_action_acts_at_the_next_tick() {
    let mut bench = bench(quiet);
    bench.advance(10).unwrap();
    bench.act_at(2, Action::Command(Command::Stop));
    bench.act(Action::Clear(Component::Pump));
    bench.advance(1).unwrap();
    assert_eq!(bench.port().heard, [(10, Some(Command::Stop), None)]);
    assert_eq!(bench.journal().entries.len(), 2);
}

#[test]
fn a_snapshot_goes_its_own_way_and_the_same_way_alike() {
    let mut first = bench(lively);
    first.advance(1234).unwrap();
    let mut second = first.clone();
    let mut third = first.clone();
    first.advance(2000).unwrap();
    second.advance(2000).unwrap();
    assert_eq!(first.control_hash(), second.control_hash());
    assert_eq!(first.summary(), second.summary());
    assert_eq!(
        first.recorder().trace_hash(),
        second.recorder().trace_hash()
    );
    third.act(Action::Station(StationAct::PressEstop));
    third.advance(2000).unwrap();
    assert_ne!(first.control_hash(), third.control_hash());
}

#[test]
fn a_journal_replays_the_run() {
    let mut bench = bench(lively);
    bench.act_at(400, Action::Station(StationAct::PressEstop));
    bench.act_at(900, Action::Station(StationAct::ReleaseEstop));
    bench.act_at(900, Action::Command(Command::Reset));
    bench.advance(3000).unwrap();
    let text = bench.journal().to_text().unwrap();
    let mut again = self::bench(lively);
    for entry in Journal::from_text(&text).unwrap().entries {
        again.act_at(entry.tick, entry.action);
    }
    again.advance(3000).unwrap();
    assert_eq!(bench.control_hash(), again.control_hash());
    assert_eq!(bench.journal(), again.journal());
}

#[test]
fn what_is_refused_is_kept() {
    let mut bench = bench(quiet);
    bench.port.refuses = Some(Refusal::WrongState);
    bench.act(request(Request::Raise));
    bench.advance(5).unwrap();
    // A guard lock has no lag to be slow with.
    bench.act(Action::Fault(Fault {
        component: Component::GuardLock,
        mode: FaultMode::Slow,
        magnitude: Some(f64::NAN),
    }));
    bench.advance(1).unwrap();
    let [by_controller, by_plant] = bench.refused() else {
        panic!("{:?}", bench.refused());
    };
    let refusal = RefusedBy::Controller(Refusal::WrongState);
    assert_eq!((by_controller.tick, &by_controller.by), (0, &refusal));
    assert_eq!(by_plant.tick, 5);
    assert!(matches!(by_plant.by, RefusedBy::Plant(_)));
}

#[test]
fn a_failed_exchange_is_no_tick() {
    let mut bench = bench(quiet);
    bench.port.fails = Some(3);
    let hash = {
        let mut good = self::bench(quiet);
        good.advance(3).unwrap();
        good.control_hash()
    };
    let error = bench.advance(10).unwrap_err();
    assert!(error.to_string().contains("check that"), "{error}");
    assert_eq!((bench.tick(), bench.control_hash()), (3, hash));
}

/// A recorder that keeps what it was shown of two instants.
#[derive(Clone, Debug, Default)]
struct Witness(Vec<(u32, Inputs, u64)>);

impl Recorder for Witness {
    fn record(&mut self, view: &TickView<'_>) {
        self.0
            .push((view.tick, *view.inputs, view.plant.truth().tick));
    }
}

#[test]
fn the_recorder_sees_the_machine_at_the_instant_of_the_inputs() {
    let (journal, tally) = (Journal::new(1, Vec::new()), Tally::new(targets()));
    let port = Scripted::new(lively);
    let mut bench = Bench::new(port, plant(), Witness::default(), tally, journal);
    let before = *bench.plant().inputs();
    bench.advance(2).unwrap();
    let [first, second] = bench.recorder().0.as_slice() else {
        panic!("two ticks are two views");
    };
    assert_eq!(*first, (0, before, 0));
    assert_eq!((second.0, second.2), (1, 1));
    // Between ticks the machine is one step on.
    let view = bench.view().unwrap();
    assert_eq!((view.tick, view.plant.truth().tick), (1, 2));
}

/// How a run of this state history ends, and after how many ticks.
fn end_of(script: Script, longest: u32) -> (Ended, u32) {
    let mut bench = bench(script);
    let ended = run_to_end(&mut bench, longest).unwrap();
    (ended, bench.tick())
}

fn in_state(state: State) -> (Outputs, Status) {
    let mut status = status();
    status.state = state;
    (Outputs::default(), status)
}

#[test]
fn a_run_ends_when_its_cycle_has() {
    let complete = end_of(
        |tick, _| {
            in_state(if tick < 50 {
                State::Running
            } else {
                State::Complete
            })
        },
        100_000,
    );
    assert_eq!(complete, (Ended::Complete, 51 + AFTER_COMPLETE));
    let aborted = end_of(
        |tick, _| {
            in_state(match tick {
                0..50 => State::Running,
                50..90 => State::Aborting,
                _ => State::Aborted,
            })
        },
        100_000,
    );
    assert_eq!(aborted, (Ended::Aborted, 91 + AFTER_STOP));
    assert_eq!(
        end_of(|_, _| in_state(State::Held), 7_000),
        (Ended::LongestTime, 7_000)
    );
    assert_eq!(end_of(quiet, 100_000), (Ended::NotStarted, AWAIT_START));
}

#[test]
fn a_run_waits_for_what_is_still_to_come() {
    let mut bench = bench(|tick, _| {
        in_state(if tick < 5 {
            State::Running
        } else {
            State::Stopped
        })
    });
    bench.act_at(9_000, request(Request::Raise));
    let ended = run_to_end(&mut bench, 100_000).unwrap();
    assert_eq!((ended, bench.tick()), (Ended::Stopped, 9_001));
}

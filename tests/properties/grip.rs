//! A Setup movement begins only with a fresh grip of the hold-to-run control, made when everything that permits the movement is
//! there: whatever hands do at the key, the guard, its lock and the control, however quickly, and whatever a circuit does for a
//! millisecond.
//!
//! The test follows the hand and what permits a movement from what the controller was shown, never from what it remembers.

use crate::common::{DEMO, config};
use crate::tamper::Tamper;
use firmware_core::process_image::{Inputs, Outputs, RodValve};
use firmware_core::sequence::{Command, Mode, Phase, Plate, Request, SetupMove, State};
use firmware_core::status::Response;
use proptest::prelude::*;
use twinplate_sim::bench::{Action, Bench, NoRecorder, Player};
use twinplate_sim::model::{Deviations, StationAct};

pub type Rig = Bench<Tamper, NoRecorder>;

/// Something at the station, or in a circuit.
#[derive(Clone, Copy, Debug)]
enum Deed {
    Hand(StationAct),
    Command(Command),
    Mode(Mode),
    Select(SetupMove),
    Lock,
    Unlock,
    /// A circuit of the permit drops out for a millisecond.
    Flicker(Circuit),
}

/// A circuit that may drop out.
#[derive(Clone, Copy, Debug)]
enum Circuit {
    Lock,
    Guard,
    Key,
    Control,
}

const fn drop_out(inputs: &mut Inputs, circuit: Circuit) {
    match circuit {
        Circuit::Lock => inputs.guard_locked = false,
        Circuit::Guard => (inputs.guard_a, inputs.guard_b) = (false, false),
        Circuit::Key => inputs.setup_key = false,
        Circuit::Control => inputs.hold_to_run = false,
    }
}

fn deed() -> impl Strategy<Value = Deed> {
    use StationAct::{CloseGuard, HoldToRun, OpenGuard, PressEstop, ReleaseEstop, SetupKey};
    let moves = [
        SetupMove::Raise,
        SetupMove::Lower,
        SetupMove::Jog,
        SetupMove::Purge,
        SetupMove::Condition,
    ];
    let circuits = [
        Circuit::Lock,
        Circuit::Guard,
        Circuit::Key,
        Circuit::Control,
    ];
    prop_oneof![
        6 => any::<bool>().prop_map(|on| Deed::Hand(HoldToRun(on))),
        3 => Just(Deed::Hand(SetupKey(true))),
        1 => Just(Deed::Hand(SetupKey(false))),
        2 => prop::sample::select(vec![OpenGuard, CloseGuard, CloseGuard]).prop_map(Deed::Hand),
        1 => prop::sample::select(vec![PressEstop, ReleaseEstop, ReleaseEstop]).prop_map(Deed::Hand),
        4 => prop::sample::select(moves.to_vec()).prop_map(Deed::Select),
        3 => Just(Deed::Mode(Mode::Setup)),
        1 => Just(Deed::Mode(Mode::Automatic)),
        2 => Just(Deed::Lock),
        1 => Just(Deed::Unlock),
        2 => prop::sample::select(vec![Command::Reset, Command::Reset, Command::Stop, Command::Abort])
            .prop_map(Deed::Command),
        3 => prop::sample::select(circuits.to_vec()).prop_map(Deed::Flicker),
    ]
}

/// Follows one control and what permits it.
#[derive(Default)]
struct Follower {
    /// The movement last asked for, as far as the machine takes such a request.
    selected: Option<SetupMove>,
    /// What a grip in the next tick may begin.
    let_go: Option<SetupMove>,
    moving: bool,
}

impl Follower {
    /// The movement that everything but the hand permits.
    fn permitted(&self, bench: &Rig) -> Option<SetupMove> {
        let i = bench.port().shown();
        let shut = i.guard_a && i.guard_b && i.guard_locked;
        let s = bench.status().expect("ran");
        let free = i.setup_key && shut && s.mode == Mode::Setup && s.response < Response::Hold;
        self.selected.filter(|_| free)
    }

    /// Looks at the tick that was just made.
    fn look(&mut self, bench: &Rig) -> Result<(), TestCaseError> {
        let view = bench.view().expect("ran");
        let (s, out) = (view.status, view.outputs);
        let held = bench.port().shown().hold_to_run;
        let permitted = self.permitted(bench);
        let moves = s.phase == Phase::Manual;
        prop_assert!(
            !moves || (held && permitted.is_some()),
            "tick {}: goes on without the hand or what permits it",
            view.tick
        );
        prop_assert!(
            !moves || self.moving || permitted == self.let_go,
            "tick {}: begins with {:?}, permitted to a hand that was free: {:?}",
            view.tick,
            permitted,
            self.let_go
        );
        let still = matches!(s.phase, Phase::Rest | Phase::Coast);
        prop_assert!(
            !still || quiet(out),
            "tick {}: {:?} {:?} moves: {:?}",
            view.tick,
            s.state,
            s.phase,
            out
        );
        self.let_go = permitted.filter(|_| !held && s.phase == Phase::Rest);
        self.moving = moves;
        Ok(())
    }
}

fn quiet(out: &Outputs) -> bool {
    out.rod == RodValve::Trapped
        && out.drives.iter().all(|d| !d.enable)
        && out.pump == 0
        && !out.rinse
        && out.cap_command == 0
}

/// Where the hands find the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Reset after power-up: Idle, the plate parked.
    Home,
    /// After power-up, the plate parked.
    Parked,
    /// Stopped while the plate came down.
    Air,
    /// Stopped on the parts.
    Contact,
}

pub fn rig(place: Place) -> Rig {
    let job = &DEMO[1];
    let setup = job.setup(Deviations::NOMINAL, 1);
    let mut bench = setup.bench(Tamper::new(setup.controller(), 0.0, 0.0), NoRecorder);
    let phase = match place {
        Place::Parked | Place::Home => {
            bench.advance(400).expect("in process");
            if place == Place::Home {
                bench.act(Action::Command(Command::Reset));
                bench.advance(400).expect("in process");
                assert_eq!(bench.status().expect("ran").state, State::Idle);
            }
            return bench;
        }
        Place::Air => Phase::Lower,
        Place::Contact => Phase::SlurryPrestart,
    };
    bench.play(Player::new(None, job.compiled.pieces));
    let until = |bench: &mut Rig, done: &dyn Fn(State, Phase) -> bool| {
        while !bench.status().is_some_and(|s| done(s.state, s.phase)) {
            bench.step().expect("in process");
            assert!(bench.tick() < 200_000, "{place:?} was never reached");
        }
    };
    until(&mut bench, &|_, at| at == phase);
    bench.advance(500).expect("in process");
    bench.act(Action::Command(Command::Stop));
    until(&mut bench, &|state, _| state == State::Stopped);
    bench.advance(400).expect("in process");
    bench
}

fn put(bench: &mut Rig, follower: &mut Follower, deed: Deed) {
    let request = |r| Action::Request(Box::new(r));
    let mode = bench.status().expect("ran").mode;
    match deed {
        Deed::Hand(act) => bench.act(Action::Station(act)),
        Deed::Command(command) => bench.act(Action::Command(command)),
        Deed::Mode(mode) => bench.act(request(Request::SetMode(mode))),
        Deed::Select(wanted) => {
            if mode == Mode::Setup {
                follower.selected = Some(wanted);
            }
            bench.act(request(Request::SelectMove(wanted)));
        }
        Deed::Lock => bench.act(request(Request::LockGuard)),
        Deed::Unlock => bench.act(request(Request::UnlockGuard)),
        Deed::Flicker(circuit) => bench.port_mut().begin(move |i, _| drop_out(i, circuit)),
    }
}

fn go_on(bench: &mut Rig, follower: &mut Follower, ticks: u32) -> Result<(), TestCaseError> {
    for _ in 0..ticks {
        bench.step().expect("in process");
        bench.port_mut().end();
        follower.look(bench)?;
    }
    Ok(())
}

fn only_a_fresh_grip_moves(place: Place, deeds: &[(Deed, u32)]) -> Result<(), TestCaseError> {
    let mut bench = rig(place);
    let mut follower = Follower::default();
    // The ordinary way into Setup, so that random hands seldom stay outside it.
    for deed in [
        Deed::Hand(StationAct::SetupKey(true)),
        Deed::Mode(Mode::Setup),
    ] {
        put(&mut bench, &mut follower, deed);
        go_on(&mut bench, &mut follower, 20)?;
    }
    for (deed, ticks) in deeds {
        put(&mut bench, &mut follower, *deed);
        go_on(&mut bench, &mut follower, *ticks)?;
    }
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn a_setup_movement_begins_only_with_a_fresh_grip(
        place in prop::sample::select(vec![Place::Home, Place::Parked, Place::Air, Place::Contact]),
        deeds in prop::collection::vec((deed(), prop_oneof![1 => Just(1_u32), 2 => 1..60_u32, 1 => 300..900_u32]), 10..80),
    ) {
        only_a_fresh_grip_moves(place, &deeds)?;
    }
}

/// The plate on the parts, in Setup, the movement up selected, the guard open, the control held.
fn held_at_the_open_guard() -> (Rig, Follower) {
    let mut bench = rig(Place::Contact);
    let mut follower = Follower::default();
    for deed in [
        Deed::Hand(StationAct::SetupKey(true)),
        Deed::Mode(Mode::Setup),
        Deed::Select(SetupMove::Raise),
        Deed::Unlock,
        Deed::Hand(StationAct::OpenGuard),
        Deed::Hand(StationAct::HoldToRun(true)),
    ] {
        put(&mut bench, &mut follower, deed);
        go_on(&mut bench, &mut follower, 500).expect("nothing moves yet");
    }
    (bench, follower)
}

fn do_all(bench: &mut Rig, follower: &mut Follower, deeds: &[Deed]) {
    for deed in deeds {
        put(bench, follower, *deed);
        if let Err(e) = go_on(bench, follower, 500) {
            panic!("{deed:?}: {e}");
        }
    }
}

/// Guards: a control held at an open guard moved the plate two ticks after another person had locked it.
#[test]
fn shutting_the_guard_never_starts_what_a_hand_already_holds() {
    let (mut bench, mut follower) = held_at_the_open_guard();
    let shut = [Deed::Hand(StationAct::CloseGuard), Deed::Lock];
    do_all(&mut bench, &mut follower, &shut);
    let s = bench.status().expect("ran");
    assert_eq!(
        (s.state, s.phase, s.plate),
        (State::Stopped, Phase::Rest, Plate::Contact)
    );
    // Let go and gripped again, it moves: the rule is no lock-out.
    let again = [
        Deed::Hand(StationAct::HoldToRun(false)),
        Deed::Hand(StationAct::HoldToRun(true)),
    ];
    do_all(&mut bench, &mut follower, &again);
    assert_eq!(bench.status().map(|s| s.phase), Some(Phase::Manual));
    // What takes the permit away ends the movement, and its return begins none: whatever dropped out, and for however short a time.
    for circuit in [
        Circuit::Lock,
        Circuit::Guard,
        Circuit::Key,
        Circuit::Control,
    ] {
        do_all(&mut bench, &mut follower, &[Deed::Flicker(circuit)]);
        assert_eq!(
            bench.status().map(|s| s.phase),
            Some(Phase::Rest),
            "{circuit:?}"
        );
        do_all(&mut bench, &mut follower, &again);
        assert_eq!(bench.status().map(|s| s.phase), Some(Phase::Manual));
    }
}

/// Guards: selecting a movement while the control was held began it.
#[test]
fn selecting_a_movement_never_starts_it() {
    let mut bench = rig(Place::Contact);
    let mut follower = Follower::default();
    let held = [
        Deed::Hand(StationAct::SetupKey(true)),
        Deed::Mode(Mode::Setup),
        Deed::Hand(StationAct::HoldToRun(true)),
        Deed::Select(SetupMove::Purge),
    ];
    do_all(&mut bench, &mut follower, &held);
    assert_eq!(bench.status().map(|s| s.phase), Some(Phase::Rest));
    let grip = [
        Deed::Hand(StationAct::HoldToRun(false)),
        Deed::Hand(StationAct::HoldToRun(true)),
    ];
    do_all(&mut bench, &mut follower, &grip);
    assert_eq!(bench.status().map(|s| s.phase), Some(Phase::Manual));
    // Another movement under the same hand is another movement: it needs its own grip.
    do_all(&mut bench, &mut follower, &[Deed::Select(SetupMove::Raise)]);
    assert_eq!(bench.status().map(|s| s.phase), Some(Phase::Rest));
}

//! Setup, judged by the truth of the plant in every tick: whatever hands do at key, guard, lock, mode, choice and control, nothing
//! moves without all of them and a fresh hold; letting go brings standstill within the declared time; one thing moves at a time, one
//! way, and slowly.
//!
//! [`crate::grip`] asks the controller when a movement begins; here only what truly moves counts.

use crate::common::{DEMO, config};
use crate::grip::{Place, Rig, rig};
use crate::rest::Follower;
use firmware_core::interlock::Cond;
use firmware_core::process_image::{Outputs, RodValve};
use firmware_core::sequence::{
    ALL_SETUP_MOVES, Command, Mode, Phase, Plate, Request, SetupMove, State,
};
use proptest::prelude::*;
use twinplate_sim::bench::Action;
use twinplate_sim::model::StationAct;

/// A drive turns slower than this at standstill, rad/s (0.15 rpm and a rounding).
const STILL: f64 = 0.02;
/// A plate slower than this stands, m/s: air under it settles (as in the fault matrix).
const STANDS: f64 = 2e-4;
/// Ticks in which a plate that is let go in the air comes to rest on it (as in the fault matrix).
const PLATE_WITHIN: u32 = 1500;
/// Ticks in which the pump's line has emptied below a quarter of the least flow: the controller's own patience.
const LINE_WITHIN: u32 = 10_000;
/// Ticks over which a movement must have been permitted for its way to be judged: valves and trapped air take theirs to turn round.
const UNDER_WAY: u32 = 600;
/// What a drive may be faster than it was told, as a share.
const OVERSHOOT: f64 = 0.1;

#[derive(Clone, Copy, Debug)]
enum Deed {
    Hand(StationAct),
    Command(Command),
    Mode(Mode),
    Select(SetupMove),
    Lock,
    Unlock,
}

fn deed() -> impl Strategy<Value = Deed> {
    use StationAct::{CloseGuard, HoldToRun, OpenGuard, SetupKey};
    prop_oneof![
        8 => any::<bool>().prop_map(|on| Deed::Hand(HoldToRun(on))),
        1 => any::<bool>().prop_map(|on| Deed::Hand(SetupKey(on))),
        1 => prop::sample::select(vec![OpenGuard, CloseGuard]).prop_map(Deed::Hand),
        5 => prop::sample::select(ALL_SETUP_MOVES.to_vec()).prop_map(Deed::Select),
        1 => prop::sample::select(vec![Mode::Setup, Mode::Automatic]).prop_map(Deed::Mode),
        1 => prop::sample::select(vec![Deed::Lock, Deed::Unlock]),
        1 => prop::sample::select(vec![Command::Reset, Command::Stop, Command::Hold, Command::Abort])
            .prop_map(Deed::Command),
    ]
}

/// What hands have asked for, and for how long it was all there or not.
#[derive(Default)]
struct Hands {
    selected: Option<SetupMove>,
    /// Ticks since everything that a movement needs was there last; from power-up it never was.
    without: u32,
    /// Ticks for which it has been there, the same movement selected.
    with: u32,
    /// Sum of the drives' setpoints in the tick before, 0.01 rpm.
    asked: u32,
    moved: u32,
}

/// Limits of the machine that are judged by.
struct Limits {
    stop_time: u32,
    /// Reduced speed, rad/s.
    reduced: f64,
    /// Slower than the fast descent by half: a hand never lowers fast, m/s.
    creeps: f64,
    /// A plate that is this fast moves: nearly its creep, m/s.
    moves: f64,
    /// A line with less flow has stopped, m³/s.
    flow: f64,
}

impl Limits {
    /// Of the machine that [`rig`] brings there.
    fn of_the_rig() -> Self {
        let job = &DEMO[1];
        let p = job.params.get();
        Self {
            stop_time: p.stop_time.0,
            reduced: f64::from(p.setup_speed.get()) * std::f64::consts::TAU / 60.0,
            creeps: job.machine.actuator.speed_fast * 0.5,
            moves: job.machine.actuator.speed_creep * 0.9,
            flow: job.machine.slurry.flow_min * 0.25,
        }
    }
}

impl Hands {
    /// Judges the tick that was just made.
    fn look(&mut self, rig: &Rig, limits: &Limits) -> Result<(), TestCaseError> {
        let view = rig.view().expect("ran");
        let (i, s, tick) = (view.inputs, view.status, view.tick);
        let truth = view.plant.truth();
        let shut = !truth.guard_open && i.guard_a && i.guard_b && i.guard_locked;
        let all = i.hold_to_run && i.setup_key && shut && s.mode == Mode::Setup;
        if all && self.selected.is_some() {
            (self.without, self.with) = (0, self.with + 1);
        } else {
            (self.without, self.with) = (self.without.saturating_add(1), 0);
        }
        let fastest = truth
            .speeds
            .iter()
            .fold(0.0_f64, |most, v| most.max(v.abs()));
        let plate = truth.plate_speed;
        let selected = self.selected;
        let at = || format!("tick {tick}, {:?} {:?}, {selected:?}", s.state, s.phase);

        // Let go, or without what permits it, everything comes to rest in its time and stays there.
        prop_assert!(
            fastest < STILL || self.without <= limits.stop_time,
            "{}: {fastest:.3} rad/s {} ticks after it was let go",
            at(),
            self.without
        );
        prop_assert!(
            plate.abs() < STANDS || self.without <= PLATE_WITHIN || truth.load > 0.0,
            "{}: the plate moves {:.2} mm/s {} ticks after it was let go",
            at(),
            plate * 1e3,
            self.without
        );
        prop_assert!(
            truth.flow < limits.flow || self.without <= LINE_WITHIN,
            "{}: the line flows {} ticks after it was let go",
            at(),
            self.without
        );

        // One thing at a time: no drive turns under a plate that goes up or down, and none turns fast.
        let turns = fastest > 2.0 * STILL;
        prop_assert!(
            !(turns && truth.load <= 0.0 && plate.abs() > limits.moves),
            "{}: turns at {fastest:.3} rad/s while the plate moves {:.2} mm/s",
            at(),
            plate * 1e3
        );
        prop_assert!(
            fastest <= limits.reduced * (1.0 + OVERSHOOT) + STILL,
            "{}: {fastest:.3} rad/s, reduced speed {:.3}",
            at(),
            limits.reduced
        );
        // No alarm on the way that every hand takes: a plate that is lowered needs no pin.
        prop_assert!(
            s.active & Cond::PinParked.bit() == 0 || s.plate == Plate::Parked,
            "{}: wants the pin of a plate that is not parked",
            at()
        );
        // On parts nothing is turned up that does not flow: loss of flow turns down.
        let setpoints = view.outputs.drives.iter().map(|drive| drive.setpoint);
        let asked: u32 = setpoints.map(|s| u32::from(s.unsigned_abs())).sum();
        prop_assert!(
            asked <= self.asked || truth.load <= 0.0 || s.flow_proven,
            "{}: turned up dry on the parts",
            at()
        );
        self.asked = asked;
        self.one_way(rig, limits, plate)?;
        one_output(view.outputs, s.phase == Phase::Manual, self.selected)?;
        self.moved += u32::from(s.phase == Phase::Manual && (turns || plate.abs() > limits.moves));
        Ok(())
    }

    /// A movement that is under way goes its own way: up is not down, and nothing moves the plate but raise and lower.
    fn one_way(&self, rig: &Rig, limits: &Limits, plate: f64) -> Result<(), TestCaseError> {
        let view = rig.view().expect("ran");
        let (tick, manual) = (view.tick, view.status.phase == Phase::Manual);
        prop_assert!(
            -plate < limits.creeps,
            "tick {tick}: down at {:.1} mm/s",
            -plate * 1e3
        );
        let [load, _] = view.plant.load();
        if !manual || self.with < UNDER_WAY || load > 0.0 {
            return Ok(());
        }
        let moves = limits.moves;
        let (up, down) = match self.selected {
            Some(SetupMove::Raise) => (true, false),
            Some(SetupMove::Lower) => (false, true),
            Some(SetupMove::Jog | SetupMove::Purge | SetupMove::Condition) | None => (false, false),
        };
        prop_assert!(
            up || plate < moves,
            "tick {tick}: {:?} raises the plate",
            self.selected
        );
        prop_assert!(
            down || plate > -moves,
            "tick {tick}: {:?} lowers the plate",
            self.selected
        );
        Ok(())
    }
}

/// Never two ways at once, in what is told: the rod valve, the drives, the pump.
fn one_output(
    out: &Outputs,
    manual: bool,
    selected: Option<SetupMove>,
) -> Result<(), TestCaseError> {
    let up = matches!(out.rod, RodValve::Lift | RodValve::LiftCreep);
    let down = matches!(out.rod, RodValve::LowerCreep | RodValve::LowerFast);
    let turn = out
        .drives
        .iter()
        .any(|drive| drive.enable && drive.setpoint != 0);
    let ways = [up, down, turn, out.rinse]
        .iter()
        .filter(|way| **way)
        .count();
    prop_assert!(ways <= 1, "{:?}", out);
    prop_assert!(
        !(turn && out.rod == RodValve::Float && out.pump == 0),
        "turns dry on the parts: {:?}",
        out
    );
    if manual {
        prop_assert!(
            !up || selected == Some(SetupMove::Raise),
            "{:?}: {:?}",
            selected,
            out
        );
        prop_assert!(
            !down || selected == Some(SetupMove::Lower),
            "{:?}: {:?}",
            selected,
            out
        );
    }
    Ok(())
}

fn put(rig: &mut Rig, hands: &mut Hands, deed: Deed) {
    let request = |r| Action::Request(Box::new(r));
    match deed {
        Deed::Hand(act) => rig.act(Action::Station(act)),
        Deed::Command(command) => rig.act(Action::Command(command)),
        Deed::Mode(mode) => rig.act(request(Request::SetMode(mode))),
        Deed::Select(wanted) => {
            if rig.status().expect("ran").mode == Mode::Setup {
                hands.selected = Some(wanted);
            }
            rig.act(request(Request::SelectMove(wanted)));
        }
        Deed::Lock => rig.act(request(Request::LockGuard)),
        Deed::Unlock => rig.act(request(Request::UnlockGuard)),
    }
}

/// Ticks in which something truly moved, over all cases: hands that move nothing show nothing.
fn hands_move_nothing_but_by_the_rules(
    place: Place,
    deeds: &[(Deed, u32)],
) -> Result<u32, TestCaseError> {
    let mut rig = rig(place);
    let limits = Limits::of_the_rig();
    let mut hands = Hands {
        // The cycle that brought it here has come to rest.
        without: limits.stop_time.max(LINE_WITHIN) / 2,
        ..Hands::default()
    };
    let mut follower = Follower::default();
    let into_setup = [
        Deed::Hand(StationAct::SetupKey(true)),
        Deed::Mode(Mode::Setup),
    ];
    // At the end the hand lets go, and nothing else is done: standstill in its time.
    let quiet = limits.stop_time + LINE_WITHIN / 2;
    let ends = [(Deed::Hand(StationAct::HoldToRun(false)), quiet)];
    let into_setup = into_setup.map(|deed| (deed, 20));
    for (deed, ticks) in into_setup.iter().chain(deeds).chain(&ends) {
        put(&mut rig, &mut hands, *deed);
        for _ in 0..*ticks {
            rig.step().expect("in process");
            follower.look(&rig)?;
            hands.look(&rig, &limits)?;
        }
    }
    Ok(hands.moved)
}

/// A third of the cases of the other properties: each is some twenty seconds of hands.
const PER_CASE: u32 = 3;

proptest! {
    #![proptest_config(ProptestConfig { cases: (config().cases / PER_CASE).max(1), ..config() })]

    #[test]
    fn nothing_moves_in_setup_without_key_guard_mode_and_a_fresh_hold_and_letting_go_stops_it(
        place in prop::sample::select(vec![Place::Home, Place::Parked, Place::Air, Place::Contact]),
        deeds in prop::collection::vec((deed(), prop_oneof![2 => 1..60_u32, 2 => 300..900_u32, 1 => 2000..4000_u32]), 10..30),
    ) {
        hands_move_nothing_but_by_the_rules(place, &deeds)?;
    }
}

/// The property above shows nothing unless hands do move the machine: each movement, gripped and let go, in its place; the plate down
/// and up again.
#[test]
fn every_setup_movement_moves_when_it_is_gripped_and_stops_when_it_is_let_go() {
    let grip = |wanted| {
        [
            (Deed::Select(wanted), 300),
            // The air under a plate that was lifted takes its time to let it down at the creep.
            (Deed::Hand(StationAct::HoldToRun(true)), 40_000),
            (Deed::Hand(StationAct::HoldToRun(false)), 2_000),
        ]
    };
    for (place, wanted, most) in [
        (Place::Air, vec![SetupMove::Lower], 3_000),
        (Place::Air, vec![SetupMove::Lower, SetupMove::Raise], 6_000),
        (Place::Air, vec![SetupMove::Jog], 30_000),
        (Place::Contact, vec![SetupMove::Condition], 1_000),
        // What a purge moves is slurry.
        (Place::Parked, vec![SetupMove::Purge], 0),
    ] {
        let deeds: Vec<_> = wanted.iter().copied().flat_map(grip).collect();
        let moved = hands_move_nothing_but_by_the_rules(place, &deeds).expect("by the rules");
        assert!(moved >= most, "{wanted:?} moved for {moved} ticks");
    }
}

/// The way that every hand takes, from a machine at home. Its first millimetres are too slow to count as moved.
#[test]
fn a_plate_that_is_lowered_from_its_place_raises_no_alarm() {
    let deeds = [
        (Deed::Select(SetupMove::Lower), 300),
        (Deed::Hand(StationAct::HoldToRun(true)), 5_000),
    ];
    hands_move_nothing_but_by_the_rules(Place::Home, &deeds).expect("by the rules");
    let mut rig = rig(Place::Home);
    let mut hands = Hands::default();
    let into_setup = [
        (Deed::Hand(StationAct::SetupKey(true)), 20),
        (Deed::Mode(Mode::Setup), 20),
    ];
    for (deed, ticks) in into_setup.iter().chain(&deeds) {
        put(&mut rig, &mut hands, *deed);
        rig.advance(*ticks).expect("in process");
    }
    let s = rig.status().expect("ran");
    assert_eq!(
        (s.state, s.phase, s.plate, s.active | s.latched),
        (State::Idle, Phase::Manual, Plate::Air, 0)
    );
}

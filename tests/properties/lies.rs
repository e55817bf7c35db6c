//! Transmitters that lie, for a millisecond or for seconds: what the controller asks of the machine stays within its bounds, because
//! nothing measured is copied into an order without one.

use crate::common::{Case, DEMO, RandomStep, cases, config};
use crate::tamper::{Scene, Tamper};
use firmware_core::judge::CREEP_LIFT;
use firmware_core::motion::DriveSet;
use firmware_core::process_image::{DRIVES, DriveInput, Inputs, RodValve};
use firmware_core::sequence::{Command, DriveGoal, Phase, State};
use firmware_core::signal::{Measured, STANDSTILL_RPM};
use firmware_core::status::Status;
use firmware_core::units::{Rpm, TICK_SECONDS};
use proptest::prelude::*;
use twinplate_sim::bench::{Action, Bench, Job, NoRecorder, Player};

type Rig = Bench<Tamper, NoRecorder>;

/// Counts of a speed, one rpm.
const RPM: f32 = 100.0;
/// Setpoints are whole counts: two roundings lie between two of them.
const ROUNDING: f32 = 1.01;
/// Longer than any of the random cycles takes to be lifting, ticks.
const LONGEST: u32 = 900_000;
/// How much of a cycle is looked at after a lie has begun, ticks.
const AFTER: u32 = 50_000;

fn rig(job: &Job, case: &Case) -> Rig {
    let setup = job.setup(case.deviations(), case.seed);
    let mut bench = setup.bench(Tamper::new(setup.controller(), 0.0, 0.0), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    bench
}

fn at(bench: &Rig) -> (State, Phase) {
    bench
        .status()
        .map_or((State::Stopped, Phase::Rest), |s| (s.state, s.phase))
}

/// Brings an honest machine to so many ticks before or after it enters a phase for the first time. False if it never does.
fn reach(bench: &mut Rig, phase: Phase, offset: i32) -> bool {
    let mut scout = bench.clone();
    while at(&scout) != (State::Running, phase) {
        scout.step().expect("in process");
        if scout.tick() > LONGEST {
            return false;
        }
    }
    let begin = scout.tick().saturating_add_signed(offset);
    let ticks = begin.saturating_sub(bench.tick());
    bench.advance(ticks).expect("in process");
    true
}

/// How reported speeds lie.
#[derive(Clone, Copy, Debug)]
enum Speeds {
    /// So much too high or too low, 0.01 rpm.
    Off(i16),
    /// This, whatever the drive does, 0.01 rpm.
    Put(i16),
    /// The other sign.
    Turned,
    /// Anything that the wire can carry, another value in every tick.
    Garbage(u32),
}

/// The largest report that still counts as standing, 0.01 rpm.
#[allow(clippy::cast_possible_truncation)]
fn standing() -> i16 {
    (STANDSTILL_RPM * RPM) as i16
}

/// A lie about speeds.
#[derive(Clone, Copy, Debug)]
struct Lie {
    speeds: Speeds,
    /// Which drives: a bit each.
    drives: u8,
    /// How long it goes on, ticks, and in it one tick of so many is a lie.
    lasts: u32,
    every: u32,
}

fn lie() -> impl Strategy<Value = Lie> {
    let speeds = prop_oneof![
        3 => any::<i16>().prop_map(Speeds::Off),
        1 => (-500..500_i16).prop_map(Speeds::Off),
        2 => any::<i16>().prop_map(Speeds::Put),
        1 => (-standing()..=standing()).prop_map(Speeds::Put),
        1 => Just(Speeds::Put(0)),
        1 => Just(Speeds::Turned),
        2 => any::<u32>().prop_map(Speeds::Garbage),
    ];
    let lasts = prop_oneof![2 => 1..4_u32, 2 => 4..300_u32, 1 => 300..8000_u32];
    let every = prop_oneof![2 => Just(1_u32), 1 => 2..40_u32];
    (speeds, 1..16_u8, lasts, every).prop_map(|(speeds, drives, lasts, every)| Lie {
        speeds,
        drives,
        lasts,
        every,
    })
}

fn tell(lie: &Lie, inputs: &mut Inputs, scene: &Scene) {
    if !scene.since.is_multiple_of(lie.every) {
        return;
    }
    for (n, drive) in inputs.drives.iter_mut().enumerate() {
        if lie.drives >> n & 1 == 0 {
            continue;
        }
        drive.speed = match lie.speeds {
            Speeds::Off(by) => drive.speed.saturating_add(by),
            Speeds::Put(value) => value,
            Speeds::Turned => drive.speed.saturating_neg(),
            Speeds::Garbage(seed) => {
                // A mixing step of a linear congruential generator: any sixteen bits will do.
                let mixed = (seed ^ scene.since)
                    .wrapping_add(n as u32)
                    .wrapping_mul(0x9E37_79B1)
                    .rotate_left(13)
                    .wrapping_mul(0x85EB_CA6B);
                (mixed >> 16) as u16 as i16
            }
        };
    }
}

/// What the phase asks of the drives, counts.
fn asked(job: &Job, s: &Status) -> [f32; DRIVES] {
    let turns = matches!(
        s.phase,
        Phase::RunUp | Phase::LoadRamp | Phase::Dwell | Phase::LoadRelease | Phase::Rinse
    );
    if turns {
        job.compiled.steps[usize::from(s.step)]
            .speeds
            .map(|speed| speed.get() * RPM)
    } else {
        [0.0; DRIVES]
    }
}

/// Follows the setpoints: each moves from where it was towards what its phase asks for, no faster than the machine's ramp.
#[derive(Default)]
struct Follower {
    before: [f32; DRIVES],
}

impl Follower {
    fn look(&mut self, bench: &Rig, job: &Job) -> Result<(), TestCaseError> {
        let view = bench.view().expect("ran");
        let p = job.params.get();
        let ramp = p.drive_ramp.get() * TICK_SECONDS * RPM;
        let asked = asked(job, view.status);
        let truth = bench.plant().truth();
        let place = (view.status.state, view.status.phase);
        for (n, (out, asked)) in view.outputs.drives.iter().zip(asked).enumerate() {
            let now = f32::from(out.setpoint);
            let most = if p.fixed[n] {
                0.0
            } else {
                p.speed_max[n].get()
            };
            prop_assert!(
                now.abs() <= most * RPM + 0.5,
                "tick {}, {:?}: drive {} is asked for {} of {} rpm",
                view.tick,
                place,
                n,
                now / RPM,
                most
            );
            if out.enable {
                let (low, high) = if asked < self.before[n] {
                    (asked, self.before[n])
                } else {
                    (self.before[n], asked)
                };
                prop_assert!(
                    now >= low - ROUNDING && now <= high + ROUNDING,
                    "tick {}, {:?}: drive {} is asked for {} rpm on its way from {} to {}",
                    view.tick,
                    place,
                    n,
                    now / RPM,
                    self.before[n] / RPM,
                    asked / RPM
                );
                prop_assert!(
                    (now - self.before[n]).abs() <= ramp + ROUNDING,
                    "tick {}, {:?}: drive {} jumps from {} to {} rpm",
                    view.tick,
                    place,
                    n,
                    self.before[n] / RPM,
                    now / RPM
                );
            } else {
                prop_assert!(now.abs() <= 0.0, "without power nothing is asked");
            }
            self.before[n] = if out.enable { now } else { 0.0 };
            // The machine's own tolerance is what a speed loop may overshoot.
            let turns = truth.speeds[n].abs() * 30.0 / std::f64::consts::PI;
            let limit = f64::from(most + p.speed_tolerance.get());
            prop_assert!(
                turns <= limit,
                "tick {}, {:?}: drive {} turns at {:.1} rpm, its largest is {}",
                view.tick,
                place,
                n,
                turns,
                most
            );
        }
        Ok(())
    }
}

fn speeds_stay_within_their_bounds(
    case: &Case,
    lie: Lie,
    phase: Phase,
    offset: i32,
    commands: &[(u32, Command)],
) -> Result<(), TestCaseError> {
    let job = case.job();
    let mut bench = rig(&job, case);
    prop_assert!(reach(&mut bench, phase, offset), "{:?} never came", phase);
    let begin = bench.tick();
    for (after, command) in commands {
        bench.act_at(begin + after, Action::Command(*command));
    }
    let mut follower = Follower::default();
    // What went before the lie is looked at too, for where the setpoints stand.
    if let Some(view) = bench.view() {
        follower.before = view.outputs.drives.map(|drive| f32::from(drive.setpoint));
    }
    bench.port_mut().begin(move |i, s| tell(&lie, i, s));
    for tick in 0..AFTER {
        if tick == lie.lasts {
            bench.port_mut().end();
        }
        bench.step().expect("in process");
        follower.look(&bench, &job)?;
    }
    Ok(())
}

const PHASES: [Phase; 11] = [
    Phase::Precheck,
    Phase::Lower,
    Phase::TouchDown,
    Phase::SlurryPrestart,
    Phase::RunUp,
    Phase::LoadRamp,
    Phase::Dwell,
    Phase::LoadRelease,
    Phase::RunDown,
    Phase::SlurryStop,
    Phase::Lift,
];

fn commands() -> impl Strategy<Value = Vec<(u32, Command)>> {
    use Command::{Hold, Restart, Stop};
    let command = prop::sample::select(vec![Hold, Hold, Restart, Restart, Restart, Stop]);
    let commands = prop::collection::vec((0..AFTER, command), 0..5);
    commands.prop_map(|mut commands| {
        commands.sort_by_key(|(tick, _)| *tick);
        commands
    })
}

/// A cycle of one step on the first of the demo machines.
fn plain() -> Case {
    Case {
        base: 0,
        steps: vec![RandomStep::middling(3.0)],
        rinse: false,
        corner: true,
        draw: 0,
        seed: 1,
    }
}

/// A lie about the load of a plate that just takes its load, up to the end of the cell's range, and for less than rows 7 and 11 need.
fn still_plates_bear_no_more_than_initial(
    case: &Case,
    offset: i32,
    lasts: u32,
    share: f32,
) -> Result<(), TestCaseError> {
    let job = case.job();
    let mut bench = rig(&job, case);
    prop_assert!(
        reach(&mut bench, Phase::TouchDown, offset),
        "never touched down"
    );
    let range = job.params.get().cell_range_counts;
    #[allow(clippy::cast_possible_truncation)]
    let counts = (f64::from(range - 1) * f64::from(share)) as i32;
    bench
        .port_mut()
        .begin(move |i, s| i.cell_counts = counts + i32::from(s.since.is_multiple_of(2)));
    let initial = job.params.get().initial.get();
    for tick in 0..8000 {
        if tick == lasts {
            bench.port_mut().end();
        }
        let s = *bench.step().expect("in process");
        let still = matches!(s.phase, Phase::TouchDown | Phase::SlurryPrestart);
        prop_assert!(
            !still || s.reference.get() <= initial,
            "tick {}, {:?}: {} N wanted of plates that stand, initial load is {} N",
            bench.tick(),
            s.phase,
            s.reference.get(),
            initial
        );
    }
    Ok(())
}

/// A height that reads too low as the plate leaves its parts.
fn the_plate_creeps_off_its_parts(
    case: &Case,
    offset: i32,
    lasts: u32,
    height: i32,
) -> Result<(), TestCaseError> {
    let job = case.job();
    let mut bench = rig(&job, case);
    prop_assert!(reach(&mut bench, Phase::Lift, offset), "never lifted");
    let parts = bench.plant().truth().height;
    bench.port_mut().begin(move |i, _| i.plate_height = height);
    // Where the parts are is taught, and wrong by the tolerance of the height at most.
    let creep = CREEP_LIFT - job.params.get().contact_tolerance.get();
    for tick in 0..6000 {
        if tick == lasts {
            bench.port_mut().end();
        }
        bench.step().expect("in process");
        let risen = (bench.plant().truth().height - parts) * 1e6;
        let fast = bench
            .view()
            .is_some_and(|view| view.outputs.rod == RodValve::Lift);
        prop_assert!(
            !fast || risen >= f64::from(creep),
            "tick {}: lifted fast when {:.0} µm off the parts",
            bench.tick(),
            risen
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn setpoints_and_speeds_stay_within_their_bounds_whatever_speeds_are_reported(
        case in cases(2),
        lie in lie(),
        phase in prop::sample::select(PHASES.to_vec()),
        offset in prop_oneof![3 => -4..4_i32, 1 => -3000..3000_i32],
        commands in commands(),
    ) {
        speeds_stay_within_their_bounds(&case, lie, phase, offset, &commands)?;
    }

    #[test]
    fn no_moment_of_a_false_load_makes_still_plates_bear_more_than_the_initial_load(
        case in cases(1), offset in -9..2_i32, lasts in 1..8_u32, share in -1.0..1.0_f32,
    ) {
        still_plates_bear_no_more_than_initial(&case, offset, lasts, share)?;
    }

    #[test]
    fn the_plate_creeps_off_its_parts_though_its_height_reads_low(
        case in cases(1), offset in -3..2_i32, lasts in 1..4_u32, height in prop_oneof![Just(i32::MIN), -100_000..100_i32],
    ) {
        the_plate_creeps_off_its_parts(&case, offset, lasts, height)?;
    }
}

/// Guards: in the tick before run-up one false report of 300 rpm became the setpoint of a drive whose largest is 60, and a controlled
/// stop ramped down from there for 12 s. Now the run-up waits until standstill is proven again, and the cycle goes its way.
#[test]
fn a_false_report_of_a_millisecond_before_run_up_costs_a_quarter_of_a_second() {
    let case = plain();
    let job = case.job();
    let honest = {
        let mut bench = rig(&job, &case);
        assert!(reach(&mut bench, Phase::RunUp, 0));
        bench.tick()
    };
    for speeds in [Speeds::Put(30_000), Speeds::Put(-30_000), Speeds::Put(3000)] {
        let mut bench = rig(&job, &case);
        assert!(reach(&mut bench, Phase::RunUp, -2));
        let lie = Lie {
            speeds,
            drives: 15,
            lasts: 1,
            every: 1,
        };
        bench.port_mut().begin(move |i, s| tell(&lie, i, s));
        let mut follower = Follower::default();
        for tick in 0..20_000 {
            if tick == lie.lasts {
                bench.port_mut().end();
            }
            bench.step().expect("in process");
            if let Err(e) = follower.look(&bench, &job) {
                panic!("{speeds:?}: {e}");
            }
            if at(&bench).1 == Phase::RunUp {
                break;
            }
        }
        let late = bench.tick() - honest;
        assert!((240..=260).contains(&late), "{speeds:?}: {late} ticks");
        while at(&bench) != (State::Running, Phase::Dwell) {
            bench.step().expect("in process");
            if let Err(e) = follower.look(&bench, &job) {
                panic!("{speeds:?}: {e}");
            }
            assert!(bench.tick() < 200_000, "{speeds:?}: never dwelt");
        }
    }
}

/// Guards: a report of 30 rpm for two seconds moved the setpoint of the run-up, and no row asked. A report that still counts as
/// standing moves none either.
#[test]
fn a_false_report_of_seconds_before_run_up_moves_no_setpoint() {
    let case = plain();
    for (speed, drives) in [(3000, 1), (standing(), 1), (-standing(), 15)] {
        let lie = Lie {
            speeds: Speeds::Put(speed),
            drives,
            lasts: 2000,
            every: 1,
        };
        for offset in [-2000, -1000, -2] {
            if let Err(e) = speeds_stay_within_their_bounds(&case, lie, Phase::RunUp, offset, &[]) {
                panic!("{speed}, {offset}: {e}");
            }
        }
    }
}

/// The largest speed is the last word where setpoints leave, whatever a step asks for: the drives alone, without the checks above them.
#[test]
fn no_setpoint_leaves_above_its_drives_largest() {
    for job in DEMO.iter() {
        let p = job.params.get();
        let mut drives = DriveSet::new(&job.params);
        let targets = [300.0, 300.0, -300.0, -300.0].map(Rpm::new);
        let mut reached = [0.0; DRIVES];
        let still = [DriveInput::default(); DRIVES];
        for _ in 0..100_000 {
            let orders = drives.step(DriveGoal::Run, &targets, &still, &Measured::default());
            for n in 0..DRIVES {
                let most = if p.fixed[n] {
                    0.0
                } else {
                    p.speed_max[n].get()
                };
                let asked = f32::from(orders[n].setpoint).abs();
                assert!(asked <= most * RPM + 0.5, "drive {n}: {} rpm", asked / RPM);
                reached[n] = most * RPM - asked;
            }
        }
        // A ramp that never came to the bound would show nothing.
        assert!(reached.iter().all(|left| left.abs() < 1.0), "{reached:?}");
    }
}

//! The load never overshoots its limits.

use crate::common::{Case, cases, config};
use proptest::prelude::*;
use twinplate_sim::bench::{self, Action, Ended, Job, NoRecorder, Player};
use twinplate_sim::model::{Component, Fault, FaultMode};
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported};

fn load_stays_within_its_limits(case: &Case) -> Result<(), TestCaseError> {
    let job = case.job();
    let setup = job.setup(case.deviations(), case.seed);
    let outcome = bench::run_cycle(&setup, None, NoRecorder).expect("in process");
    let s = &outcome.summary;
    let way: Vec<_> = s
        .intervals
        .iter()
        .map(|i| format!("{} {} {}..{}", i.phase.name(), i.step, i.start, i.end))
        .collect();
    prop_assert_eq!(
        outcome.ended,
        Ended::Complete,
        "cause {:?}: {}",
        s.cause,
        way.join(", ")
    );
    for (n, step) in s.steps.iter().enumerate() {
        let margin = step.margin.expect("every step was loaded");
        prop_assert!(
            margin.value > 0.0,
            "step {}: {} N above its limit",
            n,
            -margin.value
        );
        let overshoot = step.overshoot.expect("every step was loaded");
        prop_assert!(
            overshoot.value <= step.overshoot_allowed(),
            "step {}: overshoot {:.2} N of {:.2} N allowed at {:.1} N, tick {}",
            n,
            overshoot.value,
            step.overshoot_allowed(),
            step.setpoint,
            overshoot.tick
        );
    }
    prop_assert!(
        s.peak_load.value <= s.rated_load,
        "{} N above rated",
        s.peak_load.value - s.rated_load
    );
    Ok(())
}

/// What the blow of a plate that comes down on its parts is, and how it dies away. The highest load is that of a mass on a spring under
/// a constant force (energy: `m v²/2 + F x = k x²/2`, so `F + √(F² + k m v²)`); after it the plate swings about `F` with what is left
/// of `√(F² + k m v²)`, by `exp(-t/τ)` with `τ = 2 m/c` (textbook, damped oscillator).
#[derive(Clone, Copy)]
struct Blow {
    /// Largest force that presses in the air, N: the plate's weight, less what the counterbalance bears while there is one; in a descent
    /// the cap side is vented.
    force: f64,
    /// What that force adds to its speed within a tick, m/s.
    gains: f64,
    /// Stiffness of all parts times the plate's mass, N²s²/m².
    impedance: f64,
    /// `τ`, ticks.
    dies: f64,
    /// Speed at the last touch-down, m/s, and its tick.
    speed: f64,
    at: u32,
}

/// Contact damping as a time, s (process model, constants: `DAMPING_TIME`).
const DAMPING_TIME: f64 = 4e-5;

impl Blow {
    fn on(case: &Case, job: &Job, unborne: bool) -> Self {
        let (a, dev) = (&job.machine.actuator, case.deviations());
        let mass = a.mass * dev.weight;
        let stiffness = job.batch.stiffness() * dev.stiffness;
        let borne = if unborne {
            0.0
        } else {
            a.area_rod() * a.counterbalance * dev.counterbalance
        };
        let force = a.weight() * dev.weight - borne;
        Self {
            force,
            gains: force / mass * 1e-3,
            impedance: stiffness * mass,
            dies: 1e3 * 2.0 * mass / (DAMPING_TIME * stiffness),
            speed: 0.0,
            at: 0,
        }
    }

    /// Swing about the force that presses, N.
    fn swing(&self) -> f64 {
        self.force.hypot(self.impedance.sqrt() * self.speed)
    }

    fn peak(&self) -> f64 {
        self.force + self.swing()
    }

    /// What is left of the swing at a tick, N.
    fn left(&self, tick: u32) -> f64 {
        self.swing() * (-f64::from(tick - self.at) / self.dies).exp()
    }
}

/// One fault at a random moment; a lost counterbalance has its own declared worst load.
fn rated_load_stands_any_single_fault(
    case: &Case,
    row: &Supported,
    at: u32,
) -> Result<(), TestCaseError> {
    let job = case.job();
    let fault = Fault {
        component: row.component,
        mode: row.mode,
        magnitude: None,
    };
    let setup = job.setup(case.deviations(), case.seed);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    bench.act_at(at, Action::Fault(fault));
    let a = &job.machine.actuator;
    let e = &job.machine.envelope;
    let unborne = counterbalance_is_gone(row.component, row.mode);
    let limit = if unborne {
        // Declared worst: the plate's whole weight, and what the cap side pressed with.
        let cap = a.line_gain() * (1.0 + e.regulator_gain + e.regulator_offset);
        a.weight() * (1.0 + e.weight) + cap
    } else {
        job.machine.control.rated_load
    };
    let mut blow = Blow::on(case, &job, unborne);
    let (mut falling, mut airborne, mut hardest) = (0.0_f64, true, 0.0_f64);
    for tick in 1..=at.saturating_add(60_000) {
        bench.advance(1).expect("in process");
        let [load, _] = bench.plant().load();
        if load <= 0.0 {
            airborne = true;
            falling = -bench.plant().truth().plate_speed;
        } else if airborne {
            airborne = false;
            // It fell on for a part of the tick in which it came down.
            let speed = falling.max(0.0) + blow.gains;
            let left = blow.left(tick);
            let touched = Blow {
                speed,
                at: tick,
                ..blow
            };
            hardest = hardest.max(touched.peak());
            // A swing is not over because a weaker touch comes after it.
            if touched.swing() > left {
                blow = touched;
            }
        }
        let allowed = limit + blow.left(tick);
        prop_assert!(
            load <= allowed,
            "{:?} {:?} at tick {}: {:.1} N above {:.1} N, tick {}, down at {} with {:.4} m/s",
            row.component,
            row.mode,
            at,
            load - allowed,
            allowed,
            tick,
            blow.at,
            blow.speed
        );
    }
    let first = bench.summary().first_contact;
    prop_assert!(
        first <= hardest,
        "{:?} {:?} at tick {}: first contact {:.1} N above {:.1} N",
        row.component,
        row.mode,
        at,
        first - hardest,
        hardest
    );
    Ok(())
}

/// Faults whose physics is a lost counterbalance: its regulator, or a check valve that lets it leak away. A rod valve that is late, or
/// stays where it is, keeps its pressure: it is held to the rated load like anything else.
fn counterbalance_is_gone(component: Component, mode: FaultMode) -> bool {
    component == Component::Counterbalance
        || (component, mode) == (Component::RodValve, FaultMode::Wrong)
}

/// Faults of what ends the descent, which a random moment of a whole cycle seldom meets.
fn descent_faults() -> Vec<&'static Supported> {
    SUPPORTED
        .iter()
        .filter(|row| {
            matches!(
                row.component,
                Component::RodValve | Component::HeightTransmitter
            )
        })
        .collect()
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn random_recipes_on_random_machines_keep_their_load_limits(case in cases(4)) {
        load_stays_within_its_limits(&case)?;
    }

    #[test]
    fn no_single_fault_takes_the_load_above_rated(case in cases(2), fault in any::<usize>(), at in 500..90_000_u32) {
        rated_load_stands_any_single_fault(&case, &SUPPORTED[fault % SUPPORTED.len()], at)?;
    }

    #[test]
    fn no_fault_of_the_descent_takes_the_load_above_rated(
        case in cases(1), row in prop::sample::select(descent_faults()), at in 300..25_000_u32,
    ) {
        rated_load_stands_any_single_fault(&case, row, at)?;
    }
}

mod governor {
    //! The governor alone: the controller is shown a load and a pressure that never move, so its loop pushes as hard as it may for
    //! as long as the ramp's deadline lets it. On any machine of the envelope the true load stays under the step's limit.

    use crate::common::{Case, RandomStep, config};
    use crate::tamper::{Scene, Tamper};
    use firmware_core::process_image::Inputs;
    use firmware_core::sequence::{Phase, State};
    use proptest::prelude::*;
    use twinplate_sim::bench::{NoRecorder, Player};

    fn nothing_moves(i: &mut Inputs, s: &Scene) {
        i.cell_counts = s.before.cell_counts + if s.since.is_multiple_of(2) { 1 } else { -1 };
        i.cap_pressure = s.before.cap_pressure;
        i.rod_pressure = s.before.rod_pressure;
    }

    fn limit_stands_without_a_working_cell(case: &Case) -> Result<(), TestCaseError> {
        let job = case.job();
        let setup = job.setup(case.deviations(), case.seed);
        let limit = f64::from(job.compiled.steps[0].load_limit.get());
        let mut bench = setup.bench(Tamper::new(setup.controller(), 0.0, 0.0), NoRecorder);
        bench.play(Player::new(None, job.compiled.pieces));
        let at = |s: &firmware_core::status::Status| {
            (s.state, s.phase) == (State::Running, Phase::LoadRamp)
        };
        while !bench.status().is_some_and(at) {
            bench.step().expect("in process");
            prop_assert!(bench.tick() < 200_000, "never loaded");
        }
        bench.port_mut().begin(nothing_moves);
        let mut worst = f64::NEG_INFINITY;
        let mut at_bound = false;
        while bench.status().is_some_and(at) {
            bench.step().expect("in process");
            worst = worst.max(bench.plant().truth().load_without_runout);
            at_bound |= bench.status().is_some_and(|s| s.command >= s.governor);
        }
        prop_assert!(
            at_bound,
            "the loop never reached the governor: this case shows nothing"
        );
        prop_assert!(
            worst <= limit,
            "{:.1} N above the step limit of {:.1} N",
            worst - limit,
            limit
        );
        Ok(())
    }

    proptest! {
        #![proptest_config(config())]

        #[test]
        fn the_governor_alone_keeps_the_step_limit(
            base in 0..6_usize, limit in 0.0..1.0_f64, draw in 0..1000_u64, corner in any::<bool>(), seed in any::<u64>(),
        ) {
            let step = RandomStep { limit, load: 1.0, ramp: 1.0, speed: 1.0, reversed: false, dwell: 3.0 };
            let case = Case { base, steps: vec![step], rinse: false, corner, draw, seed };
            limit_stands_without_a_working_cell(&case)?;
        }
    }
}

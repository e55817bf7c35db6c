//! The load never overshoots its limits.

use crate::common::{Case, cases, config};
use proptest::prelude::*;
use twinplate_sim::bench::{self, Action, Ended, NoRecorder, Player};
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

/// For so many ticks after the plate came down on the parts its load is that of the blow, and of the swing on the parts after it.
const BLOW_TICKS: u32 = 100;

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
    let (mut off, mut peak) = (0, (0.0, 0));
    for tick in 1..=at.saturating_add(60_000) {
        bench.advance(1).expect("in process");
        let [load, _] = bench.plant().load();
        if load <= 0.0 {
            off = tick;
        }
        if load > peak.0 && tick - off > BLOW_TICKS {
            peak = (load, tick);
        }
    }
    let s = bench.summary();
    let a = &job.machine.actuator;
    let e = &job.machine.envelope;
    let weight = a.weight() * (1.0 + e.weight);
    let stiffness = job.batch.stiffness() * e.stiffness_factor;
    // What a plate that comes down as fast as its metering lets it gives up in its first contact (energy; process model, section 2).
    let blow = a.speed_fast * (stiffness * a.mass * (1.0 + e.weight)).sqrt();
    let limit = if counterbalance_is_gone(row.component, row.mode) {
        // Declared worst: the plate's whole weight, and either what the cap side pressed with (in contact) or the blow (in the
        // air), never both.
        let cap = a.line_gain() * (1.0 + e.regulator_gain + e.regulator_offset);
        weight + cap.max(blow)
    } else {
        s.rated_load
    };
    // The blow itself: nothing but metering bounds it where the descent has failed.
    prop_assert!(
        s.first_contact <= weight + blow && s.peak_load.value <= limit.max(weight + blow),
        "{:?} {:?} at tick {}: first contact {:.1} N above {:.1} N",
        row.component,
        row.mode,
        at,
        s.first_contact - weight - blow,
        weight + blow
    );
    prop_assert!(
        peak.0 <= limit,
        "{:?} {:?} at tick {}: {:.1} N above {:.1} N, tick {}",
        row.component,
        row.mode,
        at,
        peak.0 - limit,
        limit,
        peak.1
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

//! A step that is lighter than the one before it, down to the lowest load that the machine holds: a spark-out.

use crate::common::{Case, DEMO, RandomStep, config};
use firmware_core::sequence::{Phase, State};
use proptest::prelude::*;
use twinplate_sim::bench::{NoRecorder, Player};
use twinplate_sim::compile::{OVERSHOOT_NEWTONS, OVERSHOOT_SHARE};

/// Loads of the two steps, from the lowest that the machine holds (0) to the highest that the limit allows (1).
fn down(loads: [f64; 2], ramp: f64) -> Vec<RandomStep> {
    loads
        .into_iter()
        .map(|load| RandomStep {
            limit: 0.7,
            load,
            ramp,
            speed: 1.0,
            reversed: false,
            dwell: 3.0,
        })
        .collect()
}

fn the_way_down_keeps_contact(case: &Case) -> Result<(), TestCaseError> {
    let job = case.job();
    let setup = job.setup(case.deviations(), case.seed);
    let p = job.params.get();
    let (contact, initial) = (f64::from(p.contact.get()), f64::from(p.initial.get()));
    let target = f64::from(job.compiled.steps[1].load.get());
    let allowed = (OVERSHOOT_SHARE * target).max(OVERSHOOT_NEWTONS);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.play(Player::new(None, job.compiled.pieces));
    let mut met = false;
    while bench.tick() < 300_000 {
        let status = bench.step().expect("in process");
        let (state, phase, step) = (status.state, status.phase, status.step);
        if state == State::Complete {
            break;
        }
        prop_assert!(
            bench.tick() < 1_000 || state == State::Running,
            "{:?} by {}",
            state,
            bench.status().map_or(0, |s| s.cause)
        );
        if step != 1 || phase == Phase::Lift {
            continue;
        }
        let load = bench.plant().truth().load_without_runout;
        prop_assert!(
            load > contact,
            "tick {}, {:?}: {:.1} N is no contact",
            bench.tick(),
            phase,
            load
        );
        met |= phase == Phase::Dwell;
        if phase == Phase::LoadRamp || phase == Phase::Dwell {
            prop_assert!(
                load > target - allowed,
                "tick {}, {:?}: {:.1} N under {:.1} N",
                bench.tick(),
                phase,
                load,
                target
            );
        }
        if met && target < initial {
            prop_assert!(
                load < target + allowed,
                "tick {}, {:?}: pressed again, {:.1} N over {:.1} N",
                bench.tick(),
                phase,
                load,
                target
            );
        }
    }
    prop_assert!(met, "the light step was never held");
    Ok(())
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn a_lighter_step_keeps_contact_and_is_not_pressed_again(
        base in 0..6_usize, heavy in 0.2..1.0_f64, light in 0.0..0.2_f64, ramp in 0.1..1.0_f64,
        rinse in any::<bool>(), corner in any::<bool>(), draw in 0..1000_u64, seed in any::<u64>(),
    ) {
        let steps = down([heavy, light], ramp);
        the_way_down_keeps_contact(&Case { base, steps, rinse, corner, draw, seed })?;
    }
}

/// The property above says nothing of a spark-out unless some machine holds less than its initial load.
#[test]
fn a_demonstration_machine_holds_less_than_its_initial_load() {
    assert!(DEMO.iter().any(|job| {
        let p = job.params.get();
        p.lowest < p.initial
    }));
}

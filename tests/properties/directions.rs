//! Which way things go: pressure, speed, grain, concentration and flow each move what the literature says they move, from whatever
//! state, and none is without effect.
//!
//! Sources: removal with pressure and speed: Preston (1927). With grain: LiTaO₃ study (all in proportion to grain size). With
//! concentration up to an optimum: common practice, no source. With flow: Le and Peterson, J. Manufacturing Processes 1 (1999) 71–78
//! (clearing waste slurry decides). Finish with grain: Tribology International 40 (2007) 498–502. Damage follows the grain and not
//! pressure or speed: Applied Optics 53 (2014) 5841.

use crate::common::config;
use firmware_core::process_image::{DriveOutput, Outputs, RodValve};
use proptest::prelude::*;
use std::f64::consts::PI;
use twinplate_sim::demo;
use twinplate_sim::model::{Consumables, Deviations};
use twinplate_sim::plant::Plant;
use twinplate_sim::plant::abrasion::Abrasion;

/// A lapping that is done for a fixed time.
#[derive(Clone, Copy, Debug)]
struct Lapping {
    /// Regulator command, share of full scale.
    press: f64,
    /// Share of the demo recipe's speeds.
    speed: f64,
    /// Median grain, m.
    grain: f64,
    /// Concentration, mass share.
    concentration: f64,
    /// Pump, share of full.
    flow: f64,
}

/// What it came to.
#[derive(Clone, Copy, Debug)]
struct Came {
    /// Removed from both faces, m.
    removed: f64,
    /// Spread of the parts, m.
    spread: f64,
    /// Ra, m.
    roughness: f64,
    /// Deepest damage left, m.
    damage: f64,
}

/// Seconds that are lapped.
const LAPPED: u32 = 20;

/// The rate is nobody's measurement here: the published form gives it for grain and concentration.
fn consumables(lapping: &Lapping) -> Consumables {
    let mut c = demo::recipe("glass-f800").consumables;
    (c.removal, c.roughness, c.damage, c.measured_at) = (None, None, None, None);
    c.grain = lapping.grain;
    c.concentration = lapping.concentration;
    c
}

/// Laps machine A's glass discs (invented) for a fixed time under outputs set by hand.
fn lap(lapping: &Lapping) -> Came {
    let (machine, mut batch, recipe) = demo::set("glass-f800");
    // Deep enough that no lapping here gets through it, with a finish coarser than any grain here leaves.
    batch.damage = 60e-6;
    batch.roughness = 3e-6;
    // Small enough that every part is touched from the beginning on.
    batch.spread = 0.1e-6;
    let mut plant = Plant::new(
        &machine,
        &batch,
        &consumables(lapping),
        &Deviations::NOMINAL,
        7,
    );
    let mut out = Outputs {
        pin_withdraw: true,
        agitator: true,
        ..Outputs::default()
    };
    let run = |plant: &mut Plant, out: &Outputs, ticks: u32| {
        for _ in 0..ticks {
            plant.step(out);
        }
    };
    run(&mut plant, &out, 500);
    let near = batch.thickness + machine.actuator.approach;
    out.rod = RodValve::LowerFast;
    while plant.truth().height > near {
        plant.step(&out);
    }
    out.rod = RodValve::LowerCreep;
    while plant.load()[1] <= 0.0 {
        plant.step(&out);
    }
    out.rod = RodValve::Float;
    out.pump = (1000.0 * lapping.flow) as u16;
    run(&mut plant, &out, 45_000);
    out.dump_shut = true;
    out.cap_command = (lapping.press * 65_535.0) as u16;
    let speeds = recipe.steps[1].speeds.map(|w| w * lapping.speed);
    out.drives = speeds.map(|w| DriveOutput {
        enable: true,
        setpoint: (w * 3000.0 / PI).round() as i16,
    });
    run(&mut plant, &out, 1000 * LAPPED);
    let truth = plant.truth();
    let all: Vec<f64> = plant.parts().map(|p| p.thickness).collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    let squares: f64 = all.iter().map(|t| (t - mean) * (t - mean)).sum();
    Came {
        removed: truth.removed.iter().sum(),
        spread: (squares / all.len() as f64).sqrt(),
        roughness: truth.roughness,
        damage: plant.deepest_damage().expect("product").depth,
    }
}

fn lappings() -> impl Strategy<Value = Lapping> {
    (0.08..0.25, 0.5..0.8, 4e-6..15e-6, 0.08..0.13, 0.5..0.7).prop_map(
        |(press, speed, grain, concentration, flow)| Lapping {
            press,
            speed,
            grain,
            concentration,
            flow,
        },
    )
}

/// More stock in the same time, and so less of the old damage.
fn cuts_more(less: &Came, more: &Came) -> Result<(), TestCaseError> {
    prop_assert!(
        more.removed > less.removed,
        "removed: {less:?} then {more:?}"
    );
    prop_assert!(more.damage < less.damage, "damage: {less:?} then {more:?}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: config().cases.div_ceil(16), ..config() })]

    #[test]
    fn pressure_speed_concentration_and_flow_cut_more_and_leave_a_better_face(
        lapping in lappings(),
        more in 1.15..1.45_f64,
    ) {
        let base = lap(&lapping);
        let with = |change: fn(&mut Lapping, f64)| {
            let mut changed = lapping;
            change(&mut changed, more);
            lap(&changed)
        };
        for (changed, evens) in [
            // Where all parts touch, each is pressed with as much more as it stands out, at any load (Preston, linear columns).
            (with(|l, more| l.press *= more), false),
            (with(|l, more| l.speed *= more), true),
            (with(|l, more| l.concentration *= more), true),
            (with(|l, more| l.flow *= more), true),
        ] {
            cuts_more(&base, &changed)?;
            prop_assert!(changed.roughness < base.roughness, "{base:?} then {changed:?}");
            if evens {
                prop_assert!(changed.spread < base.spread, "{base:?} then {changed:?}");
            }
        }
    }

    /// A coarser grain cuts more; what it leaves is rougher and deeper broken.
    #[test]
    fn a_coarser_grain_cuts_more_and_leaves_a_worse_face(lapping in lappings(), more in 1.15..1.8_f64) {
        let coarse = Lapping { grain: lapping.grain * more, ..lapping };
        let [base, changed] = [lap(&lapping), lap(&coarse)];
        cuts_more(&base, &changed)?;
        prop_assert!(changed.spread < base.spread, "{base:?} then {changed:?}");
        let [fine, coarse] = [lapping, coarse].map(|l| Abrasion::of(&consumables(&l), "glass"));
        prop_assert!(coarse.roughness > fine.roughness && coarse.damage > fine.damage);
        // In proportion, as the study has it.
        prop_assert!((coarse.removal / fine.removal / more - 1.0).abs() < 1e-12);
    }

    /// Beyond the optimum more grains cut less.
    #[test]
    fn a_crowded_slurry_cuts_less(lapping in lappings(), more in 1.1..1.8_f64) {
        let full = Lapping { concentration: 0.25, ..lapping };
        let crowded = Lapping { concentration: 0.25 * more, ..lapping };
        cuts_more(&lap(&crowded), &lap(&full))?;
    }

    /// Damage and finish that a process settles at follow the grain, not how hard or how fast it is pressed.
    #[test]
    fn what_a_process_leaves_does_not_follow_the_concentration(lapping in lappings(), other in 0.05..0.5_f64) {
        let here = Abrasion::of(&consumables(&lapping), "glass");
        let there = Abrasion::of(&consumables(&Lapping { concentration: other, ..lapping }), "glass");
        prop_assert_eq!((here.roughness, here.damage), (there.roughness, there.damage));
    }
}

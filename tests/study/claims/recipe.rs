//! Claims whose limit is a number of the recipe.

use super::ran::Ran;
use super::{Claim, claim};
use firmware_core::interlock::Cond;
use firmware_core::recipe::RecipeRule;
use firmware_core::sequence::Phase;
use twinplate_check::predict::predict;
use twinplate_check::{Case, Code};
use twinplate_sim::compile::lowest_load;
use twinplate_sim::model::{Batch, Deviations, End, Machine, Recipe};

fn reach(m: &Machine, b: &Batch, r: &mut Recipe, bands: f64) {
    r.consumables.friction *= 0.3;
    let case = Case {
        machine: m,
        batch: b,
        recipe: r,
    };
    let reachable = case.reachable_load() - case.sticking();
    // load - bands * share * load = reachable
    let load = reachable / (1.0 - bands * m.control.band_share);
    r.steps[1].pressure = load / b.area();
    r.steps[1].load_limit = m.control.rated_load;
}

/// A spark-out: the second step at this share of the lowest load.
fn spark_out(m: &Machine, b: &Batch, r: &mut Recipe, share: f64) {
    r.steps[1].pressure = share * lowest_load(m) / b.area();
}

fn above_governor(m: &Machine, b: &Batch, r: &mut Recipe, share: f64) {
    let setpoint = r.steps[1].pressure * b.area();
    let gain = m.envelope.regulator_gain;
    let seals = m.actuator.seal_friction * (1.0 + m.envelope.seal_friction);
    let least = (setpoint - 2.0 * gain * m.control.initial_load + 2.0 * seals) / (1.0 - 2.0 * gain);
    r.steps[1].load_limit = setpoint + share * (least - setpoint);
}

/// A second step ended by stock, with this share of what it may need on the slowest machine.
fn stock(m: &Machine, b: &Batch, r: &mut Recipe, share: f64) {
    r.steps[1].end = End::Stock { depth: 2e-6 };
    r.steps[1].longest = 600.0;
    let case = Case {
        machine: m,
        batch: b,
        recipe: r,
    };
    let wanted = predict(&case, 1.0 - m.envelope.removal).wanted[1];
    r.steps[1].longest = share * wanted;
}

/// The batch allows this share of the damage that the process leaves; the parts came with next to none.
fn allow(b: &mut Batch, r: &Recipe, share: f64) {
    b.damage = 0.05e-6;
    b.target = 0.5495e-3;
    b.damage_left = r.consumables.damage.map(|own| share * own);
}

fn late(m: &mut Machine, r: &mut Recipe, prestart: f64) {
    // Fills in 36 s; flow is seen half a second later and proven after 5 s more.
    m.slurry.line_volume = 0.18e-3;
    r.prestart = prestart;
}

/// Least flow that pump and meter of the demonstration machine make of its minimum, m³/s: 100 mL/min, thousandths of 300 mL/min,
/// and a reading in whole mL/min that must be over it.
const SEEN: f64 = 100.8 / 6e7;

fn beside_dwell(ran: &Ran) -> bool {
    ran.summary
        .as_ref()
        .is_some_and(|summary| summary.steps[1].dwell < 0.01)
}

pub const CLAIMS: &[Claim] = &[
    claim(
        Code::LimitAboveRated,
        |m, _, r| r.steps[1].load_limit = m.control.rated_load - 0.1,
        |m, _, r| r.steps[1].load_limit = m.control.rated_load + 0.1,
        |ran| ran.refuses(RecipeRule::LoadLimit),
    ),
    Claim {
        worst: |e| Deviations {
            weight: 1.0 - e.weight,
            counterbalance: 1.0 + e.counterbalance,
            regulator_gain: 1.0 - e.regulator_gain,
            regulator_offset: -e.regulator_offset,
            seal_friction: 1.0 + e.seal_friction,
            supply: 1.0 - e.supply,
            ..Deviations::NOMINAL
        },
        ..claim(
            Code::LoadNotReachable,
            |m, b, r| reach(m, b, r, 0.85),
            |m, b, r| reach(m, b, r, 1.1),
            |ran| ran.left_by(Cond::PhaseTimeout) && ran.left_in == Some(Phase::LoadRamp),
        )
    },
    claim(
        Code::LimitBelowSetpoint,
        |_, b, r| r.steps[1].load_limit = 1.3 * r.steps[1].pressure * b.area(),
        |_, b, r| r.steps[1].load_limit = r.steps[1].pressure * b.area() - 0.1,
        |ran| ran.refuses(RecipeRule::LoadLimit),
    ),
    claim(
        Code::LimitInsideGovernor,
        |m, b, r| above_governor(m, b, r, 1.01),
        |m, b, r| above_governor(m, b, r, 0.99),
        |ran| ran.refuses(RecipeRule::GovernorMargin),
    ),
    // A spark-out under the initial load: it is that load, which run-up and release hold, that the limit must leave room over.
    claim(
        Code::LimitInsideGovernor,
        |m, b, r| {
            spark_out(m, b, r, 1.02);
            r.steps[1].load_limit = 182.0;
        },
        |m, b, r| {
            spark_out(m, b, r, 1.02);
            r.steps[1].load_limit = 174.0;
        },
        |ran| ran.refuses(RecipeRule::GovernorMargin),
    ),
    claim(
        Code::RampTooFast,
        |m, _, r| r.steps[1].ramp = 0.999 * m.control.ramp_max,
        |m, _, r| r.steps[1].ramp = 1.001 * m.control.ramp_max,
        |ran| ran.refuses(RecipeRule::Ramp),
    ),
    // Beside the reversal the load is held where it is asked for; on it, wrong by the lash.
    claim(
        Code::RodForceReversal,
        |m, b, r| reversal(m, b, r, -1.1),
        |m, b, r| reversal(m, b, r, 0.0),
        |ran| {
            ran.summary.as_ref().is_some_and(|summary| {
                let step = &summary.steps[1];
                (step.mean_load - step.setpoint).abs() > 0.5 * LASH
            })
        },
    ),
    Claim {
        worst: |e| Deviations {
            weight: 1.0 + e.weight,
            counterbalance: 1.0 - e.counterbalance,
            regulator_offset: e.regulator_offset,
            ..Deviations::NOMINAL
        },
        ..claim(
            Code::LoadTooLow,
            |m, b, r| spark_out(m, b, r, 1.005),
            |m, b, r| spark_out(m, b, r, 0.995),
            |ran| ran.refuses(RecipeRule::Load),
        )
    },
    claim(
        Code::SpeedAboveDrive,
        |m, _, r| m.drives[2].speed = 1.001 * r.steps[1].speeds[2],
        |m, _, r| m.drives[2].speed = 0.999 * r.steps[1].speeds[2],
        |ran| ran.refuses(RecipeRule::Speed),
    ),
    claim(
        Code::FixedRingTurned,
        |m, _, r| {
            m.drives[1].fixed = true;
            for step in &mut r.steps {
                step.speeds[1] = 0.0;
            }
        },
        |m, _, _| m.drives[1].fixed = true,
        |ran| ran.refuses(RecipeRule::Speed),
    ),
    claim(
        Code::DirectionChange,
        |_, _, _| {},
        |_, _, r| {
            r.steps[1]
                .speeds
                .iter_mut()
                .for_each(|speed| *speed = -*speed)
        },
        |ran| {
            ran.phases
                .windows(3)
                .any(|way| way == [Phase::LoadRelease, Phase::RunDown, Phase::RunUp])
        },
    ),
    claim(
        Code::PrestartTimesOut,
        |m, _, r| late(m, r, 12.2),
        |m, _, r| late(m, r, 11.4),
        |ran| ran.left_by(Cond::PhaseTimeout) && ran.left_in == Some(Phase::SlurryPrestart),
    ),
    claim(
        Code::NoAbrasive,
        |_, _, r| r.consumables.concentration = 0.15,
        |_, _, r| r.consumables.concentration = 0.0,
        |ran| ran.removed == [0.0; 2],
    ),
    // The process's own damage against what the batch allows.
    claim(
        Code::DamageLeft,
        |_, b, r| allow(b, r, 1.01),
        |_, b, r| allow(b, r, 0.99),
        |ran| ran.damage_used > 1.0,
    ),
    // A long pre-start is waited for however long it is.
    claim(
        Code::PrestartTimesOut,
        |_, _, r| r.prestart = 120.0,
        |m, _, r| late(m, r, 1.0),
        |ran| ran.left_by(Cond::PhaseTimeout) && ran.left_in == Some(Phase::SlurryPrestart),
    ),
    claim(
        Code::FlowBelowMinimum,
        |_, _, r| {
            r.prestart_flow = 1.001 * SEEN;
            r.prestart = 40.0;
        },
        |m, _, r| {
            r.prestart_flow = 1.0001 * m.slurry.flow_min;
            r.prestart = 40.0;
        },
        |ran| ran.left_by(Cond::PhaseTimeout) && ran.left_in == Some(Phase::SlurryPrestart),
    ),
    claim(
        Code::FlowBelowMinimum,
        |m, _, r| {
            r.rinse = 3.0;
            m.slurry.rinse_flow = 100.6 / 6e7;
        },
        |m, _, r| {
            r.rinse = 3.0;
            m.slurry.rinse_flow = 100.4 / 6e7;
        },
        |ran| ran.left_by(Cond::Flow) && ran.left_in == Some(Phase::Rinse),
    ),
    claim(
        Code::FlowBelowMinimum,
        |_, _, r| r.steps[0].flow = 1.001 * SEEN,
        |m, _, r| r.steps[0].flow = 0.999 * m.slurry.flow_min,
        |ran| ran.refuses(RecipeRule::Flow),
    ),
    claim(
        Code::FlowAbovePump,
        |m, _, r| r.steps[0].flow = 0.999 * m.slurry.flow_max,
        |m, _, r| r.steps[0].flow = 1.001 * m.slurry.flow_max,
        |ran| ran.refuses(RecipeRule::Flow),
    ),
    claim(
        Code::GaugeMissing,
        |_, _, r| r.steps[1].end = End::Stock { depth: 0.5e-6 },
        |_, _, r| {
            r.steps[1].end = End::Stock { depth: 0.5e-6 };
            r.gauge = false;
        },
        |ran| ran.refuses(RecipeRule::End),
    ),
    claim(
        Code::LongestShort,
        |_, _, r| r.steps[1].longest = 4.85,
        |_, _, r| r.steps[1].longest = 4.65,
        |ran| ran.row(Cond::StepOvertime),
    ),
    Claim {
        worst: |e| Deviations {
            removal: 1.0 - e.removal,
            ..Deviations::NOMINAL
        },
        ..claim(
            Code::LongestShort,
            |m, b, r| stock(m, b, r, 1.03),
            |m, b, r| stock(m, b, r, 0.97),
            |ran| ran.row(Cond::StepOvertime),
        )
    },
    claim(
        Code::EndAlreadyMet,
        |_, _, r| {
            r.steps[1].end = End::Size {
                thickness: 0.5492e-3,
            }
        },
        |_, _, r| {
            r.steps[1].end = End::Size {
                thickness: 0.5499e-3,
            }
        },
        beside_dwell,
    ),
];

/// Lash of a worn cell, N.
const LASH: f64 = 20.0;

/// A second step whose load lies so many times the lash from the plate's weight.
fn reversal(m: &mut Machine, b: &Batch, r: &mut Recipe, lashes: f64) {
    m.cell.lash = LASH;
    r.consumables.friction *= 0.4;
    r.steps[1].pressure = (m.actuator.weight() + lashes * LASH) / b.area();
    r.steps[1].load_limit = 700.0;
    r.steps[1].end = End::Time { seconds: 10.0 };
}

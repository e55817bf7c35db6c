//! The slurry programme: pre-start, flows, tank.

use super::Findings;
use crate::case::{Case, Wetting, litres_per_minute};
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use crate::predict::Prediction;
use firmware_core::interlock::TANK_EMPTY;
use twinplate_sim::math::{floor, max};
use twinplate_sim::model::Of;

/// Steps of the pump's command in its whole range: the outputs carry thousandths.
const PUMP_STEPS: f64 = 1e3;
/// What the flow meter reads, mL/min, of a flow of 1 m³/s: the inputs carry whole millilitres per minute.
const METER: f64 = 6e7;

pub(super) fn check(case: &Case, prediction: &Prediction, findings: &mut Findings) {
    let (slurry, recipe) = (&case.machine.slurry, case.recipe);
    flow(
        case,
        "prestart_flow",
        "the pre-start",
        recipe.prestart_flow,
        findings,
    );
    for (index, step) in recipe.steps.iter().enumerate() {
        let path = format!("steps[{index}].flow");
        flow(
            case,
            &path,
            &format!("step {}", index + 1),
            step.flow,
            findings,
        );
    }
    prestart(case, findings);
    if recipe.rinse > 0.0 && slurry.rinse_flow < least_rinse(case) {
        findings.add(
            Code::FlowBelowMinimum,
            Place::machine("slurry.rinse_flow"),
            (
                litres_per_minute(slurry.rinse_flow),
                litres_per_minute(least_rinse(case)),
                Of::Flow,
            ),
            "rinse water flows too slowly to be proven".to_owned(),
            "open the rinse water further, or take the rinse out".to_owned(),
        );
    }
    let most = (1.0 - f64::from(TANK_EMPTY) / 1e3) * slurry.tank;
    if prediction.slurry > most {
        findings.add(
            Code::TankShort,
            Place::machine("slurry.tank"),
            (prediction.slurry * 1e3, most * 1e3, Of::Volume),
            format!(
                "a cycle uses {}; a full tank gives {} before it counts as empty",
                case.say(Of::Volume, prediction.slurry, 3),
                case.say(Of::Volume, most, 3)
            ),
            format!(
                "lower the flow to {} of what it is, or use a larger tank",
                significant(most / prediction.slurry, 2)
            ),
        );
    }
    if case.machine.control.settle_limit > slurry.settle_time {
        findings.add(
            Code::SettleLimitLong,
            Place::machine("control.settle_limit"),
            (case.machine.control.settle_limit, slurry.settle_time, "s"),
            format!(
                "the agitator may stand still for {} s; slurry settles in {} s",
                significant(case.machine.control.settle_limit, 3),
                significant(slurry.settle_time, 3)
            ),
            format!(
                "shorten the limit to {} s",
                significant(slurry.settle_time / 2.0, 2)
            ),
        );
    }
}

fn prestart(case: &Case, findings: &mut Findings) {
    let recipe = case.recipe;
    if recipe.prestart_flow < least_flow(case) {
        return;
    }
    let wetting = Wetting::of(case);
    let (proven, patience) = (wetting.proven(), Wetting::patience(recipe.prestart));
    if proven > patience {
        findings.add(
            Code::PrestartTimesOut,
            Place::recipe("prestart"),
            (proven, patience, "s"),
            format!(
                "flow is proven {} s after the pump starts; the controller waits {} s",
                significant(proven, 3),
                significant(patience, 3)
            ),
            format!(
                "raise the flow, or lengthen the pre-start to {} s or more",
                significant(max(wetting.full, proven), 2)
            ),
        );
    } else if recipe.prestart <= 0.0 || wetting.full > wetting.ends(recipe.prestart) {
        findings.add(
            Code::PrestartShort,
            Place::recipe("prestart"),
            (wetting.ends(recipe.prestart), wetting.full, "s"),
            format!(
                "the drives start {} s after the pump; the gap carries a full film after {} s",
                significant(wetting.ends(recipe.prestart), 3),
                significant(wetting.full, 3)
            ),
            format!("lengthen it to {} s", significant(wetting.full * 1.1, 2)),
        );
    }
}

/// Smallest flow that the controller sees as flow when it comes up from nothing, m³/s: the averaged reading only tends to the flow,
/// so that it must be a whole step of the meter over the minimum, and the pump may give a step of its command less than is asked.
fn least_flow(case: &Case) -> f64 {
    let slurry = &case.machine.slurry;
    least_rinse(case) + slurry.flow_max / PUMP_STEPS
}

/// The same of a flow that no pump meters.
fn least_rinse(case: &Case) -> f64 {
    (floor(case.machine.slurry.flow_min * METER) + 0.5) / METER
}

fn flow(case: &Case, path: &str, what: &str, flow: f64, findings: &mut Findings) {
    let slurry = &case.machine.slurry;
    let shown = case.say(Of::Flow, flow, 3);
    if flow < least_flow(case) {
        let least = litres_per_minute(least_flow(case));
        findings.add(
            Code::FlowBelowMinimum,
            Place::recipe(path),
            (litres_per_minute(flow), least, Of::Flow),
            format!(
                "{what} asks for {shown}; flow counts from {}",
                case.say(Of::Flow, least_flow(case), 3)
            ),
            format!(
                "raise it to {} or more",
                case.at_least(Of::Flow, least_flow(case) * 1.5, 3)
            ),
        );
    } else if flow > slurry.flow_max {
        let most = litres_per_minute(slurry.flow_max);
        findings.add(
            Code::FlowAbovePump,
            Place::recipe(path),
            (litres_per_minute(flow), most, Of::Flow),
            format!(
                "{what} asks for {shown}; the pump gives {}",
                case.say(Of::Flow, slurry.flow_max, 3)
            ),
            format!("lower it to {}", case.at_most(Of::Flow, slurry.flow_max, 3)),
        );
    }
}

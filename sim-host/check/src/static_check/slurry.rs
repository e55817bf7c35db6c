//! The slurry programme: pre-start, flows, tank.

use super::Findings;
use crate::case::{Case, Wetting, litres_per_minute};
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use crate::predict::Prediction;

/// Smallest step of the pump's command, share of its largest flow: the outputs carry it in thousandths, rounded down.
const PUMP_STEP: f64 = 1e-3;
/// Smallest step of the flow meter, m³/s: the inputs carry millilitres per minute, rounded down.
const METER_STEP: f64 = 1e-6 / 60.0;
/// Share of the tank that a cycle may use.
const TANK_SHARE: f64 = 0.9;

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
    if recipe.rinse > 0.0 && slurry.rinse_flow < slurry.flow_min + METER_STEP {
        findings.add(
            Code::FlowBelowMinimum,
            Place::machine("slurry.rinse_flow"),
            (
                litres_per_minute(slurry.rinse_flow),
                litres_per_minute(slurry.flow_min + METER_STEP),
                "L/min",
            ),
            "rinse water flows too slowly to be proven".to_owned(),
            "open the rinse water further, or take the rinse out".to_owned(),
        );
    }
    let most = TANK_SHARE * slurry.tank;
    if prediction.slurry > most {
        findings.add(
            Code::TankShort,
            Place::machine("slurry.tank"),
            (prediction.slurry * 1e3, most * 1e3, "L"),
            format!(
                "a cycle uses {} L; nine tenths of the tank are {} L",
                significant(prediction.slurry * 1e3, 3),
                significant(most * 1e3, 3)
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
                significant(wetting.full.max(proven), 2)
            ),
        );
    } else if wetting.full > wetting.ends(recipe.prestart) {
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

/// Smallest flow that the controller can ask for and see as flow, m³/s.
fn least_flow(case: &Case) -> f64 {
    let slurry = &case.machine.slurry;
    slurry.flow_min + PUMP_STEP * slurry.flow_max + METER_STEP
}

fn flow(case: &Case, path: &str, what: &str, flow: f64, findings: &mut Findings) {
    let slurry = &case.machine.slurry;
    let shown = significant(litres_per_minute(flow), 3);
    if flow < least_flow(case) {
        let least = litres_per_minute(least_flow(case));
        findings.add(
            Code::FlowBelowMinimum,
            Place::recipe(path),
            (litres_per_minute(flow), least, "L/min"),
            format!(
                "{what} asks for {shown} L/min; flow counts from {} L/min",
                significant(least, 3)
            ),
            format!("raise it to {} L/min or more", significant(least * 1.5, 3)),
        );
    } else if flow > slurry.flow_max {
        let most = litres_per_minute(slurry.flow_max);
        findings.add(
            Code::FlowAbovePump,
            Place::recipe(path),
            (litres_per_minute(flow), most, "L/min"),
            format!(
                "{what} asks for {shown} L/min; the pump gives {} L/min",
                significant(most, 3)
            ),
            format!("lower it to {} L/min", significant(most, 3)),
        );
    }
}

//! The slurry programme: pre-start, flows, tank.

use super::Findings;
use crate::case::{Case, litres_per_minute};
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use crate::predict::Prediction;
use firmware_core::interlock::TANK_EMPTY;
use firmware_core::judge::WETTING_SPARE;
use firmware_core::units::TICKS_PER_SECOND;

/// Pre-start over line fill (design: at least one and a half).
const FILL_FACTOR: f64 = 1.5;
/// Time after which the controller gives a pre-start up, s (sequence page).
const PRESTART_TIME_OUT: f64 = WETTING_SPARE as f64 / TICKS_PER_SECOND as f64;
/// Share of the tank that a cycle may use.
const TANK_SHARE: f64 = 0.9;
const _: () = assert!(
    TANK_SHARE < 1.0 - TANK_EMPTY as f64 / 1e3,
    "a full tank lasts a cycle before the controller calls it empty"
);

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
    if recipe.rinse > 0.0 && slurry.rinse_flow < slurry.flow_min {
        findings.add(
            Code::FlowBelowMinimum,
            Place::machine("slurry.rinse_flow"),
            (
                litres_per_minute(slurry.rinse_flow),
                litres_per_minute(slurry.flow_min),
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
    let (slurry, recipe) = (&case.machine.slurry, case.recipe);
    if recipe.prestart > PRESTART_TIME_OUT {
        findings.add(
            Code::PrestartTimesOut,
            Place::recipe("prestart"),
            (recipe.prestart, PRESTART_TIME_OUT, "s"),
            format!(
                "the pre-start of {} s is longer than the controller waits, {} s",
                significant(recipe.prestart, 3),
                significant(PRESTART_TIME_OUT, 3)
            ),
            "shorten it, with more flow if the line needs it".to_owned(),
        );
    }
    if recipe.prestart_flow <= 0.0 {
        return;
    }
    let fill = slurry.line_volume / recipe.prestart_flow;
    if recipe.prestart < FILL_FACTOR * fill {
        findings.add(
            Code::PrestartShort,
            Place::recipe("prestart"),
            (recipe.prestart, FILL_FACTOR * fill, "s"),
            format!(
                "the pre-start lasts {} s; the line fills in {} s and needs half as much again",
                significant(recipe.prestart, 3),
                significant(fill, 3)
            ),
            format!("lengthen it to {} s", significant(FILL_FACTOR * fill, 3)),
        );
    }
}

fn flow(case: &Case, path: &str, what: &str, flow: f64, findings: &mut Findings) {
    let slurry = &case.machine.slurry;
    let shown = significant(litres_per_minute(flow), 3);
    if flow < slurry.flow_min {
        let least = litres_per_minute(slurry.flow_min);
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

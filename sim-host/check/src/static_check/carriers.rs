//! Carriers under load, and lots that are laid into them in order.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::Place;
use crate::predict::Prediction;
use twinplate_sim::model::{LoadingOrder, Of, micrometres};
use twinplate_sim::plant::teeth::{bends_at, turns_aside_at};
use twinplate_sim::requirements::spread_limit;

/// What is under a tenth of a tolerance does not count (the gauge maker's rule, common practice, no source).
const COUNTS: f64 = 0.1;

pub(super) fn check(case: &Case, prediction: &Prediction, findings: &mut Findings) {
    // With teeth that do not mesh no force on them means anything.
    if !findings.has(Code::ToothRelation) && !findings.has(Code::CarrierSpacing) {
        teeth(case, findings);
    }
    let said = [
        Code::PartsExceedPockets,
        Code::TooFewPieces,
        Code::LoadBreaksPart,
        Code::SpreadTooWide,
    ];
    if case.batch.order == LoadingOrder::ByThickness && !said.iter().any(|code| findings.has(*code))
    {
        lot(case, prediction, findings);
    }
}

/// The worst step's friction against what a tooth bears.
fn teeth(case: &Case, findings: &mut Findings) {
    let (g, batch) = (&case.machine.geometry, case.batch);
    let (bends, aside) = (bends_at(g, batch), turns_aside_at(g, batch));
    let (bears, how) = if aside < bends {
        (aside, "turns aside and lifts")
    } else {
        (bends, "bends")
    };
    let mut worst: Option<(usize, f64)> = None;
    for (index, step) in case.recipe.steps.iter().enumerate() {
        let force = case.force_on_tooth(step);
        if force > bears && worst.is_none_or(|(_, most)| force > most) {
            worst = Some((index, force));
        }
    }
    let Some((index, force)) = worst else {
        return;
    };
    findings.add(
        Code::CarrierTeethWeak,
        Place::batch("carrier_thickness"),
        (force, bears, Of::Load),
        format!(
            "step {} may put {} on one tooth of a carrier; at {} thick it {how} under {}",
            index + 1,
            case.load(force),
            case.say(Of::Length, batch.carrier_thickness, 3),
            case.load(bears)
        ),
        "use thicker carriers or a stronger material, or lower the pressure or the friction"
            .to_owned(),
    );
}

/// A lot in order leans the plate, and the plate does not level what it leans on.
fn lot(case: &Case, prediction: &Prediction, findings: &mut Findings) {
    let (left, mixed) = (prediction.spread, prediction.spread_mixed);
    let factor = 6.0 * case.machine.envelope.spread_factor;
    let (more, width) = (factor * (left - mixed), spread_limit(case.batch));
    if more <= COUNTS * width {
        return;
    }
    let lean = case.recipe.steps.first().and_then(|step| {
        let lot = case.lot_in_order(case.setpoint(step))?;
        Some(format!(
            "the plate leans by {}, and ",
            case.say(Of::Form, lot.lean, 2)
        ))
    });
    findings.add(
        Code::LotInOrder,
        Place::batch("order"),
        (micrometres(factor * left), micrometres(factor * mixed), Of::Size),
        format!(
            "laid in by thickness, one side of the machine is thicker: {}six standard deviations may still be {} at the end, of a mixed lot {}",
            lean.unwrap_or_default(),
            case.say(Of::Size, factor * left, 2),
            case.say(Of::Size, factor * mixed, 2)
        ),
        "mix the lot before it is laid in, or deal it round the carriers".to_owned(),
    );
}

//! Whether the plates, bowed by settled heat, leave every part under pressure.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use crate::settled::gap;
use twinplate_sim::plant::SettledGap;

/// In the step that leaves least, on the highest friction of the envelope: heat is friction.
pub(super) fn check(case: &Case, findings: &mut Findings) {
    let friction = 1.0 + case.machine.envelope.friction;
    let mut worst: Option<(usize, SettledGap)> = None;
    for (index, step) in case.recipe.steps.iter().enumerate() {
        let gap = gap(case, step, friction);
        if worst.is_none_or(|(_, other)| gap.least < other.least) {
            worst = Some((index, gap));
        }
    }
    let Some((index, gap)) = worst.filter(|(_, gap)| gap.least < 0.0) else {
        return;
    };
    let percent = |share: f64| significant(100.0 * share, 2);
    findings.add(
        Code::PressureUneven,
        Place::machine("geometry.plate_thickness"),
        (100.0 * gap.least, 0.0, "%"),
        format!(
            "step {}: with the heat of the envelope's highest friction settled the plates gape, and the least pressure along the \
             parts' path would be {} % of the mean: contact is lost there",
            index + 1,
            percent(gap.least)
        ),
        "cool the plates nearer to their face, take thicker ones, lower speed or pressure, or give the plates a form that the heat \
         straightens"
            .to_owned(),
    );
}

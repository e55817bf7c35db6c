//! Names that must match, widths of the envelope, margins of the load loop.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Counts, Place, significant};
use twinplate_linear::declared::{nominal_margins, worst_margins};
use twinplate_sim::model::{Envelope, Of, micrometres};
use twinplate_sim::plant::envelope::WIDTHS;

/// Largest sensitivity that passes without a word (Åström & Hägglund: 1.2 to 2, from memory).
const SENSITIVITY: f64 = 2.0;

/// A width of the envelope: field, how to read it, floor, kind of both (none for a share or a factor).
pub(super) type Width = (&'static str, fn(&Envelope) -> f64, f64, Option<Of>);

/// The narrowest envelope that counts; the process model argues for each (section "Envelope").
pub(super) const FLOORS: [Width; WIDTHS as usize] = [
    ("regulator_gain", |e| e.regulator_gain, 0.05, None),
    ("regulator_offset", |e| e.regulator_offset, 0.01, None),
    ("weight", |e| e.weight, 0.02, None),
    ("counterbalance", |e| e.counterbalance, 0.02, None),
    ("seal_friction", |e| e.seal_friction, 0.5, None),
    ("lag", |e| e.lag, 0.3, None),
    ("dead_time", |e| e.dead_time, 0.3, None),
    ("stiffness_factor", |e| e.stiffness_factor, 3.0, None),
    ("supply", |e| e.supply, 0.15, None),
    ("cell_span", |e| e.cell_span, 0.005, None),
    ("noise_factor", |e| e.noise_factor, 2.0, None),
    ("friction", |e| e.friction, 0.4, None),
    ("removal", |e| e.removal, 0.1, None),
    ("spread_factor", |e| e.spread_factor, 1.5, None),
    (
        "gauge_bias",
        |e| micrometres(e.gauge_bias),
        0.5,
        Some(Of::Size),
    ),
    (
        "gauge_drift",
        |e| micrometres(e.gauge_drift),
        0.5,
        Some(Of::Size),
    ),
    ("gauge_temperature", |e| e.gauge_temperature, 0.5, None),
];

/// Recipe, machine and batch belong together.
pub(super) fn identity(case: &Case, findings: &mut Findings) {
    for (code, field, wanted, found) in [
        (
            Code::MachineMismatch,
            "machine",
            &case.recipe.machine,
            &case.machine.id,
        ),
        (
            Code::BatchMismatch,
            "batch",
            &case.recipe.batch,
            &case.batch.id,
        ),
    ] {
        if wanted != found {
            findings.add(
                code,
                Place::recipe(field),
                (0.0, 1.0, "matches"),
                format!("the recipe was written for {field} {wanted}, and is checked with {found}"),
                format!(
                    "check it with {wanted}, or review every number for {found} and change the name"
                ),
            );
        }
    }
}

pub(super) fn check(case: &Case, findings: &mut Findings) {
    for (field, width, floor, of) in FLOORS {
        let found = width(&case.machine.envelope);
        let width_of = |number| {
            of.map_or_else(
                || significant(number, 3),
                |of| case.recipe.shown.tell(of, number, 3),
            )
        };
        // Half a unit in the last place of a declared percentage is no claim.
        if found < floor * (1.0 - 1e-9) {
            findings.add(
                Code::EnvelopeNarrow,
                Place::machine(format!("envelope.{field}")),
                (found, floor, of.map_or(Counts::Bare(""), Counts::Of)),
                format!(
                    "the envelope declares {} for {}; the smallest accepted is {}",
                    width_of(found),
                    field.replace('_', " "),
                    width_of(floor)
                ),
                format!("declare {} or more", width_of(floor)),
            );
        }
    }
    gains(case, findings);
}

fn gains(case: &Case, findings: &mut Findings) {
    let machine = case.machine;
    let gains = twinplate_sim::compile::gains(machine);
    let place = || Place::machine("gains");
    let (nominal, worst) = match (
        nominal_margins(machine, &gains),
        worst_margins(machine, &gains),
    ) {
        (Ok(nominal), Ok(worst)) => (nominal, worst),
        (Err(defect), _) | (_, Err(defect)) => {
            // The files' own ranges are narrower: this is for a model that was made in code.
            findings.add(
                Code::LoopUnstable,
                place(),
                (0.0, 1.0, ""),
                format!("the load loop cannot be built: {defect}"),
                "correct that number, or leave the gains out, so that the default rule applies"
                    .to_owned(),
            );
            return;
        }
    };
    if !worst.stable {
        findings.add(
            Code::LoopUnstable,
            place(),
            (worst.gain, 1.0, ""),
            format!(
                "at the envelope's worst edge the loop has a gain margin of {}",
                significant(worst.gain, 2)
            ),
            "leave the gains out, so that the default rule applies, or tune them".to_owned(),
        );
        return;
    }
    if nominal.sensitivity > SENSITIVITY {
        findings.add(
            Code::LoopMarginThin,
            place(),
            (nominal.sensitivity, SENSITIVITY, ""),
            format!(
                "the load loop on the declared line has Ms {}; 2 is thin",
                significant(nominal.sensitivity, 3)
            ),
            format!(
                "lower the proportional gain to about {} of what it is",
                significant(SENSITIVITY / nominal.sensitivity, 2)
            ),
        );
    }
}

//! Names that must match, widths of the envelope, margins of the load loop.

use super::Findings;
use crate::case::Case;
use crate::catalogue::Code;
use crate::finding::{Place, significant};
use twinplate_linear::declared::{nominal_margins, worst_margins};
use twinplate_sim::model::{Envelope, micrometres};
use twinplate_sim::plant::envelope::WIDTHS;

/// Largest sensitivity that passes without a word (Åström & Hägglund: 1.2 to 2, from memory).
const SENSITIVITY: f64 = 2.0;

/// A width of the envelope: field, how to read it, floor, unit of both (none for a share or a factor).
pub(super) type Width = (&'static str, fn(&Envelope) -> f64, f64, &'static str);

/// The narrowest envelope that counts; the process model argues for each (section "Envelope").
pub(super) const FLOORS: [Width; WIDTHS as usize] = [
    ("regulator_gain", |e| e.regulator_gain, 0.05, ""),
    ("regulator_offset", |e| e.regulator_offset, 0.01, ""),
    ("weight", |e| e.weight, 0.02, ""),
    ("counterbalance", |e| e.counterbalance, 0.02, ""),
    ("seal_friction", |e| e.seal_friction, 0.5, ""),
    ("lag", |e| e.lag, 0.3, ""),
    ("dead_time", |e| e.dead_time, 0.3, ""),
    ("stiffness_factor", |e| e.stiffness_factor, 3.0, ""),
    ("supply", |e| e.supply, 0.15, ""),
    ("cell_span", |e| e.cell_span, 0.005, ""),
    ("noise_factor", |e| e.noise_factor, 2.0, ""),
    ("friction", |e| e.friction, 0.4, ""),
    ("removal", |e| e.removal, 0.3, ""),
    ("spread_factor", |e| e.spread_factor, 1.5, ""),
    ("gauge_bias", |e| micrometres(e.gauge_bias), 0.5, " µm"),
    ("gauge_drift", |e| micrometres(e.gauge_drift), 0.5, " µm"),
    ("gauge_temperature", |e| e.gauge_temperature, 0.5, ""),
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
    for (field, width, floor, unit) in FLOORS {
        let found = width(&case.machine.envelope);
        // Half a unit in the last place of a declared percentage is no claim.
        if found < floor * (1.0 - 1e-9) {
            findings.add(
                Code::EnvelopeNarrow,
                Place::machine(format!("envelope.{field}")),
                (found, floor, unit.trim_start()),
                format!(
                    "the envelope declares {}{unit} for {}; the smallest accepted is {}{unit}",
                    significant(found, 3),
                    field.replace('_', " "),
                    significant(floor, 3)
                ),
                format!("declare {}{unit} or more", significant(floor, 3)),
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

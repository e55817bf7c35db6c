//! Removal given as a rate, "3 µm/min at 2 psi and these speeds", and what coefficient that is.

use super::quantity::{self, Dimension as D};
use super::recipe::speeds;
use super::table::Table;
use super::{FileError, Loaded};
use crate::model::{Batch, Consumables, Machine, Recipe, RemovalRate, Sliding};
use crate::plant::circles::Circles;
use firmware_core::process_image::FACES;

/// Where the table stands in a recipe.
const TABLE: &str = "consumables.removal-rate";

/// Range of the removal coefficient.
const REMOVAL: [&str; 2] = ["1e-15 1/Pa", "1e-9 1/Pa"];

pub(super) fn coefficient(t: &mut Table<'_, '_>) -> Option<f64> {
    t.optional_quantity(
        "removal",
        D::PerPressure,
        REMOVAL,
        "Removal (Preston) coefficient per face, measured with fresh slurry; without it, or a rate, the published form is assumed.",
    )
}

pub(super) fn read(t: &mut Table<'_, '_>) -> RemovalRate {
    RemovalRate {
        thickness: t.quantity(
            "thickness",
            D::Speed,
            ["0.1 nm/min", "10 mm/min"],
            "Loss of thickness of the parts, both faces together.",
        ),
        pressure: t.quantity(
            "pressure",
            D::Pressure,
            ["10 Pa", "10 MPa"],
            "Pressure on the parts then.",
        ),
        sliding: t
            .one_of(&[("sliding", sliding), ("speeds", drives)])
            .unwrap_or(Sliding::Mean(f64::NAN)),
    }
}

fn sliding(t: &mut Table<'_, '_>) -> Sliding {
    Sliding::Mean(t.quantity(
        "sliding",
        D::Speed,
        ["0.1 mm/s", "20 m/s"],
        "Mean sliding speed of the parts against either plate then.",
    ))
}

fn drives(t: &mut Table<'_, '_>) -> Sliding {
    Sliding::Drives(t.table(
        "speeds",
        "Speeds of the four drives then, on this recipe's machine and carriers.",
        speeds,
    ))
}

/// Why a rate gives no coefficient, and what would.
fn refused(rate: &RemovalRate, faces: [f64; FACES]) -> Option<(String, String)> {
    let coefficient = rate.coefficient(faces);
    let [least, most] = REMOVAL.map(|end| quantity::parse(end, D::PerPressure).unwrap_or(f64::NAN));
    if (least..=most).contains(&coefficient) {
        return None;
    }
    let what = if faces[0] + faces[1] > 0.0 {
        format!("this rate is a removal coefficient of {coefficient:.2e} 1/Pa")
    } else {
        "at these speeds the parts do not slide".to_owned()
    };
    let due = format!(
        "thickness, pressure and speeds that belong together: a coefficient from {} to {}",
        REMOVAL[0], REMOVAL[1]
    );
    Some((what, due))
}

/// Fills in the coefficient of a rate at a mean sliding speed. A rate at drives' speeds waits for machine and batch.
pub(super) fn resolve_mean(t: &mut Table<'_, '_>, mut value: Consumables) -> Consumables {
    let Some(rate) = value.removal_rate else {
        return value;
    };
    if value.removal.is_some() {
        t.error_at(
            "conflicting-key",
            "removal-rate",
            "`removal` and `removal-rate` say the same thing".to_owned(),
            "one of the two".to_owned(),
        );
        return value;
    }
    if let Sliding::Mean(speed) = rate.sliding {
        let faces = [speed; FACES];
        let known = [rate.thickness, rate.pressure, speed];
        if known.iter().all(|number| number.is_finite())
            && let Some((what, due)) = refused(&rate, faces)
        {
            t.error_at("inconsistent", "removal-rate", what, due);
        }
        value.removal = Some(rate.coefficient(faces));
    }
    value
}

/// Fills in the coefficient of a rate at drives' speeds. The error says that at these speeds parts do not slide, or that the coefficient
/// would be out of its range.
pub(super) fn resolve_drives(
    recipe: &mut Loaded<Recipe>,
    machine: &Machine,
    batch: &Batch,
) -> Option<FileError> {
    let rate = recipe.value.consumables.removal_rate?;
    let Sliding::Drives(speeds) = rate.sliding else {
        return None;
    };
    let faces = Circles::new(&machine.geometry, batch).sliding(&machine.geometry, &speeds);
    if let Some((what, due)) = refused(&rate, faces) {
        return Some(recipe.error("inconsistent", TABLE, what, due));
    }
    recipe.value.consumables.removal = Some(rate.coefficient(faces));
    None
}

//! The shelf file: abrasives that a recipe can be drafted with. Their keys are those of a recipe's `consumables`.

use super::quantity::Dimension as D;
use super::recipe::consumables;
use super::table::Table;
use crate::model::{Process, Shelf, Shelved, Sliding};

/// Most abrasives on a shelf.
const MOST: usize = 64;
/// A price: a plain number in the shelf's currency.
const PRICE: [&str; 2] = ["0", "1e6"];
/// Litres in a m³.
const LITRES: f64 = 1e3;
/// Seconds in an hour.
const HOUR: f64 = 3600.0;

pub(super) fn read(t: &mut Table<'_, '_>) -> Shelf {
    let id = t.identifier("id", "Identifier; also the file's name.");
    let title = t.text("title", 120, "One line for people.");
    let prices = t.optional_table(
        "prices",
        "What things cost; without it nothing is said of cost.",
        |t| {
            (
                t.text("currency", 12, "What all prices of the file are in."),
                t.quantity(
                    "machine-hour",
                    D::Ratio,
                    PRICE,
                    "Price of an hour of the machine, with its operator.",
                ),
            )
        },
    );
    let abrasives = t.list(
        "abrasives",
        [1, MOST],
        "What stands on the shelf, in any order.",
        abrasive,
    );
    twins(t, &abrasives);
    let (currency, hour) = prices.unzip();
    Shelf {
        id,
        title,
        currency,
        machine: hour.map(|price| price / HOUR),
        abrasives,
    }
}

fn abrasive(t: &mut Table<'_, '_>) -> Shelved {
    let material = t.text(
        "material",
        60,
        "Material that removal, roughness and damage are of, as batch files write it.",
    );
    let process = t
        .word(
            "process",
            &Process::NAMES,
            "Kind of process: how the plates hold the grains.",
        )
        .unwrap_or(Process::LooseAbrasive);
    let consumables = consumables(t, process);
    let drives = |rate: &crate::model::RemovalRate| matches!(rate.sliding, Sliding::Drives(_));
    if consumables.removal_rate.as_ref().is_some_and(drives) {
        t.error_at(
            "inconsistent",
            "removal-rate",
            "a shelf belongs to no machine, and these speeds of drives to one".to_owned(),
            "`sliding`, the mean sliding speed at which the rate was measured".to_owned(),
        );
    }
    let price = t.optional_quantity(
        "price",
        D::Ratio,
        PRICE,
        "Price of a litre of slurry, mixed; without it nothing is said of its cost.",
    );
    Shelved {
        material,
        consumables,
        price: price.map(|price| price * LITRES),
    }
}

/// Two of one grade for one material could not be told apart in a recipe.
fn twins(t: &mut Table<'_, '_>, all: &[Shelved]) {
    for (index, one) in all.iter().enumerate() {
        let grade = &one.consumables.grade;
        let twin = all.iter().take(index).any(|other| {
            other.is_for(&one.material)
                && other.consumables.process == one.consumables.process
                && other.consumables.grade == *grade
        });
        if twin && !grade.is_empty() {
            t.error_at(
                "duplicate-name",
                &format!("abrasives[{index}].grade"),
                format!("`{grade}` for this material stands on the shelf already"),
                "one entry for each grade, process and material".to_owned(),
            );
        }
    }
}

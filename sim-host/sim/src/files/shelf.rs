//! The shelf file: abrasives that a recipe can be drafted with. Their keys are those of a recipe's `consumables`.

use super::quantity::Dimension as D;
use super::recipe::consumables;
use super::table::Table;
use super::units::{GALLON, POUND};
use crate::model::{Process, Shelf, Shelved, Sliding};
use crate::plant::abrasion::Mix;

/// Most abrasives on a shelf.
const MOST: usize = 64;
/// A price: a plain number in the shelf's currency.
const PRICE: [&str; 2] = ["0", "1e6"];
/// A litre, m³.
const LITRE: f64 = 1e-3;
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
        "Price of the slurry, mixed, for a litre unless `price-per` says what else; without it nothing is said of its cost.",
    );
    let per = t.optional_word(
        "price-per",
        &PER,
        "What the price is for: so much slurry, mixed, or so much of the grains alone. Left out: L.",
    );
    let each = match per.unwrap_or(Per::Volume(LITRE)) {
        Per::Volume(size) => Some(1.0 / size),
        Per::Mass(size) => {
            let grains = Mix::of(&consumables).grains;
            (grains > 0.0).then(|| grains / size)
        }
    };
    if each.is_none() {
        t.error_at(
            "inconsistent",
            "price-per",
            "this slurry carries no grains to be priced by mass".to_owned(),
            "a volume of what runs over the bound grains, such as L or gal".to_owned(),
        );
    }
    if price.is_none() && per.is_some() {
        t.error_at(
            "conflicting-key",
            "price-per",
            "there is no price to go along with it".to_owned(),
            "`price`, or neither".to_owned(),
        );
    }
    Shelved {
        material,
        consumables,
        price: price.map(|price| price * each.unwrap_or(f64::NAN)),
    }
}

/// What a price is for: of the slurry, m³, or of the grains in it, kg.
#[derive(Clone, Copy)]
enum Per {
    Volume(f64),
    Mass(f64),
}

/// Words for it; `a_price_is_for_a_unit_of_the_table` holds them against the table of units.
const PER: [(&str, Per); 9] = [
    ("L", Per::Volume(LITRE)),
    ("mL", Per::Volume(1e-6)),
    ("m³", Per::Volume(1.0)),
    ("gal", Per::Volume(GALLON)),
    ("qt", Per::Volume(GALLON / 4.0)),
    ("kg", Per::Mass(1.0)),
    ("g", Per::Mass(1e-3)),
    ("lb", Per::Mass(POUND)),
    ("oz", Per::Mass(POUND / 16.0)),
];

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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::quantity::{Dimension, find};
    use crate::files::{FileError, Loaded, parse_shelf};
    use std::path::Path;

    const DEMO: &str = include_str!("../../../../recipes/shelf/demo-shelf.toml");

    fn read(change: &[&str; 2]) -> Result<Loaded<Shelf>, Vec<FileError>> {
        assert!(DEMO.contains(change[0]), "{}", change[0]);
        parse_shelf(
            Path::new("shelf.toml"),
            &DEMO.replacen(change[0], change[1], 1),
        )
    }

    /// By hand: a gallon is 3.785411784 L; 20 % by mass of alumina are 250 g to a litre of water and 63.3 mL of it, 235.1 kg in a m³.
    #[test]
    fn a_price_is_for_what_the_shop_buys() {
        let first = |change: [&str; 2]| read(&change).expect("reads").value.abrasives[0].price;
        let litre = first(["price = 3\n", "price = 3\n"]).expect("a price");
        assert!((litre - 3000.0).abs() < 1e-9);
        let gallon = first(["price = 3\n", "price = 11.356235352\nprice-per = \"gal\"\n"]);
        assert!((gallon.expect("a price") / litre - 1.0).abs() < 1e-9);
        let grains = first(["price = 3\n", "price = 14\nprice-per = \"kg\"\n"]).expect("a price");
        let by_hand = 14.0 * 250.0 / (1.0 + 0.25 / 3.95);
        assert!((grains / by_hand - 1.0).abs() < 1e-9, "{grains} {by_hand}");
        let pound = first(["price = 3\n", "price = 14\nprice-per = \"lb\"\n"]).expect("a price");
        assert!((pound * 0.453_592_37 / grains - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_price_for_nothing_or_of_no_grains_is_an_error_at_its_line() {
        let codes = |change: [&str; 2]| -> Vec<(&str, usize)> {
            let errors = read(&change).expect_err("refused");
            errors
                .iter()
                .map(|error| (error.code, error.line))
                .collect()
        };
        let line = 1 + DEMO[..DEMO.find("price = 3\n").expect("there")]
            .matches('\n')
            .count();
        assert_eq!(
            codes(["price = 3\n", "price-per = \"L\"\n"]),
            [("conflicting-key", line)]
        );
        assert_eq!(
            codes(["price = 3\n", "price = 3\nprice-per = \"kWh\"\n"]),
            [("unknown-word", line + 1)]
        );
        // Water that clears bound grains carries none.
        let bound = 1 + DEMO[..DEMO.find("price = 1\n").expect("there")]
            .matches('\n')
            .count();
        assert_eq!(
            codes(["price = 1\n", "price = 1\nprice-per = \"kg\"\n"]),
            [("inconsistent", bound + 1)]
        );
    }

    #[test]
    fn a_price_is_for_a_unit_of_the_table() {
        for (word, per) in PER {
            let unit = find(word).expect(word);
            let (size, dimension) = match per {
                Per::Volume(size) => (size, Dimension::Volume),
                Per::Mass(size) => (size, Dimension::Mass),
            };
            assert_eq!(unit.dimension, dimension, "{word}");
            assert!((unit.to_si(1.0) / size - 1.0).abs() < 1e-15, "{word}");
        }
    }
}

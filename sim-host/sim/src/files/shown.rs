//! What people typed decides what they are answered in: each kind of quantity in the unit of the first key that has one, of the recipe
//! first, then of the batch, then of the machine.

use super::Loaded;
use super::quantity::split;
use super::set::Set;
use super::units::{LIGHT_BANDS, TRADE, Unit, find};
use crate::model::{self, AnswerUnit, BANDS, HOUSE, Of, Shown};
use crate::plant::part_form::HELIUM;

/// A file of a set.
#[derive(Clone, Copy)]
enum File {
    Recipe,
    Batch,
    Machine,
}
use File::{Batch, Machine, Recipe};

/// The lists that paths may go through, `[]` standing for their entries.
const LONGEST_LIST: usize = 16;

/// Where the unit of a kind comes from: keys in order.
fn keys(of: Of) -> &'static [(File, &'static str)] {
    match of {
        Of::Load => &[
            (Recipe, "steps[].limit"),
            (Batch, "part.strength"),
            (Machine, "control.rated-load"),
        ],
        Of::Pressure => &[
            (Recipe, "steps[].pressure"),
            (Recipe, "consumables.removal-rate.pressure"),
        ],
        Of::Air => &[
            (Machine, "actuator.relief-pressure"),
            (Machine, "actuator.supply-pressure"),
        ],
        Of::Thickness => &[
            (Recipe, "steps[].end.size"),
            (Batch, "target.thickness"),
            (Batch, "part.thickness"),
        ],
        Of::Size => &[
            (Recipe, "steps[].end.stock"),
            (Batch, "target.tolerance"),
            (Batch, "target.thickness"),
        ],
        Of::Finish => &[
            (Recipe, "consumables.roughness"),
            (Batch, "target.finish"),
            (Batch, "part.roughness"),
        ],
        Of::Depth => &[
            (Recipe, "consumables.damage"),
            (Batch, "target.damage"),
            (Batch, "part.damage"),
        ],
        Of::Flatness => &[(Batch, "target.flatness")],
        Of::Parallelism => &[(Batch, "target.parallelism")],
        Of::Form => &[
            (Recipe, "flatness.deadband"),
            (Machine, "plates.form-lower"),
            (Machine, "plates.form-upper"),
        ],
        Of::Grain => &[(Recipe, "consumables.grain")],
        Of::Length => &[
            (Batch, "carrier.pocket-radius"),
            (Batch, "carrier.circles[].radius"),
            (Batch, "carrier.thickness"),
            (Machine, "geometry.plate-outer"),
        ],
        Of::Sliding => &[(Recipe, "consumables.removal-rate.sliding")],
        Of::Travel => &[(Machine, "actuator.speed-creep")],
        Of::Rate => &[(Recipe, "consumables.removal-rate.thickness")],
        Of::Ramp => &[(Recipe, "steps[].ramp"), (Machine, "control.ramp-max")],
        Of::Flow => &[
            (Recipe, "steps[].flow"),
            (Recipe, "slurry.prestart-flow"),
            (Machine, "slurry.flow-max"),
        ],
        Of::Volume => &[(Machine, "slurry.tank"), (Machine, "slurry.line-volume")],
        Of::Torque => &[
            (Machine, "drives.lower.torque"),
            (Machine, "drives.upper.torque"),
        ],
        Of::Mass => &[(Machine, "actuator.mass")],
        Of::Temperature => &[(Machine, "thermal.high"), (Machine, "thermal.ambient")],
        Of::Gain => &[(Machine, "gains.proportional")],
    }
}

/// The unit of a kind where nobody typed one, but loads, pressures or sizes were typed in pounds and inches.
const fn trade(of: Of) -> &'static str {
    match of {
        Of::Load => "lbf",
        Of::Pressure | Of::Air => "psi",
        Of::Thickness | Of::Length => "in",
        Of::Size | Of::Depth => "mil",
        Of::Finish | Of::Flatness | Of::Parallelism | Of::Form => "µin",
        // Grades and sieves are in micrometres on either side of the sea.
        Of::Grain => "µm",
        Of::Sliding => "ft/min",
        Of::Travel => "in/s",
        Of::Rate => "mil/min",
        Of::Ramp => "lbf/s",
        Of::Flow => "gal/min",
        Of::Volume => "gal",
        Of::Torque => "lbf·ft",
        Of::Mass => "lb",
        Of::Temperature => "°F",
        Of::Gain => "1/lbf",
    }
}

/// The unit to answer in, of what was typed: small differences of what was typed in millimetres or inches are not said in those.
fn answered(of: Of, typed: &'static Unit) -> &'static str {
    match (of, typed.symbol) {
        (Of::Size | Of::Finish | Of::Depth | Of::Flatness | Of::Parallelism | Of::Form, metric)
            if ["m", "cm", "mm"].contains(&metric) =>
        {
            HOUSE[of as usize].symbol
        }
        (Of::Size | Of::Depth, "in" | "ft") => trade(Of::Size),
        (Of::Finish | Of::Flatness | Of::Parallelism | Of::Form, "in" | "ft") => trade(Of::Finish),
        (Of::Length | Of::Thickness, "ft") => trade(Of::Length),
        (Of::Size | Of::Depth | Of::Thickness, LIGHT_BANDS) => HOUSE[of as usize].symbol,
        (_, "microinch") => trade(Of::Finish),
        (_, symbol) => symbol,
    }
}

impl<T> Loaded<T> {
    /// The unit that the quantity of a path was typed in; `[]` in the path stands for the first entry that has it.
    #[must_use]
    pub fn typed(&self, path: &str) -> Option<&'static Unit> {
        if let Some((before, after)) = path.split_once("[]") {
            let mut entries = 0..LONGEST_LIST;
            return entries.find_map(|index| self.typed(&format!("{before}[{index}]{after}")));
        }
        let place = self.places.get(path)?;
        let from = self
            .line(*place)
            .chars()
            .skip(place.column.saturating_sub(1));
        let text: String = from.collect();
        let quote = text.chars().next().filter(|c| ['"', '\''].contains(c))?;
        let (quantity, _) = text.get(1..)?.split_once(quote)?;
        let (_, unit) = split(quantity).ok()?;
        find(unit)
    }
}

/// The units to answer a set in.
pub(super) fn of(set: &Set) -> Shown {
    answered_in(Some(&set.recipe), Some(&set.batch), Some(&set.machine))
}

/// The units to answer in where these files were typed, which need not be a whole set.
#[must_use]
pub fn answered_in(
    recipe: Option<&Loaded<model::Recipe>>,
    batch: Option<&Loaded<model::Batch>>,
    machine: Option<&Loaded<model::Machine>>,
) -> Shown {
    let typed = |of: Of| {
        keys(of).iter().find_map(|(file, path)| match file {
            Recipe => recipe?.typed(path),
            Batch => batch?.typed(path),
            Machine => machine?.typed(path),
        })
    };
    let in_trade = [Of::Load, Of::Pressure, Of::Thickness]
        .into_iter()
        .any(|of| typed(of).is_some_and(|unit| TRADE.contains(&unit.symbol)));
    let wavelength = batch.map_or(HELIUM, |batch| batch.value.wavelength);
    Shown::new(Of::ALL.map(|of| {
        let symbol = match typed(of) {
            Some(unit) => answered(of, unit),
            None if in_trade => trade(of),
            None => return HOUSE[of as usize],
        };
        find(symbol).map_or(HOUSE[of as usize], |unit| answer(unit, wavelength))
    }))
}

/// A unit of the table as answers have it; a light band is that of the batch's lamp.
fn answer(unit: &'static Unit, wavelength: f64) -> AnswerUnit {
    let (symbol, numerator) = if unit.symbol == LIGHT_BANDS {
        (BANDS, wavelength)
    } else {
        (unit.symbol, unit.numerator)
    };
    AnswerUnit {
        symbol,
        numerator,
        denominator: unit.denominator,
        offset: unit.offset,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::quantity::parse;
    use crate::files::{parse_batch, parse_machine, parse_recipe};
    use std::path::Path;

    /// The answers' own units are those of the table that files are read by.
    #[test]
    fn the_units_of_answers_are_those_of_the_table() {
        for (of, house) in Of::ALL.into_iter().zip(HOUSE) {
            let unit = find(house.symbol).expect(house.symbol);
            assert_eq!(house, answer(unit, 1.0), "{of:?}");
            let other = find(trade(of)).expect("a unit of the table");
            assert_eq!(other.dimension, unit.dimension, "{of:?}");
        }
        for (place, of) in Of::ALL.into_iter().enumerate() {
            assert_eq!(
                of as usize, place,
                "the list is in the order of the declaration"
            );
        }
    }

    fn set(change: impl Fn(&str) -> String) -> Set {
        let recipes = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes");
        let text = |path: &str| {
            change(&std::fs::read_to_string(recipes.join(path)).expect("a file of the set"))
        };
        let path = Path::new("typed");
        Set::new(
            parse_recipe(path, &text("recipes/glass-f800.toml")).expect("a recipe"),
            parse_machine(path, &text("machines/machine-a.toml")).expect("a machine"),
            parse_batch(path, &text("batches/glass-discs.toml")).expect("a batch"),
        )
    }

    /// Files in the units of the demonstration set are answered as they always were.
    #[test]
    fn the_demonstration_set_is_answered_in_its_own_units() {
        assert_eq!(set(str::to_owned).recipe.value.shown, Shown::default());
    }

    /// What was typed decides, kind by kind: the recipe before the batch, and a key before what goes along with it.
    #[test]
    fn each_kind_is_answered_in_the_unit_that_was_typed() {
        let set = set(|text| {
            text.replace("\"350 N\"", "\"78.7 lbf\"")
                .replace("\"6 kPa\"", "\"60 g/cm²\"")
                .replace("tolerance = \"3 µm\"", "tolerance = \"0.00012 in\"")
                .replace("flatness = \"5 µm\"", "flatness = \"17 bands\"")
                .replace("flow = \"0.25 L/min\"", "flow = \"250 cc/min\"")
                .replace(
                    "relief-pressure = \"4.2 bar\"",
                    "relief-pressure = '420 kPa'",
                )
                .replace("high = \"45 °C\"", "high = \"113 °F\"")
        });
        let shown = set.recipe.value.shown;
        let symbols = [
            (Of::Load, "lbf"),
            (Of::Pressure, "g/cm²"),
            (Of::Size, "mil"),
            (Of::Flatness, "bands"),
            (Of::Parallelism, "µm"),
            (Of::Flow, "cc/min"),
            (Of::Air, "kPa"),
            (Of::Temperature, "°F"),
            (Of::Thickness, "mm"),
            // Nobody typed one, and loads were typed in pounds.
            (Of::Sliding, "ft/min"),
        ];
        for (of, symbol) in symbols {
            assert_eq!(shown.symbol(of), symbol, "{of:?}");
        }
        assert_eq!(shown.say(Of::Temperature, 45.0, 3), "113 °F");
        assert_eq!(
            shown.say(
                Of::Pressure,
                parse("60 g/cm²", crate::files::quantity::Dimension::Pressure).unwrap_or(0.0),
                3
            ),
            "60 g/cm²"
        );
    }

    /// A light band is half a wavelength of the lamp that the batch names.
    #[test]
    fn a_light_band_is_one_of_the_lamp() {
        let set = set(|text| {
            text.replace("flatness = \"5 µm\"", "flatness = \"10 bands\"")
                + if text.contains("batch-1") {
                    "[inspection]\nwavelength = \"546.1 nm\"\n"
                } else {
                    ""
                }
        });
        let shown = set.recipe.value.shown;
        assert_eq!(shown.say(Of::Flatness, 2.7305e-6, 4), "10 bands");
    }
}

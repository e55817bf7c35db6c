//! The units that pages show: those that machine, batch and recipe were typed in. The wire speaks SI.

use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use twinplate_sim::model::{Of, Shown};

/// A unit that a page shows: a quantity in SI is (number × `size`) + `offset`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct UnitCard {
    /// How it is written.
    pub symbol: String,
    /// SI units in it.
    pub size: f64,
    /// In the SI unit.
    pub offset: f64,
    /// How many decimals more show as much as in the unit of the demonstration set.
    pub more: i32,
}

/// The units of a page, by kind of quantity.
pub type UnitCards = BTreeMap<String, UnitCard>;

/// Kinds of quantity on the pages, with the names that they have there.
const KINDS: [(&str, Of); 9] = [
    ("load", Of::Load),
    ("mass", Of::Mass),
    ("length", Of::Length),
    ("size", Of::Size),
    ("form", Of::Form),
    ("flow", Of::Flow),
    ("air", Of::Air),
    ("temperature", Of::Temperature),
    ("thickness", Of::Thickness),
];

/// The units that a page shows: those that machine, batch and recipe were typed in.
#[must_use]
pub fn unit_cards(shown: &Shown) -> UnitCards {
    // As many decimals as a unit of the demonstration set has, or more, or fewer.
    const PLACES: usize = 6;
    let card = |of: Of| {
        let [size, offset] = shown.size(of);
        let places = i32::try_from(shown.places(of, PLACES)).unwrap_or(0);
        UnitCard {
            symbol: shown.symbol(of).to_owned(),
            size,
            offset,
            more: places - i32::try_from(PLACES).unwrap_or(0),
        }
    };
    KINDS
        .into_iter()
        .map(|(name, of)| (name.to_owned(), card(of)))
        .collect()
}

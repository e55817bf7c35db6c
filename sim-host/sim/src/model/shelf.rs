//! What stands on a shop's shelf: abrasives with what they do to a material, and what things cost.

use super::Consumables;

/// An abrasive on the shelf, as its slurry would be mixed.
#[derive(Clone, Debug, PartialEq)]
pub struct Shelved {
    /// Material that its removal, roughness and damage are of, as batch files write it.
    pub material: String,
    /// Process, abrasive, vehicle and what they do to that material.
    pub consumables: Consumables,
    /// Price of the slurry, in the shelf's currency a m³; for bound grains, of the water that clears them.
    pub price: Option<f64>,
}

impl Shelved {
    /// Whether it was measured on a material: the name that batch files give it, in capitals or not.
    #[must_use]
    pub fn is_for(&self, material: &str) -> bool {
        self.material.trim().eq_ignore_ascii_case(material.trim())
    }
}

/// What a shop has, and what it pays.
#[derive(Clone, Debug, PartialEq)]
pub struct Shelf {
    /// Identifier; also the file's name.
    pub id: String,
    /// One line for people.
    pub title: String,
    /// What prices are in, for people.
    pub currency: Option<String>,
    /// Price of an hour of the machine, in that currency a second.
    pub machine: Option<f64>,
    /// The abrasives, in any order.
    pub abrasives: Vec<Shelved>,
}

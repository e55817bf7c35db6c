//! What a slurry is mixed from.

use super::{OIL, WATER, abrasive, oily};
use crate::model::Consumables;

/// Density of the recipe's vehicle, kg/m³: a light oil's, or else water's.
fn vehicle(c: &Consumables) -> f64 {
    if oily(c) { OIL } else { WATER }
}

/// Volume share of grains in a slurry of a mass share.
pub(super) fn volume_share(c: &Consumables, concentration: f64) -> f64 {
    let [grains, _] = abrasive(c);
    let solid = concentration / grains;
    solid / (solid + (1.0 - concentration) / vehicle(c))
}

/// What is in a cubic metre of a recipe's slurry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mix {
    /// Grains, kg.
    pub grains: f64,
    /// Vehicle, m³.
    pub vehicle: f64,
}

impl Mix {
    /// Of a recipe's grains and vehicle at its concentration, with the densities of handbooks; volumes add up.
    #[must_use]
    pub fn of(c: &Consumables) -> Self {
        let solid = volume_share(c, c.concentration);
        let [density, _] = abrasive(c);
        Self {
            grains: solid * density,
            vehicle: 1.0 - solid,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    /// By hand: 20 % by mass are 250 g to a kilogram of water, a litre; they take 250/3.95 = 63.3 mL beside it.
    #[test]
    fn a_fifth_by_mass_is_a_quarter_of_the_water() {
        let mix = Mix::of(&demo::recipe("glass-f800").consumables);
        let litre = 1.0 + 0.25 / 3.95;
        assert!((mix.vehicle - 1.0 / litre).abs() < 1e-12, "{mix:?}");
        assert!((mix.grains - 250.0 / litre).abs() < 1e-9, "{mix:?}");
        let none = Mix::of(&demo::recipe("zirconia-fixed").consumables);
        assert_eq!([none.grains, none.vehicle], [0.0, 1.0]);
    }
}

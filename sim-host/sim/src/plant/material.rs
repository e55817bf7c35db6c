//! Materials of parts, as far as the forms of [`super::abrasion`] tell them apart.

use crate::math::{pow, sqrt};

/// A metal is cut and not broken: removal against glass. Invented; no published row.
const METAL_REMOVAL: f64 = 0.15;
/// Brittle materials by a word of their name: Young's modulus in GPa, hardness in GPa, toughness in MPa√m (handbook values, from
/// memory). The more special name stands first.
const BRITTLE: [(&str, [f64; 3]); 11] = [
    ("silicon carbide", [450.0, 28.0, 3.5]),
    ("silicon nitride", [310.0, 16.0, 6.0]),
    ("silica", [72.0, 8.0, 0.75]),
    ("quartz", [75.0, 10.0, 0.9]),
    ("glass", GLASS),
    ("silicon", [160.0, 11.0, 0.9]),
    ("sapphire", [400.0, 20.0, 2.0]),
    ("alumina", [380.0, 18.0, 4.0]),
    ("zirconia", [210.0, 12.5, 8.0]),
    ("carbide", [600.0, 16.0, 10.0]),
    ("ceramic", [300.0, 15.0, 4.0]),
];
/// Glass, in the same numbers: what the others are compared with.
pub(super) const GLASS: [f64; 3] = [72.0, 6.0, 0.75];
/// Metals by a word of their name.
const METALS: [&str; 10] = [
    "steel",
    "iron",
    "bronze",
    "brass",
    "copper",
    "aluminium",
    "aluminum",
    "titanium",
    "nickel",
    "metal",
];

/// A material as far as the forms tell materials apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Material {
    /// Broken out by grains: modulus in GPa, hardness in GPa, toughness in MPa√m.
    Brittle([f64; 3]),
    /// Cut by grains.
    Metal,
    /// A name that says neither: taken for as easily lapped as glass.
    Unknown,
}

impl Material {
    /// By its name in the batch file.
    #[must_use]
    pub fn named(name: &str) -> Self {
        let name = name.to_lowercase();
        let brittle = BRITTLE.iter().find(|(word, _)| name.contains(word));
        if METALS.iter().any(|word| name.contains(word)) {
            Self::Metal
        } else {
            brittle.map_or(Self::Unknown, |(_, numbers)| Self::Brittle(*numbers))
        }
    }

    /// Removal against glass.
    pub(super) fn removal(self) -> f64 {
        let group = |[e, h, k]: [f64; 3]| pow(e, 1.25) / (k * h * h);
        match self {
            Self::Brittle(numbers) => group(numbers) / group(GLASS),
            Self::Metal => METAL_REMOVAL,
            Self::Unknown => 1.0,
        }
    }

    /// Damage depth against glass.
    pub(super) fn damage(self) -> f64 {
        let group = |[e, h, _]: [f64; 3]| sqrt(e) / h;
        match self {
            Self::Brittle(numbers) => group(numbers) / group(GLASS),
            Self::Metal | Self::Unknown => 1.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_says_what_kind_of_material_it_is() {
        assert_eq!(Material::named("Glass"), Material::Brittle(GLASS));
        assert_eq!(Material::named("hardened steel"), Material::Metal);
        assert!(matches!(
            Material::named("silicon"),
            Material::Brittle([160.0, _, _])
        ));
        assert!(matches!(
            Material::named("silicon carbide"),
            Material::Brittle([450.0, _, _])
        ));
        assert_eq!(Material::named("unobtainium"), Material::Unknown);
    }
}

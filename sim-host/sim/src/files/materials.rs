//! What a handbook says of a part's material, for a batch file that names the material and no more.
//!
//! All values: handbook values, from memory, at the careful end where sorts differ. Strengths are those of ground surfaces, not of
//! polished ones. A file that gives its own value is believed.

use crate::math::{log, max, min, sqrt};
use crate::model::Outline;
use crate::plant::part_form::{POISSON, bending_stiffness};

/// A material by its name.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Material {
    /// Words that name it in a batch's `material`.
    pub name: &'static str,
    /// Density, kg/m³.
    pub density: f64,
    /// Elastic modulus, Pa.
    pub modulus: f64,
    /// Bending stress that a ground face bears: modulus of rupture of brittle materials, yield of metals, Pa.
    pub bending: f64,
}

const fn of(name: &'static str, density: f64, gigapascals: f64, megapascals: f64) -> Material {
    Material {
        name,
        density,
        modulus: gigapascals * 1e9,
        bending: megapascals * 1e6,
    }
}

/// Every material that is known, in the order of the manual.
pub const MATERIALS: &[Material] = &[
    of("glass", 2_500.0, 70.0, 50.0),
    of("fused silica", 2_200.0, 72.0, 50.0),
    of("quartz", 2_650.0, 80.0, 50.0),
    of("sapphire", 3_980.0, 400.0, 300.0),
    of("silicon", 2_330.0, 160.0, 100.0),
    of("germanium", 5_320.0, 103.0, 70.0),
    of("gallium arsenide", 5_320.0, 85.0, 50.0),
    of("lithium tantalate", 7_460.0, 230.0, 50.0),
    of("lithium niobate", 4_640.0, 170.0, 50.0),
    of("alumina", 3_900.0, 370.0, 300.0),
    of("zirconia", 6_000.0, 205.0, 600.0),
    of("silicon carbide", 3_150.0, 410.0, 350.0),
    of("silicon nitride", 3_200.0, 310.0, 600.0),
    of("ferrite", 4_900.0, 130.0, 70.0),
    of("carbon", 1_800.0, 15.0, 50.0),
    of("tungsten carbide", 14_900.0, 620.0, 1_500.0),
    of("steel", 7_800.0, 210.0, 350.0),
    of("cast iron", 7_200.0, 110.0, 200.0),
    of("bronze", 8_800.0, 105.0, 150.0),
    of("brass", 8_500.0, 100.0, 150.0),
    of("copper", 8_930.0, 120.0, 60.0),
    of("aluminium", 2_700.0, 70.0, 100.0),
    of("titanium", 4_500.0, 110.0, 500.0),
];

/// The material that a text names: of the names that stand in it as whole words, the longest, so that `silicon carbide` is not
/// `silicon`.
#[must_use]
pub fn named(text: &str) -> Option<&'static Material> {
    let text: Vec<String> = words(text);
    MATERIALS
        .iter()
        .filter(|material| {
            let name = words(material.name);
            text.windows(name.len()).any(|window| window == name)
        })
        .max_by_key(|material| material.name.len())
}

fn words(text: &str) -> Vec<String> {
    text.split(|letter: char| !letter.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect()
}

/// Height of what a part is taken to lie on when its strength follows from its material: a clump of grains or a chip, m. Invented.
const LUMP: f64 = 10e-6;
/// Most that a part is taken to bear over all of its face, share of the bending stress of its material: a thick part does not bend over a
/// clump, but its edges chip. Invented, at the careful end.
const OVER_ALL: f64 = 0.01;

/// Load at which a part cracks that lies with its middle on a clump of height [`LUMP`] while the plate presses on all of its face, N:
/// the bending stress over the clump reaches `bending`, Pa, what the material bears; never more than [`OVER_ALL`] of that over its face.
/// `modulus` is its elastic modulus, Pa; the part is
/// taken for a disc as wide as its outline, of this thickness, m.
#[must_use]
pub fn strength(bending: f64, modulus: f64, outline: &Outline, thickness: f64) -> f64 {
    let radius = outline.outer_radius();
    let stiffness = bending_stiffness(modulus, thickness);
    let bears = bending * thickness * thickness / 6.0;
    let moment = |pressure| moment_over_lump(pressure, radius, thickness, stiffness);
    // The moment grows with the pressure: doubling finds one that is too high, halving the one that is due.
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..200 {
        if moment(high) < bears {
            high *= 2.0;
        }
    }
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if moment(middle) < bears {
            low = middle;
        } else {
            high = middle;
        }
    }
    min(low, OVER_ALL * bending) * outline.area()
}

/// Bending moment over the clump, N·m for each m, of a disc of radius `a` under the pressure `q`, Pa. With a gentle pressure it hangs
/// over the clump; from where its edge has sunk by the clump's height it is held there too; from where it has no slope left at the edge
/// it lies on the plate and is lifted off around the clump only, out to `b⁴ = 64 D h/q`, where slope and moment are zero. A support
/// smaller than `0.325 t` acts as if it were that wide. From the circular plates of Roark's Formulas for Stress and Strain, from memory.
fn moment_over_lump(q: f64, a: f64, thickness: f64, stiffness: f64) -> f64 {
    let nu = POISSON;
    let reach = |b: f64| (1.0 + nu) * log(max(b / (0.325 * thickness), 1.0));
    let square = a * a;
    let lies = 64.0 * stiffness * LUMP / (square * square);
    if q >= lies {
        let lifted = square * sqrt(lies / q);
        return q * lifted * (reach(a * sqrt(sqrt(lies / q))) / 8.0 - (1.0 + nu) / 16.0);
    }
    let even = q * square * (3.0 + nu) / 16.0;
    let hangs = lies * (1.0 + nu) / (7.0 + 3.0 * nu);
    // What the clump carries, over pi: all of the load, or what lifts the middle by the clump's height against load and rim.
    let carried = if q <= hangs {
        q * square
    } else {
        square * (lies * (1.0 + nu) + q * (5.0 + nu)) / (4.0 * (3.0 + nu))
    };
    carried / 4.0 * (reach(a) + 1.0) - even
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_name_that_stands_in_the_text_is_meant() {
        for (text, name) in [
            ("Silicon carbide, sintered", Some("silicon carbide")),
            ("silicon", Some("silicon")),
            ("hardened steel", Some("steel")),
            ("alumina ceramic", Some("alumina")),
            ("steelwool", None),
            ("", None),
        ] {
            assert_eq!(named(text).map(|known| known.name), name, "{text}");
        }
    }

    fn disc(diameter: f64, thickness: f64) -> f64 {
        strength(50e6, 70e9, &Outline::Disc { diameter }, thickness)
    }

    /// A thin part touches down around the clump: put back into the formulas, the load gives the stress that the material bears.
    #[test]
    fn a_thin_part_cracks_at_the_stress_that_its_material_bears() {
        let (t, a) = (0.55e-3, 25e-3);
        let q = disc(2.0 * a, t) / (std::f64::consts::PI * a * a);
        let d = 70e9 * t * t * t / (12.0 * (1.0 - 0.25 * 0.25));
        let b = (64.0 * d * 10e-6 / q).powf(0.25);
        assert!(b < a, "lifts off out to {b} m");
        let moment = 1.25 * q * b * b * ((b / (0.325 * t)).ln() / 8.0 - 1.0 / 16.0);
        let stress = 6.0 * moment / (t * t);
        assert!((stress / 50e6 - 1.0).abs() < 1e-9, "{stress}");
    }

    /// A stiff part under a gentle pressure hangs over the clump: simply supported under a load in its middle less the same load spread
    /// (Roark, both from memory), which is a plate on a support in its middle.
    #[test]
    fn a_stiff_part_is_bent_as_a_plate_on_a_point() {
        let (a, t, q) = (35e-3, 5e-3, 1e4);
        let load = q * std::f64::consts::PI * a * a;
        let middle = load / (4.0 * std::f64::consts::PI) * (1.25 * (a / (0.325 * t)).ln() + 1.0);
        let spread = q * a * a * 3.25 / 16.0;
        let got = moment_over_lump(q, a, t, bending_stiffness(70e9, t));
        assert!((got / (middle - spread) - 1.0).abs() < 1e-12, "{got}");
    }

    #[test]
    fn a_block_bears_a_share_of_its_bending_stress_over_its_face() {
        let face = std::f64::consts::PI * 25e-3 * 25e-3;
        assert_eq!(disc(50e-3, 40e-3), 0.01 * 50e6 * face);
    }

    /// The three ways to lie pass into each other without a jump.
    #[test]
    fn the_moment_is_one_line() {
        let (a, t) = (25e-3, 1e-3);
        let d = bending_stiffness(70e9, t);
        let lies = 64.0 * d * LUMP / (a * a * a * a);
        for corner in [lies, lies * 1.25 / 7.75] {
            let [below, above] =
                [1.0 - 1e-9, 1.0 + 1e-9].map(|by| moment_over_lump(corner * by, a, t, d));
            assert!((below / above - 1.0).abs() < 1e-8, "{below} {above}");
        }
    }

    /// Thicker bears more wherever it lies in the same way, and always bears something.
    #[test]
    fn every_thickness_has_a_strength() {
        for step in 0..400 {
            let now = disc(50e-3, 20e-6 * 1.02_f64.powi(step));
            assert!(now.is_finite() && now > 0.0, "step {step}: {now}");
        }
        assert!(disc(50e-3, 0.3e-3) < disc(50e-3, 0.6e-3));
        assert!(disc(50e-3, 2e-3) < disc(50e-3, 3e-3));
    }
}

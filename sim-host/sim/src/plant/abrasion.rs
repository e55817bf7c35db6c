//! What grains do to a material: removal, finish and damage by published forms, with the ranges and the spread they were stated with.
//!
//! | what | form | source |
//! |---|---|---|
//! | removal | `k_p` in proportion to the grain | lapping of LiTaO₃ with JIS #1000 silicon carbide on cast iron: 1.713e-11 1/Pa, "all in proportion to grain size" (abstract) |
//! | … between materials | `E^(5/4)/(K_c H²)` against glass | Buijs and Korpel-van Houten, Wear 166 (1993) 237 (from memory) |
//! | … by grains too soft | `0.566 h^-2.5` and `1.235 h^-6`, `h` = hardness of part over grain, from 0.8 and 1.25 on | Rabinowicz, Lubrication Engineering 33 (1977) 378–381 (from memory) |
//! | … of concentration | `x exp(1 - x)`, `x` = grains over their optimum | invented: see [`Supply`] |
//! | finish | RMS = 0.1043 d^0.540, peak to valley = 0.7214 d^0.493, all µm | fit to glass and alumina, Tribology International 40 (2007) 498–502 |
//! | damage | 2.92 times peak to valley, held against 0.3 d^0.68 to 2 d^0.85 µm | ground glass, conference on machining of advanced materials 2018 (abstract); Lambropoulos and others (from memory) |
//! | … between materials | `E^(1/2)/H` against glass | Suratwala and others, Optical Engineering 58 (2019) 092604 (abstract) |
//!
//! A measured value wins over the form. Where a form was fitted to one pair of materials and is used for another, or no number was to
//! be had, the constant says so.

mod mix;

use super::material::GLASS;
pub use super::material::Material;
use crate::math::{exp, max, min, pow, sqrt};
use crate::model::{Consumables, MeasuredAt, Process};
pub use mix::Mix;
use mix::volume_share;
use std::f64::consts::FRAC_PI_2;

/// Removal coefficient of the study that removal is anchored to, 1/Pa (LiTaO₃, JIS #1000 silicon carbide, cast iron; abstract). Its
/// material is taken for as easily lapped as glass: it gives no toughness.
const STUDY_REMOVAL: f64 = 1.713e-11;
/// Median grain of that study, m: JIS #1000.
const STUDY_GRAIN: f64 = 11.5e-6;
/// Published removal coefficients of loose abrasive, lowest, 1/Pa (from memory).
const REMOVAL_LEAST: f64 = 1e-12;
/// Published removal coefficients of loose abrasive, highest, 1/Pa.
const REMOVAL_MOST: f64 = 2e-11;
/// Removal coefficient of polishing on a pad, lowest and highest published, 1/Pa: silica with ceria, 1.6e-13, and silicon, 3e-12
/// (course notes, extreme corners).
const POLISH_LEAST: f64 = 1.6e-13;
/// See `POLISH_LEAST`, 1/Pa.
const POLISH_MOST: f64 = 3e-12;
/// Oil carries part of the load past the grains: removal against a vehicle of water. Invented; the direction is common practice.
const OIL_REMOVAL: f64 = 0.8;

/// RMS roughness of a grain of 1 µm, µm: least squares on four grains of 7 to 80 µm.
const RMS_FACTOR: f64 = 0.1043;
/// Exponent of the grain in it.
const RMS_EXPONENT: f64 = 0.540;
/// Peak-to-valley roughness of a grain of 1 µm, µm: the same four grains.
const PEAK_FACTOR: f64 = 0.7214;
/// Exponent of the grain in it.
const PEAK_EXPONENT: f64 = 0.493;
/// Roughness of glass and other materials lies within this factor of the fit, either way: the fit's own points lie within 1.35; the
/// rest is judgement.
const FINISH_SPREAD: [f64; 2] = [2.0, 3.0];
/// Diamond and bonded grains may leave a face this much smoother than the fit: 3 µm diamond left Ra 5.2 nm on silicon carbide (abstract).
const DIAMOND_SMOOTHER: f64 = 30.0;
/// No process is known to leave a face this much smoother than the fit: more than three times the smoothest that was published.
const IMPOSSIBLY_SMOOTH: f64 = 100.0;
/// Roughness Ra that polishing on a pad leaves, least and most, m (from memory).
const POLISH_FINISH: [f64; 2] = [0.2e-9, 20e-9];

/// Damage over peak-to-valley roughness: ground glass 2.92 ± 0.75. Loose alumina on glass gave 6.7 ± 0.8, fixed diamond on silica
/// 7.4 ± 1.3: the ratio is not universal, and of the three the first keeps within the range of all grains.
const DAMAGE_RATIO: f64 = 2.92;
/// Least damage of a grain of 1 µm in glass, µm, and the exponent of the grain (from memory).
const DAMAGE_LEAST: [f64; 2] = [0.3, 0.68];
/// Most damage of a grain of 1 µm in glass, µm, and the exponent of the grain (from memory).
const DAMAGE_MOST: [f64; 2] = [2.0, 0.85];
/// Damage that polishing on a pad leaves, at most, and as assumed, in grains. Invented.
const POLISH_DAMAGE: [f64; 2] = [0.2, 0.05];

/// Grains for which lapping results were published, least and most, m: 3 µm diamond to 80 µm alumina.
const PUBLISHED_GRAINS: [f64; 2] = [3e-6, 80e-6];
/// Grains that polish on a pad, least and most, m; coarser ones scratch (common practice, no source).
const POLISH_GRAINS: [f64; 2] = [20e-9, 5e-6];
/// Hardness of the part over that of the grain from which grains cut less, and from which they hardly cut (Rabinowicz 1977, from memory).
const SOFT_GRAIN: [f64; 2] = [0.8, 1.25];
/// Concentrations of loose abrasive that the trade uses, mass share: 10 to 30 % (common practice, no source).
const PRACTICE: [f64; 2] = [0.1, 0.3];
/// The same of diamond, which is dear: 0.5 to 5 % (common practice, no source).
const PRACTICE_DIAMOND: [f64; 2] = [0.005, 0.05];
/// The same of polishing on a pad: 2 to 30 % (common practice, no source).
const PRACTICE_POLISH: [f64; 2] = [0.02, 0.3];
/// Volume share of grains at which loose abrasive cuts fastest: 20 % by mass of alumina in water, the middle of practice. Invented.
const OPTIMUM: f64 = 0.06;
/// The same of diamond: 2.5 % by mass in oil. Invented.
const OPTIMUM_DIAMOND: f64 = 0.006;
/// Volume share of grains over which a pad fills (one e-fold). Invented.
const PAD_FILLS: f64 = 0.005;
/// Volume share of swarf that halves the cut of bonded grains by clogging. Invented.
const CLOGS: f64 = 0.05;

/// Density of water, kg/m³.
const WATER: f64 = 1000.0;
/// Density of a light oil, kg/m³ (from memory).
const OIL: f64 = 850.0;
/// Abrasives by a word of their name, with their density, kg/m³, and their hardness, GPa (handbook values, from memory). The last, which
/// is aluminium oxide, stands for any other.
const ABRASIVES: [(&str, f64, f64); 6] = [
    ("diamond", 3520.0, 80.0),
    ("silicon carbide", 3210.0, 28.0),
    ("boron carbide", 2520.0, 32.0),
    ("ceri", 7200.0, 7.0),
    ("zircon", 5700.0, 12.0),
    ("", 3950.0, 20.0),
];

/// What a form gives: the value to assume, and the range that published results span around it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Form {
    /// Value to assume where nothing was measured.
    pub usual: f64,
    /// Least that published results make likely.
    pub least: f64,
    /// Most that published results make likely.
    pub most: f64,
}

impl Form {
    /// Whether a value lies within what was published.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        value >= self.least && value <= self.most
    }
}

/// How grains come into the gap, and what of the removal depends on them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Supply {
    /// Loose grains that roll: each cuts, but in a crowd they lie on one another. Of grains strewn at random with a mean of `x` in
    /// each place, `x exp(-x)` of the places hold one alone; the optimum is at `x = 1`. The form has the right ends (nothing without
    /// grains, in proportion to a few, less in a crowd) and is invented.
    Rolling {
        /// Volume share of grains in the slurry over its optimum.
        crowd: f64,
        /// Volume share of grains in the slurry.
        volume: f64,
    },
    /// Grains that a pad takes up until it is full.
    Pad {
        /// Volume share of grains in the slurry.
        volume: f64,
    },
    /// Grains bound in the plate: the slurry only clears them. The bond sets fresh grains free as it wears, so the rate stays within a
    /// tenth (study of fixed diamond pellets, abstract).
    Bound,
}

impl Supply {
    /// Of a recipe's slurry.
    #[must_use]
    pub fn of(c: &Consumables) -> Self {
        Self::at(c, c.concentration)
    }

    fn at(c: &Consumables, concentration: f64) -> Self {
        let volume = volume_share(c, concentration);
        match c.process {
            Process::FixedAbrasive => Self::Bound,
            Process::PadPolishing => Self::Pad { volume },
            Process::LooseAbrasive | Process::Diamond => Self::Rolling {
                crowd: volume / if diamond(c) { OPTIMUM_DIAMOND } else { OPTIMUM },
                volume,
            },
        }
    }

    /// Grains that cut, 0..1 of the most that ever do, `charge` being what is in the gap of a fresh slurry's grains, 0..1.
    #[must_use]
    pub fn cutting(self, charge: f64) -> f64 {
        match self {
            Self::Rolling { crowd, .. } => crowd * charge * exp(1.0 - crowd * charge),
            Self::Pad { volume } => 1.0 - exp(-volume * charge / PAD_FILLS),
            Self::Bound => 1.0,
        }
    }

    /// What swarf in the gap leaves of the cut, 0..1: it takes the grains' places, or clogs bound ones. `swarf` is its share of the
    /// volume. Invented; that clearing the gap decides is Le and Peterson's (J. Manufacturing Processes 1 (1999) 71–78, abstract).
    #[must_use]
    pub fn cleared(self, swarf: f64) -> f64 {
        let room = match self {
            Self::Rolling { volume, .. } => volume,
            Self::Pad { volume } => max(volume, PAD_FILLS),
            Self::Bound => CLOGS,
        };
        if room > 0.0 {
            room / (room + swarf)
        } else {
            0.0
        }
    }

    /// Whether the grains come with the slurry, wear and are replaced by it.
    #[must_use]
    pub const fn flows(self) -> bool {
        !matches!(self, Self::Bound)
    }
}

/// Density, kg/m³, and hardness, GPa, of a recipe's abrasive.
fn abrasive(c: &Consumables) -> [f64; 2] {
    let name = c.abrasive.to_lowercase();
    ABRASIVES
        .iter()
        .find(|(word, ..)| name.contains(word))
        .map_or([1.0; 2], |(_, density, hardness)| [*density, *hardness])
}

/// What is left of the removal where the grains are too soft for the part, 0..1. A metal is softer than any of them.
fn hard_enough(c: &Consumables, material: Material) -> f64 {
    let Material::Brittle([_, hardness, _]) = material else {
        return 1.0;
    };
    let [less, hardly] = SOFT_GRAIN;
    let [_, grain] = abrasive(c);
    let harder = hardness / grain;
    // The published factors 3, 5.3 and 2.43 of the three regimes, against the first.
    if harder < less {
        1.0
    } else if harder < hardly {
        min(3.0 / 5.3 * pow(harder, -2.5), 1.0)
    } else {
        3.0 / 2.43 * pow(harder, -6.0)
    }
}

fn diamond(c: &Consumables) -> bool {
    c.process == Process::Diamond || c.abrasive.to_lowercase().contains("diamond")
}

fn oily(c: &Consumables) -> bool {
    c.vehicle.to_lowercase().contains("oil")
}

/// What the published forms say of grain, slurry and material.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Published {
    /// Removal coefficient per face, 1/Pa.
    pub removal: Form,
    /// Roughness Ra that the process settles at, m.
    pub roughness: Form,
    /// Damage depth per face that the process leaves, m.
    pub damage: Form,
    /// Roughness Ra under which no process is known to get with this grain, m.
    pub roughness_possible: f64,
    /// Grains break the material out, so that the damage is deeper than the roughness.
    pub breaks: bool,
    /// Removal coefficients that were published for this process, whatever the grain and the material, 1/Pa; `None` where none were.
    pub removals: Option<[f64; 2]>,
    /// Grain sizes that results were published for, or on a pad those that polish, m.
    pub grains: [f64; 2],
    /// Concentrations that the trade uses, mass share; `None` where the slurry carries no grains.
    pub practice: Option<[f64; 2]>,
}

impl Published {
    /// Of a recipe's abrasive on a material.
    #[must_use]
    pub fn of(c: &Consumables, material: Material) -> Self {
        let at = c.as_used();
        let pad = c.process == Process::PadPolishing;
        let practice = match c.process {
            Process::FixedAbrasive => None,
            Process::PadPolishing => Some(PRACTICE_POLISH),
            _ if diamond(c) => Some(PRACTICE_DIAMOND),
            _ => Some(PRACTICE),
        };
        Self {
            removal: removal(c, material, &at),
            roughness: roughness(c, material, at.grain),
            damage: damage(c, material, at.grain),
            roughness_possible: if pad {
                0.0
            } else {
                usual_roughness(at.grain) / IMPOSSIBLY_SMOOTH
            },
            breaks: !pad && matches!(material, Material::Brittle(_)),
            removals: match c.process {
                Process::FixedAbrasive => None,
                Process::PadPolishing => Some([POLISH_LEAST, POLISH_MOST]),
                Process::LooseAbrasive | Process::Diamond => Some([REMOVAL_LEAST, REMOVAL_MOST]),
            },
            grains: if pad { POLISH_GRAINS } else { PUBLISHED_GRAINS },
            practice,
        }
    }
}

fn removal(c: &Consumables, material: Material, at: &MeasuredAt) -> Form {
    let grains = Supply::at(c, at.concentration).cutting(1.0);
    let vehicle = if oily(c) { OIL_REMOVAL } else { 1.0 };
    if c.process == Process::PadPolishing {
        return Form {
            usual: sqrt(POLISH_LEAST * POLISH_MOST) * grains,
            least: POLISH_LEAST,
            most: POLISH_MOST,
        };
    }
    let usual = STUDY_REMOVAL * at.grain / STUDY_GRAIN
        * material.removal()
        * hard_enough(c, material)
        * vehicle
        * grains;
    // Published coefficients of loose abrasive spread by this factor around their middle.
    let spread = sqrt(REMOVAL_MOST / REMOVAL_LEAST);
    Form {
        usual,
        least: usual / spread,
        most: usual * spread,
    }
}

/// Roughness Ra of the fit, m. Ra of a Gaussian profile is its RMS over √(π/2).
fn usual_roughness(grain: f64) -> f64 {
    1e-6 * RMS_FACTOR * pow(grain * 1e6, RMS_EXPONENT) / sqrt(FRAC_PI_2)
}

fn roughness(c: &Consumables, material: Material, grain: f64) -> Form {
    if c.process == Process::PadPolishing {
        let [least, most] = POLISH_FINISH;
        return Form {
            usual: sqrt(least * most),
            least,
            most,
        };
    }
    let usual = usual_roughness(grain);
    let [glass, other] = FINISH_SPREAD;
    let spread = if material == Material::Brittle(GLASS) {
        glass
    } else {
        other
    };
    let smoother = if diamond(c) || c.process == Process::FixedAbrasive {
        DIAMOND_SMOOTHER
    } else {
        spread
    };
    Form {
        usual,
        least: usual / smoother,
        most: usual * spread,
    }
}

fn damage(c: &Consumables, material: Material, grain: f64) -> Form {
    if c.process == Process::PadPolishing {
        let [most, usual] = POLISH_DAMAGE;
        return Form {
            usual: usual * grain,
            least: 0.0,
            most: most * grain,
        };
    }
    let um = grain * 1e6;
    let scale = 1e-6 * material.damage();
    let least = scale * DAMAGE_LEAST[0] * pow(um, DAMAGE_LEAST[1]);
    let most = scale * DAMAGE_MOST[0] * pow(um, DAMAGE_MOST[1]);
    // A metal is not cracked: its worked layer has no published row, only a bound that no brittle material passes.
    if material == Material::Metal {
        return Form {
            usual: least,
            least: 0.0,
            most,
        };
    }
    let usual = scale * DAMAGE_RATIO * PEAK_FACTOR * pow(um, PEAK_EXPONENT);
    Form {
        usual: min(max(usual, least), most),
        least,
        most,
    }
}

/// What an abrasive does to a material: measured where it was, by the published forms where it was not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Abrasion {
    /// Removal coefficient per face of fresh slurry with all its grains, 1/Pa.
    pub removal: f64,
    /// Roughness Ra that the process settles at, m.
    pub roughness: f64,
    /// Damage depth per face that the process leaves, m.
    pub damage: f64,
}

impl Abrasion {
    /// Of a recipe's abrasive on a material. What was measured with another grain or concentration is carried over by the forms.
    #[must_use]
    pub fn of(c: &Consumables, material: &str) -> Self {
        let material = Material::named(material);
        let here = c.as_used();
        let there = c.measured_at.unwrap_or(here);
        let value = |measured: Option<f64>, form: &dyn Fn(&MeasuredAt) -> f64| {
            let usual = form(&here);
            match measured {
                Some(value) if there != here => {
                    value * usual / max(form(&there), f64::MIN_POSITIVE)
                }
                Some(value) => value,
                None => usual,
            }
        };
        // No grains, no removal, whatever was measured with some.
        let grains = Supply::of(c).cutting(1.0) > 0.0;
        Self {
            removal: if grains {
                value(c.removal, &|at| removal(c, material, at).usual)
            } else {
                0.0
            },
            roughness: value(c.roughness, &|at| roughness(c, material, at.grain).usual),
            damage: value(c.damage, &|at| damage(c, material, at.grain).usual),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;

    fn glass() -> Consumables {
        demo::recipe("glass-f800").consumables
    }

    #[test]
    fn a_measured_value_wins_at_its_own_grain_and_is_carried_over_to_another() {
        let mut c = glass();
        c.measured_at = None;
        let own = Abrasion::of(&c, "glass");
        assert_eq!(Some(own.removal), c.removal);
        assert_eq!(
            (Some(own.roughness), Some(own.damage)),
            (c.roughness, c.damage)
        );
        c.measured_at = Some(MeasuredAt {
            grain: c.grain,
            concentration: c.concentration,
        });
        assert_eq!(Abrasion::of(&c, "glass"), own);
        c.grain *= 2.0;
        let coarse = Abrasion::of(&c, "glass");
        assert!((coarse.removal / own.removal - 2.0).abs() < 1e-12);
        assert!((coarse.roughness / own.roughness - pow(2.0, RMS_EXPONENT)).abs() < 1e-12);
        assert!((coarse.damage / own.damage - pow(2.0, PEAK_EXPONENT)).abs() < 1e-12);
        // Without a word on where it was measured, it was measured with what the file names.
        c.measured_at = None;
        assert_eq!(Abrasion::of(&c, "glass"), own);
    }

    /// Rabinowicz (1977, from memory): volume worn goes with 1/3, with 1/5.3 r^-2.5 and with 1/2.43 r^-6, `r` being the hardness of the
    /// part over that of the grain; the three meet at 0.8 and 1.25.
    #[test]
    fn grains_softer_than_the_part_hardly_cut() {
        let mut c = glass();
        let mut left = |grain: &str, part: &str| {
            c.abrasive = grain.into();
            hard_enough(&c, Material::named(part))
        };
        assert_eq!(left("aluminium oxide", "glass"), 1.0);
        assert_eq!(left("aluminium oxide", "hardened steel"), 1.0);
        let same = left("aluminium oxide", "sapphire");
        assert!((same - 3.0 / 5.3).abs() < 1e-12, "{same}");
        let softer = left("aluminium oxide", "silicon carbide");
        assert!((softer / (3.0 / 2.43 * pow(1.4, -6.0)) - 1.0).abs() < 1e-12);
        assert!(left("cerium oxide", "sapphire") < 0.003);
        let at = |r: f64| [3.0 / 5.3 * pow(r, -2.5), 3.0 / 2.43 * pow(r, -6.0)];
        assert!((at(0.8)[0] - 1.0).abs() < 0.02 && (at(1.25)[0] / at(1.25)[1] - 1.0).abs() < 0.01);
    }

    #[test]
    fn no_grains_remove_nothing_and_bound_ones_need_none_in_the_slurry() {
        let mut c = glass();
        c.concentration = 0.0;
        assert_eq!(Abrasion::of(&c, "glass").removal, 0.0);
        let bound = demo::recipe("zirconia-fixed").consumables;
        assert_eq!(bound.concentration, 0.0);
        assert!(Abrasion::of(&bound, "zirconia ceramic").removal > 0.0);
    }

    #[test]
    fn removal_rises_with_concentration_to_its_optimum_and_falls_beyond() {
        let mut c = glass();
        c.removal = None;
        c.measured_at = None;
        let mut at = |share: f64| {
            c.concentration = share;
            Abrasion::of(&c, "glass").removal
        };
        // 20.1 % by mass of alumina in water is 6 % by volume.
        assert!(at(0.02) < at(0.1) && at(0.1) < at(0.15) && at(0.15) < at(0.2));
        assert!(at(0.2) > at(0.3) && at(0.3) > at(0.6));
        assert!(at(0.2) / (STUDY_REMOVAL * 6.5 / 11.5) > 0.999);
    }
}

//! Lower limit factor and loading ranges as ASTM E74 has them. All of it from memory: the standard itself was not at hand.

use super::Reading;
use super::polynomial::levels;
use twinplate_sim::math::{abs, max, min};

/// Standard deviations in the lower limit factor.
pub const DEVIATIONS: f64 = 2.4;
/// Lower limit factors at the lower end of the loading range, class AA and class A.
const RANGES: [(&str, f64); 2] = [("AA", 2000.0), ("A", 400.0)];
/// Fewest readings and fewest different loads of a calibration.
const LEAST: [usize; 2] = [30, 10];

/// Share of a reading that the lower limit factor is at the lower end of a class's range.
#[must_use]
pub fn lowest_share(class: &str) -> f64 {
    RANGES
        .iter()
        .find(|(name, _)| *name == class)
        .map_or(f64::NAN, |(_, factors)| 1.0 / factors)
}

/// Lower limit factor, and what follows from it.
#[derive(Clone, Debug, PartialEq)]
pub struct LowerLimit {
    /// [`DEVIATIONS`] residual standard deviations, turned into load by the mean of load over deflection; in units of load.
    pub factor: f64,
    /// Mean of load over deflection that turns it, over all fitted readings.
    pub ratio: f64,
    /// Readings and different loads.
    pub counted: [usize; 2],
    /// What the data lacks for any class; empty where nothing.
    pub lacks: Vec<String>,
    /// Class, its lower end as the factor gives it, and the loading range, where there is one: not below the smallest load applied.
    pub ranges: Vec<(&'static str, f64, Option<[f64; 2]>)>,
}

impl LowerLimit {
    pub(super) fn new(rows: &[&Reading], deviation: f64) -> Self {
        let ratios: Vec<f64> = rows
            .iter()
            .filter(|row| row.deflection != 0.0)
            .map(|row| abs(row.load / row.deflection))
            .collect();
        let ratio = ratios.iter().sum::<f64>() / max(ratios.len() as f64, 1.0);
        let factor = DEVIATIONS * deviation * ratio;
        let counted = [rows.len(), levels(rows).1];
        let words = ["readings", "different loads"];
        let lacks: Vec<String> = (0..2)
            .filter(|&at| counted[at] < LEAST[at])
            .map(|at| format!("{} {} where {} are due", counted[at], words[at], LEAST[at]))
            .collect();
        let ends = rows.iter().fold([f64::INFINITY, 0.0], |[low, high], row| {
            [min(low, row.load), max(high, row.load)]
        });
        let ranges = RANGES
            .iter()
            .map(|(class, factors)| {
                let from = factors * factor;
                let range = [max(from, ends[0]), ends[1]];
                let held = lacks.is_empty() && range[0] < range[1];
                (*class, from, held.then_some(range))
            })
            .collect();
        Self {
            factor,
            ratio,
            counted,
            lacks,
            ranges,
        }
    }
}

//! The plate moved through the air, down and up, with a gauge on the rod side: weight and friction of the seals. The cell does not see
//! either, because the seals are inside the cylinder; the air does.

use super::log::{Run, Test};
use crate::least_squares::{Estimate, fit};
use twinplate_sim::math::{exp, max, sqrt};

/// Degrees of freedom of what is known from the gauge's last digit alone.
const KNOWN: f64 = 1e6;

/// What motion tells.
#[derive(Clone, Debug, PartialEq)]
pub struct Seals {
    /// Weight that hangs on the rod, N.
    pub weight: Estimate,
    /// Friction at standstill's edge, N.
    pub breakaway: Estimate,
    /// Friction while sliding slowly, without what grows with the speed, where the speeds tell; otherwise why not.
    pub sliding: Result<Estimate, String>,
    /// What grows with the speed, N·s/m.
    pub viscous: Option<Estimate>,
    /// Motions that were measured.
    pub motions: usize,
    /// Speed, m/s, up positive, and rod-side force, N, measured and fitted.
    pub points: Vec<[f64; 3]>,
}

/// One steady motion: speed, up positive, mean rod-side force and its deviation.
struct Motion {
    speed: f64,
    force: f64,
    deviation: f64,
}

/// Fits the law of the seals: `F = slide + (break - slide) exp(-(v/stribeck)²) + viscous v`, up with the weight, down against it. `area` is
/// the rod side's, m²; `digit` the gauge's last, Pa.
pub(super) fn seals(runs: &[&Run], area: f64, digit: f64, stribeck: f64) -> Result<Seals, String> {
    let motions: Vec<Motion> = runs.iter().map(|run| motion(run, area, digit)).collect();
    for (sense, word) in [(1.0, "up"), (-1.0, "down")] {
        if !motions.iter().any(|motion| motion.speed * sense > 0.0) {
            return Err(format!("no steady motion {word} was measured"));
        }
    }
    let values: Vec<f64> = motions.iter().map(|m| m.force / m.deviation).collect();
    let rows = |terms: usize| -> Vec<Vec<f64>> {
        motions
            .iter()
            .map(|m| {
                let sense = if m.speed > 0.0 { 1.0 } else { -1.0 };
                let ratio = m.speed / stribeck;
                let fade = if terms > 2 { exp(-ratio * ratio) } else { 1.0 };
                let all = [1.0, sense * fade, sense * (1.0 - fade), m.speed];
                all[..terms].iter().map(|x| x / m.deviation).collect()
            })
            .collect()
    };
    // All four; else weight and friction alone, which is what one slow speed tells.
    let whole = fit(&rows(4), &values).filter(|fit| fit.freedom > 0);
    let told = whole.is_some();
    let found = match whole {
        Some(found) => found,
        None => fit(&rows(2), &values).filter(|fit| fit.freedom > 0).ok_or(
            "the motions do not tell weight and friction apart: two down and two up are needed",
        )?,
    };
    // Deviations are known from digits and scatter; where the law leaves more, that counts.
    let scale = max(found.deviation(), 1.0);
    let freedom = if scale > 1.0 {
        found.freedom as f64
    } else {
        KNOWN
    };
    let estimate = |at: usize| {
        let own = sqrt(max(found.unscaled[at][at], 0.0));
        Estimate::new(found.coefficients[at], scale * own, freedom)
    };
    let sliding = if told {
        Ok(estimate(2))
    } else {
        Err("it takes three speeds or more, down and up: one slow, one about the Stribeck speed, one fast".to_owned())
    };
    let fitted = rows(found.coefficients.len());
    Ok(Seals {
        weight: estimate(0),
        breakaway: estimate(1),
        sliding,
        viscous: told.then(|| estimate(3)),
        motions: motions.len(),
        points: motions
            .iter()
            .zip(fitted)
            .map(|(m, row)| {
                let fitted: f64 = row
                    .iter()
                    .zip(&found.coefficients)
                    .map(|(x, c)| x * c)
                    .sum();
                [m.speed, m.force, fitted * m.deviation]
            })
            .collect(),
    })
}

fn motion(run: &Run, area: f64, digit: f64) -> Motion {
    let count = run.samples.len() as f64;
    let mean =
        |value: &dyn Fn(usize) -> f64| (0..run.samples.len()).map(value).sum::<f64>() / count;
    let pressure = mean(&|n| run.samples[n].rod);
    let square = mean(&|n| (run.samples[n].rod - pressure) * (run.samples[n].rod - pressure));
    let sense = if run.test == Test::Lift { 1.0 } else { -1.0 };
    // The last digit is a fault that all rows of a steady motion share.
    let deviation = sqrt(square / max(count - 1.0, 1.0) + digit * digit / 12.0);
    Motion {
        speed: sense * mean(&|n| run.samples[n].speed),
        force: area * pressure,
        deviation: max(area * deviation, 1e-9),
    }
}

//! The polynomial of a load cell: reading over load, of the degree that the data supports.

use super::Reading;
use crate::least_squares::{FTest, Fit, fit, repeats};
use twinplate_sim::math::{abs, max};

/// Highest degree that is tried: ASTM E74 goes no further (from memory).
pub const HIGHEST: usize = 5;
/// Chance under which a polynomial is said not to fit, or a further degree to be needed.
pub const LEVEL: f64 = 0.05;

/// How a degree was judged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// Lack of fit against the scatter of repeats.
    LackOfFit,
    /// What the next two degrees take off the residuals, where there are no repeats.
    NextDegree,
}

/// A degree that was tried.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Degree.
    pub degree: usize,
    /// Residual standard deviation with `n - degree - 1` degrees of freedom, in units of the reading.
    pub deviation: f64,
    /// Lack of fit, or the gain of the next two degrees; `None` where nothing is left to test.
    pub test: Option<FTest>,
    /// The data does not speak against this degree.
    pub fits: bool,
}

/// The polynomial that was chosen: coefficients of powers of the load, in units as typed.
pub(super) struct Chosen {
    pub degree: usize,
    pub fit: Fit,
    pub by: By,
    pub tried: Vec<Tried>,
}

/// A polynomial of a degree.
pub(super) fn of_degree(rows: &[&Reading], degree: usize) -> Option<Fit> {
    let powers: Vec<Vec<f64>> = rows.iter().map(|row| powers(row.load, degree)).collect();
    let values: Vec<f64> = rows.iter().map(|row| row.deflection).collect();
    fit(&powers, &values)
}

/// 1, x, x² and so on up to a degree.
pub(super) fn powers(x: f64, degree: usize) -> Vec<f64> {
    std::iter::successors(Some(1.0), |power| Some(power * x))
        .take(degree + 1)
        .collect()
}

/// Number of each row's load among all loads, in rising order, and how many loads there are.
pub(super) fn levels(rows: &[&Reading]) -> (Vec<usize>, usize) {
    let mut loads: Vec<f64> = rows.iter().map(|row| row.load).collect();
    loads.sort_by(f64::total_cmp);
    loads.dedup();
    let number = |load: f64| loads.partition_point(|known| *known < load);
    (
        rows.iter().map(|row| number(row.load)).collect(),
        loads.len(),
    )
}

/// The lowest degree that the data does not speak against; where there is none, the one with the smallest residuals.
pub(super) fn choose(rows: &[&Reading]) -> Option<Chosen> {
    let (groups, loads) = levels(rows);
    let values: Vec<f64> = rows.iter().map(|row| row.deflection).collect();
    let pure = repeats(&groups, &values);
    let by = if pure.1 > 0 && pure.0 > 0.0 {
        By::LackOfFit
    } else {
        By::NextDegree
    };
    let most = HIGHEST
        .min(loads.saturating_sub(2))
        .min(rows.len().saturating_sub(2));
    let fits: Vec<Fit> = (1..=most.max(1))
        .map_while(|degree| of_degree(rows, degree))
        .collect();
    let span = values
        .iter()
        .fold(0.0, |most, value| max(most, abs(*value)));
    // What is left of numbers that lie on the curve to the last bit says nothing of the cell.
    let exact = |fit: &Fit| fit.squares <= rows.len() as f64 * (1e-13 * span) * (1e-13 * span);
    let tried: Vec<Tried> = fits
        .iter()
        .zip(1..)
        .map(|(fit, degree)| {
            let test = match by {
                By::LackOfFit => {
                    let lack = (fit.squares - pure.0, loads.saturating_sub(degree + 1));
                    FTest::new(lack, pure)
                }
                // Two degrees at once: a bend that is the same on both sides needs the second.
                By::NextDegree => fits.get(degree + 1).or(fits.get(degree)).and_then(|next| {
                    let more = fit.freedom - next.freedom;
                    FTest::new(
                        (fit.squares - next.squares, more),
                        (next.squares, next.freedom),
                    )
                }),
            };
            Tried {
                degree,
                deviation: fit.deviation(),
                test,
                fits: exact(fit) || test.is_none_or(|test| test.chance >= LEVEL),
            }
        })
        .collect();
    let at = tried.iter().position(|tried| tried.fits).or_else(|| {
        let least =
            |a: &(usize, &Tried), b: &(usize, &Tried)| a.1.deviation.total_cmp(&b.1.deviation);
        tried.iter().enumerate().min_by(least).map(|(at, _)| at)
    })?;
    Some(Chosen {
        degree: at + 1,
        fit: fits.into_iter().nth(at)?,
        by,
        tried,
    })
}

/// Whether the readings change with the load: the straight line's slope is told from none, and is more than rounding.
pub(super) fn rises(rows: &[&Reading]) -> bool {
    let most = rows
        .iter()
        .fold(0.0, |most, row| max(most, abs(row.deflection)));
    of_degree(rows, 1).is_some_and(|line| {
        let slope = line.coefficient(1);
        let load = rows.iter().fold(0.0, |most, row| max(most, abs(row.load)));
        let over = abs(slope.value) * load;
        over.is_finite() && over > 1e-9 * most && (slope.low > 0.0 || slope.high < 0.0)
    })
}

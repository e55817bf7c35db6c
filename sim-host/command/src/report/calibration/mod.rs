//! What `calibrate` found: text for a terminal, the verdict in the last line, and one self-contained page with a picture.

mod actuator;
mod actuator_page;
mod cell;
mod cell_page;
mod drives;
mod drives_page;
mod keys;
mod keys_page;
pub(crate) mod page;
mod removal;
mod removal_page;

pub(crate) use actuator::draw as actuator;
pub(crate) use actuator_page::draw as actuator_page;
pub(crate) use cell::draw as cell;
pub(crate) use cell_page::draw as cell_page;
pub(crate) use drives::draw as drives;
pub(crate) use drives_page::draw as drives_page;
pub(crate) use keys::draw as keys;
pub(crate) use keys_page::draw as keys_page;
pub(crate) use page::{Card, end, head, list, table, worded};
pub(crate) use removal::draw as removal;
pub(crate) use removal_page::draw as removal_page;

use twinplate_calibrate::least_squares::{Estimate, Row};
use twinplate_check::finding::significant as number;
use twinplate_sim::math::max;

/// Rows with more than so many times the mean leverage decide their own fit. Common practice, no source.
const HEAVY: f64 = 2.0;
/// And more than half of it, which few rows of many coefficients would not. Judgement.
const OWN: f64 = 0.5;

/// A chance as it is told.
pub(in crate::report) fn chance(p: f64) -> String {
    if p < 1e-4 {
        "< 1e-4".to_owned()
    } else {
        number(p, 2)
    }
}

/// An estimate with its interval.
pub(in crate::report) fn interval(found: &Estimate, digits: usize) -> String {
    format!(
        "{} ({} to {})",
        number(found.value, digits),
        number(found.low, digits),
        number(found.high, digits)
    )
}

/// Rows that stand out: residuals larger than chance allows, and rows that decide their own fit. `residual` words one.
fn standing_out(
    rows: &[Row],
    coefficients: usize,
    residual: impl Fn(&Row) -> String,
) -> Vec<String> {
    let usual = coefficients as f64 / rows.len() as f64;
    let mut told: Vec<String> = rows
        .iter()
        .filter(|row| row.outlier)
        .map(|row| {
            format!(
                "line {}: off by {}, {} of its own deviations, more than chance allows; read it again before it counts",
                row.line,
                residual(row),
                number(row.studentised.abs(), 2)
            )
        })
        .collect();
    let heavy: Vec<String> = rows
        .iter()
        .filter(|row| row.leverage > max(HEAVY * usual, OWN))
        .map(|row| row.line.to_string())
        .collect();
    if !heavy.is_empty() {
        told.push(format!(
            "lines {} decide their own fit (leverage over {}): a slip there would hardly show",
            heavy.join(", "),
            number(max(HEAVY * usual, OWN), 2)
        ));
    }
    if told.is_empty() {
        let worst = rows.iter().map(|row| row.studentised.abs()).fold(0.0, max);
        told.push(format!(
            "no outlier: the largest residual is {} of its own deviations; no row decides its own fit",
            number(worst, 2)
        ));
    }
    told
}

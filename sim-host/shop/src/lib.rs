//! What a shop makes of a recipe: measured parts sorted into loads and pockets ([`lay_in`]), a card for the operator ([`card`]), time
//! and money ([`cost`]).
//!
//! Pure: no file is read, nothing is printed, the day is an argument. A sheet is read like the other files: every error with its place.
//!
//! ```
//! use twinplate_shop::cost::record;
//!
//! let sheet = "start, time [min], good\n2026-03-02 06:10, 21, 15\n2026-03-02 06:40, 24, 14\n";
//! let record = record::read("record.csv", sheet.as_bytes()).map_err(|errors| format!("{errors:?}"))?;
//! assert_eq!(record.batches.len(), 2);
//! # Ok::<(), String>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod card;
pub mod cost;
pub mod json;
pub mod lay_in;
pub mod shown;

use twinplate_sim::math::sqrt;

/// Standard deviation of a sample; 0 of less than two.
fn deviation(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    if values.len() < 2 {
        return 0.0;
    }
    let mean = values.iter().sum::<f64>() / n;
    let squares: f64 = values.iter().map(|v| (v - mean) * (v - mean)).sum();
    sqrt(squares / (n - 1.0))
}

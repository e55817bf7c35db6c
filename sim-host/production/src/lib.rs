//! The batch after next: from a production record to the next batch's time or load, with how sure it is, and to what else the record says:
//! drift told from noise, values that are off, when plates and slurry are due, how capable the process is.
//!
//! Nothing is printed, and no file is opened but a database, in one place. A record is read like the other files: every error with its
//! place.
//!
//! ```
//! use twinplate_production::filter::Series;
//!
//! // A rate that rises: the filter follows, and does not believe the last value alone.
//! let rates: Vec<Option<f64>> = (0..30).map(|n| Some(1.0 + 0.01 * f64::from(n) + 0.01 * f64::from(n % 2))).collect();
//! let fit = Series::plain(rates).fit().ok_or("too few")?;
//! let [next, variance] = fit.ahead(1.0, false, 0.0);
//! assert!(next > 1.27 && next < 1.31 && variance > 0.0);
//! # Ok::<(), String>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod capability;
pub mod correct;
pub mod database;
pub mod drift;
pub mod filter;
pub mod json;
mod rates;
pub mod record;
pub mod trend;

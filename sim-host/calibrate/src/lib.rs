//! From what a shop measures to keys of its files, with how sure they are.
//!
//! Pure: no file is read, nothing is printed. A sheet is read like the other files: every error with its place.
//!
//! ```
//! use twinplate_calibrate::cell;
//!
//! let sheet = "load [N], reading [mV/V]\n100, 0.2001\n200, 0.4000\n300, 0.6001\n100, 0.2000\n200, 0.4001\n300, 0.6000\n";
//! let report = cell::calibrate("cell.csv", sheet.as_bytes(), None).map_err(|errors| format!("{errors:?}"))?;
//! assert_eq!(report.degree, 1);
//! println!("{} mV/V a newton", report.coefficients[1].value);
//! # Ok::<(), String>(())
//! ```

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod actuator;
pub mod cell;
pub mod drives;
pub mod heat;
pub mod json;
pub mod keys;
pub mod least_squares;
pub mod plates;
pub mod rehearsal;
pub mod removal;
mod serial;
pub mod sheet;
pub mod slurry;
mod trace;

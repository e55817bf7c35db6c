//! `calibrate` as typed.

use super::Format;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// What is calibrated.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate calibrate cell recipes/calibration/dead-weights.csv
  twinplate calibrate removal recipes/calibration/glass-trials.csv
  twinplate calibrate removal trials.csv --recipe recipe.toml --write")]
pub struct Calibrate {
    /// What is calibrated.
    #[command(subcommand)]
    pub what: Calibration,
}

/// Kinds of calibration.
#[derive(Clone, Debug, Subcommand)]
pub enum Calibration {
    /// The load cell, from dead weights: a row for each reading under headings such as load [N], reading [mV/V]
    #[command(after_help = "Example:
  twinplate calibrate cell dead-weights.csv --machine machine.toml --write

Columns: load [N], or a mass; reading; and, where known, run, position (degrees
by which the cell is turned), direction (up, down), note.
Dead weights are lifted: use rated gear, stay out from under, keep to the local
code.")]
    Cell(Cell),
    /// Removal, from trial runs: a row for each under headings such as before [mm], after [mm], pressure [kPa], speed [m/s], time [min]
    #[command(after_help = "Example:
  twinplate calibrate removal trials.csv --recipe recipe.toml --write

Columns: before and after, thicknesses; pressure, or load; speed, the mean
sliding speed, or inner, outer, lower, upper [rpm]; time; and, where known,
abrasive, trial, note. Loads and speeds of drives need --recipe.")]
    Removal(Removal),
}

/// A sheet, and where the answer goes.
#[derive(Clone, Debug, Args)]
pub struct SheetFile {
    /// Sheet with named columns, CSV.
    pub sheet: PathBuf,
    /// Where the report page goes; out/SHEET-cell.html or out/SHEET-removal.html unless given.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Write no report page.
    #[arg(long, conflicts_with = "report")]
    pub no_report: bool,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `calibrate cell` as typed.
#[derive(Clone, Debug, Args)]
pub struct Cell {
    /// The sheet.
    #[command(flatten)]
    pub file: SheetFile,
    /// Machine file for which keys of its cell are worked out.
    #[arg(long, value_name = "FILE")]
    pub machine: Option<PathBuf>,
    /// Put them into the machine file; comments and order stay.
    #[arg(long, requires = "machine")]
    pub write: bool,
}

/// `calibrate removal` as typed.
#[derive(Clone, Debug, Args)]
pub struct Removal {
    /// The sheet.
    #[command(flatten)]
    pub file: SheetFile,
    /// Recipe whose machine and batch turn loads and speeds of drives into pressures and sliding speeds.
    #[arg(long, value_name = "FILE")]
    pub recipe: Option<PathBuf>,
    /// Machine file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE", requires = "recipe")]
    pub machine: Option<PathBuf>,
    /// Batch file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE", requires = "recipe")]
    pub batch: Option<PathBuf>,
    /// Put the coefficient into the recipe file; comments and order stay.
    #[arg(long, requires = "recipe")]
    pub write: bool,
}

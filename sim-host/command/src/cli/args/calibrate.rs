//! `calibrate` as typed.

use super::Format;
use clap::{Args, Subcommand};
use std::path::PathBuf;

/// What is calibrated.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate calibrate cell recipes/calibration/dead-weights.csv
  twinplate calibrate removal recipes/calibration/glass-trials.csv
  twinplate calibrate removal trials.csv --recipe recipe.toml --write
  twinplate calibrate slurry recipes/calibration/stopwatch.csv
  twinplate calibrate heat recipes/calibration/shift.csv")]
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
abrasive, trial, note. Loads and speeds of drives need --recipe. Instead of
pressure, speed and time: trace, the file that run --trace wrote of that run.")]
    Removal(Removal),
    /// The slurry system, from stopwatch and bucket: a row for each reading under headings such as what, pump [%], volume [L], time [s]
    #[command(after_help = "Example:
  twinplate calibrate slurry stopwatch.csv --machine machine.toml --write

Columns: what, which is flow, rinse, keeps, dries, fill, rise, film, wet, settle
or stir; and as that needs them pump, flow, volume, time, share, speed, load;
run, note.
Switch the machine off and hold its plate before you reach in.")]
    Slurry(Keys),
    /// Heat of the plates: temperatures over time, a sheet or a trace of run --trace
    #[command(after_help = "Example:
  twinplate calibrate heat shift.csv --machine machine.toml --write

Columns: time; lower and upper, or plate; and, where known, ambient, power [W],
carried [W], note.")]
    Heat(Keys),
    /// Wear and form of the plates, from a straightedge, a profile or the parts' faces over batches
    #[command(after_help = "Example:
  twinplate calibrate plates forms.csv --recipe recipe.toml --write

Columns: batch or removed [µm]; lower and upper [µm], or face-lower and
face-upper [µm] of parts; radius [mm] for profiles; note. The keys go into the
recipe's machine file. Without a recipe, --machine reads and writes forms alone.")]
    Plates(Plates),
}

/// A sheet, and where the answer goes.
#[derive(Clone, Debug, Args)]
pub struct SheetFile {
    /// Sheet with named columns, CSV.
    pub sheet: PathBuf,
    /// Where the report page goes; out/SHEET-KIND.html unless given.
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

/// `calibrate slurry` and `calibrate heat` as typed.
#[derive(Clone, Debug, Args)]
pub struct Keys {
    /// The sheet.
    #[command(flatten)]
    pub file: SheetFile,
    /// Machine file whose keys are compared with what was found; heat takes its capacity and drags as known.
    #[arg(long, value_name = "FILE")]
    pub machine: Option<PathBuf>,
    /// Put the keys that are told into the machine file; comments and order stay.
    #[arg(long, requires = "machine")]
    pub write: bool,
}

/// `calibrate plates` as typed.
#[derive(Clone, Debug, Args)]
pub struct Plates {
    /// The sheet.
    #[command(flatten)]
    pub file: SheetFile,
    /// Recipe of the batches between the readings; with its machine and batch it says what a batch wears.
    #[arg(long, value_name = "FILE", required_unless_present = "machine")]
    pub recipe: Option<PathBuf>,
    /// Machine file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE")]
    pub machine: Option<PathBuf>,
    /// Batch file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE", requires = "recipe")]
    pub batch: Option<PathBuf>,
    /// Put the keys that are told into the machine file; comments and order stay.
    #[arg(long)]
    pub write: bool,
}

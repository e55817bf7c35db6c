//! `calibrate` as typed.

use super::Format;
use super::values::{seed, whole};
use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// What is calibrated.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate calibrate cell recipes/calibration/dead-weights.csv
  twinplate calibrate drives recipes/calibration/coast-downs.csv
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
    /// The cylinder and its regulator, from a log: a slow sweep, steps, a venting, motions
    #[command(after_help = "Example:
  twinplate calibrate actuator log.csv --machine machine.toml --write

Columns: test, which is rest, sweep, step, dump, lower or lift; and as that needs
them time, command [%], load [N], rod [bar], speed [mm/s]; run, note.
Nobody inside the guard; raise and lower by the machine's own rules.")]
    Actuator(Actuator),
    /// Inertia and drag of drives, from run-ups and coast-downs: a row for each sample under drive, run, time [s], speed [rpm], torque [N·m]
    #[command(after_help = "Example:
  twinplate calibrate drives coast-downs.csv --machine machine.toml --write

Columns: drive (inner, outer, lower, upper); run, where there are several; time;
speed; torque, zero while it coasts; note. Plates coast for long: guard closed,
nobody near.")]
    Drives(Drives),
    /// The log that actuator or drives reads, made on the simulated machine, to stdout
    #[command(after_help = "Examples:
  twinplate calibrate rehearse actuator recipe.toml --draw 7
  twinplate calibrate rehearse drives recipe.toml

Machine and batch are those that the recipe names; a stiff ring lies in the
parts' place.")]
    Rehearse(Rehearse),
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

/// `calibrate actuator` as typed.
#[derive(Clone, Debug, Args)]
pub struct Actuator {
    /// The sheet.
    #[command(flatten)]
    pub file: SheetFile,
    /// Machine file with the cylinder's sizes and the cell.
    #[arg(long, value_name = "FILE")]
    pub machine: PathBuf,
    /// Put the keys that are told into the machine file; comments and order stay.
    #[arg(long)]
    pub write: bool,
}

/// `calibrate drives` as typed.
#[derive(Clone, Debug, Args)]
pub struct Drives {
    /// The sheet.
    #[command(flatten)]
    pub file: SheetFile,
    /// Machine file whose drives these are.
    #[arg(long, value_name = "FILE")]
    pub machine: Option<PathBuf>,
    /// Put inertia and drag into the machine file; comments and order stay.
    #[arg(long, requires = "machine")]
    pub write: bool,
}

/// Which log is rehearsed.
#[derive(Clone, Copy, Debug, ValueEnum)]
pub enum Rehearsed {
    /// Of the actuator.
    Actuator,
    /// Of the drives.
    Drives,
}

/// `calibrate rehearse` as typed.
#[derive(Clone, Debug, Args)]
pub struct Rehearse {
    /// Which log.
    #[arg(value_enum)]
    pub what: Rehearsed,
    /// Recipe whose machine and batch are taken.
    pub recipe: PathBuf,
    /// Machine file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE")]
    pub machine: Option<PathBuf>,
    /// Batch file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE")]
    pub batch: Option<PathBuf>,
    /// Seed of the draw and of all noise, decimal or 0x….
    #[arg(long, allow_negative_numbers = true, value_name = "S", default_value = "1", value_parser = seed)]
    pub seed: u64,
    /// Number of the draw from the envelope; 0 is the machine as its file says.
    #[arg(long, allow_negative_numbers = true, value_name = "INDEX", default_value_t = 0, value_parser = whole(0..=u64::MAX))]
    pub draw: u64,
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

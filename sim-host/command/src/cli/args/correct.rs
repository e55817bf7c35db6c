//! `correct` as typed.

use super::{Files, Format};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// `correct` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate correct recipe.toml --record batches.csv
  twinplate correct recipe.toml --record shop.sqlite --table polishing --write

Columns: before and after, mean thicknesses; time of the step; and, where known,
batch, date, before-sd, after-sd, parts (measured), load, flatness, lower, upper
(form of the plates), event (conditioned, slurry), gauge, note. A line for each
batch, oldest first; a last line without after and time is the next batch.")]
pub struct Correct {
    /// Recipe, machine and batch.
    #[command(flatten)]
    pub files: Files,
    /// Production record: CSV with named columns, or an SQLite file with a table of the same.
    #[arg(long, value_name = "FILE")]
    pub record: PathBuf,
    /// Table of an SQLite file; the only one unless given.
    #[arg(long, value_name = "NAME")]
    pub table: Option<String>,
    /// Step that is corrected; the one that takes off most unless given.
    #[arg(long, value_name = "NAME")]
    pub step: Option<String>,
    /// What is corrected: the step's time, or its load and pressure.
    #[arg(long, value_enum, default_value = "time")]
    pub by: By,
    /// Put the corrected value into the recipe file; comments and order stay.
    #[arg(long)]
    pub write: bool,
    /// Where the report page goes; out/RECIPE-correct.html unless given.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Write no report page.
    #[arg(long, conflicts_with = "report")]
    pub no_report: bool,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// What is corrected.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum By {
    /// The step's time.
    Time,
    /// Its load, by its pressure.
    Load,
}

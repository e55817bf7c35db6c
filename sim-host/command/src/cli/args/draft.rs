//! `draft` as typed.

use super::Format;
use super::values::{time, whole};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

/// What is drafted from, and to what end.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate draft recipes/machines/machine-a.toml \\
      recipes/batches/glass-discs.toml --shelf recipes/shelf/demo-shelf.toml
  twinplate draft MACHINE BATCH --goal fastest --longest \"8 min\" \\
      --write recipes/discs.toml

Exit code 1: no recipe passes; the limit that binds is named, and nothing is
written. A draft is proved on the simulated machine alone: check it with your own
files, begin at the lowest load, keep to the machine's limits and local codes.")]
pub struct Draft {
    /// Machine file.
    pub machine: PathBuf,
    /// Batch file: the parts as they come, and what they are to become.
    pub batch: PathBuf,
    /// Shelf file: abrasives at hand, and prices; without it usual grades of which nothing is measured.
    #[arg(long, value_name = "FILE")]
    pub shelf: Option<PathBuf>,
    /// Recipe file whose abrasive is taken, as it was calibrated, instead of a shelf.
    #[arg(long, value_name = "FILE", conflicts_with = "shelf")]
    pub abrasive_of: Option<PathBuf>,
    /// What the recipe is to be best at.
    #[arg(long, value_enum, default_value = "balanced")]
    pub goal: Aim,
    /// Longest cycle of each recipe, such as "30 min".
    #[arg(long, value_name = "TIME", value_parser = time)]
    pub longest: Option<f64>,
    /// No size gauge is fitted: the last step ends by time.
    #[arg(long)]
    pub no_gauge: bool,
    /// Write the recipe there; of several in a row the route, with FILE-1.toml and so on beside it and the batches in between in `batches`.
    #[arg(short = 'o', long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Draws from the envelope in the last trial, which decides.
    #[arg(long, default_value = "200", value_name = "N", value_parser = whole(1..=100_000_usize))]
    pub runs: usize,
    /// Do not draft for the other goals to compare.
    #[arg(long)]
    pub no_compare: bool,
    /// Where the report page goes; out/BATCH-draft.html unless given.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Write no report page.
    #[arg(long, conflicts_with = "report")]
    pub no_report: bool,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// Goals as typed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Aim {
    /// Middle loads and speeds.
    Balanced,
    /// The shortest cycle.
    Fastest,
    /// The least load on the parts.
    Gentlest,
    /// The flattest parts.
    Flattest,
    /// The least cost by the shelf's prices.
    Cheapest,
}

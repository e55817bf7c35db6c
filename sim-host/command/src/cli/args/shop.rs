//! `lay-in`, `card` and `cost` as typed.

use super::values::{day, duration, seed, whole};
use super::{Files, Format};
use clap::Args;
use std::path::PathBuf;

/// Where the answer goes.
#[derive(Clone, Debug, Args)]
pub struct Told {
    /// Where the page goes; out/RECIPE-lay-in.html, out/RECIPE-card.html or out/RECIPE-cost.html unless given.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Write no page.
    #[arg(long, conflicts_with = "report")]
    pub no_report: bool,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `lay-in` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Example:
  twinplate lay-in recipes/recipes/glass-f800.toml recipes/shop/glass-parts.csv

Columns: part, its number or name; thickness [mm]; and, where known, second, the
reading at the opposite edge, and note. Each load is run on the simulated machine
with those very thicknesses.")]
pub struct LayIn {
    /// Recipe, machine and batch.
    #[command(flatten)]
    pub files: Files,
    /// List of measured parts, CSV.
    pub parts: PathBuf,
    /// Seed of everything but the thicknesses.
    #[arg(long, allow_negative_numbers = true, value_name = "S", default_value = "1", value_parser = seed)]
    pub seed: u64,
    /// Write the list of pockets, CSV: which part goes where.
    #[arg(long, value_name = "FILE")]
    pub write: Option<PathBuf>,
    /// Where the answer goes.
    #[command(flatten)]
    pub told: Told,
}

/// `card` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Example:
  twinplate card recipes/recipes/glass-f800.toml --date 2026-03-02

The page prints on one sheet, A4 or letter. The recipe is checked first, unless
told otherwise; a card of a recipe that fails says so, and the exit code is 1.")]
pub struct Card {
    /// Recipe, machine and batch.
    #[command(flatten)]
    pub files: Files,
    /// Day on the card, as 2026-03-02; today unless given.
    #[arg(long, value_name = "DAY", value_parser = day)]
    pub date: Option<String>,
    /// Do not check: the card says so in large.
    #[arg(long)]
    pub unchecked: bool,
    /// Machines drawn from the envelope for the check.
    #[arg(long, allow_negative_numbers = true, value_name = "N", default_value_t = 200, conflicts_with = "unchecked", value_parser = whole(0..=1_000_000_u32))]
    pub runs: u32,
    /// Where the answer goes.
    #[command(flatten)]
    pub told: Told,
}

/// `cost` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate cost recipes/recipes/glass-f800.toml --loading \"9 min\"
  twinplate cost recipes/recipes/glass-f800.toml \\
      --prices recipes/shop/prices.csv --record recipes/shop/record.csv \\
      --order 900 --by \"24 h\" --machines 2

Prices: what, price [EUR] with your currency, per. Record: start, time [min] from
one loading to the next, good.")]
pub struct Cost {
    /// Recipe, machine and batch.
    #[command(flatten)]
    pub files: Files,
    /// Time to load the machine.
    #[arg(long, value_name = "TIME", default_value = "0 min", value_parser = duration)]
    pub loading: f64,
    /// Time to unload and clean it.
    #[arg(long, value_name = "TIME", default_value = "0 min", value_parser = duration)]
    pub cleaning: f64,
    /// List of prices, CSV.
    #[arg(long, value_name = "FILE")]
    pub prices: Option<PathBuf>,
    /// Record of batches, CSV.
    #[arg(long, value_name = "FILE")]
    pub record: Option<PathBuf>,
    /// An order of so many good parts.
    #[arg(long, allow_negative_numbers = true, value_name = "N", requires = "by", value_parser = whole(1..=1_000_000_u32))]
    pub order: Option<u32>,
    /// When it is due: in so much working time, as "24 h", or at the end of a day, as 2026-03-06.
    #[arg(long, value_name = "WHEN", requires = "order")]
    pub by: Option<String>,
    /// First day of work on it; today unless given.
    #[arg(long, value_name = "DAY", requires = "by", value_parser = day)]
    pub from: Option<String>,
    /// Working time in a day.
    #[arg(long, value_name = "TIME", requires = "by", default_value = "24 h", value_parser = duration)]
    pub shift: f64,
    /// Machines at hand.
    #[arg(long, allow_negative_numbers = true, value_name = "N", default_value_t = 1, requires = "by", value_parser = whole(1..=1000_u32))]
    pub machines: u32,
    /// Seed of the run and of the draws.
    #[arg(long, allow_negative_numbers = true, value_name = "S", default_value = "1", value_parser = seed)]
    pub seed: u64,
    /// Where the answer goes.
    #[command(flatten)]
    pub told: Told,
}

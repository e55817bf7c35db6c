//! `pack` and `unpack` as typed.

use super::Format;
use super::values::whole;
use clap::Args;
use firmware_core::store::SLOTS;
use std::path::PathBuf;

/// `pack` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate pack recipes/recipes/steel-f400.toml --output steel.store
  twinplate pack a.toml b.toml c.toml --output shop.store --runs 50

Each recipe is checked first, as `check` does it, and its verdict goes into the
image with it. One that fails is not packed, and the exit code is 1.")]
pub struct Pack {
    /// Recipes for one machine, for slot 1 and those after it.
    #[arg(required = true, value_name = "RECIPE")]
    pub recipes: Vec<PathBuf>,
    /// The image to write.
    #[arg(short, long, value_name = "IMAGE")]
    pub output: PathBuf,
    /// Pack recipes that fail their check too: the image says of each that it was stored on purpose.
    #[arg(long)]
    pub force: bool,
    /// Machines drawn from the envelope for each check.
    #[arg(long, allow_negative_numbers = true, value_name = "N", default_value_t = 200, value_parser = whole(0..=1_000_000_u32))]
    pub runs: u32,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `unpack` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate unpack shop.store
  twinplate unpack shop.store --slot 2
  twinplate unpack shop.store --slot 2 --beside recipes/recipes/steel-f400.toml

Exit code 1 where something in the image is damaged, or the file would be stored
otherwise.")]
pub struct Unpack {
    /// The image: what `pack` wrote, or the bytes of a controller's flash.
    pub image: PathBuf,
    /// One slot of it, from 1.
    #[arg(long, value_name = "SLOT", value_parser = whole(1..=SLOTS))]
    pub slot: Option<u8>,
    /// A recipe file: what would be stored otherwise.
    #[arg(long, value_name = "RECIPE", requires = "slot")]
    pub beside: Option<PathBuf>,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

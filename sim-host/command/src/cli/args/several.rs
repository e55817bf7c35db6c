//! What `check` takes for more than one recipe: a sweep, or another recipe beside the first.

use super::values::whole;
use clap::Args;
use std::path::PathBuf;
use twinplate_sweep::points::DRAWS;

/// Values to sweep, or a recipe to set beside.
#[derive(Clone, Debug, Args)]
pub struct Several {
    /// Check the recipe at every point of a range, such as pressure=1..4psi, lap.time=2..6min:9 or speed=0.5..1.5; a second one makes a
    /// map. Keys: pressure, limit, ramp, flow, longest, time, stock, size, speed (a factor on all drives), inner, outer, lower, upper,
    /// prestart, prestart-flow, rinse, concentration, grain. Those of a step take its name or number, or all; without, the step that
    /// takes off most.
    #[arg(long, value_name = "KEY=LOW..HIGH[:POINTS]", conflicts_with_all = ["faults", "seek", "beside", "runs", "units"])]
    pub sweep: Vec<String>,
    /// Draws behind each point of a sweep, besides the nominal ones.
    #[arg(long, allow_negative_numbers = true, value_name = "N", default_value_t = u32::try_from(DRAWS).unwrap_or(0), requires = "sweep",
          value_parser = whole(0..=1_000_000_u32))]
    pub runs_each: u32,
    /// So many draws where the feasible region of a sweep ends, such as the 200 of a check.
    #[arg(long, allow_negative_numbers = true, value_name = "N", requires = "sweep", value_parser = whole(1..=1_000_000_u32))]
    pub runs_edge: Option<u32>,
    /// Check this recipe as well, and set both side by side: targets, margins, keys that differ.
    #[arg(long, value_name = "RECIPE", conflicts_with_all = ["faults", "seek", "machine", "batch", "waive", "units"])]
    pub beside: Option<PathBuf>,
}

//! `serve` and `link` as typed.

use super::values::{seconds, seed, whole};
use super::{Files, Format};
use clap::{Args, Subcommand, ValueEnum};
use firmware_core::link::message::LEAST_PERIOD;
use std::net::SocketAddr;
use std::path::PathBuf;

/// Port of the controller's link unless given.
pub const LINK_PORT: u16 = 7412;

/// How fast the machine of `serve` runs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ServePace {
    /// As the clock.
    #[value(name = "1x")]
    Real,
    /// Five times as fast.
    #[value(name = "5x")]
    Five,
    /// Twenty times as fast.
    #[value(name = "20x")]
    Twenty,
    /// As fast as the computer can.
    Fastest,
}

/// `serve` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Example:
  twinplate serve recipes/recipes/steel-f400.toml --pace 20x
  then, from another terminal:
  twinplate link list 127.0.0.1:7412

The terminal is the machine's panel; type help there. Remote start is armed with
arm while a host is connected, and is lost when it goes. What happens is printed,
and first the address. The link has no password: it listens on this computer's
own loopback alone.")]
pub struct Serve {
    /// Recipe, machine and batch: what stands there. The recipe is in slot 1, unless the store is an image.
    #[command(flatten)]
    pub files: Files,
    /// More recipes for the same machine, for the slots after it.
    #[arg(long, value_name = "RECIPE", num_args = 1..)]
    pub store: Vec<PathBuf>,
    /// Image of the recipe store, instead of one that is gone with the process: what `pack` wrote, or a new one. Whatever changes in
    /// the store is kept there, how far a cycle has got too.
    #[arg(long, value_name = "IMAGE", conflicts_with = "store")]
    pub image: Option<PathBuf>,
    /// The controller runs on an emulated board with this image of its program, and hosts reach it by its UART: one host at a time.
    #[arg(long, value_name = "IMAGE")]
    pub on_board: Option<PathBuf>,
    /// Port to listen on; 0 takes a free one.
    #[arg(long, value_name = "PORT", default_value_t = LINK_PORT, value_parser = whole(0..=u16::MAX))]
    pub port: u16,
    /// How fast the machine runs.
    #[arg(long, value_enum, default_value = "1x")]
    pub pace: ServePace,
    /// Silence after which a host's session is over, in seconds of the clock.
    #[arg(long, value_name = "SECONDS", default_value_t = 2, value_parser = whole(1..=600_u32))]
    pub silence: u32,
    /// Seed of all noise.
    #[arg(long, allow_negative_numbers = true, value_name = "S", default_value = "1", value_parser = seed)]
    pub seed: u64,
    /// Form of what is printed: a line, or a JSON object a line.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `link` as typed.
#[derive(Clone, Debug, Args)]
#[command(after_help = "Examples:
  twinplate link list 127.0.0.1:7412
  twinplate link put 127.0.0.1:7412 3 recipes/recipes/steel-f400.toml
  twinplate link recall 127.0.0.1:7412 3
  twinplate link start 127.0.0.1:7412 --wait 60 --watch")]
pub struct Link {
    /// What to ask.
    #[command(subcommand)]
    pub ask: LinkAsk,
}

/// What a host asks.
#[derive(Clone, Debug, Subcommand)]
pub enum LinkAsk {
    /// The stored recipes
    List(At),
    /// Store a recipe, compiled for the machine that it names
    Put(Put),
    /// A stored recipe; with a file, what is different in it
    Get(Get),
    /// Empty a slot
    Erase(Slot),
    /// Load a stored recipe, tried against the machine's limits anew
    Recall(Slot),
    /// The controller's state
    State(At),
    /// Follow states and events
    Watch(Watch),
    /// Start, where remote start is armed at the panel
    Start(Start),
    /// Go on after a hold, where remote start is armed
    Restart(At),
    /// Release latches, or back to Idle, where remote start is armed
    Reset(At),
    /// Hold
    Hold(At),
    /// Stop (category 1). No emergency stop
    Stop(At),
    /// Abort (category 0). No emergency stop
    Abort(At),
    /// Acknowledge all alarms
    Acknowledge(At),
}

/// Where the controller listens.
#[derive(Clone, Debug, Args)]
pub struct At {
    /// Address and port of the controller.
    #[arg(value_name = "IP:PORT", value_parser = at)]
    pub address: SocketAddr,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// A slot.
#[derive(Clone, Debug, Args)]
pub struct Slot {
    /// Where.
    #[command(flatten)]
    pub at: At,
    /// Number of the slot, from 1.
    #[arg(value_parser = whole(1..=u8::MAX))]
    pub slot: u8,
}

/// `link put` as typed.
#[derive(Clone, Debug, Args)]
pub struct Put {
    /// Slot.
    #[command(flatten)]
    pub slot: Slot,
    /// Recipe, machine and batch.
    #[command(flatten)]
    pub files: Files,
}

/// `link get` as typed.
#[derive(Clone, Debug, Args)]
pub struct Get {
    /// Slot.
    #[command(flatten)]
    pub slot: Slot,
    /// Recipe file to compare with; exit code 1 where it would be stored otherwise.
    #[arg(long, value_name = "RECIPE")]
    pub beside: Option<PathBuf>,
}

/// `link watch` as typed.
#[derive(Clone, Debug, Args)]
pub struct Watch {
    /// Where.
    #[command(flatten)]
    pub at: At,
    /// Ticks of 1 ms between two looks.
    #[arg(long, value_name = "TICKS", default_value = "100", value_parser = whole(LEAST_PERIOD..=u16::MAX))]
    pub every: u16,
    /// Longest time to follow, s, by this computer's clock; until the cycle ends unless given.
    #[arg(long = "for", value_name = "SECONDS", value_parser = seconds)]
    pub longest: Option<f64>,
}

/// `link start` as typed.
#[derive(Clone, Debug, Args)]
pub struct Start {
    /// Where.
    #[command(flatten)]
    pub at: At,
    /// Longest time to wait for the arming at the panel, s.
    #[arg(long, value_name = "SECONDS", default_value = "0", value_parser = seconds)]
    pub wait: f64,
    /// Follow the cycle to its end.
    #[arg(long)]
    pub watch: bool,
}

fn at(text: &str) -> Result<SocketAddr, String> {
    text.parse()
        .map_err(|_| format!("expected an IP address and a port, such as 127.0.0.1:{LINK_PORT}"))
}

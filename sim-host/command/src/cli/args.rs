//! What was typed. What it means is `resolved`'s business.

pub mod calibrate;
pub mod correct;
pub mod draft;
pub mod link;
pub mod several;
pub mod shop;
pub mod store;
mod values;

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::{Path, PathBuf};
use twinplate_sim::plant::Substeps;
use values::{address, any_number, corner, seconds, seed, whole};

/// Checks recipes for two-sided planetary lapping machines on a simulated machine, with the real controller.
///
/// A simulator is no safety function: what it shows, it shows of the model. Machine safety belongs to rated hardware.
#[derive(Clone, Debug, Parser)]
#[command(
    name = "twinplate",
    version,
    max_term_width = 80,
    propagate_version = true
)]
#[command(
    after_help = "Exit codes: 0 passed; 1 the work ran and did not pass; 2 bad input or usage;
130 and 143 ended by Ctrl-C or by a request to terminate.
NO_COLOR in the environment turns colour off.

Example:
  twinplate check recipes/recipes/glass-f800.toml"
)]
pub struct Typed {
    /// What to do.
    #[command(subcommand)]
    pub verb: Verb,
    /// How much the program logs on stderr.
    #[arg(
        long,
        global = true,
        value_enum,
        default_value = "warn",
        value_name = "LEVEL"
    )]
    pub log: Level,
}

/// The verbs.
#[derive(Clone, Debug, Subcommand)]
pub enum Verb {
    /// Is this recipe safe, and will it do the job on this machine with this batch?
    #[command(after_help = "Example:
  twinplate check recipes/recipes/steel-f400.toml --runs 500 --report steel.html
  twinplate check recipes/recipes/steel-f400.toml --faults
  twinplate check recipes/recipes/glass-f800.toml --sweep pressure=1..2psi
  twinplate check recipes/routes/glass-lap-polish.toml")]
    Check(Check),
    /// One simulated cycle, nominal or with a scenario
    #[command(after_help = "Examples:
  twinplate run recipes/recipes/glass-f800.toml --trace cycle.csv
  twinplate run recipes/recipes/glass-f800.toml \\
      --scenario recipes/scenarios/emergency-stop.toml

With a scenario the verdict judges harm and load alone: a cycle that is stopped
on purpose need not complete.")]
    Run(Run),
    /// Gains for the load loop: from the machine file, a log, or an experiment on the simulated machine
    #[command(
        group(clap::ArgGroup::new("what").required(true).multiple(true).args(["machine", "from", "compare"])),
        after_help = "Examples:
  twinplate tune recipes/machines/machine-a.toml
  twinplate tune recipes/machines/machine-a.toml --experiment relay
  twinplate tune --from bump-test.csv --column output=T1 --unit command=%
  twinplate tune recipes/machines/machine-a.toml --write
  twinplate tune --compare old.toml new.toml

Gains that fail on any machine tried from the envelope are not recommended."
    )]
    Tune(Tune),
    /// Keys of machine and recipe files from what a shop measures: load cell, removal
    Calibrate(calibrate::Calibrate),
    /// The next batch's time or load from a production record, and when plates and slurry are due
    Correct(correct::Correct),
    /// A recipe, or several in a row, from a machine, a batch and a shelf; or what binds
    Draft(draft::Draft),
    /// Measured parts into loads and pockets, and what that does: first contact, spread, time
    LayIn(shop::LayIn),
    /// One printable page for the operator: loads, gauge, speeds, slurry, pockets, what to check
    Card(shop::Card),
    /// Time and money: parts an hour, what a batch takes and costs, when an order is done
    Cost(shop::Cost),
    /// Training at the simulated machine with the real controller, for an operator in a browser or a script
    #[command(after_help = "Examples:
  twinplate train
  twinplate train --port 0 --records /srv/training.sqlite
  twinplate train --address 192.0.2.7 --token A-LONG-SECRET-WORD
  twinplate train --headless recipes/exercises/scripts/first-cycle.txt
  twinplate train --headless right.txt --attempt attempt.json
  twinplate train --rescore attempt.json

Serves the training pages and prints one line, the address to open. Ctrl-C ends
it; attempts under way are saved. With a script or a recorded attempt the exit
code is 0 for passed and 1 for not passed.
It is a training simulator and no safety function.")]
    Train(Train),
    /// Recipes, checked, into the image of a controller's recipe store
    Pack(store::Pack),
    /// What is in the image of a recipe store: recipes, verdicts, how far the last cycle got
    Unpack(store::Unpack),
    /// The controller on a TCP line with the simulated machine behind it, and its panel in this terminal
    Serve(link::Serve),
    /// Asks a controller on a line: stored recipes, commands, state
    Link(link::Link),
    /// What a code means, why it matters, and what to do
    #[command(after_help = "Examples:
  twinplate explain creep-too-fast      a finding of check
  twinplate explain cell-line           an interlock row (or its number, 9)
  twinplate explain missing-unit        an error in a file
  twinplate explain                     the list of all codes")]
    Explain(Explain),
    /// Write the demonstration set: machines, batches, recipes, scenarios, exercises, logs
    #[command(after_help = "Example:
  twinplate demo
  twinplate check recipes/recipes/glass-f800.toml

All of it is invented: run it on nothing.")]
    Demo(Demo),
}

/// A recipe and the files that go with it.
#[derive(Clone, Debug, Args)]
pub struct Files {
    /// Recipe file; it names its machine and batch. Or a route: recipes one after another on the same parts.
    pub recipe: PathBuf,
    /// Machine file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE")]
    pub machine: Option<PathBuf>,
    /// Batch file to use instead of the one the recipe names.
    #[arg(long, value_name = "FILE")]
    pub batch: Option<PathBuf>,
}

impl Files {
    /// A recipe with the machine and the batch that it names.
    pub(super) fn named(recipe: &Path) -> Self {
        Self {
            recipe: recipe.to_owned(),
            machine: None,
            batch: None,
        }
    }
}

/// `check` as typed.
#[derive(Clone, Debug, Args)]
pub struct Check {
    /// Recipe, machine and batch.
    #[command(flatten)]
    pub files: Files,
    /// Machines and batches drawn from the envelope, besides the nominal one.
    #[arg(long, allow_negative_numbers = true, value_name = "N", default_value_t = 200, value_parser = whole(0..=1_000_000_u32))]
    pub runs: u32,
    /// Number of threads; one for each processor unless given. Changes nothing but the time.
    #[arg(long, allow_negative_numbers = true, value_name = "N", value_parser = whole(1..=1024_u16))]
    pub threads: Option<u16>,
    /// Seed of all draws and all noise, decimal or 0x….
    #[arg(long, allow_negative_numbers = true, value_name = "S", default_value = "1", value_parser = seed)]
    pub seed: u64,
    /// Instead of the closed-loop trials: every fault of every component in every phase. The check fails if a fault does harm that
    /// is not declared, or is answered otherwise than declared; journals of those cases go to out/faults.
    #[arg(long, conflicts_with_all = ["report", "no_report", "waive", "reason", "fail_on", "runs", "seek"])]
    pub faults: bool,
    /// Where the report goes; out/RECIPE-check.html unless given.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Write no report.
    #[arg(long, conflicts_with = "report")]
    pub no_report: bool,
    /// After the trials: the nominal run and the worst ones again with the controller on the emulated board, whose image this is
    /// (`firmware-core/board/build` makes it). Exit code 1 if one differs.
    #[arg(long, value_name = "IMAGE", conflicts_with_all = ["faults", "seek"])]
    pub on_board: Option<PathBuf>,
    /// Instead of the closed-loop trials: search for this long, s, for the machine, parts and moment that break a requirement, then
    /// make random draws to compare. Journals of the worst cases go to out/RECIPE-seek-REQUIREMENT.jsonl.
    #[arg(long, allow_negative_numbers = true, value_name = "SECONDS", value_parser = whole(1..=86_400_u32),
          conflicts_with_all = ["runs", "report", "no_report", "waive", "reason", "fail_on", "units"])]
    pub seek: Option<u32>,
    /// A sweep, or another recipe.
    #[command(flatten)]
    pub several: several::Several,
    /// Random draws besides the search, for each requirement; they come on top of its time.
    #[arg(long, allow_negative_numbers = true, value_name = "N", default_value_t = 1000, requires = "seek",
          value_parser = whole(0..=1_000_000_u32))]
    pub draws: u32,
    /// Mildest finding that fails the check.
    #[arg(long, value_enum, default_value = "error", value_name = "SEVERITY")]
    pub fail_on: FailOn,
    /// Do not count findings of this code; each needs its --reason, and both stay in the report.
    #[arg(long, value_name = "CODE")]
    pub waive: Vec<String>,
    /// Why the waived code is acceptable here; one for each --waive, in their order.
    #[arg(long, value_name = "TEXT")]
    pub reason: Vec<String>,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: CheckFormat,
    /// `trade` shows psi, pounds, inches and micro-inches beside SI in text; so does a file that uses them.
    #[arg(long, value_enum, default_value = "si")]
    pub units: Units,
}

/// `run` as typed.
#[derive(Clone, Debug, Args)]
pub struct Run {
    /// Recipe, machine and batch.
    #[command(flatten)]
    pub files: Files,
    /// Faults and operator actions.
    #[arg(long, value_name = "FILE")]
    pub scenario: Option<PathBuf>,
    /// Seed of the draw and of all noise, decimal or 0x….
    #[arg(long, allow_negative_numbers = true, value_name = "S", default_value = "1", value_parser = seed)]
    pub seed: u64,
    /// Number of the draw from the envelope, as `check` names its worst runs; 0 is the machine as its file says.
    #[arg(long, allow_negative_numbers = true, value_name = "INDEX", default_value_t = 0, value_parser = whole(0..=u64::MAX))]
    pub draw: u64,
    /// Steps of the simulated machine's fast physics in each tick of the controller. More take longer and change nothing that
    /// matters: compare, if you doubt it.
    #[arg(long, allow_negative_numbers = true, value_name = "N", default_value_t = Substeps::ONE.count(), value_parser = whole(Substeps::RANGE))]
    pub step: u8,
    /// Begin with plates as warm as such batches without a pause leave them, and not as cold as the room.
    #[arg(long)]
    pub warm: bool,
    /// Run what a journal records again; exit code 1 if it comes out differently.
    #[arg(long, value_name = "JOURNAL", conflicts_with_all = ["scenario", "seed", "draw", "step", "warm"])]
    pub replay: Option<PathBuf>,
    /// Run with the controller on the emulated board, whose image this is (`firmware-core/board/build` makes it), and compare. Exit
    /// code 1 if anything differs.
    #[arg(long, value_name = "IMAGE", conflicts_with_all = ["replay", "batches", "shrink"])]
    pub on_board: Option<PathBuf>,
    /// So many batches one after another on the same machine: what each leaves of plates and parts. Exit code 1 if one fails.
    #[arg(long, allow_negative_numbers = true, value_name = "N", value_parser = whole(1..=1000_u32), conflicts_with_all = ["scenario", "warm", "replay", "shrink", "trace", "journal", "units"])]
    pub batches: Option<u32>,
    /// Shorten a journal whose run fails, to what the failure needs. Exit code 1 if it does not fail.
    #[arg(long, value_name = "JOURNAL", requires = "output", conflicts_with_all = ["scenario", "seed", "draw", "step", "warm", "replay", "trace", "report", "journal"])]
    pub shrink: Option<PathBuf>,
    /// Where the shortened journal goes.
    #[arg(short, long, value_name = "FILE", requires = "shrink")]
    pub output: Option<PathBuf>,
    /// Write the trace as CSV.
    #[arg(long, value_name = "FILE")]
    pub trace: Option<PathBuf>,
    /// Write a report page.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Write the journal: with the same files it gives the same run.
    #[arg(long, value_name = "FILE")]
    pub journal: Option<PathBuf>,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// `trade` shows psi, pounds, inches and micro-inches beside SI in text; so does a file that uses them.
    #[arg(long, value_enum, default_value = "si", conflicts_with = "shrink")]
    pub units: Units,
}

/// `tune` as typed.
#[derive(Clone, Debug, Args)]
pub struct Tune {
    /// Machine file; with it, gains are tried on the real controller and the simulated machine.
    pub machine: Option<PathBuf>,
    /// Batch that the trials press on; without it, stand-in test blocks computed from the machine.
    #[arg(long, value_name = "FILE")]
    pub batch: Option<PathBuf>,
    /// Log of a bump or step test, CSV: time, command, load.
    #[arg(long, value_name = "LOG")]
    pub from: Option<PathBuf>,
    /// Column of the log: time=NAME, command=NAME or output=NAME, or a column number from 1. Detected unless given.
    #[arg(long, value_name = "WHAT=NAME", requires = "from")]
    pub column: Vec<String>,
    /// Unit of a column of the log, such as time=ms or command=%. Taken from the header unless given.
    #[arg(long, value_name = "WHAT=UNIT", requires = "from")]
    pub unit: Vec<String>,
    /// Command before the first row of the log, in the unit of its column.
    #[arg(long, allow_negative_numbers = true, value_name = "VALUE", requires = "from", value_parser = any_number)]
    pub before: Option<f64>,
    /// Dead time of the logged line, s, if it is known: held at this value and not fitted.
    #[arg(long, allow_negative_numbers = true, value_name = "SECONDS", requires = "from", value_parser = seconds)]
    pub dead_time: Option<f64>,
    /// Corner of the controller's load filter, Hz, for a log without a machine; no filter unless given.
    #[arg(long, allow_negative_numbers = true, value_name = "HZ", requires = "from", conflicts_with = "machine", value_parser = corner)]
    pub filter: Option<f64>,
    /// Tune for what an experiment on the simulated machine shows, not for the line that the machine file declares.
    #[arg(
        long,
        value_enum,
        value_name = "KIND",
        requires = "machine",
        conflicts_with = "from"
    )]
    pub experiment: Option<Experiment>,
    /// Try the gains of two machine files alike; exit code 1 if the new ones are worse or fail.
    #[arg(long, num_args = 2, value_names = ["OLD", "NEW"], conflicts_with_all = ["machine", "from", "write", "report", "no_report"])]
    pub compare: Option<Vec<PathBuf>>,
    /// Put the recommended gains into the machine file; comments and order stay.
    #[arg(long, requires = "machine")]
    pub write: bool,
    /// Where the report page goes; out/MACHINE-tune.html unless given, out/LOG-tune.html for a log alone.
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Write no report page.
    #[arg(long, conflicts_with = "report")]
    pub no_report: bool,
    /// Machines drawn from the envelope for the chosen gains, besides the nominal one; 500 unless given. Needs a machine.
    #[arg(long, allow_negative_numbers = true, value_name = "N", value_parser = whole(0..=1_000_000_u32))]
    pub runs: Option<u32>,
    /// Number of threads; one for each processor unless given. Changes nothing but the time.
    #[arg(long, allow_negative_numbers = true, value_name = "N", value_parser = whole(1..=1024_u16))]
    pub threads: Option<u16>,
    /// Seed of all draws and all noise, decimal or 0x….
    #[arg(long, allow_negative_numbers = true, value_name = "S", default_value = "1", value_parser = seed)]
    pub seed: u64,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `train` as typed.
#[derive(Clone, Debug, Args)]
pub struct Train {
    /// Without a page.
    #[command(flatten)]
    pub script: TrainScript,
    /// Port to listen on; 0 takes a free one.
    #[arg(long, value_name = "PORT", default_value_t = TRAIN_PORT, value_parser = whole(0..=u16::MAX), conflicts_with_all = ["headless", "rescore"])]
    pub port: u16,
    /// Address to listen on. Another than this computer's own loopback lets others in, and needs a --token.
    #[arg(long, value_name = "IP", default_value = "127.0.0.1", value_parser = address, conflicts_with_all = ["headless", "rescore"])]
    pub address: std::net::IpAddr,
    /// What a browser must present; made for each start unless given. On another address than loopback: at least 16 letters, digits
    /// or any of - _ . ~
    #[arg(long, value_name = "TOKEN", conflicts_with_all = ["headless", "rescore"])]
    pub token: Option<String>,
    /// What an instructor's browser must present; made for each start unless given, and printed where others are let in. As --token,
    /// and another than it.
    #[arg(long, value_name = "TOKEN", conflicts_with_all = ["headless", "rescore"])]
    pub instructor_token: Option<String>,
    /// Folder of the exercise files; recipes/exercises unless given or, where there is none, the demonstration set's.
    #[arg(long, value_name = "DIR")]
    pub exercises: Option<PathBuf>,
    /// File of the records.
    #[arg(long, value_name = "FILE", default_value = "out/training.sqlite", conflicts_with_all = ["headless", "rescore"])]
    pub records: PathBuf,
    /// Every station's controller on an emulated board of its own, whose image this is (`firmware-core/board/build` makes it). Nobody
    /// goes back in time there.
    #[arg(long, value_name = "IMAGE", conflicts_with = "rescore")]
    pub on_board: Option<PathBuf>,
}

/// Port of the training server unless given.
pub const TRAIN_PORT: u16 = 7411;

/// Experiments of `tune`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Experiment {
    /// One step up.
    Step,
    /// A step up, down past the start, and back.
    DoubleStep,
    /// A relay with hysteresis in place of the loop.
    Relay,
}

/// `train` without a page, as typed.
#[derive(Clone, Debug, Args)]
pub struct TrainScript {
    /// Run a script at a station without a page, and score it.
    #[arg(long, value_name = "SCRIPT")]
    pub headless: Option<PathBuf>,
    /// Run a recorded attempt again: the same hashes and the same score must come out.
    #[arg(long, value_name = "ATTEMPT", conflicts_with = "headless")]
    pub rescore: Option<PathBuf>,
    /// Write the attempt of the script: with the same files it gives the same session.
    #[arg(long, value_name = "FILE", requires = "headless")]
    pub attempt: Option<PathBuf>,
    /// Form of the result of a script or a rescored attempt on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `explain` as typed.
#[derive(Clone, Debug, Args)]
pub struct Explain {
    /// Name of a finding, an interlock row or a file error, or number of a row. Without it: the list of all.
    pub code: Option<String>,
    /// Form of the result on stdout.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
}

/// `demo` as typed.
#[derive(Clone, Debug, Args)]
pub struct Demo {
    /// Folder to write; it must be new or empty.
    #[arg(value_name = "FOLDER", default_value = "recipes")]
    pub folder: PathBuf,
}

/// Text or JSON.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people.
    Text,
    /// For programs.
    Json,
}

/// Formats of `check`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CheckFormat {
    /// For people.
    Text,
    /// For programs.
    Json,
    /// For pipelines.
    Junit,
}

/// Units of the text.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// SI alone.
    Si,
    /// Trade units beside SI.
    Trade,
}

/// From which severity on a finding makes the answer no.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FailOn {
    /// Errors.
    Error,
    /// Errors and warnings.
    Warning,
}

/// Levels of the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Level {
    /// Nothing.
    Off,
    /// Internal errors.
    Error,
    /// What may be wrong as well.
    Warn,
    /// Findings as they are made, files as they are read and written.
    Info,
    /// Every run.
    Debug,
    /// Everything.
    Trace,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn the_command_line_is_consistent() {
        Typed::command().debug_assert();
    }

    #[test]
    fn every_help_has_an_example_and_eighty_columns() {
        let mut command = Typed::command().term_width(80);
        command.build();
        for verb in command.get_subcommands_mut() {
            if verb.get_name() == "help" {
                continue;
            }
            let help = verb.render_long_help().to_string();
            assert!(help.contains("Example"), "{help}");
            for line in help.lines() {
                assert!(line.chars().count() <= 80, "{line}");
            }
        }
    }
}

//! The command line: parses, dispatches, maps the answer to an exit code.
//!
//! [`args`] is what was typed, `resolved` what is meant. A verb reads its files, opens its outputs, works, writes, and gives
//! an [`Answer`]; what keeps it from working is a [`Failure`]. Nothing but results goes to stdout.

pub mod args;
mod batches;
mod board;
mod calibrate;
mod card;
mod check;
mod correct;
mod cost;
mod demo_set;
mod difference;
mod draft;
mod explain;
mod failure;
mod faults;
mod files;
mod interrupt;
mod lay_in;
mod link;
mod nearest;
mod output;
mod pack;
mod replay_command;
mod resolved;
mod route;
mod run;
mod run_report;
mod seek;
mod serve;
mod several;
mod shrink;
mod stored;
mod terminal;
mod told;
mod trade;
mod train;
mod train_headless;
mod tune;
mod unpack;

pub use failure::{Failure, Form};

use crate::report::fit;
use args::{Level, Typed, Verb};
use clap::Parser;
use std::process::ExitCode;
use terminal::Terminal;
use tracing_subscriber::filter::LevelFilter;
use twinplate_sim::files::is_route;

/// The answer of a verb that did its work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Good.
    Yes,
    /// The work ran, and the answer is no.
    No,
}

/// Exit code of [`Answer::No`].
const NO: u8 = 1;
/// Exit code of bad input or usage.
const BAD: u8 = 2;

/// Runs the program with the process's arguments.
#[must_use]
pub fn main() -> ExitCode {
    call(std::env::args_os())
}

/// Runs the program with arguments, of which the first is its name.
#[must_use]
pub fn call(arguments: impl IntoIterator<Item = std::ffi::OsString>) -> ExitCode {
    let arguments: Vec<std::ffi::OsString> = arguments.into_iter().collect();
    let form = Form::asked(&arguments);
    let terminal = Terminal::find();
    let typed = match Typed::try_parse_from(arguments) {
        Ok(typed) => typed,
        Err(message) if message.use_stderr() => {
            usage(&message, form, terminal);
            return ExitCode::from(BAD);
        }
        Err(help) => {
            // A pipe that closed early is no concern of ours.
            let _ = help.print();
            return ExitCode::SUCCESS;
        }
    };
    log(typed.log, terminal.err_color);
    match dispatch(typed.verb, terminal) {
        Ok(Answer::Yes) => ExitCode::SUCCESS,
        Ok(Answer::No) => ExitCode::from(NO),
        Err(failure) => {
            output::complain(&failure.text_within(terminal.err_color, terminal.err_width));
            failure.say(form);
            ExitCode::from(BAD)
        }
    }
}

/// Tells what is wrong with the words that were typed.
fn usage(message: &clap::Error, form: Form, terminal: Terminal) {
    let drawn = message.render();
    let plain = drawn.to_string();
    let text = if terminal.err_color {
        drawn.ansi().to_string()
    } else {
        plain.clone()
    };
    output::complain(&fit(&text, terminal.err_width));
    let what = plain.split("\n\n").next().unwrap_or(&plain);
    let what = what.strip_prefix("error: ").unwrap_or(what);
    Failure::new(what, "`--help` of each verb has its options and an example").say(form);
}

fn dispatch(verb: Verb, terminal: Terminal) -> Result<Answer, Failure> {
    match verb {
        Verb::Check(typed) => {
            let processors = std::thread::available_parallelism().map_or(1, usize::from);
            let several = typed.several.clone();
            let meant = resolved::Check::new(typed, processors)?;
            if let Some(second) = &several.beside {
                several::beside(&meant, second, &program(), terminal)
            } else if !several.sweep.is_empty() {
                several::sweep(&meant, &several, terminal)
            } else if is_route(&meant.files.recipe) {
                route::check(&meant, &program(), terminal)
            } else if meant.faults {
                faults::check(&meant, &program(), terminal)
            } else {
                check::check(&meant, &program(), terminal)
            }
        }
        Verb::Run(typed) => {
            if let Some(meant) = resolved::Shrink::new(&typed) {
                return shrink::shrink(&meant, terminal);
            }
            if is_route(&typed.files.recipe) {
                return route::run(&typed, terminal);
            }
            if let Some(count) = typed.batches {
                return batches::batches(count, typed, terminal);
            }
            run::run(&typed.into(), terminal)
        }
        Verb::Tune(typed) => {
            let processors = std::thread::available_parallelism().map_or(1, usize::from);
            tune::tune(&resolved::Tune::new(typed, processors)?, terminal)
        }
        Verb::Calibrate(typed) => calibrate::calibrate(&typed.what, terminal),
        Verb::Draft(typed) => draft::draft(&typed, terminal),
        Verb::LayIn(typed) => lay_in::lay_in(typed, terminal),
        Verb::Card(typed) => card::card(typed, terminal),
        Verb::Cost(typed) => cost::cost(typed, terminal),
        Verb::Correct(typed) => correct::correct(typed, terminal),
        Verb::Train(typed) => train_headless::headless(
            &typed.script,
            typed.exercises.as_deref(),
            typed.on_board.as_deref(),
            terminal,
        )
        .unwrap_or_else(|| train::serve(resolved::Serve::new(typed)?)),
        Verb::Pack(typed) => pack::pack(&typed, terminal),
        Verb::Unpack(typed) => unpack::unpack(&typed, terminal),
        Verb::Serve(typed) => serve::serve(typed, terminal),
        Verb::Link(typed) => link::link(typed, terminal),
        Verb::Explain(typed) => explain::explain(&typed, terminal),
        Verb::Demo(typed) => demo_set::demo(&typed, terminal),
    }
}

/// The name by which this program was called.
fn program() -> String {
    std::env::args_os().next().map_or_else(
        || "twinplate".to_owned(),
        |name| name.to_string_lossy().into_owned(),
    )
}

/// Lets the log out on stderr.
fn log(level: Level, color: bool) {
    let filter = match level {
        Level::Off => LevelFilter::OFF,
        Level::Error => LevelFilter::ERROR,
        Level::Warn => LevelFilter::WARN,
        Level::Info => LevelFilter::INFO,
        Level::Debug => LevelFilter::DEBUG,
        Level::Trace => LevelFilter::TRACE,
    };
    let subscriber = tracing_subscriber::fmt()
        .with_max_level(filter)
        .with_writer(std::io::stderr)
        .with_ansi(color)
        .without_time()
        .with_target(false)
        .finish();
    // Fails only where one is installed already, which then does the job.
    let _ = tracing::subscriber::set_global_default(subscriber);
}

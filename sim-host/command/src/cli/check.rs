//! `check`: static findings, prediction, closed-loop trials, verdict, report.

use super::args::CheckFormat;
use super::board::{self, BoardReport};
use super::nearest::Nearest;
use super::output::{complain, say, show};
use super::replay_command::ReplayCommand;
use super::resolved::{Check, Files};
use super::terminal::{Terminal, progress};
use super::told::{before_last_line, open_page};
use super::{Answer, Failure, files, program, trade};
use crate::report::{Cycle, html, junit, text, wrap};
use serde::Serialize;
use std::fmt::Write as _;
use std::path::Path;
use twinplate_check::Case;
use twinplate_check::assumed::runs;
use twinplate_check::check::{self as study, Checked};
use twinplate_check::locate;
use twinplate_check::trials::{NOMINAL_RUNS, TrialPlan, TrialRun};
use twinplate_check::verdict::{CheckReport, Verdict, Waiver};
use twinplate_sim::bench::Job;
use twinplate_sim::files::Set;

/// Does the work.
///
/// # Errors
/// Bad files, unwritable outputs.
pub fn check(meant: &Check, program: &str, terminal: Terminal) -> Result<Answer, Failure> {
    if let Some(seconds) = meant.seek {
        return super::seek::seek(meant, seconds, program, terminal);
    }
    let set = files::set(&meant.files)?;
    let inputs = [&*set.recipe.path, &*set.machine.path, &*set.batch.path];
    // An identifier holds nothing that a path minds.
    let name = || format!("{}-check.html", set.recipe.value.id).into();
    let output = open_page(&meant.report, name, &inputs)?;
    let case = Case::of(&set);
    let replay = ReplayCommand::new(program, &meant.files, meant.plan.seed);
    // Started before the trials: whoever has no board is told at once.
    let board = match &meant.board {
        // A recipe that the controller does not take is run nowhere: the findings say why.
        Some(image) => match Job::of(&set, None) {
            Ok(job) => Some((board::start(image, &job)?, job)),
            Err(_) => None,
        },
        None => None,
    };
    let (report, cycle, nominal) = study(meant, &set, &case, &replay, terminal)?;
    let board = match (board, nominal) {
        (Some((board, job)), Some(nominal)) => {
            let runs = of_note(&report, nominal);
            Some(board::repeated(board, &job, meant.plan.seed, &runs)?)
        }
        _ => None,
    };
    let written = output.as_ref().map(|output| output.path().to_owned());
    if let Some(output) = output {
        let page = html::draw(&html::Page {
            of: html::Of::Check,
            report: &report,
            cycle: &cycle,
            machine: case.machine,
            batch: case.batch,
        });
        output.write(|file| std::io::Write::write_all(file, page.as_bytes()))?;
    }
    tell(
        meant,
        &report,
        board.as_ref(),
        &cycle,
        &replay,
        written.as_deref(),
        terminal,
    )?;
    let same = board.as_ref().is_none_or(BoardReport::same);
    Ok(if same && report.passes(meant.fail_on) {
        Answer::Yes
    } else {
        Answer::No
    })
}

/// The nominal run and the worst ones, each once, with their control hashes.
fn of_note(report: &CheckReport, nominal: u64) -> Vec<(TrialRun, u64)> {
    let cold = TrialRun {
        draw: 0,
        warm: false,
    };
    let mut runs = vec![(cold, nominal)];
    for case in &report.envelope.cases {
        if runs.iter().all(|(run, _)| *run != case.run()) {
            runs.push((case.run(), case.control_hash));
        }
    }
    runs
}

/// Findings, prediction, trials, and the control hash of the nominal run; put together.
fn study(
    meant: &Check,
    set: &Set,
    case: &Case,
    replay: &ReplayCommand,
    terminal: Terminal,
) -> Result<(CheckReport, Cycle, Option<u64>), Failure> {
    let checked = checked(set, meant.plan, &meant.waivers, replay, terminal)?;
    let cycle = match &checked.run {
        Some(run) => Cycle::recorded(case.machine, case.batch, case.recipe, run),
        None => Cycle::planned(case, &checked.prediction),
    };
    let nominal = checked.run.map(|run| run.control_hash);
    Ok((checked.report, cycle, nominal))
}

/// Checks files, with a bar on stderr for the runs.
pub(super) fn checked(
    set: &Set,
    trials: TrialPlan,
    waivers: &[Waiver],
    replay: &ReplayCommand,
    terminal: Terminal,
) -> Result<Checked, Failure> {
    let case = Case::of(set);
    let runs = trials.draws + NOMINAL_RUNS + runs(case.machine, case.batch);
    let bar = progress(runs as u64, terminal.err_color);
    let nearest = Nearest::default();
    let checked = study::check(
        &case,
        &study::Request {
            trials,
            locate: &|place| locate(set, place),
            waivers,
            replay: &|run| replay.line(run),
            progress: &|done| bar.set_position(done as u64),
            judged: &|run| {
                if let Some(text) = nearest.hear(run) {
                    bar.set_message(text);
                }
            },
        },
    );
    bar.finish_and_clear();
    checked.map_err(Failure::no_answer)
}

/// The verdict of `check` on just these files, with so many machines drawn.
pub(super) fn verdict(
    set: &Set,
    files: &Files,
    runs: u32,
    terminal: Terminal,
) -> Result<Verdict, Failure> {
    let plan = TrialPlan {
        draws: usize::try_from(runs).unwrap_or(usize::MAX),
        threads: std::thread::available_parallelism().map_or(1, usize::from),
        seed: 1,
    };
    let replay = ReplayCommand::new(&program(), files, plan.seed);
    Ok(checked(set, plan, &[], &replay, terminal)?.report.verdict)
}

/// Writes the result to stdout.
fn tell(
    meant: &Check,
    report: &CheckReport,
    board: Option<&BoardReport>,
    cycle: &Cycle,
    replay: &ReplayCommand,
    written: Option<&Path>,
    terminal: Terminal,
) -> Result<(), Failure> {
    match meant.format {
        CheckFormat::Text => {
            let drawn = text::draw(report, Some(cycle), terminal.out);
            let mut more = String::new();
            more.push_str(&worst_run(report, replay));
            if let Some(board) = board {
                more.push_str(&board.text());
            }
            if meant.trade {
                more.push('\n');
                more.push_str(&trade::table(report));
            }
            if let Some(path) = written {
                let _ = writeln!(more, "\nreport: {}", path.display());
            }
            return show(&before_last_line(&drawn, &more), terminal.out.width);
        }
        CheckFormat::Json => say(&(json(report, board) + "\n"))?,
        CheckFormat::Junit => {
            let xml = junit::draw(report, meant.fail_on).map_err(|error| {
                Failure::new(
                    format!("the JUnit text could not be made: {error}"),
                    "use --format json, and please report this",
                )
            })?;
            say(&(xml.trim_end().to_owned() + "\n"))?;
        }
    }
    if let Some(path) = written {
        complain(&format!("report: {}\n", path.display()));
    }
    Ok(())
}

/// The report with one key more.
#[derive(Serialize)]
struct WithBoard<'a> {
    #[serde(flatten)]
    report: &'a CheckReport,
    board: &'a BoardReport,
}

/// The report's JSON, what came of a board in it.
fn json(report: &CheckReport, board: Option<&BoardReport>) -> String {
    match board {
        // Plain structs with string keys always serialise.
        Some(board) => {
            serde_json::to_string_pretty(&WithBoard { report, board }).unwrap_or_default()
        }
        None => report.json(),
    }
}

/// How to see the worst run again, and what must come out.
fn worst_run(report: &CheckReport, replay: &ReplayCommand) -> String {
    let Some(case) = &report.envelope.worst else {
        return String::new();
    };
    let mut text = String::from("\n");
    for line in wrap(
        &format!(
            "The run nearest to a bound ({}), again, control hash {:#018x}:",
            case.what, case.control_hash
        ),
        80,
    ) {
        let _ = writeln!(text, "{line}");
    }
    // Not wrapped: it is meant to be copied.
    let _ = writeln!(text, "  {}", replay.line(case.run()));
    text
}

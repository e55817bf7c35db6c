//! `check --sweep` and `check --beside`: the same recipe at many points, two recipes side by side.

use super::args::CheckFormat;
use super::args::several::Several;
use super::check::before_last_line;
use super::output::{Output, complain, distinct, say, show};
use super::replay_command::ReplayCommand;
use super::resolved::{Check, Files, ReportTo};
use super::terminal::{Terminal, progress};
use super::tune::pretty;
use super::{Answer, Failure, files};
use crate::report::several;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use twinplate_check::check::{Request, check};
use twinplate_check::trials::{NOMINAL_RUNS, TrialPlan};
use twinplate_check::verdict::CheckReport;
use twinplate_check::{Case, locate};
use twinplate_sim::files::{Overrides, Set};
use twinplate_sweep::axis::Axis;
use twinplate_sweep::beside::Beside;
use twinplate_sweep::json;
use twinplate_sweep::points::{self, NoSweep, Plan};

/// What was found, in its three forms.
pub(super) struct Told {
    pub text: String,
    pub json: serde_json::Value,
    pub page: String,
}

/// Sweeps.
///
/// # Errors
/// Bad files, words or values; unwritable outputs.
pub fn sweep(meant: &Check, several: &Several, terminal: Terminal) -> Result<Answer, Failure> {
    text_or_json(meant)?;
    let set = files::set(&meant.files)?;
    let axes = match &several.sweep[..] {
        typed @ ([_] | [_, _]) => Axis::read(typed, &set).map_err(Failure::Files)?,
        more => {
            return Err(Failure::new(
                format!("{} sweeps are more than a map can show", more.len()),
                "one --sweep for a table, two for a map",
            ));
        }
    };
    let output = open(
        meant,
        &format!("{}-sweep", set.recipe.value.id),
        &inputs(&[&set]),
    )?;
    let bar = progress(1, terminal.err_color);
    let draws = |count: u32| usize::try_from(count).unwrap_or(usize::MAX);
    let found = points::sweep(
        &set,
        axes,
        &Plan {
            each: TrialPlan {
                draws: draws(several.runs_each),
                ..meant.plan
            },
            edge: several.runs_edge.map(draws),
            waivers: &meant.waivers,
            progress: &|done, all| {
                bar.set_length(all as u64);
                bar.set_position(done as u64);
            },
        },
    );
    bar.finish_and_clear();
    let found = found.map_err(|error| match error {
        NoSweep::Files(errors) => Failure::Files(errors),
        NoSweep::Port(error) => Failure::no_answer(error),
    })?;
    let told = Told {
        text: several::sweep(&found, terminal.out),
        json: json::sweep(&found),
        page: several::sweep_page(&found),
    };
    tell(meant.format, told, output, terminal)?;
    let any = found.feasible().next().is_some();
    Ok(if any { Answer::Yes } else { Answer::No })
}

/// Sets two recipes side by side.
///
/// # Errors
/// Bad files; unwritable outputs.
pub fn beside(
    meant: &Check,
    second: &Path,
    program: &str,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    text_or_json(meant)?;
    let other = Files {
        recipe: second.to_owned(),
        overrides: Overrides::default(),
    };
    let both = [files::set(&meant.files)?, files::set(&other)?];
    let name = format!(
        "{}-beside-{}",
        both[0].recipe.value.id, both[1].recipe.value.id
    );
    let output = open(meant, &name, &inputs(&[&both[0], &both[1]]))?;
    let mut reports = Vec::new();
    for (set, named) in both.iter().zip([&meant.files, &other]) {
        reports.push(report(meant, set, named, program, terminal)?);
    }
    let found = Beside::of([&both[0], &both[1]], [&reports[0], &reports[1]]);
    let told = Told {
        text: several::beside(&found, terminal.out),
        json: json::beside(&found),
        page: several::beside_page(&found),
    };
    tell(meant.format, told, output, terminal)?;
    let good = found.both_pass();
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// The check of one of two.
fn report(
    meant: &Check,
    set: &Set,
    named: &Files,
    program: &str,
    terminal: Terminal,
) -> Result<CheckReport, Failure> {
    let replay = ReplayCommand::new(program, named, meant.plan.seed);
    let bar = progress((meant.plan.draws + NOMINAL_RUNS) as u64, terminal.err_color);
    let checked = check(
        &Case::of(set),
        &Request {
            trials: meant.plan,
            locate: &|place| locate(set, place),
            waivers: &meant.waivers,
            replay: &|run| replay.line(run),
            progress: &|done| bar.set_position(done as u64),
        },
    );
    bar.finish_and_clear();
    Ok(checked.map_err(Failure::no_answer)?.report)
}

/// What is more than one check is no list of cases for a pipeline.
pub(super) fn text_or_json(meant: &Check) -> Result<(), Failure> {
    if meant.format == CheckFormat::Junit {
        return Err(Failure::new(
            "JUnit text is made of one recipe's check",
            "--format json, or check each recipe alone",
        ));
    }
    Ok(())
}

/// Files that no page may overwrite.
pub(super) fn inputs<'a>(sets: &[&'a Set]) -> Vec<&'a Path> {
    sets.iter()
        .flat_map(|set| [&*set.recipe.path, &*set.machine.path, &*set.batch.path])
        .collect()
}

/// Opens the page's file before the work starts.
pub(super) fn open(meant: &Check, name: &str, inputs: &[&Path]) -> Result<Option<Output>, Failure> {
    let path = match &meant.report {
        ReportTo::Nowhere => return Ok(None),
        ReportTo::File(path) => path.clone(),
        ReportTo::Default => {
            // The folder is this program's own; why it cannot be made, `Output::open` says.
            let _ = std::fs::create_dir("out");
            PathBuf::from("out").join(format!("{name}.html"))
        }
    };
    distinct(&[(&path, "--report")], inputs)?;
    Output::open(&path, "--report").map(Some)
}

/// Writes the page, where there is one, and the result to stdout; the verdict stays the last line.
pub(super) fn tell(
    format: CheckFormat,
    told: Told,
    page: Option<Output>,
    terminal: Terminal,
) -> Result<(), Failure> {
    let mut text = told.text;
    let mut written = String::new();
    if let Some(page) = page {
        written = format!("report: {}\n", page.path().display());
        text = before_last_line(&text, &format!("\n{written}"));
        page.write(|to| to.write_all(told.page.as_bytes()))?;
    }
    if format == CheckFormat::Text {
        return show(&text, terminal.out.width);
    }
    say(&pretty(&told.json))?;
    complain(&written);
    Ok(())
}

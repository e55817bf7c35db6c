//! `check --sweep` and `check --beside`: the same recipe at many points, two recipes side by side.

use super::args::several::Several;
use super::args::{CheckFormat, Format};
use super::check::checked;
use super::replay_command::ReplayCommand;
use super::resolved::{Check, Files};
use super::terminal::{Terminal, progress};
use super::told::{Told, open_page, tell};
use super::{Answer, Failure, files};
use crate::report::several;
use std::path::Path;
use twinplate_check::trials::TrialPlan;
use twinplate_sim::files::{Overrides, Set};
use twinplate_sweep::axis::Axis;
use twinplate_sweep::beside::Beside;
use twinplate_sweep::json;
use twinplate_sweep::points::{self, NoSweep, Plan};

/// Sweeps.
///
/// # Errors
/// Bad files, words or values; unwritable outputs.
pub fn sweep(meant: &Check, several: &Several, terminal: Terminal) -> Result<Answer, Failure> {
    let format = text_or_json(meant)?;
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
    let name = || format!("{}-sweep.html", set.recipe.value.id).into();
    let output = open_page(&meant.report, name, &inputs(&[&set]))?;
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
    tell(format, told, output, terminal)?;
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
    let format = text_or_json(meant)?;
    let other = Files {
        recipe: second.to_owned(),
        overrides: Overrides::default(),
    };
    let both = [files::set(&meant.files)?, files::set(&other)?];
    let [first, second] = both.each_ref().map(|set| &set.recipe.value.id);
    let name = || format!("{first}-beside-{second}.html").into();
    let output = open_page(&meant.report, name, &inputs(&[&both[0], &both[1]]))?;
    let mut reports = Vec::new();
    for (set, named) in both.iter().zip([&meant.files, &other]) {
        let replay = ReplayCommand::new(program, named, meant.plan.seed);
        reports.push(checked(set, meant.plan, &meant.waivers, &replay, terminal)?.report);
    }
    let found = Beside::of([&both[0], &both[1]], [&reports[0], &reports[1]]);
    let told = Told {
        text: several::beside(&found, terminal.out),
        json: json::beside(&found),
        page: several::beside_page(&found),
    };
    tell(format, told, output, terminal)?;
    let good = found.both_pass();
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// What is more than one check is no list of cases for a pipeline.
pub(super) fn text_or_json(meant: &Check) -> Result<Format, Failure> {
    match meant.format {
        CheckFormat::Text => Ok(Format::Text),
        CheckFormat::Json => Ok(Format::Json),
        CheckFormat::Junit => Err(Failure::new(
            "JUnit text is made of one recipe's check",
            "--format json, or check each recipe alone",
        )),
    }
}

/// Files that no page may overwrite.
pub(super) fn inputs<'a>(sets: &[&'a Set]) -> Vec<&'a Path> {
    sets.iter()
        .flat_map(|set| [&*set.recipe.path, &*set.machine.path, &*set.batch.path])
        .collect()
}

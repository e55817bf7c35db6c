//! `check ROUTE` and `run ROUTE`: recipes one after another on the same parts.

use super::args;
use super::output::{Output, distinct};
use super::replay_command::run_of;
use super::resolved::{Check, Files};
use super::several::{inputs, text_or_json};
use super::terminal::{Terminal, progress};
use super::told::{Told, open_page, tell};
use super::{Answer, Failure};
use crate::report::several;
use std::path::Path;
use twinplate_check::trials::NOMINAL_RUNS;
use twinplate_check::verdict::Verdict;
use twinplate_sim::bench::Drawn;
use twinplate_sim::files::{RouteSet, Set, load_route};
use twinplate_sweep::json;
use twinplate_sweep::route::{NoRun, Plan, check_route, run_route};

/// Checks a route.
///
/// # Errors
/// Bad files, options that belong to one recipe, unwritable outputs.
pub fn check(meant: &Check, program: &str, terminal: Terminal) -> Result<Answer, Failure> {
    let format = text_or_json(meant)?;
    let other = [
        ("--faults", meant.faults),
        ("--seek", meant.seek.is_some()),
        ("--waive", !meant.waivers.is_empty()),
    ];
    only_recipes(&other)?;
    let path = &meant.files.recipe;
    let set = load_route(path, &meant.files.overrides).map_err(Failure::Files)?;
    let name = || format!("{}-check.html", set.route.value.id).into();
    let output = open_page(&meant.report, name, &all(path, &set))?;
    let runs = set.stages.len() * (meant.plan.draws + NOMINAL_RUNS);
    let bar = progress(runs as u64, terminal.err_color);
    let seed = meant.plan.seed;
    let again = run_of(program, &meant.files);
    let found = check_route(
        &set,
        &Plan {
            trials: meant.plan,
            replay: &|run| {
                let warm = if run.warm { " --warm" } else { "" };
                format!("{again} --seed {seed} --draw {}{warm}", run.draw)
            },
            progress: &|done| bar.set_position(done as u64),
            alone: true,
        },
    );
    bar.finish_and_clear();
    let found = found.map_err(Failure::no_answer)?;
    let told = Told {
        text: several::route(&found, terminal.out),
        json: json::route(&found),
        page: several::route_page(&found),
    };
    tell(format, told, output, terminal)?;
    let good = found.verdict() != Verdict::Fail;
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// Runs a route once.
///
/// # Errors
/// As [`check`].
pub fn run(typed: &args::Run, terminal: Terminal) -> Result<Answer, Failure> {
    let other = [
        ("--scenario", typed.scenario.is_some()),
        ("--step", typed.step != 1),
        ("--replay", typed.replay.is_some()),
        ("--batches", typed.batches.is_some()),
        ("--trace", typed.trace.is_some()),
        ("--journal", typed.journal.is_some()),
    ];
    only_recipes(&other)?;
    let files = Files::from(typed.files.clone());
    let path = &files.recipe;
    let set = load_route(path, &files.overrides).map_err(Failure::Files)?;
    let output = match &typed.report {
        Some(page) => {
            distinct(&[(page, "--report")], &all(path, &set))?;
            Some(Output::open(page, "--report")?)
        }
        None => None,
    };
    let drawn = Drawn {
        seed: typed.seed,
        index: typed.draw,
    };
    let runs = run_route(&set, drawn, typed.warm).map_err(|error| match error {
        NoRun::Refused(stage, error) => Failure::new(
            format!("stage {} cannot be run: {error}", stage + 1),
            "check the recipe of this stage alone",
        ),
        NoRun::Port(error) => Failure::no_answer(error),
    })?;
    let (route, count) = (&set.route.value, set.stages.len());
    let good = runs.len() == count && runs.iter().all(|run| run.judged.holds());
    let told = Told {
        text: several::route_runs(route, count, &runs, terminal.out),
        json: json::runs(&route.id, count, &runs),
        page: several::runs_page(route, count, &runs),
    };
    tell(typed.format, told, output, terminal)?;
    Ok(if good { Answer::Yes } else { Answer::No })
}

/// Refuses options that a route has no use for.
fn only_recipes(given: &[(&str, bool)]) -> Result<(), Failure> {
    match given.iter().find(|(_, given)| *given) {
        Some((option, _)) => Err(Failure::new(
            format!("{option} belongs to one recipe; this file is a route"),
            "name the recipe of the stage that is meant",
        )),
        None => Ok(()),
    }
}

/// Every file of a route.
fn all<'a>(path: &'a Path, set: &'a RouteSet) -> Vec<&'a Path> {
    let stages: Vec<&Set> = set.stages.iter().collect();
    let mut all = inputs(&stages);
    all.push(path);
    all
}

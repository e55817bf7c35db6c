//! `card`: one printable page for the operator.

use super::args::shop::Card;
use super::calibrate::page;
use super::lay_in::{inputs, to};
use super::replay_command::ReplayCommand;
use super::resolved::Files;
use super::terminal::Terminal;
use super::told::{Told, tell};
use super::{Answer, Failure, check, files, program};
use crate::report::shop::{self, Laid};
use std::time::{SystemTime, UNIX_EPOCH};
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::Verdict;
use twinplate_shop::card::{Card as Data, Checked};
use twinplate_shop::cost::day::since_1970;
use twinplate_shop::json;
use twinplate_sim::bench::Job;
use twinplate_sim::files::Set;

/// Seconds of a day.
const DAY: u64 = 86_400;

/// Does the work.
///
/// # Errors
/// Bad files, unwritable outputs, a recipe that the controller refuses.
pub fn card(typed: Card, terminal: Terminal) -> Result<Answer, Failure> {
    let chosen: Files = typed.files.into();
    let set = files::set(&chosen)?;
    let file = to(&set, &typed.told);
    let page = page(&file, "card", &inputs(&set, &[]))?;
    let job = job(&set)?;
    let checked = if typed.unchecked {
        Checked::Not
    } else {
        checked(&set, &chosen, typed.runs, terminal)?
    };
    let date = typed.date.unwrap_or_else(today);
    let card = Data::of(&set, &job, checked, &date);
    let consumables = &job.recipe.consumables;
    let shown = &job.recipe.shown;
    let laid = Laid {
        machine: &job.machine,
        batch: &job.batch,
    };
    let told = Told {
        text: shop::card(&card, consumables, shown, terminal.out),
        json: json::card(&card),
        page: shop::card_page(&card, consumables, laid, shown),
    };
    tell(file.format, told, page, terminal)?;
    Ok(if checked == Checked::Failed {
        Answer::No
    } else {
        Answer::Yes
    })
}

/// The job of a recipe's files.
pub(super) fn job(set: &Set) -> Result<Job, Failure> {
    Job::of(set, None).map_err(|error| {
        Failure::new(
            error.to_string(),
            "`check` the recipe: its findings say what to change",
        )
    })
}

/// Checks exactly these files, as `check` does.
fn checked(set: &Set, files: &Files, runs: u32, terminal: Terminal) -> Result<Checked, Failure> {
    let plan = TrialPlan {
        draws: usize::try_from(runs).unwrap_or(usize::MAX),
        threads: std::thread::available_parallelism().map_or(1, usize::from),
        seed: 1,
    };
    let replay = ReplayCommand::new(&program(), files, plan.seed);
    let report = check::checked(set, plan, &[], &replay, terminal)?.report;
    Ok(match report.verdict {
        Verdict::Pass => Checked::Passed(runs),
        Verdict::Warn => Checked::Warned(runs),
        Verdict::Fail => Checked::Failed,
    })
}

/// Today, by the computer's clock.
pub(super) fn today() -> String {
    let seconds = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |since| since.as_secs());
    since_1970(i64::try_from(seconds / DAY).unwrap_or(0))
}

//! `card`: one printable page for the operator.

use super::args::shop::Card;
use super::calibrate::page;
use super::lay_in::{inputs, to};
use super::resolved::Files;
use super::terminal::Terminal;
use super::told::{Told, tell};
use super::{Answer, Failure, check, files};
use crate::report::shop::{self, Laid};
use std::time::{SystemTime, UNIX_EPOCH};
use twinplate_check::verdict::Verdict;
use twinplate_shop::card::{Card as Data, Checked};
use twinplate_shop::cost::day::since_1970;
use twinplate_shop::json;

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
    let job = files::job(&set, None)?;
    let checked = if typed.unchecked {
        Checked::Not
    } else {
        match check::verdict(&set, &chosen, typed.runs, terminal)? {
            Verdict::Pass => Checked::Passed(typed.runs),
            Verdict::Warn => Checked::Warned(typed.runs),
            Verdict::Fail => Checked::Failed,
        }
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

/// Today, by the computer's clock.
pub(super) fn today() -> String {
    let seconds = SystemTime::now()
        .duration_since(UNIX_EPOCH)
        .map_or(0, |since| since.as_secs());
    since_1970(i64::try_from(seconds / DAY).unwrap_or(0))
}

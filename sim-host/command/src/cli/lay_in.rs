//! `lay-in`: measured parts into loads and pockets.

use super::args::calibrate::SheetFile;
use super::args::shop::{LayIn, Told as To};
use super::calibrate::{page, read};
use super::output::{Output, complain, distinct};
use super::terminal::Terminal;
use super::told::{Told, tell};
use super::{Answer, Failure, files};
use crate::report::shop::{self, Laid};
use std::io::Write as _;
use std::path::Path;
use twinplate_shop::json;
use twinplate_shop::lay_in::{Layout, Load};
use twinplate_sim::files::Set;
use twinplate_sim::model::Batch;

/// Does the work.
///
/// # Errors
/// Files and lists with errors, outputs that cannot be written.
pub fn lay_in(typed: LayIn, terminal: Terminal) -> Result<Answer, Failure> {
    let set = files::set(&typed.files.into())?;
    let bytes = read(&typed.parts)?;
    let file = to(&set, &typed.told);
    let inputs = inputs(&set, &[&typed.parts]);
    let page = page(&file, "lay-in", &inputs)?;
    let list = match &typed.write {
        Some(path) => {
            let mut others = inputs.clone();
            others.extend(page.as_ref().map(Output::path));
            distinct(&[(path, "--write")], &others)?;
            Some(Output::open(path, "--write")?)
        }
        None => None,
    };
    let name = typed.parts.display().to_string();
    let report =
        twinplate_shop::lay_in::lay_in(&name, &bytes, &set, typed.seed).map_err(Failure::Files)?;
    let (machine, batch) = (&set.machine.value, &set.batch.value);
    let layout = |load: &Load| Layout::of(&machine.geometry, &of(batch, load));
    let subject = subject(&set);
    let told = Told {
        text: shop::lay_in(&report, &subject, &layout, terminal.out),
        json: json::lay_in(&report, &layout),
        page: shop::lay_in_page(&report, &subject, Laid { machine, batch }, &layout),
    };
    if let Some(output) = list {
        let text = shop::pocket_list(&report, &layout);
        let path = output.path().display().to_string();
        output.write(|to| to.write_all(text.as_bytes()))?;
        complain(&format!("written: {path}\n"));
    }
    tell(file.format, told, page, terminal)?;
    Ok(if report.holds() {
        Answer::Yes
    } else {
        Answer::No
    })
}

/// The batch of a load: its parts and dummies.
fn of(batch: &Batch, load: &Load) -> Batch {
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    Batch {
        parts: count(load.parts()),
        dummies: count(load.dummies()),
        ..batch.clone()
    }
}

/// Recipe, machine and batch by id.
pub(super) fn subject(set: &Set) -> String {
    format!(
        "{} on {} with {}",
        set.recipe.value.id, set.machine.value.id, set.batch.value.id
    )
}

/// Where the answer of a recipe goes: its page is named after the recipe.
pub(super) fn to(set: &Set, told: &To) -> SheetFile {
    SheetFile {
        sheet: set.recipe.value.id.clone().into(),
        report: told.report.clone(),
        no_report: told.no_report,
        format: told.format,
    }
}

/// Files that no output may overwrite.
pub(super) fn inputs<'a>(set: &'a Set, more: &[&'a Path]) -> Vec<&'a Path> {
    let own: [&Path; 3] = [&set.recipe.path, &set.machine.path, &set.batch.path];
    own.into_iter().chain(more.iter().copied()).collect()
}

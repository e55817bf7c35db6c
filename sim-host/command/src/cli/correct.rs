//! `correct`: the next batch's time or load from a production record.

use super::args::calibrate::SheetFile;
use super::args::correct::{By, Correct};
use super::calibrate::{edit, page, put, read};
use super::output::{Output, complain};
use super::resolved::Files;
use super::terminal::Terminal;
use super::told::{Told, tell};
use super::{Answer, Failure, files};
use crate::report::correction;
use std::path::Path;
use twinplate_production::correct::{self, Asked, rounded};
use twinplate_production::{database, json};
use twinplate_sim::files::{StepSetting, with_step_setting};

/// Does the work.
///
/// # Errors
/// A record or files with errors, outputs that cannot be written.
pub fn correct(typed: Correct, terminal: Terminal) -> Result<Answer, Failure> {
    let by = match typed.by {
        By::Time => correct::By::Time,
        By::Load => correct::By::Load,
    };
    let sheet = SheetFile {
        sheet: typed.files.recipe.clone(),
        report: typed.report,
        no_report: typed.no_report,
        format: typed.format,
    };
    let set = files::set(&Files::from(typed.files))?;
    let bytes = record(&typed.record, typed.table.as_deref())?;
    let asked = Asked {
        step: typed.step.as_deref(),
        by,
    };
    let report = correct::correct(&typed.record.display().to_string(), &bytes, &set, &asked)
        .map_err(Failure::Files)?;
    let inputs = [
        typed.record.as_path(),
        &set.recipe.path,
        &set.machine.path,
        &set.batch.path,
    ];
    let page = page(&sheet, "correct", &inputs)?;
    let output = typed
        .write
        .then(|| Output::open(&set.recipe.path, "the recipe file"))
        .transpose()?;
    let told = Told {
        text: correction::draw(&report, terminal.out),
        json: json::report(&report),
        page: correction::page(&report),
    };
    tell(sheet.format, told, page, terminal)?;
    if !report.beyond.is_empty() {
        if output.is_some() {
            complain(&format!("not written: {}\n", report.beyond.join("; ")));
        }
        return Ok(Answer::No);
    }
    let Some(output) = output else {
        return Ok(Answer::Yes);
    };
    let value = rounded(report.next.new.value, by);
    let setting = match by {
        correct::By::Time => StepSetting::Time(value),
        correct::By::Load => StepSetting::Pressure(value),
    };
    let text = with_step_setting(&set.recipe, report.step.0, setting).map_err(edit)?;
    put(output, &set.recipe.text, text)
}

/// The record's bytes: those of a sheet, or the sheet that a database's table is.
fn record(path: &Path, table: Option<&str>) -> Result<Vec<u8>, Failure> {
    // A database may be larger than a sheet: its beginning says what it is.
    let bytes = read(path)?;
    if database::is_database(&bytes) {
        return database::sheet(path, table).map_err(Failure::Files);
    }
    match table {
        None => Ok(bytes),
        Some(_) => Err(Failure::new(
            format!("{} is no SQLite file and has no tables", path.display()),
            "leave --table out",
        )),
    }
}

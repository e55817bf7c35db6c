//! `calibrate`: keys of machine and recipe files from sheets that a shop fills in.

mod keys;
mod motion;

use super::args::calibrate::{Calibration, Cell, Removal, SheetFile};
use super::difference::difference;
use super::output::{Output, complain};
use super::resolved::{Files, ReportTo};
use super::terminal::Terminal;
use super::told::{Told, open_page, tell};
use super::{Answer, Failure, files};
use crate::report::calibration;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};
use twinplate_calibrate::cell::{self, CellReport};
use twinplate_calibrate::json;
use twinplate_calibrate::removal::{self, Coefficient, Preston, RemovalReport};
use twinplate_sim::files::{
    EditError, FileError, Loaded, Overrides, SIZE_LIMIT, load_machine, with_cell, with_removal,
};
use twinplate_sim::model::{Machine, Recipe};

/// Does the work.
///
/// # Errors
/// Sheets and files with errors, outputs that cannot be written.
pub fn calibrate(typed: &Calibration, terminal: Terminal) -> Result<Answer, Failure> {
    match typed {
        Calibration::Cell(typed) => of_cell(typed, terminal),
        Calibration::Actuator(typed) => motion::actuator(typed, terminal),
        Calibration::Drives(typed) => motion::drives(typed, terminal),
        Calibration::Rehearse(typed) => motion::rehearse(typed),
        Calibration::Removal(typed) => of_removal(typed, terminal),
        Calibration::Slurry(typed) => keys::slurry(typed, terminal),
        Calibration::Heat(typed) => keys::heat(typed, terminal),
        Calibration::Plates(typed) => keys::plates(typed, terminal),
    }
}

fn of_cell(typed: &Cell, terminal: Terminal) -> Result<Answer, Failure> {
    let sheet = &typed.file.sheet;
    let bytes = read(sheet)?;
    let machine = typed.machine.as_deref().map(load_machine).transpose();
    let value = machine
        .as_ref()
        .ok()
        .and_then(|file| file.as_ref().map(|file| &file.value));
    let report = cell::calibrate(&sheet.display().to_string(), &bytes, value);
    let (report, machine) = both(report, machine)?;
    let inputs: Vec<&Path> = [sheet.as_path()]
        .into_iter()
        .chain(typed.machine.as_deref())
        .collect();
    let page = page(&typed.file, "cell", &inputs)?;
    let output = match &machine {
        Some(file) if typed.write => Some(Output::open(&file.path, "the machine file")?),
        _ => None,
    };
    let told = Told {
        text: calibration::cell(&report, terminal.out),
        json: json::cell(&report),
        page: calibration::cell_page(&report),
    };
    tell(typed.file.format, told, page, terminal)?;
    let (Some(output), Some(file)) = (output, &machine) else {
        return Ok(if report.fits { Answer::Yes } else { Answer::No });
    };
    match cell_text(&report, file) {
        Ok(text) => put(output, &file.text, text?),
        Err(why) => {
            complain(&format!("not written: {why}\n"));
            Ok(Answer::No)
        }
    }
}

/// The machine file with the keys; or why they are not to be written.
fn cell_text(
    report: &CellReport,
    file: &Loaded<Machine>,
) -> Result<Result<String, Failure>, String> {
    let Some(keys) = report.keys.as_ref().filter(|_| report.fits) else {
        return Err("no polynomial fits these readings".to_owned());
    };
    if keys.reach < cell::REACH {
        return Err(format!(
            "the largest load is {:.0} % of the cell's range, and nobody knows what it does beyond",
            100.0 * keys.reach
        ));
    }
    Ok(with_cell(file, keys.nonlinearity.value, keys.whole_counts()).map_err(edit))
}

fn of_removal(typed: &Removal, terminal: Terminal) -> Result<Answer, Failure> {
    let sheet = &typed.file.sheet;
    let bytes = read(sheet)?;
    let set = match &typed.recipe {
        Some(recipe) => Some(files::set(&Files {
            recipe: recipe.clone(),
            overrides: Overrides {
                machine: typed.machine.clone(),
                batch: typed.batch.clone(),
            },
        })?),
        None => None,
    };
    let beside = sheet.parent().unwrap_or(Path::new(""));
    let open =
        |name: &str| bytes_of(&beside.join(name), LONGEST_TRACE).map_err(|error| error.to_string());
    let name = sheet.display().to_string();
    let report =
        removal::calibrate_with(&name, &bytes, set.as_ref(), &open).map_err(Failure::Files)?;
    let mut inputs = vec![sheet.as_path()];
    if let Some(set) = &set {
        inputs.extend([&set.recipe.path, &set.machine.path, &set.batch.path].map(PathBuf::as_path));
    }
    let page = page(&typed.file, "removal", &inputs)?;
    let output = match &set {
        Some(set) if typed.write => Some(Output::open(&set.recipe.path, "the recipe file")?),
        _ => None,
    };
    let told = Told {
        text: calibration::removal(&report, terminal.out),
        json: json::removal(&report),
        page: calibration::removal_page(&report),
    };
    tell(typed.file.format, told, page, terminal)?;
    let (Some(output), Some(set)) = (output, &set) else {
        let fails = report.preston == Preston::Fails;
        return Ok(if fails { Answer::No } else { Answer::Yes });
    };
    match chosen(&report, &set.recipe.value) {
        Ok(found) => {
            let text = with_removal(&set.recipe, found.fresh.value).map_err(edit)?;
            put(output, &set.recipe.text, text)
        }
        Err(why) => {
            complain(&format!("not written: {why}\n"));
            Ok(Answer::No)
        }
    }
}

/// The coefficient that belongs into a recipe; or why none does.
fn chosen<'a>(report: &'a RemovalReport, recipe: &Recipe) -> Result<&'a Coefficient, String> {
    let consumables = &recipe.consumables;
    if report.preston == Preston::Fails {
        return Err("the recipe's coefficient is in proportion to pressure and speed, and these trials are not".to_owned());
    }
    let measured = consumables.measured_at;
    if measured.is_some_and(|at| {
        at.grain != consumables.grain || at.concentration != consumables.concentration
    }) {
        return Err(format!(
            "`measured-at` of {} is another grain or concentration than the recipe's own, and would carry the new coefficient over from there",
            recipe.id
        ));
    }
    let ours = |found: &&Coefficient| {
        let name = &found.abrasive;
        [&consumables.grade, &consumables.abrasive]
            .iter()
            .any(|own| own.eq_ignore_ascii_case(name))
    };
    match &report.coefficients[..] {
        [one] if one.abrasive.is_empty() => Ok(one),
        all => all.iter().find(ours).ok_or_else(|| {
            format!(
                "no abrasive of the sheet is `{}` or `{}`, as the recipe has it",
                consumables.grade, consumables.abrasive
            )
        }),
    }
}

/// Two answers, or all errors of both.
fn both<A, B>(
    first: Result<A, Vec<FileError>>,
    second: Result<B, Vec<FileError>>,
) -> Result<(A, B), Failure> {
    match (first, second) {
        (Ok(first), Ok(second)) => Ok((first, second)),
        (first, second) => {
            let mut errors = first.err().unwrap_or_default();
            errors.extend(second.err().unwrap_or_default());
            Err(Failure::Files(errors))
        }
    }
}

/// Longest trace that is read, bytes: a row every 50 ms of some eight hours.
const LONGEST_TRACE: u64 = 1 << 29;

/// The bytes of a sheet, one more than are taken, so that whoever reads them says that there are too many.
pub(super) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    read_up_to(path, SIZE_LIMIT)
}

fn read_up_to(path: &Path, most: u64) -> Result<Vec<u8>, Failure> {
    bytes_of(path, most).map_err(|error| {
        let expected = format!("{}a sheet that exists and may be read", files::near(path));
        let message = format!("the sheet cannot be read ({error})");
        Failure::Files(vec![FileError::whole(
            "unreadable-file",
            &path.display().to_string(),
            message,
            &expected,
        )])
    })
}

fn bytes_of(path: &Path, most: u64) -> std::io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    std::fs::File::open(path)?
        .take(most + 1)
        .read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// Opens the page's file before the work is told.
pub(super) fn page(
    file: &SheetFile,
    kind: &str,
    inputs: &[&Path],
) -> Result<Option<Output>, Failure> {
    let name = || {
        let mut name = file.sheet.file_stem().unwrap_or_default().to_owned();
        name.push(format!("-{kind}.html"));
        name
    };
    let to = ReportTo::new(file.report.clone(), file.no_report);
    open_page(&to, name, inputs)
}

/// Writes a file anew and says on stderr what changed: stdout's last line is the verdict.
pub(super) fn put(output: Output, old: &str, text: String) -> Result<Answer, Failure> {
    let changed = difference(old, &text);
    let path = output.path().display().to_string();
    output.write(|to| to.write_all(text.as_bytes()))?;
    complain(&format!("written: {path}\n{changed}"));
    Ok(Answer::Yes)
}

pub(super) fn edit(error: EditError) -> Failure {
    match error {
        EditError::Files(errors) => Failure::Files(errors),
        EditError::Edit(what) => Failure::new(
            what,
            "write the value into the file by hand, and please report this",
        ),
    }
}

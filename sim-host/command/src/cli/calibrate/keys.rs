//! `calibrate slurry`, `heat` and `plates`: keys of a machine file.

use super::{LONGEST_TRACE, both, edit, page, put, read, read_up_to};
use crate::cli::args::calibrate::{Keys, Plates, SheetFile};
use crate::cli::output::{Output, complain};
use crate::cli::resolved::Files;
use crate::cli::terminal::Terminal;
use crate::cli::told::{Told, tell};
use crate::cli::{Answer, Failure, files};
use crate::report::calibration;
use std::path::Path;
use twinplate_calibrate::keys::KeysReport;
use twinplate_calibrate::{heat, json, plates, slurry};
use twinplate_sim::files::{Loaded, Overrides, Set, load_machine, with_keys};
use twinplate_sim::model::Machine;

pub(super) fn slurry(typed: &Keys, terminal: Terminal) -> Result<Answer, Failure> {
    let bytes = read(&typed.file.sheet)?;
    let machine = typed.machine.as_deref().map(load_machine).transpose();
    let report = slurry::calibrate(&typed.file.sheet.display().to_string(), &bytes);
    let (report, machine) = both(report, machine)?;
    told(
        &typed.file,
        report,
        machine.as_ref(),
        &[],
        typed.write,
        terminal,
    )
}

pub(super) fn heat(typed: &Keys, terminal: Terminal) -> Result<Answer, Failure> {
    let bytes = read_up_to(&typed.file.sheet, LONGEST_TRACE)?;
    let machine = typed.machine.as_deref().map(load_machine).transpose();
    let value = machine
        .as_ref()
        .ok()
        .and_then(|file| file.as_ref().map(|file| &file.value));
    let report = heat::calibrate(&typed.file.sheet.display().to_string(), &bytes, value);
    let (report, machine) = both(report, machine)?;
    told(
        &typed.file,
        report,
        machine.as_ref(),
        &[],
        typed.write,
        terminal,
    )
}

pub(super) fn plates(typed: &Plates, terminal: Terminal) -> Result<Answer, Failure> {
    let bytes = read(&typed.file.sheet)?;
    let name = typed.file.sheet.display().to_string();
    let of = |machine: &Loaded<Machine>, set: Option<&Set>, inputs: &[&Path]| {
        let report =
            plates::calibrate(&name, &bytes, &machine.value, set).map_err(Failure::Files)?;
        told(
            &typed.file,
            report,
            Some(machine),
            inputs,
            typed.write,
            terminal,
        )
    };
    match (&typed.recipe, &typed.machine) {
        (Some(recipe), machine) => {
            let set = files::set(&Files {
                recipe: recipe.clone(),
                overrides: Overrides {
                    machine: machine.clone(),
                    batch: typed.batch.clone(),
                },
            })?;
            let inputs = [set.recipe.path.as_path(), set.batch.path.as_path()];
            of(&set.machine, Some(&set), &inputs)
        }
        (None, Some(machine)) => {
            let machine = load_machine(machine).map_err(Failure::Files)?;
            of(&machine, None, &[])
        }
        (None, None) => Err(Failure::new(
            "neither a recipe nor a machine",
            "--recipe RECIPE, or --machine MACHINE for forms alone",
        )),
    }
}

/// Tells what was found, and writes it where that was asked for.
fn told(
    typed: &SheetFile,
    mut report: KeysReport,
    machine: Option<&Loaded<Machine>>,
    others: &[&Path],
    write: bool,
    terminal: Terminal,
) -> Result<Answer, Failure> {
    // A key is told and written as it stands in the file.
    for key in &mut report.keys {
        let path = format!("{}.{}", key.table, key.name);
        if let Some(unit) = machine.and_then(|file| file.typed(&path)) {
            key.unit = unit;
        }
    }
    let report = &report;
    let mut inputs = vec![typed.sheet.as_path()];
    inputs.extend(machine.map(|file| file.path.as_path()));
    inputs.extend(others);
    let page = page(typed, report.kind.word(), &inputs)?;
    let output = match machine {
        Some(file) if write => Some(Output::open(&file.path, "the machine file")?),
        _ => None,
    };
    let stated = machine.map(|file| &file.value);
    let forms = Told {
        text: calibration::keys(report, stated, terminal.out),
        json: json::keys(report),
        page: calibration::keys_page(report, stated),
    };
    tell(typed.format, forms, page, terminal)?;
    let found = report.fits() && report.keys.iter().any(|key| key.told().is_some());
    let (Some(output), Some(file)) = (output, machine) else {
        return Ok(if found { Answer::Yes } else { Answer::No });
    };
    if !found {
        let why = report
            .contradicted
            .first()
            .map_or("no key is told", String::as_str);
        complain(&format!("not written: {why}\n"));
        return Ok(Answer::No);
    }
    let keys: Vec<_> = report
        .keys
        .iter()
        .filter_map(|key| Some((key.table, key.name, key.typed(key.written()?), key.unit)))
        .collect();
    let text = with_keys(file, &keys).map_err(edit)?;
    put(output, &file.text, text)
}

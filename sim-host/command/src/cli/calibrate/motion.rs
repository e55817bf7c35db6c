//! `calibrate actuator`, `calibrate drives`, and the rehearsal of their logs.

use super::super::args::calibrate::{Actuator, Drives, Rehearse, Rehearsed};
use super::super::output::{Output, complain, say};
use super::super::resolved::Files;
use super::super::terminal::Terminal;
use super::super::told::{Told, tell};
use super::super::{Answer, Failure, files};
use super::{both, edit, page, put, read};
use crate::report::calibration;
use std::path::Path;
use twinplate_calibrate::actuator::{self, ActuatorReport};
use twinplate_calibrate::drives::{self, DrivesReport, Found};
use twinplate_calibrate::rehearsal;
use twinplate_sim::files::{
    ActuatorKey, Loaded, Overrides, load_machine, parse_machine, with_actuator, with_drive,
};
use twinplate_sim::model::{Deviations, Machine};
use twinplate_sim::plant::envelope::draw;

pub(super) fn actuator(typed: &Actuator, terminal: Terminal) -> Result<Answer, Failure> {
    let sheet = &typed.file.sheet;
    let bytes = read(sheet)?;
    let machine = load_machine(&typed.machine).map_err(Failure::Files)?;
    let report = actuator::calibrate(&sheet.display().to_string(), &bytes, &machine.value)
        .map_err(Failure::Files)?;
    let inputs = [sheet.as_path(), typed.machine.as_path()];
    let page = page(&typed.file, "actuator", &inputs)?;
    let output = if typed.write {
        Some(Output::open(&machine.path, "the machine file")?)
    } else {
        None
    };
    let told = Told {
        text: calibration::actuator(&report, &machine, terminal.out),
        json: actuator::json(&report),
        page: calibration::actuator_page(&report, &machine),
    };
    tell(typed.file.format, told, page, terminal)?;
    let Some(output) = output else {
        return Ok(if report.holds {
            Answer::Yes
        } else {
            Answer::No
        });
    };
    match keys(&report) {
        Ok(found) => put(
            output,
            &machine.text,
            with_actuator(&machine, &found).map_err(edit)?,
        ),
        Err(why) => {
            complain(&format!("not written: {why}\n"));
            Ok(Answer::No)
        }
    }
}

/// What belongs into the machine file; or why nothing does.
fn keys(report: &ActuatorReport) -> Result<Vec<(ActuatorKey, f64)>, String> {
    if !report.holds {
        return Err("the machine file's model does not say what the log does".to_owned());
    }
    let found: Vec<(ActuatorKey, f64)> = report
        .keys
        .iter()
        .filter_map(|told| Some((told.key, told.found.as_ref().ok()?.value)))
        .collect();
    if found.is_empty() {
        return Err("the log tells no key".to_owned());
    }
    Ok(found)
}

pub(super) fn drives(typed: &Drives, terminal: Terminal) -> Result<Answer, Failure> {
    let sheet = &typed.file.sheet;
    let bytes = read(sheet)?;
    let machine = typed.machine.as_deref().map(load_machine).transpose();
    let report = drives::calibrate(&sheet.display().to_string(), &bytes);
    let (report, machine) = both(report, machine)?;
    let inputs: Vec<&Path> = [sheet.as_path()]
        .into_iter()
        .chain(typed.machine.as_deref())
        .collect();
    let page = page(&typed.file, "drives", &inputs)?;
    let output = match &machine {
        Some(file) if typed.write => Some(Output::open(&file.path, "the machine file")?),
        _ => None,
    };
    let told = Told {
        text: calibration::drives(&report, machine.as_ref(), terminal.out),
        json: drives::json(&report),
        page: calibration::drives_page(&report, machine.as_ref()),
    };
    tell(typed.file.format, told, page, terminal)?;
    let holds = report.drives.iter().all(Found::holds);
    match (output, machine) {
        (Some(output), Some(file)) if holds => {
            let old = file.text.clone();
            put(output, &old, drives_text(&report, file)?)
        }
        (Some(_), _) => {
            complain(
                "not written: the machine file's drag does not grow with the speed, and that of the log does\n",
            );
            Ok(Answer::No)
        }
        _ => Ok(if holds { Answer::Yes } else { Answer::No }),
    }
}

/// The machine file with inertia and drag of every drive of the sheet.
fn drives_text(report: &DrivesReport, mut file: Loaded<Machine>) -> Result<String, Failure> {
    for found in &report.drives {
        let [inertia, drag] = [found.inertia.value, found.drag.value];
        let text = with_drive(&file, found.drive, inertia, drag).map_err(edit)?;
        file = parse_machine(&file.path, &text).map_err(Failure::Files)?;
    }
    Ok(file.text)
}

/// The log, to stdout.
pub(super) fn rehearse(typed: &Rehearse) -> Result<Answer, Failure> {
    let set = files::set(&Files {
        recipe: typed.recipe.clone(),
        overrides: Overrides {
            machine: typed.machine.clone(),
            batch: typed.batch.clone(),
        },
    })?;
    let deviations = match typed.draw {
        0 => Deviations::NOMINAL,
        index => draw(&set.machine.value.envelope, typed.seed, index),
    };
    say(&match typed.what {
        Rehearsed::Actuator => rehearsal::actuator(&set, &deviations, typed.seed),
        Rehearsed::Drives => rehearsal::drives(&set, &deviations, typed.seed),
    })?;
    Ok(Answer::Yes)
}

//! The sheet of trial runs: a row for each.

use super::log::{Lapped, Open, lapped};
use crate::sheet::{Heading, Holds, Quantities, Sheet};
use firmware_core::process_image::{ALL_DRIVES, DRIVES, Drive};
use twinplate_sim::files::quantity::Dimension as D;
use twinplate_sim::files::quantity::{Unit, find};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::{self, Batch, G, Of};
use twinplate_sim::plant::circles::Circles;

const THICKNESS: Holds = Holds::Quantity(&[(D::Length, ["1 µm", "1 m"])]);
const TURNING: Holds = Holds::Quantity(&[(D::AngularSpeed, ["-320 rpm", "320 rpm"])]);

/// Column of the traces that stand for pressure, speeds and time.
const TRACE: &str = "trace";

const fn heading(name: &'static str, holds: Holds) -> Heading {
    Heading { name, holds }
}

const HEADINGS: &[Heading] = &[
    heading("before", THICKNESS),
    heading("after", THICKNESS),
    heading(
        "pressure",
        Holds::Quantity(&[(D::Pressure, ["0.1 kPa", "10 MPa"])]),
    ),
    heading("load", Holds::Quantity(&[(D::Force, ["1 N", "1000 kN"])])),
    heading(
        "speed",
        Holds::Quantity(&[(D::Speed, ["0.1 mm/s", "100 m/s"])]),
    ),
    heading(Drive::Inner.name(), TURNING),
    heading(Drive::Outer.name(), TURNING),
    heading(Drive::Lower.name(), TURNING),
    heading(Drive::Upper.name(), TURNING),
    heading("time", Holds::Quantity(&[(D::Time, ["1 s", "100 h"])])),
    heading("abrasive", Holds::Word),
    heading(TRACE, Holds::Word),
    heading("trial", Holds::Word),
    heading("note", Holds::Word),
];

/// One trial, in SI units.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// Line of the sheet.
    pub line: usize,
    /// Pressure on the parts, mean of both faces, Pa.
    pub pressure: f64,
    /// Sliding speed, mean of both faces, m/s.
    pub speed: f64,
    /// Time under load, s.
    pub time: f64,
    /// Removed from one face, m: half of what the thickness lost.
    pub removed: f64,
    /// Number of its abrasive.
    pub abrasive: usize,
}

/// A unit as typed, and its size in SI units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shown {
    /// Symbol.
    pub symbol: &'static str,
    /// SI units in it.
    pub size: f64,
}

impl Shown {
    /// The unit of force where none was typed.
    pub(crate) const NEWTON: Self = Self {
        symbol: "N",
        size: 1.0,
    };

    pub(crate) fn of(all: &Quantities) -> Self {
        Self::of_unit(all.unit)
    }

    /// The unit in which a set of files is answered.
    fn answered(shown: &model::Shown, of: Of) -> Self {
        let house = Self {
            symbol: of.unit(),
            size: find(of.unit()).map_or(1.0, |unit| unit.to_si(1.0)),
        };
        find(shown.symbol(of)).map_or(house, Self::of_unit)
    }

    fn of_unit(unit: &Unit) -> Self {
        Self {
            symbol: unit.symbol,
            size: unit.numerator / unit.denominator,
        }
    }

    /// A value of SI units in this one.
    #[must_use]
    pub fn typed(self, si: f64) -> f64 {
        si / self.size
    }
}

/// Units in which answers are given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Units {
    /// Of thickness.
    pub length: Shown,
    /// Of pressure; the recipe's where loads were typed.
    pub pressure: Shown,
    /// Of sliding speed; the recipe's where turning speeds were typed.
    pub speed: Shown,
    /// Of time.
    pub time: Shown,
    /// Unit of the loads, where loads were typed, and the area that makes pressures of them, m².
    pub load: Option<(Shown, f64)>,
    /// Speeds of four drives were typed.
    pub drives: bool,
    /// Pressure, speed and time are those of traces.
    pub traced: bool,
}

/// Everything in a sheet.
pub(super) struct Data {
    pub trials: Vec<Trial>,
    pub abrasives: Vec<String>,
    pub units: Units,
}

/// Fewest trials.
const LEAST: usize = 3;

/// Pressures, speeds and times of all trials, and the units they are told in.
struct Driven {
    pressure: Vec<f64>,
    speed: Vec<f64>,
    time: Vec<f64>,
    units: [Shown; 3],
    load: Option<(Shown, f64)>,
    /// The runs of the traces.
    runs: Vec<Lapped>,
}

/// Reads a sheet; `set` turns loads into pressures and the speeds of four drives into a sliding speed; `open` finds traces.
pub(super) fn read(
    file: &str,
    bytes: &[u8],
    set: Option<&Set>,
    open: Open<'_>,
) -> Result<Data, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    let traced = sheet.has(TRACE);
    let turning = ALL_DRIVES.iter().any(|drive| sheet.has(drive.name()));
    if traced {
        trace_headings(&mut sheet, set.is_some());
    } else {
        headings(&mut sheet, turning, set.is_some());
    }
    let columns = [sheet.quantities("before"), sheet.quantities("after")];
    let driven = match set {
        Some(set) if traced => of_traces(&mut sheet, set, open),
        _ => of_cells(&mut sheet, set),
    };
    let ([Some(before), Some(after)], Some(driven)) = (columns, driven) else {
        return sheet.finish(None);
    };
    let (kinds, abrasives) = abrasives(&sheet);
    let mut removed: Vec<f64> = before
        .si
        .iter()
        .zip(&after.si)
        .map(|(before, after)| 0.5 * (before - after))
        .collect();
    thinner(&mut sheet, &removed);
    // What fresh slurry would have taken off: without the swarf that was in the gap.
    if let Some(set) = set {
        for (removed, run) in removed.iter_mut().zip(&driven.runs) {
            *removed /= run.cleared(2.0 * *removed, set);
        }
    }
    let least = LEAST.max(abrasives.len() + 1);
    if sheet.len() < least {
        let message = format!("{} trials", sheet.len());
        let expected = format!("at least {least}: one more than unknowns, and three in all");
        sheet.wrong_whole("too-few-items", message, &expected);
    }
    let [pressure, speed, time] = driven.units;
    let units = Units {
        length: Shown::of(&before),
        pressure,
        speed,
        time,
        load: driven.load,
        drives: turning,
        traced,
    };
    let trials = (0..sheet.len())
        .map(|row| Trial {
            line: sheet.line(row),
            pressure: driven.pressure[row],
            speed: driven.speed[row],
            time: driven.time[row],
            removed: removed[row],
            abrasive: kinds[row],
        })
        .collect();
    sheet.finish(Some(Data {
        trials,
        abrasives,
        units,
    }))
}

/// As they stand in the sheet's cells.
fn of_cells(sheet: &mut Sheet, set: Option<&Set>) -> Option<Driven> {
    let time = sheet.quantities("time");
    let pressure = sheet.quantities("pressure");
    let load = sheet.quantities("load");
    let speed = sheet.quantities("speed");
    let drives: Vec<Option<Quantities>> = ALL_DRIVES
        .iter()
        .map(|d| sheet.quantities(d.name()))
        .collect();
    let time = time?;
    let pressures = match (pressure, load, set) {
        (Some(typed), _, _) => Pressures {
            unit: Shown::of(&typed),
            si: typed.si,
            load: None,
        },
        (None, Some(load), Some(set)) => Pressures::under(&load, set),
        _ => return None,
    };
    let (speed, speed_unit) = match (speed, set) {
        (Some(typed), _) => (typed.si.clone(), Shown::of(&typed)),
        (None, Some(set)) if drives.iter().all(Option::is_some) => (
            sliding(sheet, set, &drives),
            Shown::answered(&set.recipe.value.shown, Of::Sliding),
        ),
        _ => return None,
    };
    Some(Driven {
        pressure: pressures.si,
        speed,
        units: [pressures.unit, speed_unit, Shown::of(&time)],
        time: time.si,
        load: pressures.load,
        runs: Vec::new(),
    })
}

/// As the traces of the trials have them.
fn of_traces(sheet: &mut Sheet, set: &Set, open: Open<'_>) -> Option<Driven> {
    let names = sheet.words(TRACE)?;
    let mut all = Vec::with_capacity(names.len());
    for (row, name) in names.iter().enumerate() {
        let bytes = match open(name) {
            Ok(bytes) => bytes,
            Err(why) => {
                let message = format!("the trace `{name}` cannot be read ({why})");
                let expected = "a file that `run --trace` wrote, by its way from this sheet";
                sheet.wrong("unreadable-file", row, TRACE, message, expected);
                continue;
            }
        };
        match lapped(name, &bytes, set) {
            Ok(found) => all.push(found),
            Err(errors) => errors.into_iter().for_each(|error| sheet.also(error)),
        }
    }
    let shown = &set.recipe.value.shown;
    Some(Driven {
        pressure: all.iter().map(|found| found.pressure).collect(),
        speed: all.iter().map(|found| found.speed).collect(),
        time: all.iter().map(|found| found.time).collect(),
        units: [
            Shown::answered(shown, Of::Pressure),
            Shown::answered(shown, Of::Sliding),
            find("min").map(Shown::of_unit)?,
        ],
        load: None,
        runs: all,
    })
    .filter(|driven| driven.time.len() == sheet.len())
}

/// Half of the parts' weight on their area, Pa: they weigh on the lower face alone, and half of it is the mean of both.
pub(super) fn own_weight(batch: &Batch) -> f64 {
    0.5 * batch.density * batch.thickness * G
}

/// Pressures of all trials.
struct Pressures {
    si: Vec<f64>,
    unit: Shown,
    load: Option<(Shown, f64)>,
}

impl Pressures {
    /// Of loads on the parts of a batch.
    fn under(load: &Quantities, set: &Set) -> Self {
        let batch = &set.batch.value;
        let on = |load: &f64| load / batch.area() + own_weight(batch);
        Self {
            si: load.si.iter().map(on).collect(),
            unit: Shown::answered(&set.recipe.value.shown, Of::Pressure),
            load: Some((Shown::of(load), batch.area())),
        }
    }
}

/// Number of each row's abrasive, and their names; one without a name where there is no such column.
fn abrasives(sheet: &Sheet) -> (Vec<usize>, Vec<String>) {
    let words = sheet.words("abrasive");
    let words = words.unwrap_or_else(|| vec![String::new(); sheet.len()]);
    let mut names: Vec<String> = Vec::new();
    let mut number = |word: &String| {
        let known = names
            .iter()
            .position(|name| name.eq_ignore_ascii_case(word));
        known.unwrap_or_else(|| {
            names.push(word.clone());
            names.len() - 1
        })
    };
    let numbers = words.iter().map(&mut number).collect();
    (numbers, names)
}

/// Every part must have got thinner.
fn thinner(sheet: &mut Sheet, removed: &[f64]) {
    for (row, removed) in removed.iter().enumerate() {
        if *removed <= 0.0 {
            let message = "the part did not get thinner".to_owned();
            let expected = "less than `before`: a trial that removed nothing gives no coefficient; leave it out";
            sheet.wrong("inconsistent", row, "after", message, expected);
        }
    }
}

/// A sheet with traces has the thicknesses beside them and nothing that the traces say.
fn trace_headings(sheet: &mut Sheet, recipe: bool) {
    for name in ["before", "after"] {
        if !sheet.has(name) {
            sheet.missing(name, "`before [mm]` and `after [mm]` beside `trace`");
        }
    }
    let drives = ALL_DRIVES.map(Drive::name);
    for name in ["pressure", "load", "speed", "time"]
        .into_iter()
        .chain(drives)
    {
        if sheet.has(name) {
            let message = format!("`{TRACE}` and `{name}` are both there");
            let expected = "the traces, or pressure, speeds and time as they were set";
            sheet.wrong_whole("conflicting-key", message, expected);
        }
    }
    if !recipe {
        let message = "a trace has loads and speeds of drives".to_owned();
        let expected =
            "--recipe RECIPE, whose batch and machine make pressure and sliding speed of them";
        sheet.wrong_whole("missing-key", message, expected);
    }
}

/// Which columns are there: each thing must be told once, and what needs a recipe must have one.
fn headings(sheet: &mut Sheet, turning: bool, recipe: bool) {
    for name in ["before", "after", "time"] {
        if !sheet.has(name) {
            sheet.missing(
                name,
                "`before [mm]`, `after [mm]` and `time [min]`, beside pressure or load and speed",
            );
        }
    }
    let twice = |sheet: &mut Sheet, what: &str| {
        let message = format!("{what} are both there");
        sheet.wrong_whole("conflicting-key", message, "one of them");
    };
    match [sheet.has("pressure"), sheet.has("load")] {
        [true, true] => twice(sheet, "`pressure` and `load`"),
        [false, false] => {
            sheet.missing("pressure", "`pressure [kPa]`, or `load [N]` with --recipe")
        }
        [false, true] if !recipe => {
            let message = "a load becomes a pressure by the area of the parts".to_owned();
            sheet.wrong_whole(
                "missing-key",
                message,
                "--recipe RECIPE, whose batch has the area, or a column `pressure`",
            );
        }
        _ => {}
    }
    match [sheet.has("speed"), turning] {
        [true, true] => twice(sheet, "`speed` and speeds of drives"),
        [false, false] => {
            sheet.missing("speed", "`speed [m/s]`, the mean sliding speed, or the speeds of the four drives with --recipe");
        }
        [false, true] => {
            for drive in ALL_DRIVES {
                if !sheet.has(drive.name()) {
                    sheet.missing(
                        drive.name(),
                        "the speeds of all four drives, such as `lower [rpm]`",
                    );
                }
            }
            if !recipe {
                let message =
                    "speeds of drives become a sliding speed by the machine's geometry".to_owned();
                sheet.wrong_whole(
                    "missing-key",
                    message,
                    "--recipe RECIPE, whose machine has it, or a column `speed`",
                );
            }
        }
        [true, false] => {}
    }
}

/// Mean sliding speed of the pieces, both faces.
fn sliding(sheet: &mut Sheet, set: &Set, drives: &[Option<Quantities>]) -> Vec<f64> {
    let geometry = &set.machine.value.geometry;
    let circles = Circles::new(geometry, &set.batch.value);
    let mut found = Vec::with_capacity(sheet.len());
    for row in 0..sheet.len() {
        let speeds: [f64; DRIVES] = std::array::from_fn(|at| {
            drives[at]
                .as_ref()
                .and_then(|all| all.si.get(row).copied())
                .unwrap_or(f64::NAN)
        });
        let [lower, upper] = circles.sliding(geometry, &speeds);
        let speed = 0.5 * (lower + upper);
        if max(abs(speed), 0.0) < 1e-6 {
            let message = "nothing slides at these speeds".to_owned();
            sheet.wrong(
                "inconsistent",
                row,
                Drive::Lower.name(),
                message,
                "speeds at which the plates move over the parts",
            );
        }
        found.push(speed);
    }
    found
}

//! The sheet of drives: a row for each sample of a run.

use super::{DrivesReport, Found};
use crate::removal::Shown;
use crate::sheet::{Heading, Holds, Sheet};
use firmware_core::process_image::{ALL_DRIVES, Drive};
use twinplate_sim::files::FileError;
use twinplate_sim::files::quantity::Dimension as D;
use twinplate_sim::math::{abs, max};

/// Samples under this share of a run's largest speed are left out: friction about standstill is another matter.
pub const REST: f64 = 0.05;
/// Fewest samples of a run.
const LEAST: usize = 5;

const HEADINGS: &[Heading] = &[
    Heading {
        name: "drive",
        holds: Holds::Word,
    },
    Heading {
        name: "run",
        holds: Holds::Word,
    },
    Heading {
        name: "time",
        holds: Holds::Quantity(&[(D::Time, ["0 s", "100 h"])]),
    },
    Heading {
        name: "speed",
        holds: Holds::Quantity(&[(D::AngularSpeed, ["-400 rpm", "400 rpm"])]),
    },
    Heading {
        name: "torque",
        holds: Holds::Quantity(&[(D::Torque, ["-100 kN·m", "100 kN·m"])]),
    },
    Heading {
        name: "note",
        holds: Holds::Word,
    },
];

/// One sample, SI units, turned so that the drive turns forwards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Line of the sheet.
    pub line: usize,
    /// Time, s.
    pub time: f64,
    /// Speed, rad/s.
    pub speed: f64,
    /// Motor torque at the driven part, N·m.
    pub torque: f64,
}

/// A run-up or a coast-down.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its name in the sheet.
    pub name: String,
    /// Its samples while it turns.
    pub samples: Vec<Sample>,
    /// Samples left out because it hardly turned.
    pub standing: usize,
    /// Row of its first sample, from 0.
    first: usize,
}

/// Everything in a sheet, and the sheet for what is found wrong later.
pub(super) struct Data {
    sheet: Sheet,
    pub drives: Vec<(Drive, Vec<Run>)>,
    torque: Shown,
    speed: Shown,
}

impl Data {
    /// Runs that cannot tell.
    pub fn refuse(&mut self, runs: &[Run], message: String, expected: &str) {
        let row = runs.first().map_or(0, |run| run.first);
        self.sheet
            .wrong("inconsistent", row, "drive", message, expected);
    }

    pub fn finish(self, file: &str, drives: Vec<Found>) -> Result<DrivesReport, Vec<FileError>> {
        self.sheet.finish(Some(DrivesReport {
            file: file.to_owned(),
            drives,
            torque: self.torque,
            speed: self.speed,
        }))
    }
}

/// Reads a sheet.
pub(super) fn read(file: &str, bytes: &[u8]) -> Result<Data, Vec<FileError>> {
    let mut sheet = Sheet::read(file, bytes, HEADINGS)?;
    for name in ["drive", "time", "speed", "torque"] {
        if !sheet.has(name) {
            sheet.missing(
                name,
                "`drive`, `time [s]`, `speed [rpm]` and `torque [N·m]`, zero while it coasts; and `run`",
            );
        }
    }
    let columns = [
        sheet.quantities("time"),
        sheet.quantities("speed"),
        sheet.quantities("torque"),
    ];
    let ([Some(time), Some(speed), Some(torque)], Some(words)) = (columns, sheet.words("drive"))
    else {
        return sheet.finish(None);
    };
    let names = sheet
        .words("run")
        .unwrap_or_else(|| vec![String::new(); words.len()]);
    let mut drives = grouped(&mut sheet, &words, &names, |row| {
        [time.si[row], speed.si[row], torque.si[row]]
    });
    drives.sort_by_key(|(drive, _)| *drive as usize);
    if drives.is_empty() {
        sheet.wrong_whole(
            "too-few-items",
            "no row of a drive".to_owned(),
            "a run-up and a coast-down of each drive",
        );
    }
    let mut clean = true;
    for run in drives.iter_mut().flat_map(|(_, runs)| runs.iter_mut()) {
        // Each is asked, so that all errors are told.
        clean &= turned(&mut sheet, run);
    }
    if !clean {
        return sheet.finish(None);
    }
    let [torque, speed] = [&torque, &speed].map(Shown::of);
    Ok(Data {
        sheet,
        drives,
        torque,
        speed,
    })
}

/// Runs of each drive, in the order in which they come; `numbers` gives time, speed and torque of a row.
fn grouped(
    sheet: &mut Sheet,
    words: &[String],
    names: &[String],
    numbers: impl Fn(usize) -> [f64; 3],
) -> Vec<(Drive, Vec<Run>)> {
    let known: Vec<&str> = ALL_DRIVES.iter().map(|drive| drive.name()).collect();
    let mut drives: Vec<(Drive, Vec<Run>)> = Vec::new();
    for (row, word) in words.iter().enumerate() {
        let Some(drive) = ALL_DRIVES
            .into_iter()
            .find(|d| d.name().eq_ignore_ascii_case(word))
        else {
            sheet.wrong(
                "unknown-word",
                row,
                "drive",
                format!("`{word}` is no drive"),
                &known.join(", "),
            );
            continue;
        };
        let [time, speed, torque] = numbers(row);
        let sample = Sample {
            line: sheet.line(row),
            time,
            speed,
            torque,
        };
        let at = drives
            .iter()
            .position(|(known, _)| *known == drive)
            .unwrap_or_else(|| {
                drives.push((drive, Vec::new()));
                drives.len() - 1
            });
        let runs = &mut drives[at].1;
        match runs.iter_mut().find(|run| run.name == names[row]) {
            Some(run) => run.samples.push(sample),
            None => runs.push(Run {
                name: names[row].clone(),
                samples: vec![sample],
                standing: 0,
                first: row,
            }),
        }
    }
    drives
}

/// Turns a run so that it goes forwards, leaves out where it stands, and tells what is wrong with it.
fn turned(sheet: &mut Sheet, run: &mut Run) -> bool {
    let row = |line: usize, sheet: &Sheet| {
        (0..sheet.len())
            .find(|row| sheet.line(*row) == line)
            .unwrap_or(0)
    };
    if let Some(pair) = run
        .samples
        .windows(2)
        .find(|pair| pair[1].time <= pair[0].time)
    {
        let at = row(pair[1].line, sheet);
        let expected = "rows in the order in which they were recorded; another name under `run` for another run";
        sheet.wrong(
            "inconsistent",
            at,
            "time",
            "the time does not go on".to_owned(),
            expected,
        );
        return false;
    }
    let most = run.samples.iter().fold(0.0, |most, s| {
        if abs(s.speed) > abs(most) {
            s.speed
        } else {
            most
        }
    });
    let sense = if most < 0.0 { -1.0 } else { 1.0 };
    for sample in &mut run.samples {
        sample.speed *= sense;
        sample.torque *= sense;
    }
    let limit = REST * abs(most);
    if let Some(back) = run.samples.iter().find(|sample| sample.speed < -limit) {
        let at = row(back.line, sheet);
        let expected = "runs of one sense; another name under `run` where it turns the other way";
        sheet.wrong(
            "inconsistent",
            at,
            "speed",
            "the drive turns back within a run".to_owned(),
            expected,
        );
        return false;
    }
    let all = run.samples.len();
    run.samples
        .retain(|sample| sample.speed >= max(limit, 1e-9));
    run.standing = all - run.samples.len();
    if run.samples.len() < LEAST {
        let message = format!(
            "{} samples of a run in which the drive turns",
            run.samples.len()
        );
        let expected = format!("at least {LEAST}");
        sheet.wrong("too-few-items", run.first, "speed", message, &expected);
        return false;
    }
    true
}

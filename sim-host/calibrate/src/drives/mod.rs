//! Drives, from run-ups under a known torque and coast-downs: inertia and drag.
//!
//! A drive obeys `J dω/dt = T - D` while it turns, so that `ω = ω₀ + (∫T dt)/J - (D/J) t`: a straight line in what was logged, one beginning
//! for each run. A run-up alone tells neither, nor does a coast-down: only torques that differ do.

mod json;
mod runs;

pub use json::json;
pub use runs::{REST, Run, Sample};

use crate::least_squares::{Estimate, FTest, Fit, Row, fit};
use crate::removal::Shown;
use crate::serial::widening;
use firmware_core::process_image::Drive;
use twinplate_sim::distribution::f_tail;
use twinplate_sim::files::FileError;
use twinplate_sim::math::{max, min, sqrt};

/// Level of the test for a drag that grows with the speed.
pub const LEVEL: f64 = 0.01;

/// What is told of a drive.
#[derive(Clone, Debug, PartialEq)]
pub struct Found {
    /// Which.
    pub drive: Drive,
    /// Inertia at the driven part, kg·m².
    pub inertia: Estimate,
    /// Drag while turning, N·m.
    pub drag: Estimate,
    /// Runs; speeds and torques are turned so that the drive turns forwards.
    pub runs: Vec<Run>,
    /// Fitted speeds of each run, rad/s.
    pub fitted: Vec<Vec<f64>>,
    /// Every sample's residual, rad/s.
    pub rows: Vec<Row>,
    /// Scatter about the law, rad/s.
    pub deviation: f64,
    /// Factor by which intervals are wider because residuals hang together.
    pub widened: f64,
    /// Whether a drag that grows with the speed fits better; `None` where it cannot be told.
    pub grows: Option<FTest>,
    /// Drag at standstill's edge and at the largest speed where it grows, N·m.
    pub ends: Option<[f64; 2]>,
}

impl Found {
    /// A drag of one value says what the log does.
    #[must_use]
    pub fn holds(&self) -> bool {
        let matters = self
            .ends
            .is_none_or(|[low, high]| high - low > 0.2 * max(self.drag.value, 1e-9));
        !(matters && self.grows.is_some_and(|test| test.chance < LEVEL))
    }
}

/// Everything that is told of a sheet of drives.
#[derive(Clone, Debug, PartialEq)]
pub struct DrivesReport {
    /// Name of the sheet.
    pub file: String,
    /// Each drive of the sheet, in the order of the machine.
    pub drives: Vec<Found>,
    /// Unit of the torques.
    pub torque: Shown,
    /// Unit of the speeds.
    pub speed: Shown,
}

/// Reads a sheet and finds inertia and drag of every drive in it.
///
/// # Errors
/// Everything that is wrong with the sheet, with line and column; and drives whose runs cannot tell.
pub fn calibrate(file: &str, bytes: &[u8]) -> Result<DrivesReport, Vec<FileError>> {
    let mut data = runs::read(file, bytes)?;
    let mut drives = Vec::new();
    for (drive, runs) in std::mem::take(&mut data.drives) {
        match of_drive(drive, &runs) {
            Ok(found) => drives.push(found),
            Err((message, expected)) => data.refuse(&runs, message, expected),
        }
    }
    data.finish(file, drives)
}

type Refused = (String, &'static str);

fn of_drive(drive: Drive, runs: &[Run]) -> Result<Found, Refused> {
    let means = runs
        .iter()
        .map(|run| run.samples.iter().map(|s| s.torque).sum::<f64>() / run.samples.len() as f64);
    let [low, high] = means.fold([f64::INFINITY, f64::NEG_INFINITY], |[low, high], torque| {
        [min(low, torque), max(high, torque)]
    });
    let both = "a run-up and a coast-down of the drive, told apart under `run`: the torque of one alone goes into inertia and drag alike";
    let untold = || {
        (
            format!(
                "the runs of `{}` do not tell inertia and drag apart",
                drive.name()
            ),
            both,
        )
    };
    // Torque that only wanders about one value is none that differs.
    if high - low <= 0.2 * max(high, 1e-9) {
        return Err(untold());
    }
    let speeds: Vec<f64> = runs
        .iter()
        .flat_map(|run| run.samples.iter().map(|s| s.speed))
        .collect();
    let lines: Vec<usize> = runs
        .iter()
        .flat_map(|run| run.samples.iter().map(|s| s.line))
        .collect();
    let plain = fit(&rows(runs, false), &speeds)
        .filter(|fit| fit.freedom > 0)
        .ok_or_else(untold)?;
    let at = runs.len();
    let (over, slowing) = (plain.coefficients[at], plain.coefficients[at + 1]);
    if over <= 0.0 {
        return Err((
            format!("`{}` does not speed up with its torque", drive.name()),
            "torque and speed of one sense: both positive, or both negative",
        ));
    }
    let (inertia, drag) = (1.0 / over, slowing / over);
    let widened = widening(&parts(runs, &plain.residuals));
    let freedom = plain.freedom as f64;
    let deviation = |weights: [f64; 2]| {
        let mut all = vec![0.0; at + 2];
        [all[at], all[at + 1]] = weights;
        widened * plain.deviation() * sqrt(max(plain.form(&all), 0.0))
    };
    // To first order: both are ratios of coefficients.
    let of_inertia = deviation([inertia * inertia, 0.0]);
    let of_drag = deviation([-drag * inertia, inertia]);
    let (grows, ends) = growing(runs, &speeds, &plain, widened);
    let fitted: Vec<f64> = speeds
        .iter()
        .zip(&plain.residuals)
        .map(|(v, r)| v - r)
        .collect();
    let mut from = 0;
    let fitted = runs
        .iter()
        .map(|run| {
            let part = fitted[from..from + run.samples.len()].to_vec();
            from += run.samples.len();
            part
        })
        .collect();
    Ok(Found {
        drive,
        inertia: Estimate::new(inertia, of_inertia, freedom),
        drag: Estimate::new(drag, of_drag, freedom),
        runs: runs.to_vec(),
        fitted,
        rows: plain.rows(&lines),
        deviation: plain.deviation(),
        widened,
        grows,
        ends,
    })
}

/// Residuals of each run.
fn parts<'a>(runs: &[Run], residuals: &'a [f64]) -> Vec<&'a [f64]> {
    let mut from = 0;
    runs.iter()
        .map(|run| {
            let part = residuals.get(from..from + run.samples.len()).unwrap_or(&[]);
            from += run.samples.len();
            part
        })
        .collect()
}

/// Regressors: a beginning for each run, the torque over time, the time; and, `growing`, the angle turned.
fn rows(runs: &[Run], growing: bool) -> Vec<Vec<f64>> {
    let mut rows = Vec::new();
    for (number, run) in runs.iter().enumerate() {
        let (mut push, mut angle) = (0.0, 0.0);
        for (n, sample) in run.samples.iter().enumerate() {
            if let Some(before) = n.checked_sub(1).and_then(|n| run.samples.get(n)) {
                let passed = sample.time - before.time;
                push += 0.5 * passed * (before.torque + sample.torque);
                angle += 0.5 * passed * (before.speed + sample.speed);
            }
            let mut row = vec![0.0; runs.len()];
            row[number] = 1.0;
            let start = run.samples.first().map_or(0.0, |first| first.time);
            row.extend([push, -(sample.time - start)]);
            if growing {
                row.push(-angle);
            }
            rows.push(row);
        }
    }
    rows
}

/// Whether a drag that grows with the speed takes more off the residuals than chance, with as many rows as are independent; and such a drag
/// at no speed and at the largest.
fn growing(
    runs: &[Run],
    speeds: &[f64],
    plain: &Fit,
    widened: f64,
) -> (Option<FTest>, Option<[f64; 2]>) {
    let Some(with) = fit(&rows(runs, true), speeds).filter(|fit| fit.freedom > 0) else {
        return (None, None);
    };
    let at = runs.len();
    // Residuals that hang together only because the law lacks the term are none of the better one.
    let own = min(widened, widening(&parts(runs, &with.residuals)));
    let Some(mut test) = FTest::new(
        (plain.squares - with.squares, 1),
        (with.squares, with.freedom),
    ) else {
        return (None, None);
    };
    test.f /= own * own;
    test.chance = f_tail(test.f, 1.0, with.freedom as f64);
    let fastest = speeds.iter().copied().fold(0.0, max);
    let inertia = 1.0 / max(with.coefficients[at], 1e-12);
    let low = with.coefficients[at + 1] * inertia;
    let high = low + with.coefficients[at + 2] * inertia * fastest;
    (Some(test), Some([low, high]))
}

//! Each drive by itself, the plate parked and the carriers out: a run-up at a lowered torque limit, then coasting.

use super::head;
use firmware_core::process_image::{ALL_DRIVES, Outputs};
use std::f64::consts::PI;
use std::fmt::Write as _;
use twinplate_sim::files::Set;
use twinplate_sim::math::{abs, ceil, max, nearest_within};
use twinplate_sim::model::Deviations;
use twinplate_sim::plant::Plant;

/// Torque limit of the run-up, share of the drive's; at least so many times its drag.
const LIMIT: f64 = 0.1;
const OVER_DRAG: f64 = 3.0;
/// A digit of the torque's input, N·m.
const DIGIT: f64 = 0.1;
/// Share of its largest speed that a drive is run up to.
const TO: f64 = 0.9;
/// One count of a speed setpoint, rad/s (0.01 rpm).
const SPEED_COUNT: f64 = PI / 3000.0;
/// Ticks between two readings of a drive.
const READING: u32 = 5;
/// Most rows of a run.
const ROWS: usize = 150;
/// Ticks after which a run is given up: ten minutes.
const LONGEST: u32 = 600_000;

/// The sheet of a machine's drives.
#[must_use]
pub fn drives(set: &Set, deviations: &Deviations, seed: u64) -> String {
    let file = &set.machine.value;
    let mut text = head(
        &file.id,
        "run-ups and coast-downs, plate parked and carriers out",
    );
    text.push_str("drive, run, time [s], speed [rpm], torque [N·m]\n");
    for drive in ALL_DRIVES {
        let at = drive as usize;
        if file.drives[at].fixed {
            continue;
        }
        let mut machine = file.clone();
        let own = &mut machine.drives[at];
        let lowered = max(LIMIT * own.torque, OVER_DRAG * own.drag);
        own.torque = ceil(lowered / DIGIT - 1e-9) * DIGIT;
        let limit = own.torque;
        let speed = TO * own.speed;
        let batch = &set.batch.value;
        let consumables = &set.recipe.value.consumables;
        let mut plant = Plant::new(&machine, batch, consumables, deviations, seed).emptied();
        let mut out = Outputs::default();
        out.drives[at].enable = true;
        out.drives[at].setpoint = nearest_within(speed / SPEED_COUNT, 0.0, 32_767.0) as i16;
        let up = run(&mut plant, &out, at, |_, torque| {
            torque > limit - 0.5 * DIGIT
        });
        out.drives[at].enable = false;
        let down = run(&mut plant, &out, at, |speed, _| {
            speed > 0.05 * own_rpm(file.drives[at].speed)
        });
        for (word, rows) in [("up", up), ("down", down)] {
            for [time, speed, torque] in rows {
                let _ = writeln!(
                    text,
                    "{}, {word}, {time:.3}, {speed:.2}, {torque:.1}",
                    drive.name()
                );
            }
        }
    }
    text
}

fn own_rpm(speed: f64) -> f64 {
    speed * 30.0 / PI
}

/// Time (s), speed (rpm) and torque (N·m) as the drive reports them for as long as it goes on so, thinned.
fn run(
    plant: &mut Plant,
    out: &Outputs,
    at: usize,
    goes_on: impl Fn(f64, f64) -> bool,
) -> Vec<[f64; 3]> {
    let mut rows = Vec::new();
    for reading in 0..LONGEST / READING {
        for _ in 0..READING {
            plant.step(out);
        }
        let Some(drive) = plant.inputs().drives.get(at) else {
            break;
        };
        let (speed, torque) = (
            f64::from(drive.speed) * 0.01,
            f64::from(drive.torque) * DIGIT,
        );
        if !goes_on(abs(speed), abs(torque)) {
            if rows.is_empty() && reading < 2 {
                continue;
            }
            break;
        }
        rows.push([f64::from(READING * (reading + 1)) * 1e-3, speed, torque]);
    }
    let every = rows.len().div_ceil(ROWS).max(1);
    rows.into_iter().step_by(every).collect()
}

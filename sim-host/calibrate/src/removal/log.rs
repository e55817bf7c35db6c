//! A trial from the trace of its run: pressure and sliding speed row by row instead of as they were set.

use crate::trace;
use firmware_core::process_image::{ALL_DRIVES, DRIVES};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::max;
use twinplate_sim::plant::circles::Circles;

use super::trials::own_weight;

/// Opens a trace by the name that stands in the sheet: its bytes, or why there are none.
pub type Open<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, String>;

/// Share of the largest load from which a row counts as under load. The plate floats on its counterbalance with more.
const UNDER_LOAD: f64 = 0.05;

/// What a run pressed and slid: mean pressure of both faces, Pa; the mean sliding speed that with it gives the integral of their product,
/// m/s; time under load, s.
pub(super) struct Lapped {
    pub pressure: f64,
    pub speed: f64,
    pub time: f64,
}

/// Reads a trace. Load and speeds are those that the controller and the drives reported, and no true value of the simulation.
pub(super) fn lapped(name: &str, bytes: &[u8], set: &Set) -> Result<Lapped, Vec<FileError>> {
    let mut names = vec![
        "time".to_owned(),
        "controller_load_min".to_owned(),
        "controller_load_max".to_owned(),
    ];
    names.extend(ALL_DRIVES.map(|drive| format!("measured_speed_{}", drive.name())));
    let columns = trace::columns(name, bytes, &names)?;
    let [time, low, high, speeds @ ..] = &columns[..] else {
        return Ok(Lapped {
            pressure: 0.0,
            speed: 0.0,
            time: 0.0,
        });
    };
    const RPM: f64 = std::f64::consts::PI / 30.0;
    let batch = &set.batch.value;
    let geometry = &set.machine.value.geometry;
    let circles = Circles::new(geometry, batch);
    let loads: Vec<f64> = low.iter().zip(high).map(|(a, b)| 0.5 * (a + b)).collect();
    let least = UNDER_LOAD * loads.iter().copied().fold(0.0, max);
    let (mut lasted, mut pressed, mut lapped) = (0.0, 0.0, 0.0);
    let mut last = ([f64::NAN; DRIVES], 0.0);
    for row in 1..time.len() {
        let turning: [f64; DRIVES] = std::array::from_fn(|at| speeds[at][row] * RPM);
        if turning != last.0 {
            let [lower, upper] = circles.sliding(geometry, &turning);
            last = (turning, 0.5 * (lower + upper));
        }
        let (load, sliding) = (loads[row], last.1);
        if load <= least || sliding <= 0.0 {
            continue;
        }
        let step = time[row] - time[row - 1];
        let pressure = load / batch.area() + own_weight(batch);
        lasted += step;
        pressed += pressure * step;
        lapped += pressure * sliding * step;
    }
    if lasted <= 0.0 || pressed <= 0.0 {
        let message = "nothing was lapped in this run".to_owned();
        let expected = "the trace of a run in which plates turned under load";
        return Err(vec![FileError::whole(
            "inconsistent",
            name,
            message,
            expected,
        )]);
    }
    Ok(Lapped {
        pressure: pressed / lasted,
        speed: lapped / pressed,
        time: lasted,
    })
}

//! A trial from the trace of its run: pressure and sliding speed row by row instead of as they were set.

use crate::trace;
use firmware_core::process_image::{ALL_DRIVES, DRIVES};
use twinplate_sim::files::{FileError, Set};
use twinplate_sim::math::{exp, max};
use twinplate_sim::plant::abrasion::Supply;
use twinplate_sim::plant::circles::Circles;

use super::trials::own_weight;

/// Opens a trace by the name that stands in the sheet: its bytes, or why there are none.
pub type Open<'a> = &'a dyn Fn(&str) -> Result<Vec<u8>, String>;

/// Share of the largest load from which a row counts as under load. The plate floats on its counterbalance with more.
const UNDER_LOAD: f64 = 0.05;

/// What a run pressed and slid: mean pressure of both faces, Pa; the mean sliding speed that with it gives the integral of their product,
/// m/s; time under load, s; slurry pumped meanwhile, m³. Time counts by the grains in the gap: rinse water washes them out while the plates
/// run down, and what is pressed then laps little.
pub(super) struct Lapped {
    pub pressure: f64,
    pub speed: f64,
    pub time: f64,
    pub pumped: f64,
}

impl Lapped {
    /// What swarf left of the cut in the mean, where so much thickness was lost, m: at rest its share of the gap is what the parts lose
    /// over what flows.
    pub(super) fn cleared(&self, lost: f64, set: &Set) -> f64 {
        let supply = Supply::of(&set.recipe.value.consumables);
        supply.cleared(lost * set.batch.value.area() / max(self.pumped, 1e-12))
    }
}

/// Reads a trace. Loads, speeds and flows are those that the controller and the cards reported, and no true value of the simulation.
pub(super) fn lapped(name: &str, bytes: &[u8], set: &Set) -> Result<Lapped, Vec<FileError>> {
    let mut names = vec![
        "time".to_owned(),
        "controller_load_min".to_owned(),
        "controller_load_max".to_owned(),
        "measured_flow".to_owned(),
        "measured_rinse_flow".to_owned(),
    ];
    names.extend(ALL_DRIVES.map(|drive| format!("measured_speed_{}", drive.name())));
    let columns = trace::columns(name, bytes, &names)?;
    let [time, low, high, slurry, rinse, speeds @ ..] = &columns[..] else {
        return Ok(Lapped {
            pressure: 0.0,
            speed: 0.0,
            time: 0.0,
            pumped: 0.0,
        });
    };
    const RPM: f64 = std::f64::consts::PI / 30.0;
    let batch = &set.batch.value;
    let geometry = &set.machine.value.geometry;
    let circles = Circles::new(geometry, batch);
    let loads: Vec<f64> = low.iter().zip(high).map(|(a, b)| 0.5 * (a + b)).collect();
    let least = UNDER_LOAD * loads.iter().copied().fold(0.0, max);
    let (mut lasted, mut pressed, mut lapped, mut pumped) = (0.0, 0.0, 0.0, 0.0);
    let mut gap = Gap::of(set);
    let mut last = ([f64::NAN; DRIVES], 0.0);
    for row in 1..time.len() {
        let turning: [f64; DRIVES] = std::array::from_fn(|at| speeds[at][row] * RPM);
        if turning != last.0 {
            let [lower, upper] = circles.sliding(geometry, &turning);
            last = (turning, 0.5 * (lower + upper));
        }
        let (load, sliding) = (loads[row], last.1);
        let step = time[row] - time[row - 1];
        let grains = gap.grains(
            [slurry[row], rinse[row]].map(|flow| flow * ML_A_MINUTE),
            step,
        );
        if load <= least || sliding <= 0.0 {
            continue;
        }
        let pressure = load / batch.area() + own_weight(batch);
        lasted += grains * step;
        pressed += pressure * grains * step;
        lapped += pressure * sliding * grains * step;
        pumped += slurry[row] * ML_A_MINUTE * step;
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
        pumped,
    })
}

const ML_A_MINUTE: f64 = 1.0 / 60e6;

/// Grains in the gap: what flows renews it, and rinse water brings none.
struct Gap {
    supply: Supply,
    volume: f64,
    charge: f64,
}

impl Gap {
    fn of(set: &Set) -> Self {
        let slurry = &set.machine.value.slurry;
        Self {
            supply: Supply::of(&set.recipe.value.consumables),
            volume: slurry.flow_max * slurry.wet_time,
            charge: 0.0,
        }
    }

    /// What cuts, against fresh slurry, after a time with these flows of slurry and rinse water, m³/s.
    fn grains(&mut self, [slurry, rinse]: [f64; 2], step: f64) -> f64 {
        let total = slurry + rinse;
        if total > 0.0 {
            let renewed = 1.0 - exp(-total / self.volume * step);
            self.charge += (slurry / total - self.charge) * renewed;
        }
        let fresh = self.supply.cutting(1.0);
        if fresh > 0.0 {
            self.supply.cutting(self.charge) / fresh
        } else {
            0.0
        }
    }
}

//! What the cell adds to a load, as its machine file says: creep, parabola, lash. It is taken off before anything is fitted, because it
//! looks like hysteresis and gain of the regulator. The span is not: `calibrate cell` finds that.

use super::log::{Log, Test};
use twinplate_sim::math::{exp, max};
use twinplate_sim::model::Machine;

/// Pause after which a new recording begins with a cell that has settled, s.
const LONG: f64 = 3600.0;

/// Takes the cell's own share off every load. Loads are tared with the plate hanging, where the rod force is its weight upwards.
pub(super) fn taken_off(log: &mut Log, machine: &Machine) {
    let cell = &machine.cell;
    let weight = machine.actuator.weight();
    let (half_lash, parabola) = (0.5 * cell.lash, cell.nonlinearity / cell.range);
    let bent = |x: f64| x + parabola * x * x;
    let hanging = bent(-max(weight - half_lash, 0.0));
    let mut creep: Option<[f64; 2]> = None;
    let mut before: Option<f64> = None;
    for run in &mut log.runs {
        let timed = !matches!(run.test, Test::Rest | Test::Lower | Test::Lift);
        for sample in &mut run.samples {
            if !sample.load.is_finite() {
                continue;
            }
            let mut parts = creep.unwrap_or(cell.creep.map(|share| share * sample.load));
            if timed {
                if let Some(time) = before {
                    let passed = sample.time - time;
                    if (0.0..LONG).contains(&passed) {
                        for ((part, share), constant) in
                            parts.iter_mut().zip(cell.creep).zip(cell.creep_time)
                        {
                            *part += (share * sample.load - *part)
                                * (1.0 - exp(-passed / max(constant, 1e-3)));
                        }
                    } else {
                        parts = cell.creep.map(|share| share * sample.load);
                    }
                }
                // After a pause it has stood at the new load for most of it.
                before = Some(sample.time);
            }
            creep = Some(parts);
            let calibrated = sample.load - parts[0] - parts[1] + hanging;
            let straight = calibrated - parabola * calibrated * calibrated;
            let force = if straight > 0.0 {
                straight + half_lash
            } else {
                straight - half_lash
            };
            sample.load = force + weight;
        }
    }
}

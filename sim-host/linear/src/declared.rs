//! The line that a machine file declares, as its controller sees it, and what a loop on it can bear.

use super::line::{Defect, Line, LowPass, Sampling, Transfer};
use super::margins::{Margins, margins};
use firmware_core::units::TICK_SECONDS;
use std::f64::consts::FRAC_1_SQRT_2;
use twinplate_sim::model::{Gains, Machine};

/// Damping ratio of the cell's low-pass (process model, section 3).
const CELL_DAMPING: f64 = 0.7;

/// Factors on what is declared: a machine of the envelope.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Factors {
    /// On the static gain.
    pub gain: f64,
    /// On the lag.
    pub lag: f64,
    /// On the dead time.
    pub dead_time: f64,
}

/// As declared.
pub const NOMINAL: Factors = Factors {
    gain: 1.0,
    lag: 1.0,
    dead_time: 1.0,
};

/// The declared line: regulator, cell, the controller's filter, its tick and a tick of computing.
#[must_use]
pub fn declared(machine: &Machine, factors: Factors) -> Line {
    let filter = |corner, damping| LowPass { corner, damping };
    Line {
        process: Transfer {
            gain: machine.actuator.line_gain() * factors.gain,
            integrators: 0,
            lags: vec![machine.actuator.lag * factors.lag],
            zeros: vec![],
            dead_time: machine.actuator.dead_time * factors.dead_time,
        },
        analogue: vec![filter(machine.cell.bandwidth, CELL_DAMPING)],
        // The core's biquad is a Butterworth filter.
        digital: vec![filter(machine.control.filter, FRAC_1_SQRT_2)],
        sampling: Some(Sampling {
            period: f64::from(TICK_SECONDS),
            computing: 1,
        }),
    }
}

/// The envelope's worst edges: highest gain, longest dead time, shortest and longest lag.
#[must_use]
pub fn edges(machine: &Machine) -> [Factors; 2] {
    let envelope = &machine.envelope;
    [1.0 - envelope.lag, 1.0 + envelope.lag].map(|lag| Factors {
        gain: 1.0 + envelope.regulator_gain,
        lag,
        dead_time: 1.0 + envelope.dead_time,
    })
}

/// Margins on the declared line.
///
/// # Errors
///
/// A number that no loop can be built from; a checked machine file has none.
pub fn nominal_margins(machine: &Machine, gains: &Gains) -> Result<Margins, Defect> {
    margins(&declared(machine, NOMINAL), gains)
}

/// Margins at the envelope's worst edge: the one with the smaller gain margin.
///
/// # Errors
///
/// As [`nominal_margins`].
pub fn worst_margins(machine: &Machine, gains: &Gains) -> Result<Margins, Defect> {
    let [short, long] = edges(machine);
    let short = margins(&declared(machine, short), gains)?;
    let long = margins(&declared(machine, long), gains)?;
    Ok(if short.gain < long.gain { short } else { long })
}

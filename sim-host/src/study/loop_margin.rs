//! Margins of the load loop on the declared line: gain and phase margin and largest sensitivity, exact in dead time.
//!
//! `L(s) = Kc (1 + 1/(Ti s)) · G e^(-θs)/(τs + 1) · filters`, the filters being second-order low-passes (damping 0.7) of the
//! cell and of the controller. Rule and measures: Skogestad, J. Process Control 13 (2003) 291-309; Åström & Hägglund for Ms.

use crate::math::{abs, atan2, cos, exp, max, sin, sqrt};
use crate::model::{Gains, Machine};
use std::f64::consts::{PI, TAU};

/// Damping ratio of the cell's low-pass (process model, section 3); the controller's Butterworth one is 1 % from it.
const DAMPING: f64 = 0.7;

/// Half a tick of sampling and one tick of computing, s.
const SAMPLING: f64 = 0.0015;

/// What the loop sees between command and measured load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Line {
    /// Static gain, N for a full command.
    pub gain: f64,
    /// Lag, s.
    pub lag: f64,
    /// Dead time, s, sampling included where it matters.
    pub dead_time: f64,
    /// Corner frequencies of second-order low-passes in the path, Hz; an infinite one is none.
    pub filters: [f64; 2],
}

impl Line {
    /// The declared line of a machine, with its gain, lag and dead time multiplied by the factors given.
    #[must_use]
    pub fn of(machine: &Machine, gain: f64, lag: f64, dead_time: f64) -> Self {
        Self {
            gain: machine.actuator.line_gain() * gain,
            lag: machine.actuator.lag * lag,
            dead_time: machine.actuator.dead_time * dead_time + SAMPLING,
            filters: [machine.cell.bandwidth, machine.control.filter],
        }
    }
}

/// What the loop can bear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// Factor on the gain at which the loop swings; infinite when it never does.
    pub gain: f64,
    /// Phase margin, rad.
    pub phase: f64,
    /// Largest sensitivity, the peak of `|1/(1 + L)|`.
    pub sensitivity: f64,
}

/// Magnitude and unwrapped phase (rad) of the open loop at `w` rad/s.
fn open_loop(line: &Line, gains: &Gains, w: f64) -> (f64, f64) {
    let integral = gains.ti * w;
    let mut magnitude = gains.kc * line.gain * sqrt(1.0 + 1.0 / (integral * integral));
    let mut phase = -atan2(1.0, integral);
    magnitude /= sqrt(1.0 + line.lag * line.lag * w * w);
    phase -= atan2(line.lag * w, 1.0) + line.dead_time * w;
    for filter in line.filters {
        if filter.is_finite() {
            let x = w / (TAU * filter);
            let (re, im) = (1.0 - x * x, 2.0 * DAMPING * x);
            magnitude /= sqrt(re * re + im * im);
            phase -= atan2(im, re);
        }
    }
    (magnitude, phase)
}

/// Margins of a PI loop on a line.
///
/// Frequencies are walked on a logarithmic grid fine enough that the peak of the sensitivity is met within 1e-4 of itself.
#[must_use]
pub fn margins(line: &Line, gains: &Gains) -> Margins {
    const POINTS: u32 = 6000;
    let slowest = line.lag + line.dead_time + gains.ti;
    let (low, high) = (1e-3 / slowest, 60.0 / max(line.dead_time, slowest * 1e-3));
    let ratio = crate::math::log(high / low) / f64::from(POINTS);
    let mut found = Margins {
        gain: f64::INFINITY,
        phase: PI,
        sensitivity: 1.0,
    };
    let mut before = open_loop(line, gains, low);
    let mut crossed = false;
    for point in 1..=POINTS {
        let w = low * exp(ratio * f64::from(point));
        let (magnitude, phase) = open_loop(line, gains, w);
        if before.1 > -PI && phase <= -PI && found.gain.is_infinite() {
            let share = (before.1 + PI) / (before.1 - phase);
            found.gain = 1.0 / (before.0 + share * (magnitude - before.0));
        }
        if before.0 > 1.0 && magnitude <= 1.0 && !crossed {
            crossed = true;
            let share = (before.0 - 1.0) / (before.0 - magnitude);
            found.phase = PI + before.1 + share * (phase - before.1);
        }
        let (re, im) = (1.0 + magnitude * cos(phase), magnitude * sin(phase));
        found.sensitivity = max(found.sensitivity, 1.0 / max(sqrt(re * re + im * im), 1e-12));
        before = (magnitude, phase);
    }
    found
}

/// Margins at the envelope's worst edge: highest gain, longest dead time, and whichever lag is worse.
#[must_use]
pub fn worst_margins(machine: &Machine, gains: &Gains) -> Margins {
    let envelope = &machine.envelope;
    let edge = |lag| {
        margins(
            &Line::of(
                machine,
                1.0 + envelope.regulator_gain,
                lag,
                1.0 + envelope.dead_time,
            ),
            gains,
        )
    };
    let (short, long) = (edge(1.0 - envelope.lag), edge(1.0 + envelope.lag));
    if abs(short.gain) < abs(long.gain) {
        short
    } else {
        long
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: reference values F, computed with scipy and python-control from Skogestad's processes, dead time exact
    /// (rows A1, A2, A3, A5, A8 of the loops table).
    #[test]
    // A gain margin of 3.1416 is printed in the table; that it is pi is no accident (SIMC on a pure lag), but the row says so.
    #[allow(clippy::approx_constant)]
    fn margins_of_computed_loops() {
        for (lag, kc, ti, gm, pm, ms) in [
            (1.0, 0.5, 1.0, 3.1416, 61.352, 1.5905),
            (8.0, 4.0, 8.0, 3.1416, 61.352, 1.5905),
            (20.0, 10.0, 8.0, 3.0348, 52.512, 1.6512),
            (1.0, 1.0178, 2.5809, 2.0302, 79.376, 2.0484),
            (1.0, 0.25, 1.0, 6.2832, 75.676, 1.2489),
        ] {
            let line = Line {
                gain: 1.0,
                lag,
                dead_time: 1.0,
                filters: [f64::INFINITY; 2],
            };
            let found = margins(
                &line,
                &Gains {
                    kc,
                    ti,
                    weight: 1.0,
                },
            );
            assert!((found.gain / gm - 1.0).abs() < 1e-3, "{found:?} GM {gm}");
            assert!(
                (found.phase.to_degrees() - pm).abs() < 0.05,
                "{found:?} PM {pm}"
            );
            assert!(
                (found.sensitivity / ms - 1.0).abs() < 1e-3,
                "{found:?} Ms {ms}"
            );
        }
    }
}

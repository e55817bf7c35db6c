//! What gains are tuned for: a nominal line, the corners of what is known of it, and limits.

use crate::optimum::Limits;
use crate::rules;
use firmware_core::units::TICK_SECONDS;
use twinplate_linear::declared::{self, Factors};
use twinplate_linear::line::{Defect, Line, LowPass, Sampling, demand};
use twinplate_linear::model::{Order, ProcessModel};
use twinplate_sim::math::max;
use twinplate_sim::model::Machine;

/// Largest sensitivity on the nominal line: the upper end of what loops are tuned for (1.4 to 1.7 and seldom 2; Åström & Hägglund,
/// from memory).
pub const NOMINAL_MS: f64 = 1.7;
/// Largest sensitivity on the worst corner, where gain, lag and dead time are all at their worst edge: a gain margin of at least 1.67
/// and a phase margin of at least 23° are left there (from `Ms/(Ms-1)` and `2 asin(1/(2 Ms))`).
pub const WORST_MS: f64 = 2.5;
/// Largest overshoot of a plain setpoint step, share, where only a log is known (common practice, no source). With a machine the trial
/// on the real controller judges it, ramp and model-following included.
const PLAIN_OVERSHOOT: f64 = 0.1;
/// Most travel of the command after a unit disturbance: it may go half as far again and come back (common practice, no source).
const TRAVEL: f64 = 2.0;
/// Standard deviations of noise on the command that must not reach one jump of the regulator: above it the actuator works all the
/// time, and wears, without a reason in the load.
const NOISE_SIGMAS: f64 = 3.0;

const LIMITS: Limits = Limits {
    sensitivity: NOMINAL_MS,
    corner_sensitivity: WORST_MS,
    overshoot: f64::INFINITY,
    travel: TRAVEL,
    noise: f64::INFINITY,
};

/// A line that may be the true one.
#[derive(Clone, Debug, PartialEq)]
pub struct Corner {
    /// Which, for people: "gain +5 %, lag -30 %, dead time +30 %".
    pub what: String,
    /// The line.
    pub line: Line,
}

/// What gains are tuned for.
#[derive(Clone, Debug, PartialEq)]
pub struct Lines {
    /// Best knowledge.
    pub nominal: Line,
    /// Edges of that knowledge.
    pub corners: Vec<Corner>,
    /// Limits.
    pub limits: Limits,
}

impl Lines {
    /// The line that a machine file declares, and the eight corners of its envelope.
    #[must_use]
    pub fn declared(machine: &Machine) -> Self {
        let e = &machine.envelope;
        let mut corners = Vec::with_capacity(8);
        for bits in 0..8_u8 {
            let side = |bit: u8| if bits >> bit & 1 == 0 { -1.0 } else { 1.0 };
            let shares = [
                side(0) * e.regulator_gain,
                side(1) * e.lag,
                side(2) * e.dead_time,
            ];
            let factors = Factors {
                gain: 1.0 + shares[0],
                lag: 1.0 + shares[1],
                dead_time: 1.0 + shares[2],
            };
            corners.push(Corner {
                what: corner_words(shares),
                line: declared::declared(machine, factors),
            });
        }
        Self {
            nominal: declared::declared(machine, declared::NOMINAL),
            corners,
            limits: Limits {
                noise: quiet(machine),
                ..LIMITS
            },
        }
    }

    /// A fitted model with its 95 % intervals (gain, first lag, second lag, dead time), and what is known of the controller. Every
    /// corner stays: one left out would let a worse known model have the bolder gains.
    ///
    /// # Errors
    /// An interval that holds a process around which no loop can be closed: a gain of either sign, an end that is no number.
    pub fn fitted(
        model: &ProcessModel,
        intervals: [[f64; 2]; 4],
        loop_: &Controller,
    ) -> Result<Self, Defect> {
        let [gain, tau1, tau2, dead_time] = intervals;
        let mut corners = Vec::with_capacity(8);
        for bits in 0..8_u8 {
            let pick = |bit: u8, ends: [f64; 2]| ends[usize::from(bits >> bit & 1)];
            let corner = ProcessModel {
                order: model.order,
                gain: pick(0, gain),
                tau1: if model.order == Order::Integrating {
                    0.0
                } else {
                    pick(1, tau1)
                },
                tau2: pick(1, tau2),
                dead_time: max(pick(2, dead_time), 0.0),
            };
            demand(
                corner.gain * model.gain > 0.0,
                "an end of the gain's interval",
                corner.gain,
                "the data leave open which way the output moves; give a log with a larger step or less noise",
            )?;
            let share = |new: f64, old: f64| if old == 0.0 { 0.0 } else { new / old - 1.0 };
            let line = loop_.line(&corner);
            line.check()?;
            corners.push(Corner {
                what: corner_words([
                    share(corner.gain, model.gain),
                    share(corner.tau1, model.tau1),
                    share(corner.dead_time, model.dead_time),
                ]),
                line,
            });
        }
        Ok(Self {
            nominal: loop_.line(model),
            corners,
            limits: Limits {
                overshoot: PLAIN_OVERSHOOT,
                ..LIMITS
            },
        })
    }

    /// Rules are for one lag with dead time: the nominal line so reduced, its filters, holding and computing counted as dead time.
    ///
    /// # Errors
    /// A line that cannot be reduced.
    pub fn reduced(&self) -> Result<ProcessModel, Defect> {
        rules::half_rule(&self.nominal.process, rules::overhead(&self.nominal))
    }
}

/// What is known of the controller around a fitted model.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Controller {
    /// Corner of its second-order low-pass, Hz.
    pub filter: Option<f64>,
    /// It is the core of this program, with its tick.
    pub core: bool,
}

impl Controller {
    /// The line around a model. What the recorder's own filter did is in the model already.
    #[must_use]
    pub fn line(&self, model: &ProcessModel) -> Line {
        let mut line = Line::plain(*model);
        line.digital.extend(self.filter.map(|corner| LowPass {
            corner,
            damping: std::f64::consts::FRAC_1_SQRT_2,
        }));
        line.sampling = self.core.then_some(Sampling {
            period: f64::from(TICK_SECONDS),
            computing: 1,
        });
        line
    }
}

fn corner_words(shares: [f64; 3]) -> String {
    let word = |name: &str, share: f64| format!("{name} {:+.0} %", share * 100.0);
    format!(
        "{}, {}, {}",
        word("gain", shares[0]),
        word("lag", shares[1]),
        word("dead time", shares[2])
    )
}

/// Command per newton of measured noise at which the noisiest machine of the envelope moves the command by one jump of the
/// regulator.
fn quiet(machine: &Machine) -> f64 {
    let noise = machine.cell.noise * machine.envelope.noise_factor;
    if noise > 0.0 && machine.actuator.resolution > 0.0 {
        machine.actuator.resolution / (NOISE_SIGMAS * noise)
    } else {
        f64::INFINITY
    }
}

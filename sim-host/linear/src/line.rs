//! What a loop is closed around: process, filters, sampling; and what may be wrong with its numbers.

use super::complex::Complex;
use crate::model::{Order, ProcessModel};
use std::f64::consts::{PI, TAU};
use std::fmt;
use twinplate_sim::math::{abs, cos, floor, sin, tan};
use twinplate_sim::model::Gains;

/// A rational process with dead time: `k e^(-θs) / s^n · Π(T s + 1) / Π(τ s + 1)`.
#[derive(Clone, Debug, PartialEq)]
pub struct Transfer {
    /// Static gain, output unit per command unit; per s for each integrator. Any sign but zero.
    pub gain: f64,
    /// Integrators: 0 or 1.
    pub integrators: u8,
    /// Lags, s, each > 0.
    pub lags: Vec<f64>,
    /// Times of the numerator, s; a negative one answers the wrong way first. Fewer than lags and integrators together.
    pub zeros: Vec<f64>,
    /// Dead time, s, ≥ 0.
    pub dead_time: f64,
}

/// A second-order low-pass of unit gain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowPass {
    /// Corner (undamped natural frequency), Hz, > 0.
    pub corner: f64,
    /// Damping ratio, > 0: 0.7 for the cell (process model, section 3), 1/√2 for the controller's Butterworth filter.
    pub damping: f64,
}

/// The controller runs once a period, and its command acts a little later and is held.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sampling {
    /// Period, s, > 0.
    pub period: f64,
    /// Whole periods between a sample and the command that is computed from it.
    pub computing: u8,
}

/// Everything between command and controller input, and how often the controller looks.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Process.
    pub process: Transfer,
    /// Low-passes ahead of the converter.
    pub analogue: Vec<LowPass>,
    /// Low-passes in the controller: bilinear with the corner prewarped where it is sampled, else continuous.
    pub digital: Vec<LowPass>,
    /// None is a continuous controller.
    pub sampling: Option<Sampling>,
}

/// A number that no loop can be built from.
#[derive(Clone, Debug, PartialEq)]
pub struct Defect {
    /// Which number.
    pub place: &'static str,
    /// What it is.
    pub found: f64,
    /// What it must be, and how to mend it.
    pub expected: &'static str,
}

impl fmt::Display for Defect {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} is {}: {}", self.place, self.found, self.expected)
    }
}

impl std::error::Error for Defect {}

/// `Ok` where `good`, else the defect.
///
/// # Errors
/// The defect: what is where, and what was expected.
pub fn demand(
    good: bool,
    place: &'static str,
    found: f64,
    expected: &'static str,
) -> Result<(), Defect> {
    if good {
        Ok(())
    } else {
        Err(Defect {
            place,
            found,
            expected,
        })
    }
}

impl From<ProcessModel> for Transfer {
    fn from(model: ProcessModel) -> Self {
        let lags = match model.order {
            Order::Integrating => vec![],
            Order::First => vec![model.tau1],
            Order::Second if model.tau2 > 0.0 => vec![model.tau1, model.tau2],
            Order::Second => vec![model.tau1],
        };
        Self {
            gain: model.gain,
            integrators: u8::from(model.order == Order::Integrating),
            lags,
            zeros: vec![],
            dead_time: model.dead_time,
        }
    }
}

impl Transfer {
    /// Frequency response at `w` rad/s, dead time exact.
    #[must_use]
    pub fn at(&self, w: f64) -> Complex {
        let mut above = Complex::new(self.gain, 0.0);
        if self.dead_time > 0.0 {
            above = above * Complex::turn(-w * self.dead_time);
        }
        for zero in &self.zeros {
            above = above * Complex::new(1.0, w * zero);
        }
        let mut below = Complex::ONE;
        for _ in 0..self.integrators {
            below = below * Complex::new(0.0, w);
        }
        for lag in &self.lags {
            below = below * Complex::new(1.0, w * lag);
        }
        above / below
    }

    fn check(&self) -> Result<(), Defect> {
        const TIME: &str = "give a finite time in s above zero";
        demand(
            self.gain.is_finite() && self.gain != 0.0,
            "process gain",
            self.gain,
            "give a finite gain that is not zero; a process that does not answer cannot be controlled",
        )?;
        demand(
            self.integrators < 2,
            "integrators of the process",
            f64::from(self.integrators),
            "0 or 1; PI cannot hold a double integrator, reduce the model",
        )?;
        demand(
            self.dead_time >= 0.0 && self.dead_time.is_finite(),
            "dead time of the process",
            self.dead_time,
            "give a finite time in s, 0 or more",
        )?;
        for &lag in &self.lags {
            demand(
                lag > 0.0 && lag.is_finite(),
                "lag of the process",
                lag,
                TIME,
            )?;
        }
        for &zero in &self.zeros {
            demand(
                zero.is_finite(),
                "numerator time of the process",
                zero,
                "give a finite time in s",
            )?;
        }
        let poles = self.lags.len() + usize::from(self.integrators);
        demand(
            self.zeros.len() < poles,
            "number of numerator times of the process",
            self.zeros.len() as f64,
            "fewer than lags and integrators together: a real process does not answer at once; add the lag that is missing",
        )
    }
}

impl LowPass {
    /// Response of the continuous filter at `w` rad/s.
    #[must_use]
    pub fn at(&self, w: f64) -> Complex {
        let x = w / (TAU * self.corner);
        Complex::new(1.0 - x * x, 2.0 * self.damping * x).inverse()
    }

    /// Response at `w` rad/s of its bilinear transform with the corner prewarped: what the core's biquad is. With
    /// `s → (z-1)/(z+1)`, which on the unit circle is `j tan(wh/2)`, the frequency axis is bent and nothing else.
    #[must_use]
    pub(crate) fn sampled_at(&self, w: f64, period: f64) -> Complex {
        let x = tan(w * period / 2.0) / tan(PI * self.corner * period);
        Complex::new(1.0 - x * x, 2.0 * self.damping * x).inverse()
    }

    /// Delay to a slow ramp, s: `2ζ/ω`.
    #[must_use]
    pub fn lag(&self) -> f64 {
        2.0 * self.damping / (TAU * self.corner)
    }

    fn check(&self, sampling: Option<Sampling>) -> Result<(), Defect> {
        demand(
            self.corner > 0.0 && self.corner.is_finite(),
            "corner of a low-pass",
            self.corner,
            "give a finite frequency in Hz above zero, or leave the filter out",
        )?;
        demand(
            self.damping > 0.0 && self.damping.is_finite(),
            "damping of a low-pass",
            self.damping,
            "give a finite ratio above zero; 0.7 is usual",
        )?;
        if let Some(sampling) = sampling {
            demand(
                self.corner * sampling.period < 0.5,
                "corner of the controller's low-pass",
                self.corner,
                "keep it under half the sampling rate",
            )?;
        }
        Ok(())
    }
}

impl Line {
    /// A process with a continuous controller and no filter.
    #[must_use]
    pub fn plain(process: impl Into<Transfer>) -> Self {
        Self {
            process: process.into(),
            analogue: vec![],
            digital: vec![],
            sampling: None,
        }
    }

    /// Sum of lags, dead time, filters' delays, sampling's delay, s: the slowest that the line can be.
    #[must_use]
    pub fn slowness(&self) -> f64 {
        let filters = self.analogue.iter().chain(&self.digital);
        self.process.dead_time
            + self.process.lags.iter().sum::<f64>()
            + self.process.zeros.iter().map(|z| abs(*z)).sum::<f64>()
            + filters.map(LowPass::lag).sum::<f64>()
            + self.sampling_delay()
    }

    /// What sampling costs in dead time, s: half a period of holding and the computing.
    #[must_use]
    pub fn sampling_delay(&self) -> f64 {
        self.sampling
            .map_or(0.0, |s| s.period * (0.5 + f64::from(s.computing)))
    }

    /// Checks every number.
    ///
    /// # Errors
    ///
    /// The first number that no loop can be built from.
    pub fn check(&self) -> Result<(), Defect> {
        self.process.check()?;
        if let Some(sampling) = self.sampling {
            demand(
                sampling.period > 0.0 && sampling.period.is_finite(),
                "sampling period",
                sampling.period,
                "give a finite time in s above zero",
            )?;
        }
        for filter in &self.analogue {
            filter.check(None)?;
        }
        for filter in &self.digital {
            filter.check(self.sampling)?;
        }
        Ok(())
    }

    /// The same line with a continuous controller: sampling becomes dead time, digital filters continuous ones.
    #[must_use]
    pub fn smoothed(&self) -> Self {
        let mut line = self.clone();
        line.process.dead_time += self.sampling_delay();
        line.sampling = None;
        line
    }
}

/// Checks gains.
///
/// # Errors
///
/// The first number that no controller can be built from.
pub fn check_gains(gains: &Gains) -> Result<(), Defect> {
    demand(
        gains.kc.is_finite() && gains.kc != 0.0,
        "proportional gain",
        gains.kc,
        "give a finite gain that is not zero, command per output unit",
    )?;
    demand(
        gains.ti > 0.0 && gains.ti.is_finite(),
        "integral time",
        gains.ti,
        "give a finite time in s above zero",
    )?;
    demand(
        (0.0..=1.0).contains(&gains.weight),
        "setpoint weight",
        gains.weight,
        "give a share from 0 to 1",
    )
}

/// PI of unit proportional gain at `w` rad/s: `1 + 1/(Ti s)`, or as the core does it every `period`: the output uses the integral
/// of the samples before, `1 + (h/Ti)/(z-1)`.
#[must_use]
pub(crate) fn pi_at(ti: f64, w: f64, sampling: Option<Sampling>) -> Complex {
    match sampling {
        None => Complex::new(1.0, -1.0 / (ti * w)),
        Some(Sampling { period, .. }) => {
            // 1/(z-1) = -1/2 - (j/2) cot(wh/2), without the cancellation of z - 1.
            let (half, share) = (w * period / 2.0, period / ti);
            Complex::new(1.0 - share / 2.0, -share / 2.0 * cos(half) / sin(half))
        }
    }
}

/// Whole periods and the rest of a dead time.
pub(crate) fn split(dead_time: f64, period: f64) -> (f64, f64) {
    // Half an ulp's worth of rounding must not make a period of rest out of none.
    let whole = floor(dead_time / period + 1e-9);
    let rest = dead_time - whole * period;
    (whole, if rest < 1e-9 * period { 0.0 } else { rest })
}

//! Frequency response of a line as its controller sees it: exact in dead time, holding, computing and filters.

use super::chain::Chain;
use super::complex::Complex;
use super::line::{Defect, Line, Sampling, pi_at, split};
use super::matrix::Matrix;
use std::f64::consts::PI;

/// A checked line, made ready for quick evaluation.
#[derive(Clone, Debug)]
pub struct Response {
    line: Line,
    held: Option<Held>,
}

/// The continuous part sampled behind a hold: `c (zI - Φ)⁻¹ (Γ₀ + Γ₁ z⁻¹) z⁻ᵈ`, exact for any dead time
/// (Åström & Wittenmark, Computer-Controlled Systems, sampling of systems with time delay; from memory).
#[derive(Clone, Debug)]
struct Held {
    sampling: Sampling,
    phi: Matrix,
    now: Vec<f64>,
    before: Vec<f64>,
    read: Vec<f64>,
    whole: f64,
}

impl Held {
    fn new(line: &Line, sampling: Sampling) -> Self {
        let chain = Chain::new(&line.process, &line.analogue);
        let period = sampling.period;
        let (whole, rest) = split(line.process.dead_time, period);
        let (phi, ..) = chain.a.step(&chain.b, period);
        let (late, now, _) = chain.a.step(&chain.b, period - rest);
        let (_, early, _) = chain.a.step(&chain.b, rest);
        let mut before = vec![0.0; early.len()];
        late.apply(&early, &mut before);
        Self {
            sampling,
            phi,
            now,
            before,
            read: chain.measured,
            whole: whole + f64::from(sampling.computing),
        }
    }

    fn at(&self, w: f64) -> Complex {
        let turn = w * self.sampling.period;
        let back = Complex::turn(-turn);
        let input: Vec<Complex> = self
            .now
            .iter()
            .zip(&self.before)
            .map(|(now, before)| Complex::new(*now, 0.0) + back.scale(*before))
            .collect();
        self.phi.resolvent(Complex::turn(turn), &input, &self.read)
            * Complex::turn(-turn * self.whole)
    }
}

impl Response {
    /// Checks the line and samples it if its controller is sampled.
    ///
    /// # Errors
    ///
    /// The first number that no loop can be built from.
    pub fn new(line: &Line) -> Result<Self, Defect> {
        line.check()?;
        Ok(Self {
            held: line.sampling.map(|sampling| Held::new(line, sampling)),
            line: line.clone(),
        })
    }

    /// The line.
    #[must_use]
    pub const fn line(&self) -> &Line {
        &self.line
    }

    /// Highest frequency that means anything, rad/s: half the sampling rate, or none.
    #[must_use]
    pub fn top(&self) -> Option<f64> {
        self.line.sampling.map(|s| PI / s.period)
    }

    /// From command to controller input at `w` rad/s, > 0 and at most [`Response::top`].
    #[must_use]
    pub fn at(&self, w: f64) -> Complex {
        let Some(held) = &self.held else {
            return self
                .line
                .analogue
                .iter()
                .chain(&self.line.digital)
                .fold(self.line.process.at(w), |product, f| product * f.at(w));
        };
        self.line.digital.iter().fold(held.at(w), |product, f| {
            product * f.sampled_at(w, held.sampling.period)
        })
    }

    /// From the converter to the controller's input at `w` rad/s: the digital filters alone.
    #[must_use]
    pub(crate) fn digital_at(&self, w: f64) -> Complex {
        self.line.digital.iter().fold(Complex::ONE, |product, f| {
            product
                * match self.line.sampling {
                    None => f.at(w),
                    Some(s) => f.sampled_at(w, s.period),
                }
        })
    }

    /// The open loop with PI gains at `w` rad/s.
    #[must_use]
    pub fn open_loop(&self, kc: f64, ti: f64, w: f64) -> Complex {
        self.at(w) * self.pi(ti, w).scale(kc)
    }

    /// PI of unit proportional gain at `w` rad/s, sampled if the line is.
    #[must_use]
    pub fn pi(&self, ti: f64, w: f64) -> Complex {
        pi_at(ti, w, self.line.sampling)
    }
}

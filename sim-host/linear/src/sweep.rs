//! A line's response on a grid of frequencies that many gains share.

use super::complex::Complex;
use super::line::{Defect, Line, check_gains};
use super::response::Response;
use super::search::zero;
use std::f64::consts::TAU;
use twinplate_sim::math::{abs, max, min, sqrt};
use twinplate_sim::model::Gains;

/// Largest step in frequency, as a share, and in phase of the dead time, rad: small against the curvature of every factor of the
/// loop, so that no crossing and no peak falls between two points.
const STEP: f64 = 0.04;
const TURN: f64 = 0.15;
/// Points after which the walk ends whatever it has seen.
pub(super) const LONGEST: usize = 40_000;

/// Proportional control on its edge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ultimate {
    /// Proportional gain at which the loop swings for ever; with the sign of the process gain.
    pub kc: f64,
    /// Frequency of that swing, rad/s.
    pub w: f64,
}

impl Ultimate {
    /// Period of the swing, s.
    #[must_use]
    pub fn period(&self) -> f64 {
        TAU / self.w
    }
}

/// A line's response on a grid of frequencies that grows as it is asked for: many gains share it.
#[derive(Clone, Debug)]
pub struct Sweep {
    pub(super) response: Response,
    /// Grid downward from its middle, and upward.
    pub(super) down: Vec<(f64, Complex)>,
    pub(super) up: Vec<(f64, Complex)>,
    pub(super) slowness: f64,
    pub(super) turning: f64,
    /// From here on the magnitude of the line can only fall, rad/s.
    pub(super) falling: f64,
}

impl Sweep {
    /// Makes a line ready.
    ///
    /// # Errors
    ///
    /// The first number that no loop can be built from.
    pub fn new(line: &Line) -> Result<Self, Defect> {
        let response = Response::new(line)?;
        let slowness = line.slowness();
        let middle = match (slowness > 0.0, response.top()) {
            (true, Some(top)) => min(0.1 / slowness, 0.5 * top),
            (true, None) => 0.1 / slowness,
            (false, _) => 1.0,
        };
        // A numerator with a slower lag to pair with never lifts the magnitude; else wait until all corners are well behind.
        let mut lags = line.process.lags.clone();
        lags.sort_by(f64::total_cmp);
        let mut falling = 0.0;
        for lead in &line.process.zeros {
            match lags.iter().position(|lag| *lag >= abs(*lead)) {
                Some(place) => {
                    lags.remove(place);
                }
                None => falling = max(falling, 10.0 / abs(*lead)),
            }
        }
        for filter in line.analogue.iter().chain(&line.digital) {
            if filter.damping < 0.7 {
                falling = max(falling, TAU * filter.corner);
            }
        }
        let start = (middle, response.at(middle));
        Ok(Self {
            slowness,
            turning: line.process.dead_time + 2.0 * line.sampling_delay(),
            falling,
            up: vec![start],
            down: vec![start],
            response,
        })
    }

    /// The line's response.
    #[must_use]
    pub const fn response(&self) -> &Response {
        &self.response
    }

    pub(super) fn reach_down(&mut self, to: f64) {
        while let Some(&(w, _)) = self.down.last() {
            if w <= to {
                break;
            }
            let next = w / (1.0 + STEP);
            self.down.push((next, self.response.at(next)));
        }
    }

    /// The point of the grid at `index` upward; None past the top.
    pub(super) fn upward(&mut self, index: usize) -> Option<(f64, Complex)> {
        while self.up.len() <= index {
            let &(w, _) = self.up.last()?;
            let top = self.response.top().unwrap_or(f64::INFINITY);
            if w >= top {
                return None;
            }
            let mut next = min(w * (1.0 + STEP), w + TURN / max(self.turning, 1e-300));
            if next > top * (1.0 - 1e-9) {
                next = top;
            }
            self.up.push((next, self.response.at(next)));
        }
        self.up.get(index).copied()
    }

    /// Proportional control on its edge: the first frequency at which the line alone turns the command around.
    pub(super) fn ultimate(&mut self) -> Option<Ultimate> {
        let sign = self.response.line().process.gain.signum();
        let mut before: Option<(f64, Complex)> = None;
        for index in 0..LONGEST {
            let (w, line) = self.upward(index)?;
            let line = line.scale(sign);
            if let Some((from, last)) = before {
                let share = last.im / (last.im - line.im);
                let crosses = (last.im > 0.0) != (line.im > 0.0)
                    && last.re + share * (line.re - last.re) < 0.0;
                if crosses {
                    let w = zero(|w| self.response.at(w).im, from, w);
                    let size = self.response.at(w).magnitude();
                    return Some(Ultimate { kc: sign / size, w });
                }
            }
            if self.response.top().is_some_and(|top| w >= top) {
                // The curve ends on the real axis.
                let kc = sign / line.magnitude();
                return (line.re < 0.0).then_some(Ultimate { kc, w });
            }
            // No line that is worth controlling is that weak where it turns around.
            if line.square()
                < 1e-24 * self.response.line().process.gain * self.response.line().process.gain
            {
                return None;
            }
            before = Some((w, line));
        }
        None
    }

    /// What the loop makes of noise at the converter, command per output unit; for a stable loop.
    ///
    /// Sampled: standard deviation of the command over that of white noise, `√(1/π ∫ |C F S|² d(wh))` up to half the sampling rate.
    /// Continuous, where white noise has no finite answer: the peak of `|C F S|`. `F` are the controller's filters, `S` the sensitivity.
    ///
    /// # Errors
    ///
    /// Gains that no controller can be built from.
    pub fn noise(&mut self, gains: &Gains) -> Result<f64, Defect> {
        check_gains(gains)?;
        let top = self.response.top();
        let (mut area, mut peak) = (0.0, 0.0);
        let mut last: Option<(f64, f64)> = None;
        for index in 0..LONGEST {
            let Some((w, line)) = self.upward(index) else {
                break;
            };
            let controller = self.response.pi(gains.ti, w).scale(gains.kc);
            let open = controller * line;
            let answer =
                (controller * self.response.digital_at(w) / (Complex::ONE + open)).square();
            let (from, before) = last.unwrap_or((0.0, answer));
            area += 0.5 * (w - from) * (before + answer);
            peak = max(peak, answer);
            last = Some((w, answer));
            if top.is_none() && open.square() < 1e-6 && w * self.slowness > 1.0 {
                break;
            }
        }
        Ok(sqrt(top.map_or(peak, |top| area / top)))
    }
}

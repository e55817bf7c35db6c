//! Margins and stability of a PI loop, by a walk along its exact frequency response.
//!
//! Definitions: gain, phase and delay margin, `Ms = max |1/(1+L)|`, `Mt = max |L/(1+L)|` as in Åström & Hägglund (from memory).
//! Stability is Nyquist's count: each crossing of the negative real axis left of -1 is worth a pair of roots on the wrong side, one
//! way or the other; at half the sampling rate, where the curve ends on the real axis, it is worth one.

use super::complex::Complex;
use super::line::{Defect, Line, check_gains};
use super::search::{lowest, zero};
use super::sweep::{LONGEST, Sweep};
use std::f64::consts::TAU;
use twinplate_sim::math::{max, min, sqrt};
use twinplate_sim::model::Gains;

/// What the loop can bear.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// All closed-loop roots are where they should be.
    pub stable: bool,
    /// Factor on the gain at which the loop swings; infinite when it never does. At most one where it is not stable: the factor
    /// that brings it to the edge (zero where no lower gain does).
    pub gain: f64,
    /// Factor (< 1) below which a stable loop swings; zero when it may be opened altogether.
    pub gain_low: f64,
    /// Frequency at which it would swing, rad/s; NaN where there is none.
    pub phase_crossing: f64,
    /// Phase margin, rad: the smallest in magnitude over all gain crossings; below zero only if unstable.
    pub phase: f64,
    /// Frequency of that gain crossing, rad/s; NaN where there is none.
    pub gain_crossing: f64,
    /// Dead time that may be added before the loop swings, s; zero if unstable, infinite without gain crossing.
    pub delay: f64,
    /// Largest sensitivity `Ms`, ≥ 1.
    pub sensitivity: f64,
    /// Where that is, rad/s.
    pub sensitivity_at: f64,
    /// Largest complementary sensitivity `Mt`, ≥ 1.
    pub complementary: f64,
    /// Where that is, rad/s; zero where it is at rest.
    pub complementary_at: f64,
}

/// One point of the walk.
#[derive(Clone, Copy)]
struct Point {
    w: f64,
    open: Complex,
}

impl Point {
    fn sensitivity_inverse(&self) -> f64 {
        (Complex::ONE + self.open).square()
    }

    fn complementary_inverse(&self) -> f64 {
        self.sensitivity_inverse() / self.open.square()
    }
}

/// What the walk has met.
#[derive(Default)]
struct Met {
    /// Crossings of the negative real axis: frequency and magnitude.
    phase: Vec<(f64, f64)>,
    /// Crossings of the unit circle: frequency and angle from -1.
    gain: Vec<(f64, f64)>,
    /// Brackets of peaks of Ms and Mt, with the grid's value at the middle.
    peaks: [Vec<(f64, f64, f64)>; 2],
    /// Pairs of roots on the wrong side, twice over; a single root counts one.
    wrong: i32,
}

impl Sweep {
    /// Margins with these gains; the setpoint weight plays no part.
    ///
    /// # Errors
    ///
    /// Gains that no controller can be built from.
    pub fn margins(&mut self, gains: &Gains) -> Result<Margins, Defect> {
        check_gains(gains)?;
        let strength = gains.kc * self.response.line().process.gain;
        if strength < 0.0 {
            // Positive feedback around an integral: an odd number of roots on the wrong side, whatever the rest.
            return Ok(Margins::BACKWARDS);
        }
        let met = self.walk(gains, strength);
        Ok(self.judge(gains, &met))
    }

    /// Lowest frequency of interest, rad/s: well under the slowest corner and under the crossing that a weak integral makes.
    fn lowest(&self, ti: f64, strength: f64) -> f64 {
        let corner = 1.0 / (self.slowness + ti);
        let crossing = if self.response.line().process.integrators == 0 {
            strength / ti
        } else {
            sqrt(strength / ti)
        };
        0.02 * min(corner, crossing)
    }

    fn walk(&mut self, gains: &Gains, strength: f64) -> Met {
        let lowest = self.lowest(gains.ti, strength);
        self.reach_down(lowest);
        let sampling = self.response.line().sampling;
        let point = |(w, line): (f64, Complex)| Point {
            w,
            open: line * super::line::pi_at(gains.ti, w, sampling).scale(gains.kc),
        };
        let mut met = Met::default();
        let mut last: Option<Point> = None;
        let mut two: Option<(Point, Point)> = None;
        let mut best = f64::INFINITY;
        let from = self.down.iter().position(|&(w, _)| w <= lowest);
        let mut index = from.unwrap_or(self.down.len() - 1) as isize;
        for _ in 0..LONGEST {
            let place = if index > 0 {
                self.down.get(index.unsigned_abs()).copied()
            } else {
                self.upward(index.unsigned_abs())
            };
            index -= 1;
            let Some(place) = place else { break };
            let mut now = point(place);
            let end = self.response.top().is_some_and(|top| place.0 >= top);
            if end {
                // On the real axis but for rounding.
                now.open.im = last.map_or(0.0, |p: Point| 1e-12 * p.open.im);
            }
            match last {
                None => {
                    // Two integrators start at -π, and beyond it if the lags outweigh the integral time.
                    met.wrong += 2 * i32::from(now.open.im > 0.0 && now.open.re < 0.0);
                }
                Some(before) => self.between(gains, before, now, &mut met),
            }
            if let (Some((a, b)), c) = (two, now) {
                met.peak(a, b, c);
            }
            if end {
                if now.open.re < 0.0 {
                    met.phase.push((now.w, -now.open.re));
                    met.wrong += i32::from(now.open.re < -1.0);
                }
                break;
            }
            two = last.map(|before| (before, now));
            last = Some(now);
            best = min(best, now.sensitivity_inverse());
            let size = now.open.square();
            // Nothing that comes can be nearer to -1 than what was.
            let done = now.w > self.falling && size < 1e-2 && !met.gain.is_empty();
            let near = 1.0 - sqrt(size);
            let crossed = !met.phase.is_empty() || self.turning <= 0.0;
            if done && near * near > best && crossed && now.w * self.slowness > 1.0 {
                break;
            }
            if size < 1e-16 {
                break;
            }
        }
        met
    }

    /// Crossings between two neighbours of the walk.
    fn between(&self, gains: &Gains, before: Point, now: Point, met: &mut Met) {
        let open = |w| self.response.open_loop(gains.kc, gains.ti, w);
        if (before.open.im > 0.0) != (now.open.im > 0.0) {
            let share = before.open.im / (before.open.im - now.open.im);
            if before.open.re + share * (now.open.re - before.open.re) < 0.0 {
                let w = zero(|w| open(w).im, before.w, now.w);
                let size = open(w).magnitude();
                met.phase.push((w, size));
                if size > 1.0 {
                    met.wrong += if now.open.im > 0.0 { 2 } else { -2 };
                }
            }
        }
        if (before.open.square() > 1.0) != (now.open.square() > 1.0) {
            let w = zero(|w| open(w).square() - 1.0, before.w, now.w);
            // From -1: positive while the curve has still to turn to it.
            met.gain.push((w, (-open(w)).angle()));
        }
    }

    fn judge(&self, gains: &Gains, met: &Met) -> Margins {
        let open = |w| self.response.open_loop(gains.kc, gains.ti, w);
        let stable = met.wrong == 0;
        let mut found = Margins {
            stable,
            ..Margins::UNMET
        };
        for &(w, size) in &met.phase {
            let factor = 1.0 / size;
            if stable && factor < 1.0 {
                found.gain_low = max(found.gain_low, factor);
            } else if factor < found.gain {
                (found.gain, found.phase_crossing) = (factor, w);
            }
        }
        if !stable && found.gain > 1.0 {
            // No lower gain brings it to the edge.
            (found.gain, found.phase_crossing) = (0.0, f64::NAN);
        }
        for &(w, angle) in &met.gain {
            if found.gain_crossing.is_nan() || angle.abs() < found.phase.abs() {
                (found.phase, found.gain_crossing) = (angle, w);
            }
            let turn = if angle < 0.0 { angle + TAU } else { angle };
            found.delay = min(found.delay, turn / w);
        }
        if !stable {
            found.delay = 0.0;
        }
        let peak = |which: usize, inverse: &dyn Fn(Complex) -> f64| {
            let all = &met.peaks[which];
            let top = all.iter().map(|p| p.2).fold(f64::INFINITY, min);
            all.iter()
                .filter(|p| p.2 <= 1.2 * top)
                .map(|&(a, b, _)| lowest(|w| inverse(open(w)), a, b))
                .fold(None, |best: Option<(f64, f64)>, p| match best {
                    Some(b) if b.1 <= p.1 => best,
                    _ => Some(p),
                })
        };
        if let Some((w, value)) = peak(0, &|l| (Complex::ONE + l).square())
            && value < 1.0
        {
            found.sensitivity = 1.0 / sqrt(value);
            found.sensitivity_at = w;
        }
        if let Some((w, value)) = peak(1, &|l| (Complex::ONE + l).square() / l.square())
            && value < 1.0
        {
            found.complementary = 1.0 / sqrt(value);
            found.complementary_at = w;
        }
        found
    }
}

impl Met {
    /// Notes the brackets of a lowest value at `b`.
    fn peak(&mut self, a: Point, b: Point, c: Point) {
        let measures: [fn(&Point) -> f64; 2] =
            [Point::sensitivity_inverse, Point::complementary_inverse];
        for (list, inverse) in self.peaks.iter_mut().zip(measures) {
            let value = inverse(&b);
            if value <= inverse(&a) && value < inverse(&c) && value < 1.1 {
                list.push((a.w, c.w, value));
            }
        }
    }
}

impl Margins {
    const UNMET: Self = Self {
        stable: true,
        gain: f64::INFINITY,
        gain_low: 0.0,
        phase_crossing: f64::NAN,
        phase: std::f64::consts::PI,
        gain_crossing: f64::NAN,
        delay: f64::INFINITY,
        sensitivity: 1.0,
        sensitivity_at: f64::NAN,
        complementary: 1.0,
        complementary_at: 0.0,
    };

    /// The gain has the wrong sign.
    const BACKWARDS: Self = Self {
        stable: false,
        gain: 0.0,
        phase: -std::f64::consts::PI,
        delay: 0.0,
        sensitivity: f64::INFINITY,
        complementary: f64::INFINITY,
        ..Self::UNMET
    };
}

/// Margins of one loop.
///
/// # Errors
///
/// The first number that no loop can be built from.
pub fn margins(line: &Line, gains: &Gains) -> Result<Margins, Defect> {
    Sweep::new(line)?.margins(gains)
}

//! What a response in time is judged by.

use super::line::Line;
use super::step::{FINE, NoResponse, Stimulus, Trajectory, follow};
use super::sweep::Sweep;
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::Gains;

/// Measures of a response; a unit step of the reference or of the plant's input.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measures {
    /// Integral of the magnitude of the error (output against reference, or against zero).
    pub iae: f64,
    /// The same weighted with the time since the step.
    pub itae: f64,
    /// Integral of the error, signed: output above the reference counts positive.
    pub ie: f64,
    /// Largest magnitude of the output.
    pub peak: f64,
    /// Time of it, s.
    pub peak_time: f64,
    /// Lowest output, where the process answers the wrong way first.
    pub lowest: f64,
    /// Share by which the output passes the reference, ≥ 0; of a disturbance, by which it swings past zero, as a share of the peak.
    pub overshoot: f64,
    /// Time from which on the output stays within 2 % of the reference (of its peak, for a disturbance), s.
    pub settling: f64,
    /// Time from 10 % to 90 % of the reference, s; NaN for a disturbance.
    pub rise: f64,
    /// Travel of the command: the sum of its movements up and down, its jump at the start included.
    pub travel: f64,
}

impl Measures {
    /// For a disturbance: adds what the response would still have brought. Its integral is `Ti/Kc`, whatever the line (Åström &
    /// Hägglund, from memory), and at its end nothing swings.
    #[must_use]
    pub fn with_tail(mut self, gains: &Gains) -> Self {
        let left = gains.ti / gains.kc - self.ie;
        self.iae += abs(left);
        self.ie += left;
        self
    }
}

/// Measures of the answers to a step of the reference and to one at the plant's input.
///
/// # Errors
///
/// As [`trajectory`](super::step::trajectory).
pub fn measures(line: &Line, gains: &Gains) -> Result<[Measures; 2], NoResponse> {
    let line = line.smoothed();
    let margins = Sweep::new(&line)?.margins(gains)?;
    let one =
        |stimulus| follow(&line, gains, &margins, stimulus, FINE).map(|t| t.measures(stimulus));
    Ok([one(Stimulus::Reference)?, one(Stimulus::Disturbance)?])
}

impl Trajectory {
    /// Measures of the response to `stimulus`.
    #[must_use]
    pub fn measures(&self, stimulus: Stimulus) -> Measures {
        let reference = match stimulus {
            Stimulus::Reference => 1.0,
            Stimulus::Disturbance => 0.0,
        };
        let (iae, itae, ie) = self.integrals(reference);
        let (peak_time, peak) = self.extreme(abs);
        let lowest = -self.extreme(|y| -y).1;
        let highest = self.extreme(|y| y).1;
        let (overshoot, band) = match stimulus {
            Stimulus::Reference => (max(highest - 1.0, 0.0), 0.02),
            Stimulus::Disturbance if peak > 0.0 => {
                let other = if highest >= -lowest { -lowest } else { highest };
                (max(other, 0.0) / peak, 0.02 * peak)
            }
            Stimulus::Disturbance => (0.0, 0.0),
        };
        Measures {
            iae,
            itae,
            ie,
            peak,
            peak_time,
            lowest,
            overshoot,
            settling: self.settling(reference, band),
            rise: match stimulus {
                Stimulus::Reference => self.first(0.9) - self.first(0.1),
                Stimulus::Disturbance => f64::NAN,
            },
            travel: self.travel(),
        }
    }

    fn integrals(&self, reference: f64) -> (f64, f64, f64) {
        let h = self.step;
        let (mut iae, mut itae, mut ie) = (0.0, 0.0, 0.0);
        for (n, pair) in self.output.windows(2).enumerate() {
            let (a, b) = (pair[0] - reference, pair[1] - reference);
            let start = n as f64 * h;
            ie += 0.5 * h * (a + b);
            // Each part of one sign alone.
            let share = if a * b < 0.0 { a / (a - b) } else { 1.0 };
            for (from, to, e0, e1) in [
                (0.0, share, a, if share < 1.0 { 0.0 } else { b }),
                (share, 1.0, 0.0, b),
            ] {
                let length = (to - from) * h;
                let area = 0.5 * length * (abs(e0) + abs(e1));
                iae += area;
                itae += area * (start + 0.5 * (from + to) * h);
            }
        }
        (iae, itae, ie)
    }

    /// Time and value of the largest `f` of the output, on the parabola through its neighbours.
    fn extreme(&self, f: impl Fn(f64) -> f64) -> (f64, f64) {
        let mut top = 0;
        for n in 1..self.output.len() {
            if f(self.output[n]) > f(self.output[top]) {
                top = n;
            }
        }
        let b = f(self.output.get(top).copied().unwrap_or(0.0));
        if top == 0 || top + 1 >= self.output.len() {
            return (top as f64 * self.step, b);
        }
        let (a, c) = (f(self.output[top - 1]), f(self.output[top + 1]));
        let bend = a - 2.0 * b + c;
        if bend >= 0.0 {
            return (top as f64 * self.step, b);
        }
        let aside = 0.5 * (a - c) / bend;
        ((top as f64 + aside) * self.step, b - 0.25 * (a - c) * aside)
    }

    fn settling(&self, reference: f64, band: f64) -> f64 {
        let outside = |y: &f64| abs(*y - reference) > band;
        let Some(last) = self.output.iter().rposition(outside) else {
            return 0.0;
        };
        let here = abs(self.output[last] - reference);
        let there = self.output.get(last + 1).map_or(0.0, |y| {
            let same = (*y - reference) * (self.output[last] - reference) >= 0.0;
            abs(*y - reference) * if same { 1.0 } else { -1.0 }
        });
        (last as f64 + (here - band) / (here - there)) * self.step
    }

    /// First time at which the output passes `level`, s; NaN if it never does.
    fn first(&self, level: f64) -> f64 {
        self.output
            .windows(2)
            .position(|pair| pair[0] < level && pair[1] >= level)
            .map_or(f64::NAN, |n| {
                let (a, b) = (self.output[n], self.output[n + 1]);
                (n as f64 + (level - a) / (b - a)) * self.step
            })
    }

    fn travel(&self) -> f64 {
        let start = self.command.first().map_or(0.0, |u| abs(*u));
        self.command
            .windows(2)
            .fold(start, |sum, pair| sum + abs(pair[1] - pair[0]))
    }
}

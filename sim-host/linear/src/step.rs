//! How a loop answers in time, to a step of the reference and to one at the plant's input: stepped exactly.
//!
//! The line's states move by the matrix exponential under an input that is straight between two steps (first-order hold); the dead
//! time is a whole number of steps, so the line's input is known ahead and only the curvature of the command within a step is lost
//! (second order in the step). Without dead time the whole loop is one linear system and nothing is lost. A sampled controller is
//! judged with its delay as dead time ([`Line::smoothed`]): time domain on the real controller is the bench's job.

use super::chain::Chain;
use super::line::{Defect, Line, check_gains};
use super::margins::Margins;
use super::matrix::Matrix;
use super::sweep::Sweep;
use std::fmt;
use twinplate_sim::math::{abs, floor, max, min};
use twinplate_sim::model::Gains;

/// How finely and how long a response is followed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fineness {
    /// Steps in the time in which the loop's fastest own frequency turns by one radian.
    pub steps: f64,
    /// The answer is over when no more than this share of its largest value has been seen for a while.
    pub rest: f64,
    /// Steps at most; what is left of the integral then is known in closed form ([`Measures::with_tail`](super::Measures::with_tail)).
    pub most: f64,
}

/// For results: IAE, overshoot and times good to 0.1 %.
pub const FINE: Fineness = Fineness {
    steps: 60.0,
    rest: 1e-7,
    most: LONGEST,
};

/// For a search: IAE good to 0.5 %, and a smooth function of the gains.
pub const QUICK: Fineness = Fineness {
    steps: 20.0,
    rest: 1e-4,
    most: 2e4,
};

/// Steps of one response at most: 0.2 s of work.
const LONGEST: f64 = 2e6;

/// What is stepped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stimulus {
    /// Unit step of the reference.
    Reference,
    /// Unit step at the plant's input, ahead of the dead time.
    Disturbance,
}

/// A response in time, from zero, in steps of equal length.
#[derive(Clone, Debug, PartialEq)]
pub struct Trajectory {
    /// Length of a step, s.
    pub step: f64,
    /// Output of the process at each step.
    pub output: Vec<f64>,
    /// Command of the controller at each step, right after it.
    pub command: Vec<f64>,
}

/// Why there is no response.
#[derive(Clone, Debug, PartialEq)]
pub enum NoResponse {
    /// A number that no loop can be built from.
    Defect(Defect),
    /// The loop is unstable: the factor on its gain that would bring it to the edge.
    Unstable(f64),
    /// It would take this many steps.
    TooLong(f64),
}

impl fmt::Display for NoResponse {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Defect(defect) => defect.fmt(f),
            Self::Unstable(factor) => write!(
                f,
                "the loop is unstable and has no response; {factor:.3} times the gain would bring it to the edge"
            ),
            Self::TooLong(steps) => write!(
                f,
                "the slowest and fastest times of the loop are {steps:.0} steps apart, more than {LONGEST:.0}; \
                 leave out the lag or dead time that is too short to matter"
            ),
        }
    }
}

impl std::error::Error for NoResponse {}

impl From<Defect> for NoResponse {
    fn from(defect: Defect) -> Self {
        Self::Defect(defect)
    }
}

/// Stepper of one loop.
struct Stepper {
    chain: Chain,
    gains: Gains,
    reference: f64,
    disturbance: f64,
    step: f64,
    /// Whole steps of dead time; none is the closed form.
    dead: usize,
    phi: Matrix,
    held: Vec<f64>,
    rising: Vec<f64>,
}

impl Stepper {
    fn new(line: &Line, gains: &Gains, stimulus: Stimulus, step: f64, dead: usize) -> Self {
        let filters: Vec<_> = line.analogue.iter().chain(&line.digital).copied().collect();
        let mut chain = Chain::new(&line.process, &filters).with_integral();
        let (reference, disturbance) = match stimulus {
            Stimulus::Reference => (1.0, 0.0),
            Stimulus::Disturbance => (0.0, 1.0),
        };
        if dead == 0 {
            chain.close(gains);
        }
        let (phi, held, rising) = chain.a.step(&chain.b, step);
        Self {
            gains: *gains,
            reference,
            disturbance,
            step,
            dead,
            phi,
            held,
            rising,
            chain,
        }
    }

    /// Command from the states; the last state is the integral of the measured output.
    fn command(&self, states: &[f64], time: f64) -> f64 {
        let Gains { kc, ti, weight } = self.gains;
        let measured = dot(&self.chain.measured, states);
        let integral = self.reference * time - states.last().copied().unwrap_or(0.0);
        kc * (weight * self.reference - measured + integral / ti)
    }

    /// Calls `see(output, command)` at every step until it says that it has seen enough.
    fn run(&self, most: usize, mut see: impl FnMut(f64, f64) -> bool) {
        let n = self.phi.n;
        let (mut states, mut next) = (vec![0.0; n], vec![0.0; n]);
        let mut line = vec![0.0; self.dead.max(1)];
        let mut head = 0;
        for step in 0..most {
            let time = step as f64 * self.step;
            let command = self.command(&states, time);
            if see(dot(&self.chain.output, &states), command) {
                return;
            }
            let (from, to) = if self.dead == 0 {
                // The feedback is in the matrix; what is left of the command comes from outside.
                let Gains { kc, ti, weight } = self.gains;
                let rate = kc * self.reference / ti;
                let start = kc * weight * self.reference + self.disturbance + rate * time;
                (start, start + rate * self.step)
            } else {
                let from = line[head];
                line[head] = command + self.disturbance;
                head = (head + 1) % self.dead;
                // What follows has not jumped since, but for the very first value, before which there was nothing.
                let first = step + 1 == self.dead;
                (from, if first { from } else { line[head] })
            };
            self.phi.apply(&states, &mut next);
            let slope = (to - from) / self.step;
            for ((x, held), rising) in next.iter_mut().zip(&self.held).zip(&self.rising) {
                *x += held * from + rising * slope;
            }
            std::mem::swap(&mut states, &mut next);
        }
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Length of a step, whole steps of dead time, steps after which an answer that has not come to rest is given up.
fn pace(line: &Line, gains: &Gains, margins: &Margins, fineness: Fineness) -> (f64, usize, f64) {
    let fastest = [
        margins.gain_crossing,
        margins.sensitivity_at,
        margins.complementary_at,
    ]
    .into_iter()
    .filter(|w| w.is_finite())
    .fold(0.0, max);
    let slow = line.slowness() + gains.ti;
    let wanted = min(1.0 / max(fastest, 1e-300), slow) / fineness.steps;
    let dead_time = line.process.dead_time;
    let strength = abs(gains.kc * line.process.gain);
    // The slowest root is not slower than the integral alone makes it.
    let end = 40.0 * (slow + gains.ti / strength);
    if dead_time > 0.0 {
        let dead = max(floor(dead_time / wanted + 0.999_999), 1.0);
        let step = dead_time / dead;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        // `as` saturates; too many are refused by the caller
        (step, dead as usize, end / step)
    } else {
        (wanted, 0, end / wanted)
    }
}

/// Follows a response until it rests.
///
/// # Errors
///
/// Numbers that no loop can be built from, an unstable loop, or one whose times are too far apart.
pub fn trajectory(
    line: &Line,
    gains: &Gains,
    stimulus: Stimulus,
    fineness: Fineness,
) -> Result<Trajectory, NoResponse> {
    let line = line.smoothed();
    let margins = Sweep::new(&line)?.margins(gains)?;
    follow(&line, gains, &margins, stimulus, fineness)
}

/// [`trajectory`] where the margins are known; `line` is continuous.
///
/// # Errors
/// Where the loop has no answer, as [`trajectory`].
pub fn follow(
    line: &Line,
    gains: &Gains,
    margins: &Margins,
    stimulus: Stimulus,
    fineness: Fineness,
) -> Result<Trajectory, NoResponse> {
    check_gains(gains)?;
    if !margins.stable {
        return Err(NoResponse::Unstable(margins.gain));
    }
    let (step, dead, most) = pace(line, gains, margins, fineness);
    if dead as f64 > LONGEST || most / 1e3 > LONGEST {
        return Err(NoResponse::TooLong(max(dead as f64, most)));
    }
    let most = min(most, max(fineness.most, 4.0 * dead as f64));
    let stepper = Stepper::new(line, gains, stimulus, step, dead);
    // As long as the slowest part of the loop takes to show itself.
    let watch = (2.0 * line.slowness() + gains.ti) / step;
    let mut found = Trajectory {
        step,
        output: vec![],
        command: vec![],
    };
    let (mut largest, mut quiet) = (0.0, 0.0);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)] // bounded above
    let most = most as usize;
    stepper.run(most, |output, command| {
        found.output.push(output);
        found.command.push(command);
        let error = abs(output - stepper.reference);
        largest = max(largest, max(error, abs(output)));
        quiet = if error > fineness.rest * largest || largest <= 0.0 {
            0.0
        } else {
            quiet + 1.0
        };
        quiet > watch
    });
    Ok(found)
}

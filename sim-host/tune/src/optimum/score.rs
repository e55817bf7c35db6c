//! What a pair of gains does on the lines of a problem.

use super::Problem;
use super::limits::{Constraint, Limits};
use twinplate_linear::line::{Defect, Line};
use twinplate_linear::margins::Margins;
use twinplate_linear::measures::Measures;
use twinplate_linear::step::{QUICK, Stimulus, follow};
use twinplate_linear::sweep::Sweep;
use twinplate_sim::math::{log, max, min};
use twinplate_sim::model::Gains;

/// What a pair of gains does, measured by the yardsticks of the optimum.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Score {
    /// The gains.
    pub gains: Gains,
    /// Largest IAE after a unit step at the plant's input, over nominal line and corners, output unit · s; infinite if any is unstable.
    pub worst_iae: f64,
    /// The same on the nominal line.
    pub nominal_iae: f64,
    /// Margins on the nominal line.
    pub margins: Margins,
    /// Largest Ms over the corners (1 without corners; infinite if one is unstable).
    pub corner_sensitivity: f64,
    /// Setpoint overshoot on the nominal line, share.
    pub overshoot: f64,
    /// Travel of the command after a unit step at the plant's input, nominal.
    pub travel: f64,
    /// Noise on the command, command per output unit.
    pub noise: f64,
    /// How far the least stable line is from its edge if one is unstable: ln of the factor on the gain, ≥ 0.
    unstable: f64,
}

impl Score {
    /// A limit's measure.
    #[must_use]
    pub const fn get(&self, constraint: Constraint) -> f64 {
        match constraint {
            Constraint::Sensitivity => self.margins.sensitivity,
            Constraint::CornerSensitivity => self.corner_sensitivity,
            Constraint::Overshoot => self.overshoot,
            Constraint::Travel => self.travel,
            Constraint::Noise => self.noise,
        }
    }

    /// Room under a limit, ≥ 0 where it is kept: ln of limit over measure, of overshoot the difference.
    pub(super) fn room(&self, constraint: Constraint, limit: f64) -> f64 {
        if limit.is_infinite() {
            return 1.0;
        }
        if self.worst_iae.is_infinite() {
            return -3.0 - min(self.unstable, 5.0);
        }
        let measure = self.get(constraint);
        match constraint {
            Constraint::Overshoot => limit - measure,
            _ => max(log(limit / measure), -3.0),
        }
    }

    /// Keeps every limit, to 1e-6.
    #[must_use]
    pub fn keeps(&self, limits: &Limits) -> bool {
        Constraint::ALL
            .iter()
            .all(|c| self.room(*c, limits.get(*c)) >= -1e-6)
    }

    /// The limit that is broken farthest.
    pub(super) fn worst(&self, limits: &Limits) -> Constraint {
        let room = |c: &Constraint| self.room(*c, limits.get(*c));
        Constraint::ALL
            .into_iter()
            .min_by(|a, b| room(a).total_cmp(&room(b)))
            .unwrap_or(Constraint::Sensitivity)
    }
}

/// A line made ready: as it is for the margins, smoothed for the time domain.
struct Ready {
    sweep: Sweep,
    smooth: Line,
}

impl Ready {
    fn new(line: &Line) -> Result<Self, Defect> {
        Ok(Self {
            sweep: Sweep::new(line)?,
            smooth: line.smoothed(),
        })
    }

    fn measure(&self, gains: &Gains, margins: &Margins, stimulus: Stimulus) -> Option<Measures> {
        follow(&self.smooth, gains, margins, stimulus, QUICK)
            .ok()
            .map(|t| t.measures(stimulus))
            .map(|m| match stimulus {
                Stimulus::Disturbance => m.with_tail(gains),
                Stimulus::Reference => m,
            })
    }
}

/// Scores gains on a problem's lines.
pub struct Scorer {
    nominal: Ready,
    corners: Vec<Ready>,
    weight: f64,
    pub(super) count: usize,
}

impl Scorer {
    /// Makes the lines ready.
    ///
    /// # Errors
    ///
    /// The first number that no loop can be built from.
    pub fn new(problem: &Problem) -> Result<Self, Defect> {
        let corners: Result<_, _> = problem.corners.iter().map(Ready::new).collect();
        Ok(Self {
            nominal: Ready::new(&problem.line)?,
            corners: corners?,
            weight: problem.weight,
            count: 0,
        })
    }

    /// Measures a pair of gains.
    ///
    /// # Errors
    ///
    /// Gains that no controller can be built from.
    pub fn score(&mut self, kc: f64, ti: f64) -> Result<Score, Defect> {
        let weight = self.weight;
        let gains = Gains { kc, ti, weight };
        self.count += 1;
        let margins = self.nominal.sweep.margins(&gains)?;
        let mut score = Score {
            gains,
            worst_iae: 0.0,
            nominal_iae: 0.0,
            margins,
            corner_sensitivity: 1.0,
            overshoot: 0.0,
            travel: 1.0,
            noise: 0.0,
            unstable: edge(&margins),
        };
        let mut all = Vec::with_capacity(self.corners.len());
        for corner in &mut self.corners {
            let margins = corner.sweep.margins(&gains)?;
            let stable = margins.stable;
            let peak = if stable {
                margins.sensitivity
            } else {
                f64::INFINITY
            };
            score.corner_sensitivity = max(score.corner_sensitivity, peak);
            score.unstable = max(score.unstable, edge(&margins));
            all.push(margins);
        }
        if score.unstable > 0.0 {
            score.worst_iae = f64::INFINITY;
            score.nominal_iae = f64::INFINITY;
            return Ok(score);
        }
        let load = self
            .nominal
            .measure(&gains, &margins, Stimulus::Disturbance);
        let set = self.nominal.measure(&gains, &margins, Stimulus::Reference);
        score.nominal_iae = load.map_or(f64::INFINITY, |m| m.iae);
        score.travel = load.map_or(f64::INFINITY, |m| m.travel);
        score.overshoot = set.map_or(f64::INFINITY, |m| m.overshoot);
        score.noise = self.nominal.sweep.noise(&gains)?;
        score.worst_iae = score.nominal_iae;
        for (corner, margins) in self.corners.iter().zip(&all) {
            let load = corner.measure(&gains, margins, Stimulus::Disturbance);
            score.worst_iae = max(score.worst_iae, load.map_or(f64::INFINITY, |m| m.iae));
        }
        Ok(score)
    }
}

/// How far an unstable loop is over its edge, ln of the factor on the gain, > 0; zero for a stable one.
fn edge(margins: &Margins) -> f64 {
    if margins.stable {
        0.0
    } else {
        // Never quite zero, or it would count as stable.
        max(-log(max(margins.gain, 1e-3)), 1e-9)
    }
}

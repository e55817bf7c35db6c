//! The robust optimum: PI gains of least integrated error for load disturbances, under limits.
//!
//! Minimised is the largest IAE of a unit step at the plant's input over the nominal line and the corners of the envelope; kept are
//! limits on Ms (nominal and corners), setpoint overshoot, travel of the command and noise. The formulation with Ms as the limit is
//! Åström, Panagopoulos & Hägglund, Automatica 34 (1998) 585–601 (from memory); theirs minimises `Ti/Kc`, which is the IAE where
//! nothing swings. Solved by linear approximations in a trust region (Powell 1994) from several starts; deterministic.

use super::linear::limit::ultimate;
use super::linear::line::{Defect, Line, demand};
use super::linear::margins::{Margins, Sweep};
use super::linear::step::{Measures, QUICK, Stimulus, follow};
use super::rules;
use crate::math::{abs, exp, log, max, min};
use crate::model::Gains;
use cobyla::{Func, RhoBeg, StopTols, minimize};
use std::cell::RefCell;
use std::fmt;

/// What the gains must keep. Infinite is no limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Ms on the nominal line, > 1; 1.4 to 2 is usual (Åström & Hägglund, from memory).
    pub sensitivity: f64,
    /// Ms at every corner, > 1.
    pub corner_sensitivity: f64,
    /// Overshoot of a setpoint step on the nominal line, share, > 0; without model-following, so the real one is smaller.
    pub overshoot: f64,
    /// Travel of the command after a unit step at the plant's input, nominal, > 1: one is a command that only ever moves one way.
    pub travel: f64,
    /// Command per output unit of noise ([`Sweep::noise`]), nominal, > 0.
    pub noise: f64,
}

/// What is to be tuned.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The line as known.
    pub line: Line,
    /// Lines at the corners of the envelope; may be empty.
    pub corners: Vec<Line>,
    /// Limits.
    pub limits: Limits,
    /// Setpoint weight of the controller, 0..=1.
    pub weight: f64,
}

/// A limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Constraint {
    /// Ms, nominal.
    Sensitivity,
    /// Ms at the worst corner.
    CornerSensitivity,
    /// Setpoint overshoot.
    Overshoot,
    /// Travel of the command.
    Travel,
    /// Noise.
    Noise,
}

impl Constraint {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::Sensitivity,
        Self::CornerSensitivity,
        Self::Overshoot,
        Self::Travel,
        Self::Noise,
    ];

    /// In words.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sensitivity => "Ms on the nominal line",
            Self::CornerSensitivity => "Ms at the envelope's corners",
            Self::Overshoot => "setpoint overshoot",
            Self::Travel => "travel of the command",
            Self::Noise => "noise on the command",
        }
    }
}

impl Limits {
    /// A limit's value.
    #[must_use]
    pub const fn get(&self, constraint: Constraint) -> f64 {
        match constraint {
            Constraint::Sensitivity => self.sensitivity,
            Constraint::CornerSensitivity => self.corner_sensitivity,
            Constraint::Overshoot => self.overshoot,
            Constraint::Travel => self.travel,
            Constraint::Noise => self.noise,
        }
    }

    /// The same with one limit changed.
    #[must_use]
    pub const fn with(mut self, constraint: Constraint, value: f64) -> Self {
        match constraint {
            Constraint::Sensitivity => self.sensitivity = value,
            Constraint::CornerSensitivity => self.corner_sensitivity = value,
            Constraint::Overshoot => self.overshoot = value,
            Constraint::Travel => self.travel = value,
            Constraint::Noise => self.noise = value,
        }
        self
    }

    fn check(&self) -> Result<(), Defect> {
        const ABOVE_ONE: &str = "give a number above 1; no loop with an integral is under it";
        const ABOVE_ZERO: &str = "give a number above zero, or an infinite one for no limit";
        for (constraint, least, expected) in [
            (Constraint::Sensitivity, 1.0, ABOVE_ONE),
            (Constraint::CornerSensitivity, 1.0, ABOVE_ONE),
            (Constraint::Overshoot, 0.0, ABOVE_ZERO),
            (Constraint::Travel, 1.0, ABOVE_ONE),
            (Constraint::Noise, 0.0, ABOVE_ZERO),
        ] {
            let value = self.get(constraint);
            demand(value > least, constraint.name(), value, expected)?;
        }
        Ok(())
    }
}

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
    fn room(&self, constraint: Constraint, limit: f64) -> f64 {
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
    fn worst(&self, limits: &Limits) -> Constraint {
        let room = |c: &Constraint| self.room(*c, limits.get(*c));
        Constraint::ALL
            .into_iter()
            .min_by(|a, b| room(a).total_cmp(&room(b)))
            .unwrap_or(Constraint::Sensitivity)
    }
}

/// A limit that the optimum touches.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Active {
    /// Which.
    pub constraint: Constraint,
    /// Its value.
    pub limit: f64,
    /// Share by which the worst IAE would fall if the limit gave by a tenth.
    pub relief: f64,
}

/// The optimum.
#[derive(Clone, Debug, PartialEq)]
pub struct Optimum {
    /// Gains and what they do.
    pub score: Score,
    /// Limits that bind; none is an optimum inside all limits.
    pub active: Vec<Active>,
    /// Gains that were looked at.
    pub evaluations: usize,
}

/// Why there is none.
#[derive(Clone, Debug, PartialEq)]
pub enum NoOptimum {
    /// A number that no loop can be built from.
    Defect(Defect),
    /// No gains keep every limit: the nearest miss and the limit that it breaks farthest.
    Nothing(Box<Score>, Constraint, f64),
}

impl fmt::Display for NoOptimum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Defect(defect) => defect.fmt(f),
            Self::Nothing(score, constraint, limit) => write!(
                f,
                "no gains keep every limit: the nearest have {} {:.3} where {limit:.3} is allowed; raise that limit, \
                 narrow the envelope, or shorten dead time and filters",
                constraint.name(),
                score.get(*constraint)
            ),
        }
    }
}

impl std::error::Error for NoOptimum {}

impl From<Defect> for NoOptimum {
    fn from(defect: Defect) -> Self {
        Self::Defect(defect)
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
    }
}

/// Scores gains on a problem's lines.
pub struct Scorer {
    nominal: Ready,
    corners: Vec<Ready>,
    weight: f64,
    count: usize,
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

/// Farthest that a search goes from its first start, as a factor on each gain.
const FARTHEST: f64 = 60.0;
/// Searches are kept this far inside the limits (ln), so that their last step does not end outside.
const INSIDE: f64 = 2e-5;
/// A limit with less room than this (ln) binds.
const BINDS: f64 = 3e-3;

/// Finds the optimum. `progress` gets the share done, 0 to 1.
///
/// # Errors
///
/// A number that no loop can be built from, or no gains that keep every limit.
pub fn robust_optimum(
    problem: &Problem,
    mut progress: impl FnMut(f64),
) -> Result<Optimum, NoOptimum> {
    problem.limits.check()?;
    let mut scorer = Scorer::new(problem)?;
    let starts = starts(&problem.line)?;
    let count = starts.len() as f64;
    let mut best: Option<Score> = None;
    for (n, start) in starts.iter().enumerate() {
        for found in search(&mut scorer, &problem.limits, start, 0.3, 150)? {
            best = Some(better(best, found, &problem.limits));
        }
        progress((n as f64 + 1.0) / (count + 1.0));
    }
    let best = refine(&mut scorer, &problem.limits, best)?;
    if !best.keeps(&problem.limits) {
        let worst = best.worst(&problem.limits);
        let limit = problem.limits.get(worst);
        return Err(NoOptimum::Nothing(Box::new(best), worst, limit));
    }
    let mut active = vec![];
    for constraint in Constraint::ALL {
        let limit = problem.limits.get(constraint);
        if best.room(constraint, limit) < BINDS {
            let eased = ease(&mut scorer, &problem.limits, &best, constraint, 1.1)?;
            let relief = max(1.0 - eased.worst_iae / best.worst_iae, 0.0);
            active.push(Active {
                constraint,
                limit,
                relief,
            });
        }
    }
    progress(1.0);
    Ok(Optimum {
        score: best,
        active,
        evaluations: scorer.count,
    })
}

/// Value that a limit would need for the worst IAE to come down to `iae`; None where a threefold limit does not do it alone.
///
/// # Errors
///
/// A number that no loop can be built from.
pub fn limit_for(
    problem: &Problem,
    optimum: &Optimum,
    constraint: Constraint,
    iae: f64,
) -> Result<Option<f64>, NoOptimum> {
    let mut scorer = Scorer::new(problem)?;
    let mut reaches = |factor: f64| -> Result<bool, NoOptimum> {
        let eased = ease(
            &mut scorer,
            &problem.limits,
            &optimum.score,
            constraint,
            factor,
        )?;
        Ok(eased.worst_iae <= iae)
    };
    let (mut low, mut high) = (1.0, 3.0);
    if !reaches(high)? {
        return Ok(None);
    }
    for _ in 0..12 {
        let middle = crate::math::sqrt(low * high);
        if reaches(middle)? {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(Some(problem.limits.get(constraint) * high))
}

/// The optimum near another with one limit times `factor`.
fn ease(
    scorer: &mut Scorer,
    limits: &Limits,
    from: &Score,
    constraint: Constraint,
    factor: f64,
) -> Result<Score, NoOptimum> {
    let limits = limits.with(constraint, limits.get(constraint) * factor);
    let mut best = Some(*from);
    for found in search(scorer, &limits, &from.gains, 0.1, 100)? {
        best = Some(better(best, found, &limits));
    }
    refine(scorer, &limits, best)
}

/// Searches again from the best, in small steps.
fn refine(scorer: &mut Scorer, limits: &Limits, best: Option<Score>) -> Result<Score, NoOptimum> {
    let Some(mut best) = best else {
        return Err(NoOptimum::Defect(Defect {
            place: "starts of the search",
            found: 0.0,
            expected: "at least one rule must give gains for the line: give it a lag, an integrator or dead time",
        }));
    };
    for size in [0.05, 0.01] {
        for found in search(scorer, limits, &best.gains, size, 80)? {
            best = better(Some(best), found, limits);
        }
    }
    Ok(best)
}

/// The better of two: limits kept first, then the error; if neither keeps them the nearer miss.
fn better(best: Option<Score>, other: Score, limits: &Limits) -> Score {
    let Some(best) = best else { return other };
    let wins = match (best.keeps(limits), other.keeps(limits)) {
        (true, true) => other.worst_iae < best.worst_iae,
        (true, false) => false,
        (false, true) => true,
        (false, false) => {
            let miss = |s: &Score| s.room(s.worst(limits), limits.get(s.worst(limits)));
            miss(&other) > miss(&best)
        }
    };
    if wins { other } else { best }
}

/// One search from a start: where it ended, and the best that it saw on its way.
fn search(
    scorer: &mut Scorer,
    limits: &Limits,
    start: &Gains,
    size: f64,
    most: usize,
) -> Result<Vec<Score>, NoOptimum> {
    // The library asks for objective and limits one by one, at the same place.
    struct Memory<'a> {
        scorer: &'a mut Scorer,
        last: Option<([f64; 2], Score)>,
        best: Option<Score>,
        failed: Option<Defect>,
    }
    let memory = RefCell::new(Memory {
        scorer,
        last: None,
        best: None,
        failed: None,
    });
    let at = |x: &[f64]| -> Option<Score> {
        let place = [x[0], x[1]];
        let memory = &mut *memory.borrow_mut();
        if let Some((last, score)) = memory.last
            && last == place
        {
            return Some(score);
        }
        match memory
            .scorer
            .score(start.kc * exp(place[0]), start.ti * exp(place[1]))
        {
            Ok(score) => {
                memory.last = Some((place, score));
                memory.best = Some(better(memory.best, score, limits));
                Some(score)
            }
            Err(defect) => {
                memory.failed = Some(defect);
                None
            }
        }
    };
    let scale = at(&[0.0, 0.0]).map_or(1.0, |s| s.worst_iae);
    let scale = if scale.is_finite() { scale } else { 1.0 };
    let objective = |x: &[f64], (): &mut ()| match at(x) {
        Some(s) if s.worst_iae.is_finite() => log(s.worst_iae / scale),
        _ => 5.0,
    };
    let rooms = Constraint::ALL.map(|constraint| {
        let at = &at;
        move |x: &[f64], (): &mut ()| {
            at(x).map_or(-5.0, |s| {
                s.room(constraint, limits.get(constraint)) - INSIDE
            })
        }
    });
    let constraints: Vec<&dyn Func<()>> = rooms.iter().map(|r| r as &dyn Func<()>).collect();
    let far = log(FARTHEST);
    let tolerances = StopTols {
        xtol_abs: vec![1e-6; 2],
        ..StopTols::default()
    };
    // Where it ended does not matter, nor how: the memory knows the best of all that it saw.
    let _ = minimize(
        objective,
        &[0.0, 0.0],
        &[(-far, far), (-far, far)],
        &constraints,
        (),
        most,
        RhoBeg::All(size),
        Some(tolerances),
    );
    let memory = memory.into_inner();
    match memory.failed {
        Some(defect) => Err(defect.into()),
        None => Ok(memory.best.into_iter().collect()),
    }
}

/// Gains to start from: the rules that have an answer for the line.
fn starts(line: &Line) -> Result<Vec<Gains>, Defect> {
    let extra = rules::overhead(line);
    let model = rules::half_rule(&line.process, extra)?;
    let mut all = vec![];
    let lag = max(model.dead_time, 0.05 * max(model.tau1, line.slowness()));
    for (share, _) in rules::CLOSED_LOOP_TIMES {
        all.extend(rules::simc(&model, share * lag));
    }
    all.extend(rules::amigo(&model));
    if let Some(ultimate) = ultimate(line)? {
        // Half of it: a start that is stable with room.
        let mut gains = rules::ziegler_nichols(&ultimate);
        gains.kc *= 0.5;
        all.push(gains);
    }
    all.retain(|g| g.kc.is_finite() && abs(g.kc) > 0.0 && g.ti.is_finite() && g.ti > 0.0);
    Ok(all)
}

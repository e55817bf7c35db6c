//! What a debrief consists of.

use crate::log::seconds;
use crate::paced::ByClock;
use crate::protocol::{ExerciseCard, NewsKind, UnitCards};
use crate::scoring::Loss;
use serde::Serialize;

/// All that is shown and printed after an attempt. Times are simulated, s since the beginning.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Debrief {
    /// The exercise.
    pub exercise: ExerciseCard,
    /// End of the attempt, s.
    pub end_s: f64,
    /// It is over.
    pub finished: bool,
    /// The score.
    pub score: Points,
    /// Points that were lost, other than by harm.
    pub lost: Vec<Lost>,
    /// The load.
    pub curve: Curve,
    /// Where the controller was.
    pub bands: Vec<Band>,
    /// What happened.
    pub events: Vec<Event>,
    /// What was done.
    pub done: Vec<Acted>,
    /// What should have been done.
    pub expected: Vec<Due>,
    /// How long it took from a cause on the panel to the act.
    pub reactions: Vec<Reaction>,
    /// What harm cost.
    pub harm: Vec<Lost>,
    /// The parts as measured at unloading; `None` where none were taken out after work.
    pub parts: Option<Parts>,
    /// What to practise next.
    pub practise: Vec<String>,
    /// Units that the page shows.
    pub units: UnitCards,
    /// What was drawn, for an assessment.
    pub drawn: Option<String>,
    /// How long it took by the clock, where somebody sat at one.
    pub clock: Option<ByClock>,
}

/// Points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Points {
    /// Points.
    pub points: u32,
    /// Points that could be had.
    pub of: u32,
    /// Points from which it is passed.
    pub pass: u32,
    /// It is passed.
    pub passed: bool,
}

/// Points lost.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lost {
    /// Identifier of the rule.
    pub id: String,
    /// What was done, not done, or found.
    pub text: String,
    /// Why it costs.
    pub why: String,
    /// Points.
    pub points: u32,
    /// When, s.
    pub time_s: Option<f64>,
}

impl Lost {
    pub(super) fn new(loss: &Loss) -> Self {
        Self {
            id: loss.id.clone(),
            text: loss.text.clone(),
            why: loss.why.clone(),
            points: loss.points,
            time_s: loss.tick.map(seconds),
        }
    }
}

/// The load over time; least and most of each stretch are kept.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Curve {
    /// Times, s.
    pub time_s: Vec<f64>,
    /// Measured load, N.
    pub load_n: Vec<f64>,
    /// Reference of the loop, N.
    pub reference_n: Vec<f64>,
    /// Limit in force, N; 0 for none.
    pub limit_n: Vec<f64>,
}

/// A stretch in one phase and step.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Band {
    /// Phase, by its word.
    pub phase: &'static str,
    /// Step, from 0.
    pub step: u8,
    /// Begin, s.
    pub start_s: f64,
    /// End, s.
    pub end_s: f64,
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Event {
    /// When, s.
    pub time_s: f64,
    /// What, one line.
    pub text: String,
    /// Interlock row; 0 for none.
    pub row: u16,
    /// Kind.
    pub kind: NewsKind,
}

/// Something that was done.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Acted {
    /// When, s.
    pub time_s: f64,
    /// Word of the act, or `inject`, `repair`.
    pub act: String,
    /// What, one line.
    pub text: String,
    /// Why it was refused.
    pub refused: Option<String>,
    /// Why it was a mistake.
    pub wrong: Option<String>,
}

/// Something that should have been done.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Due {
    /// Identifier.
    pub id: String,
    /// What a good operator does.
    pub text: String,
    /// When it was set off, s.
    pub from_s: Option<f64>,
    /// By when it was due, s.
    pub until_s: Option<f64>,
    /// When it was done, s.
    pub done_s: Option<f64>,
    /// Points for it.
    pub points: u32,
    /// Points it has brought.
    pub got: u32,
}

/// A reaction.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reaction {
    /// What could be seen.
    pub cause: String,
    /// What was done about it.
    pub text: String,
    /// When it could be seen, s.
    pub from_s: f64,
    /// When something was done about it, s.
    pub done_s: f64,
    /// Between the two, s.
    pub seconds: f64,
    /// For how long time was stopped meanwhile, s of the clock.
    pub stopped_s: f64,
}

/// Parts as measured.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Parts {
    /// Target, m.
    pub target_m: f64,
    /// Tolerance, ± m.
    pub tolerance_m: f64,
    /// Uncertainty of the measurement, ± m.
    pub uncertainty_m: f64,
    /// Whole parts, m.
    pub measured_m: Vec<f64>,
    /// Cracked parts.
    pub broken: u32,
}

//! The debrief: what was done when, against what should have been done, on one time line with load and phase.

use super::log::{Done, Logged, SAMPLE_TICKS, Sample, SessionEvent, seconds};
use super::protocol::{ExerciseCard, NewsKind, UnitCards, unit_cards};
use super::scoring::{Loss, Score, Standing, why_lost};
use super::session::{Session, broken_off, component};
use firmware_core::interlock::row_of;
use serde::Serialize;
use twinplate_sim::bench::ControllerPort;
use twinplate_sim::fault_words;
use twinplate_sim::training::rules::Trigger;

/// Most points of the load's curve.
const MOST_POINTS: usize = 2000;
/// Most lines of what to practise.
const MOST_LINES: usize = 5;
/// Share of its time that a reaction may take before it is named as slow.
const SLOW: f64 = 0.7;

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
    fn new(loss: &Loss) -> Self {
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

impl<C: ControllerPort> Session<C> {
    /// The debrief as it stands; final once the attempt is over.
    #[must_use]
    pub fn debrief(&self) -> Debrief {
        let score = self.score();
        let training = &self.exercise.training;
        let lost = self.lost(&score);
        Debrief {
            drawn: training.drawn(),
            exercise: self.exercise.card(),
            end_s: self.time_s(),
            finished: self.finished(),
            score: Points {
                points: score.points,
                of: score.of,
                pass: score.pass,
                passed: score.passed(),
            },
            curve: curve(&self.samples),
            bands: self.bands(),
            events: self.events(),
            done: self.all_acts(&score),
            expected: training
                .expected
                .iter()
                .zip(&score.outcomes)
                .map(|(expected, outcome)| Due {
                    id: expected.id.clone(),
                    text: expected.text.clone(),
                    from_s: outcome.from.map(seconds),
                    until_s: outcome.until.map(seconds),
                    done_s: outcome.done.map(seconds),
                    points: expected.points,
                    got: outcome.got,
                })
                .collect(),
            reactions: self.reactions(&score),
            harm: score.harm.iter().map(Lost::new).collect(),
            parts: self.measured(),
            practise: self.practise(&score),
            units: unit_cards(&self.exercise.job.recipe.shown),
            lost,
        }
    }

    fn lost(&self, score: &Score) -> Vec<Lost> {
        let training = &self.exercise.training;
        let not_done = training
            .expected
            .iter()
            .zip(&score.outcomes)
            .filter(|(_, outcome)| matches!(outcome.standing, Standing::Late | Standing::Missed))
            .map(|(expected, outcome)| Lost {
                id: expected.id.clone(),
                text: expected.text.clone(),
                why: why_lost(outcome),
                points: expected.points,
                // What was not done before an early end has no moment.
                time_s: outcome
                    .until
                    .filter(|until| *until <= self.tick())
                    .map(seconds),
            });
        not_done.chain(score.losses.iter().map(Lost::new)).collect()
    }

    fn bands(&self) -> Vec<Band> {
        let mut bands: Vec<Band> = Vec::new();
        for marked in &self.marks {
            if let SessionEvent::Phase(phase, step) = marked.mark {
                let start = seconds(marked.tick);
                if let Some(last) = bands.last_mut() {
                    last.end_s = start;
                }
                // Which step it was only says something where a step is worked on.
                let step = if phase.in_step() { step } else { 0 };
                match bands.last() {
                    Some(last) if (last.phase, last.step) == (phase.name(), step) => {}
                    _ => bands.push(Band {
                        phase: phase.name(),
                        step,
                        start_s: start,
                        end_s: start,
                    }),
                }
            }
        }
        if let Some(last) = bands.last_mut() {
            last.end_s = self.time_s();
        }
        bands
    }

    fn events(&self) -> Vec<Event> {
        let event = |tick, kind, row, text: String| Event {
            time_s: seconds(tick),
            text,
            row,
            kind,
        };
        self.marks
            .iter()
            .filter_map(|marked| {
                let tick = marked.tick;
                Some(match &marked.mark {
                    SessionEvent::State(state) => {
                        event(tick, NewsKind::Moved, 0, state.word().to_owned())
                    }
                    SessionEvent::Mode(mode) => {
                        event(tick, NewsKind::Moved, 0, format!("Mode: {}", mode.word()))
                    }
                    SessionEvent::Row(row) => {
                        event(tick, NewsKind::Interlock, *row, happened(*row))
                    }
                    SessionEvent::Fault(which, mode) => event(
                        tick,
                        NewsKind::Instructor,
                        0,
                        format!("{}: {}", component(*which), fault_words::mode(*mode)),
                    ),
                    SessionEvent::Cleared(which) => event(
                        tick,
                        NewsKind::Instructor,
                        0,
                        format!("{}: whole again", component(*which)),
                    ),
                    SessionEvent::Power => {
                        event(tick, NewsKind::Moved, 0, "The power was away.".into())
                    }
                    SessionEvent::BrokenOff(why) => {
                        event(tick, NewsKind::Exercise, 0, broken_off(why))
                    }
                    SessionEvent::Found(found) => event(
                        tick,
                        NewsKind::Found,
                        0,
                        format!(
                            "Parts taken out: {} whole, {} cracked.",
                            found.measured_m.len(),
                            found.cracked
                        ),
                    ),
                    SessionEvent::Phase(..) => return None,
                })
            })
            .collect()
    }

    fn all_acts(&self, score: &Score) -> Vec<Acted> {
        self.log
            .iter()
            .enumerate()
            .map(|(index, logged)| {
                let (act, text) = done_words(logged);
                Acted {
                    time_s: seconds(logged.deed.tick),
                    act,
                    text,
                    refused: logged.refused.clone(),
                    wrong: score
                        .losses
                        .iter()
                        .find(|loss| loss.entry == Some(index))
                        .map(|loss| loss.why.clone()),
                }
            })
            .collect()
    }

    fn reactions(&self, score: &Score) -> Vec<Reaction> {
        let expected = self.exercise.training.expected.iter();
        expected
            .zip(&score.outcomes)
            .filter_map(|(expected, outcome)| {
                let cause = match &expected.from {
                    Trigger::Row(row) => happened(*row),
                    Trigger::Fault(which) => format!("{} began to fail", component(*which)),
                    Trigger::State(state) => format!("the machine was {}", state.word()),
                    Trigger::Phase(phase, _) => format!("phase {}", phase.word()),
                    Trigger::Start | Trigger::After(_) => return None,
                };
                let (from, done) = (outcome.from?, outcome.done?);
                Some(Reaction {
                    cause,
                    text: expected.text.clone(),
                    from_s: seconds(from),
                    done_s: seconds(done),
                    seconds: seconds(done.saturating_sub(from)),
                })
            })
            .collect()
    }

    /// The last parts that were worked on and taken out.
    fn measured(&self) -> Option<Parts> {
        let batch = &self.exercise.job.batch;
        self.marks
            .iter()
            .rev()
            .find_map(|marked| match &marked.mark {
                SessionEvent::Found(found) if found.worked => Some(Parts {
                    target_m: batch.target,
                    tolerance_m: batch.tolerance,
                    uncertainty_m: super::log::UNCERTAINTY,
                    measured_m: found.measured_m.clone(),
                    broken: found.cracked,
                }),
                _ => None,
            })
    }

    fn practise(&self, score: &Score) -> Vec<String> {
        let training = &self.exercise.training;
        let mut lines = Vec::new();
        if !score.passed() {
            lines.push(training.practise.clone());
        }
        for loss in score.losses.iter().chain(&score.harm) {
            if loss.points > 0 {
                lines.push(format!(
                    "Think about: {} {}",
                    sentence(&loss.text),
                    loss.why
                ));
            }
        }
        for (expected, outcome) in training.expected.iter().zip(&score.outcomes) {
            match outcome.standing {
                Standing::Late => lines.push(format!("Faster: {}", expected.text)),
                Standing::Missed => lines.push(format!("Do not leave out: {}", expected.text)),
                Standing::Met => {
                    if let (Some(from), Some(done)) = (outcome.from, outcome.done)
                        && !matches!(expected.from, Trigger::Start | Trigger::After(_))
                        && seconds(done - from) > SLOW * expected.within
                    {
                        lines.push(format!("In time, but only just: {}", expected.text));
                    }
                }
                Standing::Waiting | Standing::Open => {}
            }
        }
        lines.truncate(MOST_LINES);
        if lines.is_empty() && self.finished() {
            lines.push("Nothing was lost: go on to the next exercise.".into());
        }
        lines
    }
}

/// With a full stop at its end.
fn sentence(text: &str) -> String {
    let end = if text.ends_with(['.', '!', '?']) {
        ""
    } else {
        "."
    };
    format!("{text}{end}")
}

fn happened(row: u16) -> String {
    row_of(row).map_or_else(String::new, |row| row.happened.to_owned())
}

fn done_words(logged: &Logged) -> (String, String) {
    match &logged.deed.done {
        Done::Operate(act) => (act.word().into(), act.text()),
        Done::Inject {
            component, mode, ..
        } => ("inject".into(), format!("Instructor: {component} {mode}")),
        Done::Repair { component } => (
            "repair".into(),
            format!("Instructor: {component} put right"),
        ),
    }
}

/// At most [`MOST_POINTS`] points; each stretch gives its least and its most.
fn curve(samples: &[Sample]) -> Curve {
    let mut curve = Curve::default();
    let every = samples.len().div_ceil(MOST_POINTS / 2).max(1);
    for group in samples.chunks(every) {
        let Some(last) = group.last() else { continue };
        let least = group
            .iter()
            .map(|s| s.load[0])
            .fold(f32::INFINITY, f32::min);
        let most = group
            .iter()
            .map(|s| s.load[1])
            .fold(f32::NEG_INFINITY, f32::max);
        // Times must rise: the least of a stretch stands half a sample before its end.
        let end = seconds(last.tick);
        for (time, load) in [(end - seconds(SAMPLE_TICKS) / 2.0, least), (end, most)] {
            curve.time_s.push(time);
            curve.load_n.push(f64::from(load));
            curve.reference_n.push(f64::from(last.reference));
            curve.limit_n.push(f64::from(last.limit));
        }
    }
    curve
}

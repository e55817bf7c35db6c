//! What makes a scenario an exercise: what the trainee finds, what a good operator does by when, what nobody should do, and what each
//! of them is worth. Filled by `files` from the part `[training]` of a scenario file; all plain data.

use super::act::Act;
use crate::fault_words::{self, Component};
use crate::math;
use firmware_core::sequence::{Phase, Plate, State};

/// Most expectations, forbidden acts and guide steps of an exercise, each.
pub const MAX_RULES: usize = 64;
/// Most stored recipes: slots of the panel.
pub const MAX_STORED: usize = firmware_core::store::SLOTS as usize;

/// The training part of a scenario.
#[derive(Clone, Debug, PartialEq)]
pub struct Training {
    /// Place in the list of exercises.
    pub order: u32,
    /// Identifier of the recipe that is right for the work order.
    pub recipe: String,
    /// Identifiers of the stored recipes by slot, from 1. Empty: only the right one, in slot 1.
    pub stored: Vec<String>,
    /// The work order, what to reach.
    pub brief: String,
    /// How the trainee finds the machine.
    pub start: Start,
    /// In what condition the machine is found, beside that.
    pub found: Found,
    /// What the shift book says of the shift before, line by line; told at the beginning.
    pub book: Vec<String>,
    /// What can be said to whoever takes the machine over, true or not.
    pub statements: Vec<Statement>,
    /// Who inspects the parts that are taken out.
    pub inspection: Inspection,
    /// Points from which it is passed.
    pub pass: u32,
    /// What to practise next, for who has not passed.
    pub practise: String,
    /// Losses by harm.
    pub harm: HarmLosses,
    /// Points lost for having a component put right that was whole (once).
    pub needless_remedy: u32,
    /// What a good operator does, in the order in which it is shown.
    pub expected: Vec<Expected>,
    /// What nobody should do.
    pub forbidden: Vec<Forbidden>,
    /// Steps of a guided exercise; empty for one that is not guided.
    pub guide: Vec<GuideStep>,
    /// How it is judged where it was drawn for an assessment; `None` in practice.
    pub assessed: Option<Assessed>,
}

/// What makes a scenario an assessment: one of several exercises, drawn so that nobody can know which.
#[derive(Clone, Debug, PartialEq)]
pub struct Assessment {
    /// Place in the list of exercises.
    pub order: u32,
    /// The work order, the same whatever is drawn.
    pub brief: String,
    /// Identifiers of the exercises that are drawn from.
    pub draws: Vec<String>,
    /// Their fault begins so much earlier or later, ± s.
    pub spread: f64,
    /// Points from which it is passed.
    pub pass: u32,
    /// Points lost by a first diagnosis that is wrong, or by none.
    pub diagnosis: u32,
    /// Points lost for each component that was put right and was whole.
    pub needless_remedy: u32,
    /// Points lost for each emergency stop that nothing asked for.
    pub needless_stop: u32,
}

/// How an attempt at a drawn exercise is judged beside its own rules, of which each breach counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Assessed {
    /// What was drawn, in words.
    pub drawn: String,
    /// Components that fail; none where nothing does.
    pub truth: Vec<Component>,
    /// Points lost by a first diagnosis that is wrong, or by none.
    pub diagnosis: u32,
    /// Points lost for each emergency stop that nothing asked for.
    pub needless_stop: u32,
}

impl Training {
    /// Points that can be had.
    #[must_use]
    pub fn points(&self) -> u32 {
        self.expected.iter().map(|expected| expected.points).sum()
    }

    /// One of its rules is about a kind of act, by its word.
    #[must_use]
    pub fn asks_for(&self, word: &str) -> bool {
        let expected = self.expected.iter().filter_map(|one| one.wanted.act());
        let forbidden = self.forbidden.iter().map(|one| &one.act);
        expected.chain(forbidden).any(|act| act.word == word)
    }

    /// What was drawn for an assessment, in words.
    #[must_use]
    pub fn drawn(&self) -> Option<String> {
        self.assessed.as_ref().map(|one| one.drawn.clone())
    }
}

/// How the trainee finds the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    /// Just switched on: Stopped, carriers beside it, nothing recalled.
    Cold,
    /// Idle, carriers beside it, nothing recalled.
    Empty,
    /// Idle, carriers with parts in it, the right recipe recalled; nothing counted or confirmed.
    Loaded,
}

/// Words for [`Start`].
pub const STARTS: &[(&str, Start)] = &[
    ("cold", Start::Cold),
    ("empty", Start::Empty),
    ("loaded", Start::Loaded),
];

/// In what condition the machine is found. All SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Grains in the slurry against those that the recipe asks for, 0 to 2.
    pub grains: f64,
    /// Cutting ability of the grains in the tank against fresh ones, 0..1.
    pub sharpness: f64,
    /// Grain of the abrasive that was used before and was not cleaned away, m; 0 where there is none.
    pub left_over: f64,
    /// Form of the lower and the upper plate, m, inner edge over outer edge, + convex; none where they are as the machine file says.
    pub form: [Option<f64>; 2],
}

impl Found {
    /// As it should be.
    pub const SOUND: Self = Self {
        grains: 1.0,
        sharpness: 1.0,
        left_over: 0.0,
        form: [None; 2],
    };
}

/// Something that can be said at a handover.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Statement {
    /// Identifier within the exercise.
    pub id: String,
    /// What is said.
    pub text: String,
}

/// Who inspects the parts that are taken out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Inspection {
    /// A gauge room measures all of them and says what it found.
    GaugeRoom,
    /// The operator measures, lays the optical flat on, and judges.
    Operator,
}

/// Words for [`Inspection`].
pub const INSPECTIONS: &[(&str, Inspection)] = &[
    ("gauge-room", Inspection::GaugeRoom),
    ("operator", Inspection::Operator),
];

/// Points lost by harm, each once an attempt.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HarmLosses {
    /// A part was loaded beyond its strength.
    pub cracked: u32,
    /// A plate was scored: friction work done dry.
    pub scored: u32,
    /// Carriers were damaged: drives out of their ratio under load, or the plate came down on the carriers.
    pub carriers: u32,
    /// Parts of a completed batch are thinner than their tolerance.
    pub undersize: u32,
    /// Parts of a completed batch are thicker than their tolerance.
    pub oversize: u32,
    /// Parts are scratched by grains of another abrasive.
    pub scratched: u32,
    /// Somebody could have been hurt: moving, pressing or falling with the guard open.
    pub danger: u32,
}

/// Which acts are meant. A parameter that is `None` matches any.
#[derive(Clone, Debug, PartialEq)]
pub struct ActPattern {
    /// Word of the act.
    pub word: &'static str,
    /// Count of pieces that is meant.
    pub pieces: Option<u32>,
    /// Count of pieces that is not meant.
    pub not_pieces: Option<u32>,
    /// Parts that are measured at least.
    pub parts: Option<u32>,
    /// Verdict that is meant.
    pub verdict: Option<&'static str>,
    /// Task that is meant.
    pub task: Option<&'static str>,
    /// Statement that is meant, by its identifier.
    pub statement: Option<String>,
    /// Slot that is meant.
    pub slot: Option<u32>,
    /// Slot that is not meant.
    pub not_slot: Option<u32>,
    /// Component that is meant.
    pub component: Option<Component>,
    /// Mode that is meant.
    pub mode: Option<&'static str>,
    /// Setup movement that is meant.
    pub movement: Option<&'static str>,
    /// On or off.
    pub on: Option<bool>,
    /// Form of the lower and the upper plate that is meant: convex, or else hollow.
    pub convex: [Option<bool>; 2],
    /// Both forms as a straightedge read them last, within this, m.
    pub as_read: Option<f64>,
}

impl ActPattern {
    /// The act is one that is meant, where a straightedge last read these forms of the lower and the upper plate, m.
    #[must_use]
    pub fn matches(&self, act: &Act, read: Option<[f64; 2]>) -> bool {
        if act.word() != self.word {
            return false;
        }
        let number = |is: u32, meant: Option<u32>, not: Option<u32>| {
            meant.is_none_or(|meant| meant == is) && not.is_none_or(|not| not != is)
        };
        match act {
            Act::ConfirmParts { pieces } => {
                number(u32::from(*pieces), self.pieces, self.not_pieces)
            }
            Act::MeasureParts { parts } => {
                self.parts.is_none_or(|least| u32::from(*parts) >= least)
            }
            Act::JudgeParts { verdict } => self.verdict.is_none_or(|meant| meant == verdict),
            Act::Work { task } => self.task.is_none_or(|meant| meant == task),
            Act::HandOver { statement } => self
                .statement
                .as_ref()
                .is_none_or(|meant| meant == statement),
            Act::RecallRecipe { slot } => number(u32::from(*slot), self.slot, self.not_slot),
            Act::SetMode { mode } => self.mode.is_none_or(|meant| meant == mode),
            Act::SelectMove { movement } => self.movement.is_none_or(|meant| meant == movement),
            Act::SetupKey { on } | Act::HoldToRun { on } => {
                self.on.is_none_or(|meant| meant == *on)
            }
            Act::Remedy { component } | Act::Diagnose { component } => self
                .component
                .is_none_or(|meant| fault_words::component(meant) == component),
            Act::ReportForm { lower, upper, .. } => {
                let reported = [*lower, *upper];
                let signs = reported.iter().zip(self.convex);
                // Reported in micrometres.
                let near = |read: [f64; 2], most: f64| {
                    let mut pairs = reported.iter().zip(read);
                    pairs.all(|(form, read)| math::abs(form * 1e-6 - read) <= most)
                };
                signs
                    .into_iter()
                    .all(|(form, meant)| meant.is_none_or(|convex| convex == (*form > 0.0)))
                    && self
                        .as_read
                        .is_none_or(|most| read.is_some_and(|read| near(read, most)))
            }
            _ => true,
        }
    }
}

/// What is expected: an act, or that the machine comes somewhere.
#[derive(Clone, Debug, PartialEq)]
pub enum Wanted {
    /// An act that was taken.
    Act(ActPattern),
    /// A state that is entered.
    Reaches(State),
}

impl Wanted {
    /// The act, where one is wanted.
    #[must_use]
    pub const fn act(&self) -> Option<&ActPattern> {
        match self {
            Self::Act(pattern) => Some(pattern),
            Self::Reaches(_) => None,
        }
    }
}

/// What sets an expectation off.
#[derive(Clone, Debug, PartialEq)]
pub enum Trigger {
    /// The beginning of the attempt.
    Start,
    /// A phase is entered, in a step (0-based) or in any.
    Phase(Phase, Option<u8>),
    /// A state is entered.
    State(State),
    /// The alarm of an interlock row (its id) comes.
    Row(u16),
    /// Another expectation, by its identifier, has been met.
    After(String),
    /// A component begins to fail.
    Fault(Component),
}

/// One thing that a good operator does.
#[derive(Clone, Debug, PartialEq)]
pub struct Expected {
    /// Identifier within the exercise.
    pub id: String,
    /// What a good operator does, and why.
    pub text: String,
    /// What is looked for.
    pub wanted: Wanted,
    /// What sets it off.
    pub from: Trigger,
    /// Time for it after that, s.
    pub within: f64,
    /// Points for it.
    pub points: u32,
}

/// Where an act is forbidden.
#[derive(Clone, Debug, PartialEq)]
pub enum While {
    /// Always.
    Always,
    /// As long as an expectation, by its identifier, has not been met.
    Before(String),
    /// From when an expectation, by its identifier, has been met.
    Since(String),
    /// In a phase.
    Phase(Phase),
    /// In a state.
    State(State),
    /// As long as an interlock row (its id) asks for its response or is latched.
    Row(u16),
    /// With the plate there.
    Plate(Plate),
    /// As long as a component fails.
    Failing(Component),
}

/// One thing that nobody should do; lost once, however often it is done. Trying it counts, whether or not the machine refused it.
#[derive(Clone, Debug, PartialEq)]
pub struct Forbidden {
    /// Identifier within the exercise.
    pub id: String,
    /// Which act.
    pub act: ActPattern,
    /// Where.
    pub when: While,
    /// Points lost.
    pub loss: u32,
    /// Why, for people.
    pub why: String,
}

/// What a guide step waits for.
#[derive(Clone, Debug, PartialEq)]
pub enum Until {
    /// An act that was taken, since the step came.
    Act(ActPattern),
    /// A state is there.
    State(State),
    /// A phase is there.
    Phase(Phase),
    /// Something shows on the panel.
    Shown(Shown),
}

/// One step of a guided exercise.
#[derive(Clone, Debug, PartialEq)]
pub struct GuideStep {
    /// What to do, and why.
    pub text: String,
    /// Control that is meant: word of an act, or empty where one only waits.
    pub control: &'static str,
    /// What ends the step.
    pub until: Until,
}

/// Something that the panel shows: a lamp, or that a count or recipe is there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shown {
    /// The guard is open.
    GuardOpen,
    /// The guard is closed.
    GuardClosed,
    /// The guard is proven locked.
    GuardLocked,
    /// The guard is proven unlocked.
    GuardUnlocked,
    /// Carriers lie in the machine.
    Loaded,
    /// No carriers lie in the machine.
    Empty,
    /// A recipe is recalled.
    Recipe,
    /// As many pieces are confirmed as the recipe expects.
    Confirmed,
    /// The plate is parked.
    Parked,
    /// No alarm waits for acknowledgement.
    Quiet,
}

/// Words for [`Shown`].
pub const SHOWN: &[(&str, Shown)] = &[
    ("guard-open", Shown::GuardOpen),
    ("guard-closed", Shown::GuardClosed),
    ("guard-locked", Shown::GuardLocked),
    ("guard-unlocked", Shown::GuardUnlocked),
    ("loaded", Shown::Loaded),
    ("empty", Shown::Empty),
    ("recipe", Shown::Recipe),
    ("confirmed", Shown::Confirmed),
    ("parked", Shown::Parked),
    ("quiet", Shown::Quiet),
];

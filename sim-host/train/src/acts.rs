//! What was done, and what is told of components, for people, in a language.

use super::machine_words;
use firmware_core::sequence::{Command, Mode, SetupMove};
use std::borrow::Cow;
use twinplate_sim::fault_words::{self, FAULT_MODES};
use twinplate_sim::model::{Component, FaultMode, Measured};
use twinplate_sim::training::act::{Act, NOTHING};
use twinplate_sim::training::task::Task;
use twinplate_words::{Told, Words};

/// What is done.
pub(crate) fn text(words: &Words, act: &Act) -> String {
    let command = |command| machine_words::command(words, command).into_owned();
    match act {
        Act::Start => command(Command::Start),
        Act::Hold => command(Command::Hold),
        Act::Restart => command(Command::Restart),
        Act::Stop => command(Command::Stop),
        Act::Abort => command(Command::Abort),
        Act::Reset => command(Command::Reset),
        Act::PressEmergencyStop => words.say("act-press-emergency-stop"),
        Act::ReleaseEmergencyStop => words.say("act-release-emergency-stop"),
        Act::UnlockGuard => words.say("act-unlock-guard"),
        Act::LockGuard => words.say("act-lock-guard"),
        Act::OpenGuard => words.say("act-open-guard"),
        Act::CloseGuard => words.say("act-close-guard"),
        Act::LoadCarriers => words.say("act-load-carriers"),
        Act::UnloadCarriers => words.say("act-unload-carriers"),
        Act::CountParts => words.say("act-count-parts"),
        Act::LayFlat => words.say("act-lay-flat"),
        Act::CheckSlurry => words.say("act-check-slurry"),
        Act::Raise => words.say("act-raise"),
        Act::Acknowledge => words.say("act-acknowledge"),
        Act::Understood => words.say("act-understood"),
        Act::MeasureParts { parts } => {
            words.tell("act-measure-parts", &[("parts", (*parts).into())])
        }
        Act::JudgeParts { verdict } => {
            let verdict = machine_words::verdict(words, verdict);
            words.tell("act-judge-parts", &[("verdict", Told::Text(verdict))])
        }
        Act::ConfirmParts { pieces } => {
            words.tell("act-confirm-parts", &[("pieces", (*pieces).into())])
        }
        Act::RecallRecipe { slot } => words.tell("act-recall-recipe", &[("slot", (*slot).into())]),
        Act::SetMode { mode } => words.tell("act-set-mode", &[("mode", mode_told(words, mode))]),
        Act::SetupKey { on: true } => words.say("act-setup-key-on"),
        Act::SetupKey { on: false } => words.say("act-setup-key-off"),
        Act::SelectMove { movement } => words.tell(
            "act-select-move",
            &[("movement", move_told(words, movement))],
        ),
        Act::HoldToRun { on: true } => words.say("act-hold-to-run"),
        Act::HoldToRun { on: false } => words.say("act-let-go"),
        Act::Diagnose { component } if component == NOTHING => words.say("act-diagnose-nothing"),
        Act::Diagnose { component } => words.tell(
            "act-diagnose",
            &[("component", Told::Text(named(words, component)))],
        ),
        Act::Remedy { component } => words.tell(
            "act-remedy",
            &[("component", Told::Text(named(words, component)))],
        ),
        Act::Work { task } => {
            Task::named(task).map_or_else(|| task.clone(), |task| task_done(words, task))
        }
        Act::HandOver { statement } => handed_over(words, statement),
        Act::ReportForm { by, lower, upper } => form(words, by, [*lower, *upper]),
    }
}

fn mode_told<'a>(words: &Words, mode: &'a str) -> Told<'a> {
    let known = Mode::named(mode).map(|mode| machine_words::mode(words, mode));
    Told::Text(known.unwrap_or(Cow::Borrowed(mode)))
}

fn move_told<'a>(words: &Words, movement: &'a str) -> Told<'a> {
    let known = SetupMove::named(movement).map(|one| machine_words::setup_move(words, one));
    Told::Text(known.unwrap_or(Cow::Borrowed(movement)))
}

/// What was said to whoever takes the machine over.
pub(crate) fn handed_over(words: &Words, what: &str) -> String {
    words.tell("act-hand-over", &[("statement", what.into())])
}

fn form(words: &Words, by: &str, read: [f64; 2]) -> String {
    let id = if by == Measured::Straightedge.name() {
        "act-report-by-straightedge"
    } else if by == Measured::Bands.name() {
        "act-report-by-bands"
    } else {
        "act-report-form"
    };
    let [lower, upper] = read.map(|form| words.written(&format!("{form:+}")));
    words.tell(
        id,
        &[
            ("by", by.into()),
            ("lower", lower.into()),
            ("upper", upper.into()),
        ],
    )
}

/// What was done between cycles.
pub(crate) fn task_done(words: &Words, task: Task) -> String {
    words.say(match task {
        Task::LayStraightedge => "done-lay-straightedge",
        Task::ConditionPlates => "done-condition-plates",
        Task::SampleSlurry => "done-sample-slurry",
        Task::MixSlurry => "done-mix-slurry",
        Task::ChangeSlurry => "done-change-slurry",
        Task::WashMachine => "done-wash-machine",
        Task::HangLock => "done-hang-lock",
        Task::TakeLockOff => "done-take-lock-off",
    })
}

/// A component by its word in files; in English that word itself.
pub(crate) fn named<'a>(words: &Words, word: &'a str) -> Cow<'a, str> {
    words.translated(&format!("component-{word}"), word)
}

/// As [`named`], of a component.
pub(crate) fn component(words: &Words, component: Component) -> Cow<'static, str> {
    named(words, fault_words::component(component))
}

/// A way to fail, by its word in files.
pub(crate) fn failing(words: &Words, word: &str) -> String {
    let known = FAULT_MODES.iter().find(|(name, _)| *name == word);
    known.map_or_else(|| word.to_owned(), |(_, mode)| fails(words, *mode))
}

/// A way to fail.
pub(crate) fn fails(words: &Words, mode: FaultMode) -> String {
    words.say(match mode {
        FaultMode::Off => "failing-off",
        FaultMode::Stuck => "failing-stuck",
        FaultMode::Garbage => "failing-garbage",
        FaultMode::Wrong => "failing-wrong",
        FaultMode::Slow => "failing-slow",
        FaultMode::Delayed => "failing-delayed",
        FaultMode::Intermittent => "failing-intermittent",
    })
}

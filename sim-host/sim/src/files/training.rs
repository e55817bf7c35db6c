//! The part `[training]` of a scenario file: every key, its range, its words, and where it goes in [`Training`].

mod condition;

use super::quantity::Dimension as D;
use super::scenario::COMPONENTS;
use super::table::Table;
use crate::model::Component;
use crate::training::act::{ACTS, VERDICTS};
use crate::training::rules::{
    ActPattern, Expected, Forbidden, GuideStep, INSPECTIONS, Inspection, MAX_RULES, MAX_STORED,
    SHOWN, STARTS, Shown, Start, Training, Trigger, Until, Wanted, While,
};
use crate::training::task::TASKS;
use condition::{HARM, book, found, harm, statements};
use firmware_core::interlock::TABLE;
use firmware_core::sequence::{Mode, Phase, Plate, SetupMove, State};

const ON_OFF: &[(&str, bool)] = &[("on", true), ("off", false)];
/// Most points that anything is worth or costs.
pub(super) const MOST: u32 = 1000;
/// Slots that the controller stores recipes in.
const SLOTS: [u32; 2] = [1, firmware_core::store::SLOTS as u32];
/// Longest text of a line, characters.
const LINE: usize = 240;

pub(super) fn read(t: &mut Table<'_, '_>) -> Training {
    let training = Training {
        order: t.integer("order", [1, 999], "Place in the list of exercises."),
        recipe: t.identifier(
            "recipe",
            "Identifier of the recipe that is right for the work order.",
        ),
        stored: t.list(
            "stored",
            [0, MAX_STORED],
            "Stored recipes by slot, from 1; left out, only the right one in slot 1.",
            |t| t.identifier("recipe", "Identifier of the stored recipe."),
        ),
        brief: t.text(
            "brief",
            900,
            "What the trainee is told: the work order and what to reach.",
        ),
        start: t
            .word("start", STARTS, "How the trainee finds the machine.")
            .unwrap_or(Start::Cold),
        found: found(t),
        book: book(t),
        statements: statements(t),
        inspection: t
            .optional_word(
                "inspection",
                INSPECTIONS,
                "Who inspects the parts that are taken out; left out, a gauge room.",
            )
            .unwrap_or(Inspection::GaugeRoom),
        pass: t.integer("pass", [0, MOST], "Points from which it is passed."),
        practise: t.text(
            "practise",
            LINE,
            "What to practise next, for who has not passed.",
        ),
        harm: t
            .optional_table("harm", "Points lost by harm, each once.", harm)
            .unwrap_or(HARM),
        needless_remedy: t
            .optional_integer(
                "needless-remedy",
                [0, MOST],
                "Points lost for having a component put right that was whole; left out, none.",
            )
            .unwrap_or(0),
        expected: t.list(
            "expected",
            [1, MAX_RULES],
            "What a good operator does.",
            expected,
        ),
        forbidden: t.list(
            "forbidden",
            [0, MAX_RULES],
            "What nobody should do.",
            forbidden,
        ),
        guide: t.list(
            "guide",
            [0, MAX_RULES],
            "Steps of a guided exercise: each is explained and waited for.",
            guide,
        ),
        assessed: None,
    };
    check(t, &training);
    training
}

/// Keys of a pattern, and the parameter of an act that each is about.
pub(super) const PARAMETERS: &[(&str, &str)] = &[
    ("pieces", "pieces"),
    ("not-pieces", "pieces"),
    ("parts", "parts"),
    ("verdict", "verdict"),
    ("task", "task"),
    ("statement", "statement"),
    ("slot", "slot"),
    ("not-slot", "slot"),
    ("component", "component"),
    ("mode", "mode"),
    ("movement", "movement"),
    ("turned", "on"),
    ("lower", "form"),
    ("upper", "form"),
    ("as-read", "form"),
];

/// Words for which way a plate is out of form.
const CONVEX: &[(&str, bool)] = &[("convex", true), ("hollow", false)];

/// Names that are kept as they are written: an act's parameter is a word of a script, too.
fn names<T>(all: &[(&'static str, T)]) -> Vec<(&'static str, &'static str)> {
    all.iter().map(|(name, _)| (*name, *name)).collect()
}

/// The act and its parameters.
fn pattern(t: &mut Table<'_, '_>) -> ActPattern {
    let words: Vec<(&'static str, &'static str)> =
        ACTS.iter().map(|act| (act.word, act.word)).collect();
    let word = t.word("act", &words, "Which act.").unwrap_or("start");
    let parameter = ACTS
        .iter()
        .find(|act| act.word == word)
        .map_or("", |act| act.parameter);
    let pattern = ActPattern {
        word,
        pieces: t.optional_integer("pieces", [0, 20_000], "Count of pieces that is meant."),
        not_pieces: t.optional_integer(
            "not-pieces",
            [0, 20_000],
            "Count of pieces that is not meant.",
        ),
        parts: t.optional_integer("parts", [1, 20_000], "Parts that are measured at least."),
        verdict: t.optional_word("verdict", &names(&VERDICTS), "Verdict that is meant."),
        task: t.optional_word(
            "task",
            &TASKS.map(|(word, _)| (word, word)),
            "Task that is meant.",
        ),
        statement: t.optional_identifier("statement", "Statement that is meant."),
        slot: t.optional_integer("slot", SLOTS, "Slot that is meant."),
        not_slot: t.optional_integer("not-slot", SLOTS, "Slot that is not meant."),
        component: t.optional_word("component", COMPONENTS, "Component that is meant."),
        mode: t.optional_word("mode", &names(&Mode::NAMES), "Mode that is meant."),
        movement: t.optional_word(
            "movement",
            &names(&SetupMove::NAMES),
            "Setup movement that is meant.",
        ),
        on: t.optional_word("turned", ON_OFF, "Turned or held on, or off."),
        convex: [
            t.optional_word("lower", CONVEX, "Form of the lower plate that is meant."),
            t.optional_word("upper", CONVEX, "Form of the upper plate that is meant."),
        ],
        as_read: t.optional_quantity(
            "as-read",
            D::Length,
            ["0.1 um", "100 um"],
            "Forms of both plates as the straightedge read them last, within this; left out, any.",
        ),
    };
    for (key, of) in PARAMETERS {
        if t.has(key) && *of != parameter {
            t.error_at(
                "conflicting-key",
                key,
                format!("`{key}` is nothing of the act `{word}`"),
                match parameter {
                    "" => format!("no `{key}` beside `{word}`"),
                    parameter => format!("the {parameter} of `{word}`, or nothing"),
                },
            );
        }
    }
    pattern
}

fn expected(t: &mut Table<'_, '_>) -> Expected {
    Expected {
        id: t.identifier("id", "Identifier within the exercise."),
        text: t.text("text", LINE, "What a good operator does, and why."),
        wanted: t
            .one_of(&[
                ("act", |t| Wanted::Act(pattern(t))),
                ("reaches", |t| {
                    Wanted::Reaches(
                        t.word("reaches", &State::NAMES, "State that the machine comes to.")
                            .unwrap_or(State::Idle),
                    )
                }),
            ])
            .unwrap_or(Wanted::Reaches(State::Idle)),
        from: t
            .one_of(&[
                ("start", |t| {
                    t.yes("start", "From the beginning of the attempt.");
                    Trigger::Start
                }),
                ("phase", |t| {
                    let phase = phase(t, "phase", "From the entry of this phase.");
                    let step = t.optional_integer(
                        "step",
                        [
                            1,
                            u32::try_from(firmware_core::recipe::MAX_STEPS).unwrap_or(1),
                        ],
                        "Step in which the phase is entered, counted from 1; left out, any.",
                    );
                    Trigger::Phase(
                        phase,
                        step.and_then(|step| u8::try_from(step.saturating_sub(1)).ok()),
                    )
                }),
                ("state", |t| {
                    Trigger::State(
                        t.word("state", &State::NAMES, "From the entry of this state.")
                            .unwrap_or(State::Idle),
                    )
                }),
                ("row", |t| {
                    Trigger::Row(row(t, "From when this interlock row's alarm comes."))
                }),
                ("after", |t| {
                    Trigger::After(
                        t.identifier("after", "From when this other expectation is met."),
                    )
                }),
                ("fault", |t| {
                    Trigger::Fault(
                        t.word(
                            "fault",
                            COMPONENTS,
                            "From when this component begins to fail.",
                        )
                        .unwrap_or(Component::Regulator),
                    )
                }),
            ])
            .unwrap_or(Trigger::Start),
        within: t.quantity(
            "within",
            D::Time,
            ["0 s", "24 h"],
            "Time for it after that.",
        ),
        points: t.integer("points", [0, MOST], "Points for it."),
    }
}

fn phase(t: &mut Table<'_, '_>, key: &'static str, meaning: &'static str) -> Phase {
    t.word(key, &Phase::NAMES, meaning).unwrap_or(Phase::Rest)
}

fn row(t: &mut Table<'_, '_>, meaning: &'static str) -> u16 {
    let rows = TABLE.map(|row| (row.name, row.id));
    t.word("row", &rows, meaning).unwrap_or(0)
}

fn forbidden(t: &mut Table<'_, '_>) -> Forbidden {
    Forbidden {
        id: t.identifier("id", "Identifier within the exercise."),
        act: pattern(t),
        when: t
            .one_of(&[
                ("always", |t| {
                    t.yes("always", "Always.");
                    While::Always
                }),
                ("before", |t| {
                    While::Before(t.identifier("before", "As long as this expectation is not met."))
                }),
                ("since", |t| {
                    While::Since(t.identifier("since", "From when this expectation is met."))
                }),
                ("phase", |t| {
                    While::Phase(phase(t, "phase", "In this phase."))
                }),
                ("state", |t| {
                    While::State(
                        t.word("state", &State::NAMES, "In this state.")
                            .unwrap_or(State::Idle),
                    )
                }),
                ("row", |t| {
                    While::Row(row(
                        t,
                        "As long as this interlock row is active or latched.",
                    ))
                }),
                ("plate", |t| {
                    While::Plate(
                        t.word("plate", &Plate::NAMES, "With the plate there.")
                            .unwrap_or(Plate::Parked),
                    )
                }),
                ("failing", |t| {
                    While::Failing(
                        t.word("failing", COMPONENTS, "As long as this component fails.")
                            .unwrap_or(Component::Regulator),
                    )
                }),
            ])
            .unwrap_or(While::Always),
        loss: t.integer("loss", [0, MOST], "Points lost, once."),
        why: t.text("why", LINE, "Why nobody should."),
    }
}

fn guide(t: &mut Table<'_, '_>) -> GuideStep {
    let words: Vec<(&'static str, &'static str)> =
        ACTS.iter().map(|act| (act.word, act.word)).collect();
    GuideStep {
        text: t.text("text", 600, "What to do, and why."),
        control: t
            .optional_word(
                "control",
                &words,
                "Control that is meant, by the word of its act; left out where one only waits.",
            )
            .unwrap_or(""),
        until: t
            .one_of(&[
                ("act", |t| Until::Act(pattern(t))),
                ("state", |t| {
                    Until::State(
                        t.word("state", &State::NAMES, "Waits for this state.")
                            .unwrap_or(State::Idle),
                    )
                }),
                ("phase", |t| {
                    Until::Phase(phase(t, "phase", "Waits for this phase."))
                }),
                ("shown", |t| {
                    Until::Shown(
                        t.word("shown", SHOWN, "Waits until the panel shows this.")
                            .unwrap_or(Shown::Loaded),
                    )
                }),
            ])
            .unwrap_or(Until::Shown(Shown::Loaded)),
    }
}

/// What no single key shows: identifiers that are twice there or that nothing carries, and a pass mark that nobody can reach.
fn check(t: &mut Table<'_, '_>, training: &Training) {
    let ids: Vec<&str> = training.expected.iter().map(|e| e.id.as_str()).collect();
    check_once(t, "expected", "expectation", &ids);
    for (index, expected) in training.expected.iter().enumerate() {
        if let Trigger::After(other) = &expected.from
            && !other.is_empty()
            && !ids[..index].contains(&other.as_str())
        {
            t.error_at(
                "not-found",
                &format!("expected[{index}].after"),
                format!("no expectation above this one has the identifier `{other}`"),
                "the `id` of an expectation further up in the file".into(),
            );
        }
    }
    for (index, forbidden) in training.forbidden.iter().enumerate() {
        let (key, other) = match &forbidden.when {
            While::Before(other) => ("before", other),
            While::Since(other) => ("since", other),
            _ => continue,
        };
        if !other.is_empty() && !ids.contains(&other.as_str()) {
            t.error_at(
                "not-found",
                &format!("forbidden[{index}].{key}"),
                format!("no expectation has the identifier `{other}`"),
                "the `id` of an expectation of this exercise".into(),
            );
        }
    }
    check_statements(t, training);
    if training.pass > training.points() {
        t.error_at(
            "inconsistent",
            "pass",
            format!(
                "`pass` is above the {} points that can be had",
                training.points()
            ),
            "at most the points of all expectations together".into(),
        );
    }
    let right = training.stored.is_empty() || training.stored.contains(&training.recipe);
    if !right && !training.recipe.is_empty() {
        t.error_at(
            "not-found",
            "recipe",
            "the right recipe is not among the stored ones".into(),
            "a recipe that stands in one of the slots of `stored`".into(),
        );
    }
}

/// Identifiers of a list that are twice there.
fn check_once(t: &mut Table<'_, '_>, list: &str, what: &str, ids: &[&str]) {
    for (index, id) in ids.iter().enumerate() {
        if !id.is_empty() && ids[..index].contains(id) {
            t.error_at(
                "duplicate-name",
                &format!("{list}[{index}].id"),
                format!("the identifier `{id}` is there twice"),
                format!("an identifier of its own for each {what}"),
            );
        }
    }
}

/// Statements that are twice there, and rules about one that is not.
fn check_statements(t: &mut Table<'_, '_>, training: &Training) {
    let said: Vec<&str> = training.statements.iter().map(|s| s.id.as_str()).collect();
    check_once(t, "statements", "statement", &said);
    let unknown = |list: &str, index: usize, pattern: &ActPattern| {
        let meant = pattern.statement.clone().filter(|id| !id.is_empty())?;
        (!said.contains(&meant.as_str())).then(|| (format!("{list}[{index}].statement"), meant))
    };
    let expected = training.expected.iter().enumerate();
    let expected =
        expected.filter_map(|(index, one)| unknown("expected", index, one.wanted.act()?));
    let forbidden = training.forbidden.iter().enumerate();
    let forbidden = forbidden.filter_map(|(index, one)| unknown("forbidden", index, &one.act));
    for (key, meant) in expected.chain(forbidden).collect::<Vec<_>>() {
        t.error_at(
            "not-found",
            &key,
            format!("no statement has the identifier `{meant}`"),
            "the `id` of one of `statements`".into(),
        );
    }
}

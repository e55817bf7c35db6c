//! Reading a script: see [`super::headless`] for what its lines mean.

use firmware_core::interlock::TABLE;
use firmware_core::recipe::MAX_STEPS;
use firmware_core::sequence::{Phase, State};
use std::fmt;
use twinplate_sim::compile;
use twinplate_sim::files::error::said;
use twinplate_sim::training::act::{ACTS, Act};

/// Steps of a recipe, counted from 1.
#[allow(clippy::cast_possible_truncation)] // a few
const LAST_STEP: u8 = MAX_STEPS as u8;
/// Most lines of a script.
const MOST_LINES: usize = 10_000;

/// A script that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Script {
    /// Identifier of the exercise.
    pub exercise: String,
    /// Seed.
    pub seed: u64,
    /// What is done, with its line from 1.
    pub(super) steps: Vec<(usize, Step)>,
    /// What should come out.
    pub(super) expected: Vec<(usize, Expect)>,
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Step {
    Until(u32),
    For(u32),
    Phase(Phase),
    State(State),
    Dwell(u8),
    Row(usize),
    PutRight,
    Act(Act),
    Inject(String, String, Option<f64>),
    Repair(String),
    Back(u32),
}

#[derive(Clone, Debug, PartialEq)]
pub(super) enum Expect {
    Points(u32),
    Passed(bool),
    Lost(Vec<String>),
}

/// Why a script cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ScriptError {
    /// Line, from 1.
    pub line: usize,
    /// What is wrong.
    pub what: String,
    /// What would be right.
    pub expected: String,
}

impl fmt::Display for ScriptError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            out,
            "line {}: {}; expected {}",
            self.line, self.what, self.expected
        )
    }
}

impl std::error::Error for ScriptError {}

impl Script {
    /// Reads a script.
    ///
    /// # Errors
    /// The first line that is not what it should be.
    pub fn read(text: &str) -> Result<Self, ScriptError> {
        let mut script = Self {
            exercise: String::new(),
            seed: 1,
            steps: Vec::new(),
            expected: Vec::new(),
        };
        for (index, line) in text.lines().enumerate() {
            let number = index + 1;
            if index >= MOST_LINES {
                return Err(wrong(
                    number,
                    "the script is too long",
                    format!("at most {MOST_LINES} lines"),
                ));
            }
            let line = line.split('#').next().unwrap_or("");
            let words: Vec<&str> = line.split_whitespace().collect();
            if !words.is_empty() {
                script.line(number, &words)?;
            }
        }
        if script.exercise.is_empty() {
            return Err(wrong(
                1,
                "the script names no exercise",
                "`exercise ID` as its first line".into(),
            ));
        }
        Ok(script)
    }

    fn line(&mut self, number: usize, words: &[&str]) -> Result<(), ScriptError> {
        if self.exercise.is_empty() && words.first() != Some(&"exercise") {
            return Err(wrong(
                number,
                "something stands before the exercise",
                "`exercise ID` as the first line".into(),
            ));
        }
        let step = match words {
            ["exercise", id] if self.exercise.is_empty() => {
                self.exercise = (*id).to_owned();
                return Ok(());
            }
            ["seed", seed] if self.steps.is_empty() => {
                self.seed = seed.parse().map_err(|_| {
                    wrong(
                        number,
                        format!("`{seed}` is no seed"),
                        "a whole number such as `seed 7`".into(),
                    )
                })?;
                return Ok(());
            }
            ["expect", rest @ ..] => {
                let expect = expectation(number, rest)?;
                self.expected.push((number, expect));
                return Ok(());
            }
            ["wait", rest @ ..] => wait(number, rest)?,
            ["back", time, "s"] => Step::Back(time_of(number, time)?),
            ["inject", component, mode] => {
                Step::Inject((*component).to_owned(), (*mode).to_owned(), None)
            }
            ["inject", component, mode, magnitude] => Step::Inject(
                (*component).to_owned(),
                (*mode).to_owned(),
                Some(real(number, magnitude)?),
            ),
            ["repair", component] => Step::Repair((*component).to_owned()),
            [time, "s"] if time.starts_with('+') => {
                Step::For(time_of(number, time.trim_start_matches('+'))?)
            }
            [time, "s"] => Step::Until(time_of(number, time)?),
            _ => Step::Act(act(number, words)?),
        };
        self.steps.push((number, step));
        Ok(())
    }
}

pub(super) fn wrong(line: usize, what: impl Into<String>, expected: String) -> ScriptError {
    ScriptError {
        line,
        what: said(what.into()),
        expected,
    }
}

fn real(line: usize, text: &str) -> Result<f64, ScriptError> {
    match text.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok(value),
        _ => Err(wrong(
            line,
            format!("`{text}` is no number"),
            "a number such as 0.5".into(),
        )),
    }
}

fn time_of(line: usize, text: &str) -> Result<u32, ScriptError> {
    match real(line, text) {
        Ok(seconds) if (0.0..=86_400.0).contains(&seconds) => Ok(compile::ticks(seconds).0),
        _ => Err(wrong(
            line,
            format!("`{text}` is no time"),
            "seconds from 0 to 86400, such as `12.5 s` or `+2 s`".into(),
        )),
    }
}

fn expectation(line: usize, words: &[&str]) -> Result<Expect, ScriptError> {
    Ok(match words {
        ["points", points] if points.parse::<u32>().is_ok() => {
            Expect::Points(points.parse().unwrap_or(0))
        }
        ["passed", "yes"] => Expect::Passed(true),
        ["passed", "no"] => Expect::Passed(false),
        ["lost", "nothing"] => Expect::Lost(Vec::new()),
        ["lost", first, rest @ ..] => {
            let ids = std::iter::once(first).chain(rest);
            Expect::Lost(ids.map(|id| (*id).to_owned()).collect())
        }
        _ => {
            return Err(wrong(
                line,
                "this cannot be expected",
                "`expect points N`, `expect passed yes`, `expect passed no`, `expect lost nothing` or `expect lost ID …`".into(),
            ));
        }
    })
}

fn wait(line: usize, words: &[&str]) -> Result<Step, ScriptError> {
    let unknown = |word: &str, what: &str, known: String| {
        wrong(
            line,
            format!("`{word}` is no {what}"),
            format!("one of {known}"),
        )
    };
    match words {
        ["put-right"] => Ok(Step::PutRight),
        ["state", word] => State::named(word)
            .map(Step::State)
            .ok_or_else(|| unknown(word, "state", State::NAMES.map(|(name, _)| name).join(", "))),
        ["row", word] => TABLE
            .iter()
            .position(|row| row.name == *word)
            .map(Step::Row)
            .ok_or_else(|| unknown(word, "interlock row", TABLE.map(|row| row.name).join(", "))),
        ["step", step] => match step.parse::<u8>() {
            Ok(step @ 1..=LAST_STEP) => Ok(Step::Dwell(step - 1)),
            _ => Err(unknown(step, "step", format!("1 to {LAST_STEP}"))),
        },
        [word] => Phase::named(word)
            .map(Step::Phase)
            .ok_or_else(|| unknown(word, "phase", Phase::NAMES.map(|(name, _)| name).join(", "))),
        _ => Err(wrong(
            line,
            "this cannot be waited for",
            "`wait PHASE`, `wait state STATE`, `wait step N`, `wait row ROW` or `wait put-right`"
                .into(),
        )),
    }
}

/// An act by its word, with its parameter behind it where it has one. What it means is decided where pages are answered, too.
fn act(line: usize, words: &[&str]) -> Result<Act, ScriptError> {
    let Some((word, rest)) = words.split_first() else {
        return Err(wrong(line, "the line is empty", "an act".into()));
    };
    let Some(kind) = ACTS.iter().find(|kind| kind.word == *word) else {
        let known: Vec<&str> = ACTS.iter().map(|kind| kind.word).collect();
        return Err(wrong(
            line,
            format!("`{word}` is no act"),
            format!(
                "a time, `wait`, `expect`, `inject`, `repair`, `back`, or one of {}",
                known.join(", ")
            ),
        ));
    };
    let mut object = serde_json::Map::new();
    object.insert("act".into(), kind.word.into());
    let due = || match kind.parameter {
        "" => format!("`{word}` alone"),
        parameter => format!("`{word}` and its {parameter}"),
    };
    let misfit = || wrong(line, format!("`{}` does not fit", words.join(" ")), due());
    match (kind.parameter, rest) {
        ("", []) => {}
        ("on", ["on"]) => drop(object.insert("on".into(), true.into())),
        ("on", ["off"]) => drop(object.insert("on".into(), false.into())),
        (parameter @ ("pieces" | "slot" | "parts"), [number]) => {
            let number: u64 = number.parse().map_err(|_| misfit())?;
            object.insert(parameter.into(), number.into());
        }
        ("form", [by, lower, upper]) => {
            object.insert("by".into(), (*by).into());
            for (plate, read) in [("lower", lower), ("upper", upper)] {
                object.insert(plate.into(), real(line, read)?.into());
            }
        }
        (
            parameter @ ("mode" | "movement" | "component" | "verdict" | "task" | "statement"),
            [value],
        ) => {
            object.insert(parameter.into(), (*value).into());
        }
        _ => return Err(misfit()),
    }
    serde_json::from_value(object.into()).map_err(|_| misfit())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bad_line_is_refused_with_its_number_and_what_would_be_right() {
        for (text, line, part) in [
            ("", 1, "names no exercise"),
            ("reset", 1, "before the exercise"),
            ("exercise a\nexercise b", 2, "no act"),
            ("exercise a\nseed x", 2, "no seed"),
            ("exercise a\n\n# note\nfly", 4, "`fly` is no act"),
            ("exercise a\nconfirm-parts", 2, "does not fit"),
            ("exercise a\nconfirm-parts many", 2, "does not fit"),
            ("exercise a\nconfirm-parts 70000", 2, "does not fit"),
            ("exercise a\nsetup-key maybe", 2, "does not fit"),
            ("exercise a\nmeasure-parts some", 2, "does not fit"),
            ("exercise a\njudge-parts", 2, "does not fit"),
            ("exercise a\nreset now", 2, "does not fit"),
            ("exercise a\nreport-form bands 1", 2, "does not fit"),
            ("exercise a\nreport-form bands much 1", 2, "no number"),
            ("exercise a\n-5 s", 2, "no time"),
            ("exercise a\n+nan s", 2, "no time"),
            ("exercise a\nwait lunch", 2, "no phase"),
            ("exercise a\nwait state lunch", 2, "no state"),
            ("exercise a\nwait row lunch", 2, "no interlock row"),
            ("exercise a\nwait step 0", 2, "no step"),
            ("exercise a\nwait", 2, "waited for"),
            ("exercise a\nexpect lunch", 2, "be expected"),
            ("exercise a\ninject pump wrong much", 2, "no number"),
        ] {
            let error = Script::read(text).expect_err(text);
            assert_eq!(error.line, line, "{text:?}: {error}");
            assert!(error.what.contains(part), "{text:?}: {error}");
            assert!(!error.expected.is_empty());
        }
    }

    #[test]
    fn every_act_has_a_line() {
        for kind in ACTS {
            let line = match kind.parameter {
                "" => kind.word.to_owned(),
                "on" => format!("{} on", kind.word),
                "pieces" | "slot" | "parts" => format!("{} 3", kind.word),
                "form" => format!("{} bands 0.5 -1", kind.word),
                _ => format!("{} setup", kind.word),
            };
            let script = Script::read(&format!("exercise a\n{line}")).expect(&line);
            let Some((2, Step::Act(act))) = script.steps.first() else {
                panic!("{line}: {script:?}");
            };
            assert_eq!(act.word(), kind.word);
        }
    }
}

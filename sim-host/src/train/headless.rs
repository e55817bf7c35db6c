//! A station without a page: a session driven by a script, for tests and for scoring what was recorded.
//!
//! A script is text, one thing a line; blank lines and what follows `#` are skipped.
//!
//! ```text
//! exercise first-cycle        which exercise; the first line, once
//! seed 7                      seed of the session; 1 unless given
//! 12.5 s                      time goes on until then
//! +2 s                        time goes on for so long
//! wait dwell                  time goes on until this phase is there
//! wait state held             … until this state is there
//! wait step 2                 … until this step, from 1, dwells
//! wait row flow-low           … until the alarm of this interlock row is there
//! reset                       an act, by its word; `confirm-parts 15`, `remedy slurry-line`, `setup-key on`
//! inject pump off             an instructor makes a component fail; `inject air-supply wrong 0.5`
//! repair pump                 an instructor ends a fault
//! back 20 s                   an instructor goes back in time
//! expect points 85            what should come out: `expect passed yes`, `expect lost uncounted scored`, `expect lost nothing`
//! ```
//!
//! At its end the attempt is finished. Between two acts time does not go on by itself, but one tick, so that they act in order.

use super::act::{ACTS, Act};
use super::exercise::Exercise;
use super::scoring::Standing;
use super::session::Session;
use crate::compile;
use crate::files::PHASES;
use firmware_core::interlock::TABLE;
use firmware_core::sequence::{ALL_STATES, Phase, State};
use firmware_core::units::TICKS_PER_SECOND;
use std::fmt;
use std::sync::Arc;

/// Longest that a `wait` may last, ticks: 30 minutes.
const LONGEST_WAIT: u32 = 1800 * TICKS_PER_SECOND;
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
    steps: Vec<(usize, Step)>,
    /// What should come out.
    expected: Vec<(usize, Expect)>,
}

#[derive(Clone, Debug, PartialEq)]
enum Step {
    Until(u32),
    For(u32),
    Phase(Phase),
    State(State),
    Dwell(u8),
    Row(usize),
    Act(Act),
    Inject(String, String, Option<f64>),
    Repair(String),
    Back(u32),
}

#[derive(Clone, Debug, PartialEq)]
enum Expect {
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

/// How a script came out.
#[derive(Clone, Debug)]
pub struct Ran {
    /// The session, finished.
    pub session: Session,
    /// Acts that were refused at once: line, and why.
    pub refused: Vec<(usize, String)>,
    /// Expectations of the script that did not come true.
    pub unmet: Vec<String>,
}

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

fn wrong(line: usize, what: impl Into<String>, expected: String) -> ScriptError {
    ScriptError {
        line,
        what: what.into(),
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
        ["state", word] => ALL_STATES
            .into_iter()
            .find(|state| state.name().to_ascii_lowercase() == *word)
            .map(Step::State)
            .ok_or_else(|| {
                let known = ALL_STATES.map(|state| state.name().to_ascii_lowercase());
                unknown(word, "state", known.join(", "))
            }),
        ["row", word] => TABLE
            .iter()
            .position(|row| row.name == *word)
            .map(Step::Row)
            .ok_or_else(|| unknown(word, "interlock row", TABLE.map(|row| row.name).join(", "))),
        ["step", step] => match step.parse::<u8>() {
            Ok(step @ 1..=16) => Ok(Step::Dwell(step - 1)),
            _ => Err(unknown(step, "step", "1 to 16".into())),
        },
        [word] => PHASES
            .iter()
            .find(|(known, _)| known == word)
            .map(|(_, phase)| Step::Phase(*phase))
            .ok_or_else(|| {
                let known: Vec<&str> = PHASES.iter().map(|(word, _)| *word).collect();
                unknown(word, "phase", known.join(", "))
            }),
        _ => Err(wrong(
            line,
            "this cannot be waited for",
            "`wait PHASE`, `wait state STATE`, `wait step N` or `wait row ROW`".into(),
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
        (parameter @ ("pieces" | "slot"), [number]) => {
            let number: u64 = number.parse().map_err(|_| misfit())?;
            object.insert(parameter.into(), number.into());
        }
        (parameter @ ("mode" | "movement" | "component"), [value]) => {
            object.insert(parameter.into(), (*value).into());
        }
        _ => return Err(misfit()),
    }
    serde_json::from_value(object.into()).map_err(|_| misfit())
}

/// Runs a script on its exercise.
///
/// # Errors
/// A `wait` or a time that never comes.
pub fn run(script: &Script, exercise: Arc<Exercise>) -> Result<Ran, ScriptError> {
    let mut session = Session::new(exercise, script.seed);
    let mut refused = Vec::new();
    for (line, step) in &script.steps {
        let tried = match step {
            Step::Until(tick) => {
                let Some(ticks) = tick.checked_sub(session.tick()) else {
                    return Err(wrong(
                        *line,
                        format!("it is {:.1} s already", session.time_s()),
                        "a time that is still to come".into(),
                    ));
                };
                go_on(&mut session, ticks, *line)?;
                continue;
            }
            Step::For(ticks) => {
                go_on(&mut session, *ticks, *line)?;
                continue;
            }
            Step::Back(tick) => {
                let tick = *tick;
                let now = session.go_back(tick);
                go_on(&mut session, tick.saturating_sub(now), *line)?;
                continue;
            }
            Step::Phase(_) | Step::State(_) | Step::Dwell(_) | Step::Row(_) => {
                wait_for(&mut session, step, *line)?;
                continue;
            }
            Step::Act(act) => session.operate(act),
            Step::Inject(component, mode, magnitude) => session.inject(component, mode, *magnitude),
            Step::Repair(component) => session.repair(component),
        };
        if let Err(why) = tried {
            refused.push((*line, why.why));
        }
        session.advance(1);
    }
    session.finish();
    let unmet = unmet(script, &session);
    Ok(Ran {
        session,
        refused,
        unmet,
    })
}

fn go_on(session: &mut Session, ticks: u32, line: usize) -> Result<(), ScriptError> {
    if session.advance(ticks) < ticks {
        return Err(over(session, line));
    }
    Ok(())
}

fn over(session: &Session, line: usize) -> ScriptError {
    wrong(
        line,
        format!(
            "the exercise was over at {:.1} s, before this came",
            session.time_s()
        ),
        "what comes within the longest time of the exercise".into(),
    )
}

fn wait_for(session: &mut Session, step: &Step, line: usize) -> Result<(), ScriptError> {
    for _ in 0..LONGEST_WAIT {
        if there(session, step) {
            return Ok(());
        }
        if session.advance(1) == 0 {
            return Err(over(session, line));
        }
    }
    let status = session.status();
    Err(wrong(
        line,
        format!(
            "this did not come within {} s; the machine is {}, {}",
            LONGEST_WAIT / TICKS_PER_SECOND,
            status.state.name(),
            status.phase.name()
        ),
        "something that comes".into(),
    ))
}

fn there(session: &Session, step: &Step) -> bool {
    let status = session.status();
    match step {
        Step::Phase(phase) => status.phase == *phase,
        Step::State(state) => status.state == *state,
        Step::Dwell(step) => status.phase == Phase::Dwell && status.step == *step,
        Step::Row(row) => session.controller().alarms().annunciated() & (1 << row) != 0,
        _ => true,
    }
}

/// Identifiers of everything that cost points.
#[must_use]
pub fn lost(session: &Session) -> Vec<String> {
    let score = session.score();
    let rules = &session.exercise().training;
    let not_done = rules
        .expected
        .iter()
        .zip(&score.outcomes)
        .filter(|(expected, outcome)| {
            expected.points > 0 && matches!(outcome.standing, Standing::Late | Standing::Missed)
        })
        .map(|(expected, _)| expected.id.clone());
    let wrong = score.losses.iter().chain(&score.harm);
    not_done
        .chain(
            wrong
                .filter(|loss| loss.points > 0)
                .map(|loss| loss.id.clone()),
        )
        .collect()
}

fn unmet(script: &Script, session: &Session) -> Vec<String> {
    let score = session.score();
    let mut unmet = Vec::new();
    for (line, expect) in &script.expected {
        match expect {
            Expect::Points(points) if *points != score.points => unmet.push(format!(
                "line {line}: {points} points were expected, and {} came out",
                score.points
            )),
            Expect::Passed(passed) if *passed != score.passed() => unmet.push(format!(
                "line {line}: {} was expected",
                if *passed { "a pass" } else { "no pass" }
            )),
            Expect::Lost(ids) => {
                let mut expected = ids.clone();
                let mut found = lost(session);
                expected.sort();
                found.sort();
                if expected != found {
                    unmet.push(format!(
                        "line {line}: lost was expected to be [{}], and is [{}]",
                        expected.join(" "),
                        found.join(" ")
                    ));
                }
            }
            Expect::Points(_) | Expect::Passed(_) => {}
        }
    }
    unmet
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
            ("exercise a\nreset now", 2, "does not fit"),
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
                "pieces" | "slot" => format!("{} 3", kind.word),
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

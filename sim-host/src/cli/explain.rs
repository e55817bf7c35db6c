//! `explain`: what a code means, why it matters, what to do. Three vocabularies, asked in this order: findings of `check`,
//! interlock rows, errors in files.

use super::args::{Explain, Format};
use super::output::say;
use super::{Answer, Failure};
use crate::files::error::CODES as FILE_CODES;
use crate::report::wrap;
use crate::study::catalogue::ALL_CODES;
use firmware_core::interlock::{Debounce, Effect, ResetRule, Respond, Row, TABLE};
use firmware_core::status::Response;
use serde::Serialize;
use std::fmt::Write as _;

/// One explained code.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Page {
    /// `finding`, `interlock` or `file-error`.
    kind: &'static str,
    /// Number; file errors have none.
    id: Option<u16>,
    code: &'static str,
    /// Severity of a finding, response of an interlock.
    level: &'static str,
    /// Labelled paragraphs, in reading order.
    text: Vec<(&'static str, String)>,
}

/// What one kind of page answers to.
const KINDS: [&str; 3] = ["finding", "interlock", "file-error"];

/// Does the work.
///
/// # Errors
/// A code that is none.
pub fn explain(typed: &Explain) -> Result<Answer, Failure> {
    let all = pages();
    let chosen: Vec<&Page> = match &typed.code {
        None => all.iter().collect(),
        Some(code) => all.iter().filter(|page| page.answers(code)).collect(),
    };
    if let (Some(code), true) = (&typed.code, chosen.is_empty()) {
        return Err(unknown(code, &all));
    }
    match (typed.format, &typed.code) {
        (Format::Json, _) => {
            // Plain structs with string keys always serialise.
            let json = serde_json::to_string_pretty(&serde_json::json!({
                "schema": 1,
                "codes": chosen.iter().map(|page| page.json()).collect::<Vec<_>>(),
            }));
            say(&(json.unwrap_or_default() + "\n"))?;
        }
        (Format::Text, Some(_)) => {
            let texts: Vec<String> = chosen.iter().map(|page| page.text()).collect();
            say(&texts.join("\n"))?;
        }
        (Format::Text, None) => say(&list(&all))?,
    }
    Ok(Answer::Yes)
}

fn unknown(code: &str, all: &[Page]) -> Failure {
    let mut best: Option<(&str, f64)> = None;
    for page in all {
        let likeness = strsim::jaro_winkler(code, page.code);
        if best.is_none_or(|(_, most)| likeness > most) {
            best = Some((page.code, likeness));
        }
    }
    let nearest = best.map_or("", |(code, _)| code);
    Failure::new(
        format!("there is no code `{code}`"),
        format!("did you mean `{nearest}`? `explain` without a code lists all"),
    )
}

fn list(all: &[Page]) -> String {
    let mut text = String::new();
    for kind in KINDS {
        let title = match kind {
            "finding" => "Findings of check",
            "interlock" => "Interlocks",
            _ => "Errors in files",
        };
        let _ = writeln!(text, "{title}");
        let names: Vec<&str> = all
            .iter()
            .filter(|page| page.kind == kind)
            .map(|page| page.code)
            .collect();
        for line in wrap(&names.join(" "), 78) {
            let _ = writeln!(text, "  {line}");
        }
        text.push('\n');
    }
    text.push_str("`explain CODE` says what a code means, why it matters, and what to do.\n");
    text
}

impl Page {
    /// A name is a name of any kind; a number is an interlock's, because panels and traces show those by number.
    fn answers(&self, code: &str) -> bool {
        let number = code.parse::<u16>().ok();
        self.code == code || (self.kind == "interlock" && number.is_some() && self.id == number)
    }

    fn text(&self) -> String {
        let number = self.id.map_or_else(String::new, |id| format!(" {id}"));
        let kind = if self.kind == "file-error" {
            "error in a file"
        } else {
            self.kind
        };
        let mut text = format!("{} ({kind}{number}, {})\n", self.code, self.level);
        for (label, body) in &self.text {
            for (index, line) in wrap(body, 68).iter().enumerate() {
                let label = if index == 0 { label } else { "" };
                // Writing to a String cannot fail.
                let _ = writeln!(text, "{label:<10} {line}");
            }
        }
        text
    }

    fn json(&self) -> serde_json::Value {
        let mut object = serde_json::Map::new();
        object.insert("kind".into(), self.kind.into());
        object.insert("id".into(), self.id.into());
        object.insert("code".into(), self.code.into());
        object.insert("level".into(), self.level.into());
        for (label, body) in &self.text {
            object.insert(label.to_lowercase(), body.clone().into());
        }
        object.into()
    }
}

/// Every page there is.
fn pages() -> Vec<Page> {
    let findings = ALL_CODES.iter().map(|code| {
        let entry = code.entry();
        Page {
            kind: KINDS[0],
            id: Some(entry.id),
            code: entry.code,
            level: entry.severity.word(),
            text: vec![
                ("What", format!("{}.", entry.title)),
                ("Rule", entry.meaning.into()),
                ("Why", entry.why.into()),
                ("Cure", entry.cure.into()),
                ("Example", entry.example.into()),
            ],
        }
    });
    let files = FILE_CODES.iter().map(|(code, meaning)| {
        let (why, cure) = about_file_error(code);
        Page {
            kind: KINDS[2],
            id: None,
            code,
            level: "error",
            text: vec![
                ("What", sentence(meaning)),
                ("Why", why.into()),
                ("Cure", cure.into()),
            ],
        }
    });
    findings
        .chain(TABLE.iter().map(interlock))
        .chain(files)
        .collect()
}

/// A phrase as a sentence.
fn sentence(phrase: &str) -> String {
    let mut letters = phrase.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}.", first.to_uppercase(), letters.as_str())
    })
}

fn interlock(row: &Row) -> Page {
    let (level, why) = match row.respond {
        Respond::With(response) => respond(response),
        Respond::EstopCategory => (
            "stop by the machine's parameter",
            "Somebody saw danger. The category of the stop, 1 or 0, is a parameter of the machine: by default it is stopped under \
             control within its monitored time, because coasting from full speed takes longer.",
        ),
    };
    let mut text = vec![
        ("What", row.happened.to_owned()),
        ("Rule", format!("Watched {}: {}, {}.", row.watch.text(), row.inputs, debounce(row.debounce))),
        ("Why", why.to_owned()),
        ("Cure", row.cure.to_owned()),
        (
            "Reset",
            match row.reset {
                ResetRule::Follows => "Goes with its condition; nothing starts by itself.",
                ResetRule::Reset => "Latched: the condition must be gone, then Reset, then a fresh Start.",
                ResetRule::CycleBoth => {
                    "Latched: both channels must be seen off and on again, then Reset, then a fresh Start."
                }
            }
            .to_owned(),
        ),
    ];
    match row.effect {
        Effect::None => {}
        Effect::EndByTime => text.push((
            "Also",
            "A step that would end by the gauge ends by its longest time.".to_owned(),
        )),
        Effect::DisarmRemote => text.push(("Also", "Remote start is disarmed.".to_owned())),
    }
    Page {
        kind: KINDS[1],
        id: Some(row.id),
        code: row.name,
        level,
        text,
    }
}

fn debounce(debounce: Debounce) -> String {
    match debounce {
        Debounce::Ticks(0 | 1) => "at once".to_owned(),
        Debounce::Ticks(ticks) => format!("for {ticks} ms"),
        Debounce::StopTime => "for the machine's monitored stop time".to_owned(),
        Debounce::SettleLimit => "for the machine's settling limit".to_owned(),
        Debounce::TravelTime => "for the machine's longest descent".to_owned(),
    }
}

/// Name of a response and why it is given. Stop categories are those of IEC 60204-1.
const fn respond(response: Response) -> (&'static str, &'static str) {
    match response {
        Response::None => ("no response", "It is recorded."),
        Response::Alarm => (
            "alarm",
            "The cycle can go on, but somebody should know before it becomes worse.",
        ),
        Response::StartInhibit => (
            "start inhibit",
            "Nothing is moving, and nothing may start while this is so.",
        ),
        Response::Hold => (
            "hold (category 2)",
            "The batch can be saved: the load goes to initial load, the plates run down wet, and the cycle waits. A hold that \
             lasts too long becomes a stop.",
        ),
        Response::StopAtStepEnd => (
            "stop at the end of the step",
            "The step can still be finished in order; the next one cannot.",
        ),
        Response::ControlledStop => (
            "controlled stop (category 1)",
            "Going on could harm parts, plates or people. The load is let go at once and the plates are braked wet within the \
             monitored time, which is faster than letting them coast.",
        ),
        Response::ImmediateStop => (
            "immediate stop (category 0)",
            "The machine can no longer be trusted to stop itself: power goes off, the cylinder is dumped, the plates coast.",
        ),
    }
}

/// Why a file error matters and what to do. Every code of [`FILE_CODES`] has its line, as a test demands.
fn about_file_error(code: &str) -> (&'static str, &'static str) {
    const NOT_READ: &str = "What cannot be read cannot be checked; nothing runs.";
    const GUESS: &str =
        "A guess about a machine's number could cost parts or plates, so nothing is guessed.";
    match code {
        "unreadable-file" => (NOT_READ, "Check the path and the permissions of the file."),
        "file-too-large" => (
            "A file of this kind takes a few kilobytes; this is something else.",
            "Name the right file.",
        ),
        "empty-file" => (
            NOT_READ,
            "Fill it in; the demonstration set in recipes/ shows how.",
        ),
        "not-utf8" => (
            "Letters such as µ would be read as something else.",
            "Save the file as UTF-8; or write `um`, which needs no special letter.",
        ),
        "not-text" => (
            NOT_READ,
            "Remove the control characters, or name the right file.",
        ),
        "syntax" => (
            NOT_READ,
            "Mend the marked place; usual causes are a missing quotation mark, a missing bracket, or a value without quotes.",
        ),
        "duplicate-key" => (
            "Nobody can tell which of the two was meant.",
            "Remove one of them.",
        ),
        "wrong-kind" => (
            "A recipe read as a machine would only give errors about everything.",
            "Name a file whose `format` is of the kind asked for.",
        ),
        "unknown-key" => (
            "A misspelt key would be a value silently ignored.",
            "Correct the spelling, or remove the key; the JSON Schemas in docs/schema list all keys.",
        ),
        "missing-key" => (GUESS, "Add the key that is named."),
        "conflicting-key" => (
            "The two keys say different things about the same.",
            "Keep the one that is meant.",
        ),
        "wrong-type" => (
            GUESS,
            "Write the value as the error says, text in quotation marks.",
        ),
        "missing-unit" => (
            "14 could be kPa or psi: a factor of seven on the parts.",
            "Write the number with its unit in quotation marks, such as \"14 kPa\".",
        ),
        "unknown-unit" => (
            GUESS,
            "Use a unit that the error names; capitals matter (mN is not MN).",
        ),
        "wrong-dimension" => (
            "The number measures something else than the key does.",
            "Use a unit of the dimension that is due; for load from pressure, multiply by the area of all pieces.",
        ),
        "bad-number" => (
            GUESS,
            "Write digits with a decimal point, no comma and no thousands separator, then the unit: \"1361.5 N\".",
        ),
        "not-finite" => (
            "NaN passes every comparison the wrong way, so it is kept out at the door.",
            "Write an ordinary number.",
        ),
        "out-of-range" => (
            "No machine of this kind has such a value; it is a slip of a unit or a digit.",
            "Compare the number and its unit with the range in the error.",
        ),
        "unknown-word" => (GUESS, "Use one of the words that the error lists."),
        "bad-identifier" => (
            "Identifiers become file names and are shown on a panel.",
            "Use small letters, digits and hyphens, 24 at most.",
        ),
        "bad-text" => (
            "The text is shown in one line of a report.",
            "Write one short line.",
        ),
        "too-few-items" => (
            "There is nothing to run or to do.",
            "Add the missing entries.",
        ),
        "too-many-items" => (
            "The controller stores a fixed number of them.",
            "Leave some out, or split the file in two.",
        ),
        "duplicate-name" => (
            "Reports name entries by it; two of a name cannot be told apart.",
            "Rename one of them.",
        ),
        "inconsistent" => (
            "One of the two numbers is wrong, and both would go into the load.",
            "Compare both with the machine or the part, and correct the wrong one.",
        ),
        "not-found" => (
            "A recipe is proved on its machine with its batch, not on any.",
            "Put the file where the error says, correct the id, or use --machine or --batch.",
        ),
        "grade-mismatch" => (
            "Removal, finish and damage depend on the grain; a wrong grade scratches a batch.",
            "Correct the grade or the grain size.",
        ),
        "id-mismatch" => (
            "The file is not what its name says; another machine's limits would be used.",
            "Rename the file, or correct the id in it.",
        ),
        _ => ("", ""),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn every_code_is_explained_in_full_within_eighty_columns() {
        for page in pages() {
            for (label, body) in &page.text {
                assert!(body.len() > 4, "{}: {label} is empty", page.code);
            }
            for label in ["What", "Why", "Cure"] {
                assert!(page.text.iter().any(|(l, _)| *l == label), "{}", page.code);
            }
            for line in page.text().lines() {
                assert!(line.chars().count() <= 80, "{line}");
            }
        }
        assert!(
            list(&pages())
                .lines()
                .all(|line| line.chars().count() <= 80)
        );
    }

    #[test]
    fn a_name_means_one_thing() {
        let pages = pages();
        let names: BTreeSet<&str> = pages.iter().map(|page| page.code).collect();
        assert_eq!(names.len(), pages.len());
    }

    #[test]
    fn interlocks_answer_to_their_numbers() {
        let pages = pages();
        for row in &TABLE {
            let number = row.id.to_string();
            let found: Vec<&str> = pages
                .iter()
                .filter(|page| page.answers(&number))
                .map(|page| page.code)
                .collect();
            assert_eq!(found, [row.name]);
        }
    }

    #[test]
    fn a_slip_is_answered_with_the_nearest_word() {
        for (typed, meant) in [
            ("creep-to-fast", "creep-too-fast"),
            ("cel-line", "cell-line"),
            ("mising-unit", "missing-unit"),
        ] {
            let text = unknown(typed, &pages()).text(false);
            assert!(text.contains(&format!("`{meant}`")), "{text}");
        }
    }
}

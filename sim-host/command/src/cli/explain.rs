//! `explain`: what a code means, why it matters, what to do. Four vocabularies, asked in this order: findings of `check`,
//! interlock rows, errors in files, keys that a machine file may leave out.

mod file_errors;
mod interlock;

use super::args::{Explain, Format};
use super::output::{say, show};
use super::resolved::meant;
use super::terminal::Terminal;
use super::{Answer, Failure};
use crate::report::wrap;
use firmware_core::interlock::TABLE;
use serde::Serialize;
use std::fmt::Write as _;
use twinplate_check::catalogue::ALL_CODES;
use twinplate_sim::assumed::{Rule, rules};
use twinplate_sim::files::error::{CODES as FILE_CODES, nearest};
use twinplate_sim::files::width_words;

/// Version of the JSON. In 2 what to do is called `remedy`; 1 called it `cure`.
const SCHEMA: u16 = 2;

/// One explained code.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Page {
    /// One of [`KINDS`].
    kind: &'static str,
    /// Number; file errors have none.
    id: Option<u16>,
    code: &'static str,
    /// Severity of a finding, response of an interlock.
    level: String,
    /// Labelled paragraphs, in reading order.
    text: Vec<(&'static str, String)>,
}

/// What one kind of page answers to.
const KINDS: [&str; 4] = ["finding", "interlock", "file-error", "assumed-key"];

/// Does the work.
///
/// # Errors
/// A code that is none.
pub fn explain(typed: &Explain, terminal: Terminal) -> Result<Answer, Failure> {
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
                "schema": SCHEMA,
                "codes": chosen.iter().map(|page| page.json()).collect::<Vec<_>>(),
            }));
            say(&(json.unwrap_or_default() + "\n"))?;
        }
        (Format::Text, Some(_)) => {
            let texts: Vec<String> = chosen.iter().map(|page| page.text()).collect();
            show(&texts.join("\n"), terminal.out.width)?;
        }
        (Format::Text, None) => show(&list(&all), terminal.out.width)?,
    }
    Ok(Answer::Yes)
}

fn unknown(code: &str, all: &[Page]) -> Failure {
    let near = nearest(code, all.iter().map(|page| page.code));
    Failure::new(
        format!("there is no code `{code}`"),
        format!("{}`explain` without a code lists all codes", meant(near)),
    )
}

fn list(all: &[Page]) -> String {
    let mut text = String::new();
    for kind in KINDS {
        let title = match kind {
            "finding" => "Findings of check",
            "interlock" => "Interlocks",
            "assumed-key" => "Keys that a machine file may leave out",
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
        let kind = match self.kind {
            "file-error" => "error in a file",
            "assumed-key" => "key of a machine file",
            other => other,
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
        object.insert("level".into(), self.level.clone().into());
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
            level: entry.severity.word().to_owned(),
            text: vec![
                ("What", format!("{}.", entry.title)),
                ("Rule", entry.meaning.into()),
                ("Why", entry.why.into()),
                ("Remedy", entry.cure.into()),
                ("Example", entry.example.into()),
            ],
        }
    });
    let files = FILE_CODES.iter().map(|(code, meaning)| {
        let (why, cure) = file_errors::about(code);
        Page {
            kind: KINDS[2],
            id: None,
            code,
            level: "error".to_owned(),
            text: vec![
                ("What", sentence(meaning)),
                ("Why", why.into()),
                ("Remedy", cure.into()),
            ],
        }
    });
    findings
        .chain(TABLE.iter().map(interlock::page))
        .chain(files)
        .chain(rules().map(assumed_key))
        .collect()
}

/// What stands for a key that a machine file leaves out.
fn assumed_key(rule: &Rule) -> Page {
    let uncertain = if rule.varies() {
        "The machine may truly have another value: the trials draw it from this envelope, and `check` says what it decides."
    } else {
        "It is a setting: the machine is to be set so."
    };
    Page {
        kind: KINDS[3],
        id: None,
        code: rule.key,
        level: width_words(rule),
        text: vec![
            ("What", format!("Left out: {}.", rule.rule)),
            ("Rule", format!("{}.", rule.source)),
            ("Why", uncertain.into()),
            ("Remedy", format!("Measured by {}. {}", rule.by, rule.how)),
        ],
    }
}

/// A phrase as a sentence.
fn sentence(phrase: &str) -> String {
    let mut letters = phrase.chars();
    letters.next().map_or_else(String::new, |first| {
        format!("{}{}.", first.to_uppercase(), letters.as_str())
    })
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
            for label in ["What", "Why", "Remedy"] {
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

//! What keeps a verb from doing its work: bad input or usage. All of it is exit code 2.

use super::output::{complain, say};
use crate::report::{Complaint, WIDTH, fit, junit};
use serde::Serialize;
use std::ffi::OsString;
use std::fmt::{self, Write as _};
use twinplate_sim::files::error::{TOLD, untold};
use twinplate_sim::files::{FileError, render_errors_within};

/// Version of the JSON.
const SCHEMA: u16 = 1;

/// Why the work could not be done.
#[derive(Clone, Debug, PartialEq)]
pub enum Failure {
    /// Files with errors, in the order in which they were read.
    Files(Vec<FileError>),
    /// Anything else: what is wrong, and what to do about it.
    Other {
        /// What is wrong.
        what: String,
        /// How to mend it.
        cure: String,
        /// Where it stands, where that is a place in a file.
        at: Option<At>,
    },
}

/// A place in a file that is none of this program's kinds: a log, a script.
#[derive(Clone, Debug, PartialEq)]
pub struct At {
    /// Stable word for what is wrong, where there is one.
    pub code: Option<&'static str>,
    /// The file, as it was named.
    pub file: String,
    /// Line, counted from 1.
    pub line: usize,
    /// Column, counted from 1: of a character, or in a log of a cell.
    pub column: usize,
}

impl Failure {
    /// A failure that is no file error.
    pub fn new(what: impl Into<String>, cure: impl Into<String>) -> Self {
        Self::Other {
            what: what.into(),
            cure: cure.into(),
            at: None,
        }
    }

    /// A failure at a place in a file that is none of this program's kinds.
    pub(crate) fn at(at: At, what: impl Into<String>, cure: impl Into<String>) -> Self {
        Self::Other {
            what: what.into(),
            cure: cure.into(),
            at: Some(at),
        }
    }

    /// A controller in this process that cannot be reached: no fault of whoever called.
    pub(crate) fn no_answer(error: impl fmt::Display) -> Self {
        Self::new(
            format!("the simulated controller did not answer: {error}"),
            "this is a defect of this program; please report it with the files",
        )
    }

    /// The text for stderr.
    #[must_use]
    pub fn text(&self, color: bool) -> String {
        self.text_within(color, WIDTH)
    }

    /// As [`Self::text`], in so many columns.
    #[must_use]
    pub(crate) fn text_within(&self, color: bool, width: usize) -> String {
        match self {
            Self::Files(errors) => render_errors_within(errors, color, width),
            Self::Other { what, cure, at } => {
                let mut text = String::new();
                let mut first = "error: ";
                for line in crate::report::wrap(what, 72) {
                    // Writing to a String cannot fail.
                    let _ = writeln!(text, "{first}{line}");
                    first = "       ";
                }
                if let Some(at) = at {
                    let _ = writeln!(text, "   --> {}:{}:{}", at.file, at.line, at.column);
                }
                let mut first = "remedy: ";
                for line in crate::report::wrap(cure, 72) {
                    let _ = writeln!(text, "{first}{line}");
                    first = "        ";
                }
                fit(&text, width)
            }
        }
    }

    /// Its parts, for a program.
    #[must_use]
    pub fn told(&self) -> Vec<Complaint> {
        match self {
            Self::Files(errors) => errors
                .iter()
                .take(TOLD)
                .map(Complaint::of_file)
                .chain(untold(errors).map(Complaint::of_the_rest))
                .collect(),
            Self::Other { what, cure, at } => vec![Complaint {
                code: at.as_ref().and_then(|at| at.code),
                file: at.as_ref().map(|at| at.file.clone()),
                line: at.as_ref().map(|at| at.line),
                column: at.as_ref().map(|at| at.column),
                message: what.clone(),
                cure: cure.clone(),
                nearest: None,
            }],
        }
    }

    /// Says it on stdout in the form that was asked for; in text nothing but results goes there.
    pub fn say(&self, form: Form) {
        let text = match form {
            Form::Text => return,
            Form::Json => {
                #[derive(Serialize)]
                struct Whole {
                    schema: u16,
                    errors: Vec<Complaint>,
                }
                let whole = Whole {
                    schema: SCHEMA,
                    errors: self.told(),
                };
                // Plain structs with string keys always serialise.
                serde_json::to_string_pretty(&whole).unwrap_or_default() + "\n"
            }
            Form::Junit => match junit::errors(&self.told()) {
                Ok(text) => text.trim_end().to_owned() + "\n",
                Err(error) => return complain(&format!("no JUnit text could be made: {error}\n")),
            },
        };
        if let Err(failure) = say(&text) {
            complain(&failure.text(false));
        }
    }
}

/// Form of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Form {
    /// For people.
    Text,
    /// For programs.
    Json,
    /// For pipelines.
    Junit,
}

impl Form {
    /// What was asked for, from the words that were typed: they may be wrong otherwise.
    #[must_use]
    pub fn asked(arguments: &[OsString]) -> Self {
        let mut words = arguments.iter().filter_map(|word| word.to_str());
        let mut form = Self::Text;
        while let Some(word) = words.next() {
            let asked = match word {
                "--" => break,
                "--format" => words.next(),
                _ => word.strip_prefix("--format="),
            };
            match asked {
                Some("json") => form = Self::Json,
                Some("junit") => form = Self::Junit,
                Some("text") => form = Self::Text,
                Some(_) | None => {}
            }
        }
        form
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_many_errors_a_program_too_hears_the_first_and_how_many_more_there_are() {
        let error = FileError::whole("unknown-key", "a.toml", "unknown".into(), "");
        let told = |count| Failure::Files(vec![error.clone(); count]).told();
        assert_eq!(told(TOLD).len(), TOLD);
        let many = told(40_000);
        assert_eq!(many.len(), TOLD + 1);
        let more = (40_000 - TOLD).to_string();
        assert!(
            many.last()
                .is_some_and(|last| last.message.starts_with(&more))
        );
    }

    #[test]
    fn the_form_is_what_was_typed() {
        for (typed, form) in [
            ("check x", Form::Text),
            ("check x --format json", Form::Json),
            ("check x --format=junit --runs 2.5", Form::Junit),
            ("check x --format xml", Form::Text),
            ("check x --format", Form::Text),
            ("check -- --format=json", Form::Text),
        ] {
            let words: Vec<OsString> = typed.split(' ').map(Into::into).collect();
            assert_eq!(Form::asked(&words), form, "{typed}");
        }
    }
}

//! What keeps a verb from doing its work: bad input or usage. All of it is exit code 2.

use std::fmt::{self, Write as _};
use twinplate_sim::files::{FileError, render_errors};

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
    },
}

impl Failure {
    /// A failure that is no file error.
    pub fn new(what: impl Into<String>, cure: impl Into<String>) -> Self {
        Self::Other {
            what: what.into(),
            cure: cure.into(),
        }
    }

    /// A controller in this process that cannot be reached: no fault of whoever called.
    pub fn no_answer(error: impl fmt::Display) -> Self {
        Self::new(
            format!("the simulated controller did not answer: {error}"),
            "this is a defect of this program; please report it with the files",
        )
    }

    /// The text for stderr.
    #[must_use]
    pub fn text(&self, color: bool) -> String {
        match self {
            Self::Files(errors) => render_errors(errors, color),
            Self::Other { what, cure } => {
                let mut text = String::new();
                let mut first = "error: ";
                for line in crate::report::wrap(what, 72) {
                    // Writing to a String cannot fail.
                    let _ = writeln!(text, "{first}{line}");
                    first = "       ";
                }
                let mut first = "remedy: ";
                for line in crate::report::wrap(cure, 72) {
                    let _ = writeln!(text, "{first}{line}");
                    first = "        ";
                }
                text
            }
        }
    }
}

//! What keeps a verb from its work, in parts that a program can read.

use serde::Serialize;
use twinplate_sim::files::FileError;

/// One thing that is wrong, for a program. `None` is what is not about a place in a file.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Complaint {
    /// Code of an error in a file.
    pub code: Option<&'static str>,
    /// The file, as it was named.
    pub file: Option<String>,
    /// Line, counted from 1.
    pub line: Option<usize>,
    /// Column in characters, counted from 1.
    pub column: Option<usize>,
    /// What is wrong.
    pub message: String,
    /// What was expected, and how to mend it.
    #[serde(rename = "remedy")]
    pub cure: String,
    /// The word or path that was probably meant.
    pub nearest: Option<String>,
}

impl Complaint {
    /// What is said of the errors that are not told.
    #[must_use]
    pub(crate) fn of_the_rest(message: String) -> Self {
        Self {
            code: None,
            file: None,
            line: None,
            column: None,
            message,
            cure: "mend the errors that are told, and run it again".into(),
            nearest: None,
        }
    }

    /// An error in a file.
    #[must_use]
    pub(crate) fn of_file(error: &FileError) -> Self {
        Self {
            code: Some(error.code),
            file: Some(error.file.clone()),
            line: Some(error.line),
            column: Some(error.column),
            message: error.message.clone(),
            cure: error.cure(),
            nearest: error.nearest.clone(),
        }
    }
}

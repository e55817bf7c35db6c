//! What a study has to say: a [`Finding`] is one fact about a machine, a batch or a recipe, with its numbers, its place and its cure.
//!
//! Every finding carries a [`Code`] of [`super::catalogue`]; severity, title and explanation come from there, so that the same
//! thing is never called by two names.

use super::catalogue::{Code, Severity};
use serde::Serialize;
use twinplate_sim::model::Of;
pub use twinplate_sim::model::significant;

/// Which of the three files a finding points into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Source {
    /// The recipe file.
    Recipe,
    /// The machine file.
    Machine,
    /// The batch file.
    Batch,
}

impl Source {
    /// The word shown to people.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Recipe => "recipe",
            Self::Machine => "machine",
            Self::Batch => "batch",
        }
    }
}

/// Where a finding points: a file and the path of a field in it, such as `steps[1].pressure` (steps counted from 0).
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    /// Which file.
    pub file: Source,
    /// Path of the field, as the file's reader names it.
    pub path: String,
}

impl Place {
    /// A field of the recipe file.
    #[must_use]
    pub fn recipe(path: impl Into<String>) -> Self {
        Self {
            file: Source::Recipe,
            path: path.into(),
        }
    }
    /// A field of one step of the recipe, `index` from 0.
    #[must_use]
    pub fn step(index: usize, field: &str) -> Self {
        Self::recipe(format!("steps[{index}].{field}"))
    }
    /// A field of the machine file.
    #[must_use]
    pub fn machine(path: impl Into<String>) -> Self {
        Self {
            file: Source::Machine,
            path: path.into(),
        }
    }
    /// A field of the batch file.
    #[must_use]
    pub fn batch(path: impl Into<String>) -> Self {
        Self {
            file: Source::Batch,
            path: path.into(),
        }
    }
}

/// What the numbers of a finding count.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counts {
    /// A kind of quantity, in the unit that reports count it in.
    Of(Of),
    /// This, in whatever units people type.
    Bare(&'static str),
}

impl From<Of> for Counts {
    fn from(of: Of) -> Self {
        Self::Of(of)
    }
}

impl From<&'static str> for Counts {
    fn from(unit: &'static str) -> Self {
        Self::Bare(unit)
    }
}

/// One fact about a machine, a batch or a recipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Finding {
    /// Which rule speaks.
    pub code: Code,
    /// How bad it is here; the catalogue's severity of the code.
    pub severity: Severity,
    /// What is the matter, in one sentence with its numbers.
    pub message: String,
    /// The number that was found, in `unit`.
    pub measured: Option<f64>,
    /// The bound it was held against, in `unit`.
    pub limit: Option<f64>,
    /// Unit of `measured` and `limit`; empty for a pure number.
    pub unit: &'static str,
    /// What kind of quantity they are, where people may have typed it in another unit.
    pub of: Option<Of>,
    /// Where to look.
    pub place: Place,
    /// What to change, and to what.
    pub cure: String,
}

impl Finding {
    /// A finding of `code` at `place`.
    #[must_use]
    pub fn new(code: Code, place: Place, message: String, cure: String) -> Self {
        Self {
            code,
            severity: code.entry().severity,
            message,
            measured: None,
            limit: None,
            unit: "",
            of: None,
            place,
            cure,
        }
    }

    /// Adds the number found, its bound and what they count.
    #[must_use]
    pub(crate) fn with_numbers(mut self, measured: f64, limit: f64, counts: Counts) -> Self {
        self.measured = Some(measured);
        self.limit = Some(limit);
        (self.unit, self.of) = match counts {
            Counts::Of(of) => (of.unit(), Some(of)),
            Counts::Bare(unit) => (unit, None),
        };
        self
    }

    /// Stable kebab-case name of the code.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.code.entry().code
    }

    /// Number of the code, never reused.
    #[must_use]
    pub fn id(&self) -> u16 {
        self.code.entry().id
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_read_with_sensible_digits() {
        assert_eq!(significant(265.04, 3), "265");
        assert_eq!(significant(0.385_12, 3), "0.385");
        assert_eq!(significant(1361.0, 3), "1361");
        assert_eq!(significant(0.0, 3), "0");
        assert_eq!(significant(8e-12, 3), "8.00e-12");
        assert_eq!(significant(2.5, 3), "2.5");
        assert_eq!(significant(f64::INFINITY, 3), "unbounded");
    }
}

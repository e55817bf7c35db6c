//! What a study has to say: a [`Finding`] is one fact about a machine, a batch or a recipe, with its numbers, its place and its cure.
//!
//! Every finding carries a [`Code`] of [`super::catalogue`]; severity, title and explanation come from there, so that the same
//! thing is never called by two names.

use super::catalogue::{Code, Severity};
use serde::Serialize;

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
            place,
            cure,
        }
    }

    /// Adds the number found, its bound and their unit.
    #[must_use]
    pub(crate) fn with_numbers(mut self, measured: f64, limit: f64, unit: &'static str) -> Self {
        self.measured = Some(measured);
        self.limit = Some(limit);
        self.unit = unit;
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

/// A number with `digits` significant digits and no exponent where it can be read without one.
///
/// Values below 1e-4 or from 1e7 in magnitude are written with an exponent.
#[must_use]
pub fn significant(value: f64, digits: usize) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    if !value.is_finite() {
        return "unbounded".to_owned();
    }
    let magnitude =
        twinplate_sim::math::floor(twinplate_sim::math::log(value.abs()) / std::f64::consts::LN_10);
    // A magnitude of f64 lies within ±324, far inside i32.
    #[allow(clippy::cast_possible_truncation)]
    let magnitude = magnitude as i32;
    if !(-4..7).contains(&magnitude) {
        return format!("{value:.*e}", digits.saturating_sub(1));
    }
    let wanted = i32::try_from(digits).unwrap_or(3) - 1 - magnitude;
    let places = usize::try_from(wanted).unwrap_or(0);
    let text = format!("{value:.places$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Newtons as a message shows them.
#[must_use]
pub fn newtons(load: f64) -> String {
    significant(load, 4)
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

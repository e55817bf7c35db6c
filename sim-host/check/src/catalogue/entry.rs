//! One entry of the catalogue.

use super::Severity;

/// What the catalogue knows of one code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Number, never reused.
    pub id: u16,
    /// Stable kebab-case name.
    pub code: &'static str,
    /// How bad it is.
    pub severity: Severity,
    /// One line.
    pub title: &'static str,
    /// The rule that was broken.
    pub meaning: &'static str,
    /// Why the rule is there.
    pub why: &'static str,
    /// What to do.
    pub cure: &'static str,
    /// An invented example with numbers.
    pub example: &'static str,
}

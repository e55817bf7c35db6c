//! How bad a finding is.

use serde::Serialize;

/// How bad a finding is. Ordered from mild to grave.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Worth knowing; nothing is wrong.
    Note,
    /// The recipe can run, but something is worse than it should be.
    Warning,
    /// The recipe must not run like this.
    Error,
}

impl Severity {
    /// The word shown to people and programs.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warning => "warning",
            Self::Error => "error",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn severities_are_ordered_by_gravity() {
        assert!(Severity::Error > Severity::Warning && Severity::Warning > Severity::Note);
    }
}

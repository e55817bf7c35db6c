//! One entry of the catalogue.

use super::Severity;

/// Numbers that were once in use and must not come back.
///
/// - 28 `step-below-initial` is no fault: a last step under the initial load is spark-out.
/// - 209 `proof-parallelism` held the spread between parts against a target that is meant within a part; 214 holds it against the size.
pub const RETIRED: &[u16] = &[28, 209];

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

/// Makes [`Code`](super::Code) and its entries of the table.
macro_rules! catalogue {
    ($($variant:ident = $id:literal, $code:literal, $severity:ident, $title:literal, $meaning:literal, $why:literal, $cure:literal, $example:literal;)*) => {
        /// Every code. Its discriminant is its number.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[repr(u16)]
        pub enum Code {
            $(#[doc = $title] $variant = $id,)*
        }

        impl Code {
            /// What the catalogue knows of this code.
            #[must_use]
            pub const fn entry(self) -> &'static Entry {
                match self {
                    $(Self::$variant => &Entry {
                        id: $id,
                        code: $code,
                        severity: Severity::$severity,
                        title: $title,
                        meaning: $meaning,
                        why: $why,
                        cure: $cure,
                        example: $example,
                    },)*
                }
            }
        }

        /// All codes in order of their numbers.
        pub const ALL_CODES: &[Code] = &[$(Code::$variant,)*];
    };
}

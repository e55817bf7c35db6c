//! The languages, and what each has of catalogues.

use unic_langid::LanguageIdentifier;

/// A language that everything can be read in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Language {
    /// English.
    #[default]
    English,
    /// German.
    German,
    /// Spanish.
    Spanish,
}

macro_rules! catalogues {
    ($folder:literal: $($room:literal),*) => {
        &[$(include_str!(concat!("../catalogues/", $folder, "/", $room, ".ftl"))),*]
    };
}

impl Language {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::English, Self::German, Self::Spanish];

    /// Its tag (BCP 47).
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::English => "en",
            Self::German => "de",
            Self::Spanish => "es",
        }
    }

    /// Its name in itself.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::English => "English",
            Self::German => "Deutsch",
            Self::Spanish => "Español",
        }
    }

    /// By its tag.
    #[must_use]
    pub fn tagged(tag: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|language| language.tag() == tag)
    }

    pub(crate) fn identifier(self) -> LanguageIdentifier {
        // A tag of this list is one; anything else would be the language that nobody has determined.
        self.tag().parse().unwrap_or_default()
    }

    /// The decimal mark.
    pub(crate) const fn mark(self) -> &'static str {
        match self {
            Self::English => ".",
            Self::German | Self::Spanish => ",",
        }
    }

    /// Catalogues of what the server says.
    pub(crate) const fn catalogues(self) -> &'static [&'static str] {
        match self {
            Self::English => catalogues!("en": "session", "acts", "debrief", "server"),
            Self::German => catalogues!("de": "machine", "session", "acts", "debrief", "server"),
            Self::Spanish => catalogues!("es": "machine", "session", "acts", "debrief", "server"),
        }
    }

    /// Catalogues of the pages' own words.
    pub(crate) const fn pages(self) -> &'static [&'static str] {
        match self {
            Self::English => catalogues!("en": "panel", "operator", "teacher", "review"),
            Self::German => catalogues!("de": "panel", "operator", "teacher", "review"),
            Self::Spanish => catalogues!("es": "panel", "operator", "teacher", "review"),
        }
    }
}

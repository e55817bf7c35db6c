//! The words that people read on the pages of the training, in alarms, exercises and debriefs: in catalogues, a folder of them a language
//! (`catalogues/`), in Fluent, an open format.
//!
//! A message is asked for by its name. What stands in English in one home elsewhere, the words of the core and the exercises' own files,
//! has no English catalogue: it is its own.

mod language;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
pub use language::Language;
use std::borrow::Cow;
use std::fmt;
use std::sync::{Arc, LazyLock};

/// Something that is told in a message.
#[derive(Clone, Debug, PartialEq)]
pub enum Told<'a> {
    /// A count: the message may choose its words by it.
    Count(u64),
    /// A text, or a number that is written already.
    Text(Cow<'a, str>),
}

macro_rules! counts {
    ($($kind:ty),*) => {$(
        impl From<$kind> for Told<'_> {
            fn from(count: $kind) -> Self {
                Self::Count(count as u64)
            }
        }
    )*};
}
counts!(u8, u16, u32, u64, usize);

impl<'a> From<&'a str> for Told<'a> {
    fn from(text: &'a str) -> Self {
        Self::Text(Cow::Borrowed(text))
    }
}

impl From<String> for Told<'_> {
    fn from(text: String) -> Self {
        Self::Text(Cow::Owned(text))
    }
}

impl<'a> From<&'a String> for Told<'a> {
    fn from(text: &'a String) -> Self {
        Self::Text(Cow::Borrowed(text))
    }
}

/// Messages of one language.
#[derive(Clone)]
pub struct Catalogue {
    language: Language,
    bundle: Arc<FluentBundle<FluentResource>>,
}

impl fmt::Debug for Catalogue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Catalogue").field(&self.language).finish()
    }
}

impl PartialEq for Catalogue {
    fn eq(&self, other: &Self) -> bool {
        self.language == other.language && Arc::ptr_eq(&self.bundle, &other.bundle)
    }
}

impl Catalogue {
    /// Reads the messages of a text in a language.
    ///
    /// # Errors
    /// What is wrong with the text, one line each.
    pub fn read(language: Language, text: &str) -> Result<Self, Vec<String>> {
        let resource = FluentResource::try_new(text.to_owned())
            .map_err(|(_, errors)| errors.iter().map(ToString::to_string).collect::<Vec<_>>())?;
        let mut bundle = FluentBundle::new_concurrent(vec![language.identifier()]);
        // Every language here is written from left to right.
        bundle.set_use_isolating(false);
        bundle
            .add_resource(resource)
            .map_err(|errors| errors.iter().map(ToString::to_string).collect::<Vec<_>>())?;
        Ok(Self {
            language,
            bundle: Arc::new(bundle),
        })
    }

    /// A message, with what is told in it; `None` where there is none of this name.
    #[must_use]
    pub fn find(&self, id: &str, told: &[(&str, Told<'_>)]) -> Option<String> {
        let pattern = self.bundle.get_message(id)?.value()?;
        let mut args = FluentArgs::with_capacity(told.len());
        for (name, value) in told {
            args.set(
                (*name).to_owned(),
                match value {
                    // Counts are far below 2^53.
                    Told::Count(count) => FluentValue::from(*count as f64),
                    Told::Text(text) => FluentValue::from(text.to_string()),
                },
            );
        }
        let mut errors = Vec::new();
        let text = self
            .bundle
            .format_pattern(pattern, Some(&args), &mut errors);
        debug_assert!(errors.is_empty(), "{id}: {errors:?}");
        Some(text.into_owned())
    }
}

/// The words of one language.
#[derive(Debug)]
pub struct Words {
    language: Language,
    catalogue: Catalogue,
}

impl Words {
    /// In a language.
    #[must_use]
    pub fn of(language: Language) -> &'static Self {
        static ALL: LazyLock<Vec<Words>> = LazyLock::new(|| Language::ALL.map(Words::new).into());
        // Every language has its place.
        &ALL[language as usize]
    }

    fn new(language: Language) -> Self {
        let text = language.catalogues().concat();
        Self {
            language,
            // The catalogues are compiled in, and the tests read each.
            catalogue: Catalogue::read(language, &text)
                .unwrap_or_else(|wrong| panic!("{language:?}: {wrong:?}")),
        }
    }

    /// The language.
    #[must_use]
    pub const fn language(&self) -> Language {
        self.language
    }

    /// A message of this name. One that the language lacks is told in English, and one that nobody has by its name.
    #[must_use]
    pub fn say(&self, id: &str) -> String {
        self.tell(id, &[])
    }

    /// A message with what is told in it.
    #[must_use]
    pub fn tell(&self, id: &str, told: &[(&str, Told<'_>)]) -> String {
        self.catalogue
            .find(id, told)
            .or_else(|| Self::of(Language::English).catalogue.find(id, told))
            .unwrap_or_else(|| id.to_owned())
    }

    /// What stands in English where it is at home, `english`, in this language: its message is `id`.
    #[must_use]
    pub fn translated<'a>(&self, id: &str, english: &'a str) -> Cow<'a, str> {
        if self.language == Language::English {
            return Cow::Borrowed(english);
        }
        self.catalogue
            .find(id, &[])
            .map_or(Cow::Borrowed(english), Cow::Owned)
    }

    /// A number with so many decimals, as the language writes it.
    #[must_use]
    pub fn number(&self, value: f64, decimals: usize) -> String {
        self.written(&format!("{value:.decimals$}"))
    }

    /// A number that is written with a point, as the language writes it.
    #[must_use]
    pub fn written(&self, number: &str) -> String {
        number.replace('.', self.language.mark())
    }
}

/// The catalogue of the pages in a language, for them to read.
#[must_use]
pub fn of_pages(language: Language) -> String {
    language.pages().concat()
}

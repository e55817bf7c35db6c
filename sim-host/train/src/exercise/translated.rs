//! An exercise's own texts in other languages: `words/TAG/ID.ftl` beside its file. A text that is not there stays as the exercise has it.

use super::Exercise;
use std::borrow::Cow;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::Arc;
use twinplate_sim::files::FileError;
use twinplate_sim::model::Scenario;
use twinplate_sim::training::rules::Training;
use twinplate_words::{Catalogue, Language, Words};

/// Folder of the catalogues, with a folder for each language in it.
const FOLDER: &str = "words";

/// Name of the message that is the title.
const TITLE: &str = "title";

/// A text, by the name of its message.
pub(super) type Text<'a> = (String, &'a mut String);

/// What there is of catalogues of an exercise.
#[derive(Clone, Debug)]
pub(super) struct Translations(Vec<(Language, Catalogue)>);

impl Translations {
    /// Puts texts into a language.
    pub fn put(&self, language: Language, texts: Vec<Text<'_>>) {
        let Some(catalogue) = self.catalogue(language) else {
            return;
        };
        for (id, text) in texts {
            if let Some(told) = catalogue.find(&id, &[]) {
                *text = told;
            }
        }
    }

    fn catalogue(&self, language: Language) -> Option<&Catalogue> {
        let found = self.0.iter().find(|(of, _)| *of == language);
        found.map(|(_, catalogue)| catalogue)
    }
}

/// Reads the catalogues of an exercise; where none stand beside it there are none.
///
/// # Errors
/// Those of files that are there and cannot be read.
pub(super) fn read(exercise: &Path, id: &str) -> Result<Translations, Vec<FileError>> {
    let folder = exercise.with_file_name(FOLDER);
    let mut all = Vec::new();
    let mut errors = Vec::new();
    for language in Language::ALL {
        if language == Language::English {
            continue;
        }
        let path = folder.join(language.tag()).join(format!("{id}.ftl"));
        match catalogue(&path, language) {
            Ok(Some(catalogue)) => all.push((language, catalogue)),
            Ok(None) => {}
            Err(error) => errors.push(*error),
        }
    }
    if errors.is_empty() {
        Ok(Translations(all))
    } else {
        Err(errors)
    }
}

fn catalogue(path: &Path, language: Language) -> Result<Option<Catalogue>, Box<FileError>> {
    let wrong = |code, what: String| {
        let file = path.display().to_string();
        Box::new(FileError::whole(
            code,
            &file,
            what,
            "messages in Fluent, or no such file",
        ))
    };
    let text = match std::fs::read_to_string(path) {
        Ok(text) => text,
        Err(error) if error.kind() == ErrorKind::NotFound => return Ok(None),
        Err(error) => return Err(wrong("unreadable-file", error.to_string())),
    };
    Catalogue::read(language, &text)
        .map(Some)
        .map_err(|errors| wrong("bad-text", errors.join("; ")))
}

/// Every text for people that an exercise's own file has. Title and work order come first: an assessment has no others.
pub(super) fn texts<'a>(scenario: &'a mut Scenario, training: &'a mut Training) -> Vec<Text<'a>> {
    let mut all = vec![
        (TITLE.to_owned(), &mut scenario.title),
        ("brief".to_owned(), &mut training.brief),
        ("practise".to_owned(), &mut training.practise),
    ];
    for (number, line) in (1..).zip(&mut training.book) {
        all.push((format!("book-{number}"), line));
    }
    for one in &mut training.statements {
        all.push((format!("statement-{}", one.id), &mut one.text));
    }
    for one in &mut training.expected {
        all.push((format!("expected-{}", one.id), &mut one.text));
    }
    for one in &mut training.forbidden {
        all.push((format!("forbidden-{}", one.id), &mut one.why));
    }
    for (number, step) in (1..).zip(&mut training.guide) {
        all.push((format!("guide-{number}"), &mut step.text));
    }
    all
}

/// Texts of an assessment's own file: title and work order.
const OF_AN_ASSESSMENT: usize = 2;

impl Exercise {
    /// The same exercise in a language: its words, and its own texts as far as its catalogue has them. Of one that was drawn already it is
    /// the assessment again, before anything is drawn.
    #[must_use]
    pub fn in_language(self: &Arc<Self>, language: Language) -> Arc<Self> {
        if self.words.language() == language {
            return Arc::clone(self);
        }
        let original = self.original.as_ref().unwrap_or(self);
        if original.words.language() == language {
            return Arc::clone(original);
        }
        let mut told = Self {
            words: Words::of(language),
            original: Some(Arc::clone(original)),
            ..original.as_ref().clone()
        };
        if let Some(draws) = &original.draws {
            let draws = draws.in_language(language);
            if let Some(shown) = draws.shown() {
                told.training.statements.clone_from(&shown.statements);
            }
            told.draws = Some(Arc::new(draws));
        }
        let assessed = told.draws.is_some();
        let mut own = texts(&mut told.scenario, &mut told.training);
        if assessed {
            own.truncate(OF_AN_ASSESSMENT);
        }
        original.translations.put(language, own);
        Arc::new(told)
    }

    /// Its title in a language, without putting all the rest into it.
    #[must_use]
    pub fn title(&self, language: Language) -> Cow<'_, str> {
        let original = self.original.as_deref().unwrap_or(self);
        let catalogue = original.translations.catalogue(language);
        let told = catalogue.and_then(|catalogue| catalogue.find(TITLE, &[]));
        told.map_or(Cow::Borrowed(&original.scenario.title), Cow::Owned)
    }

    /// Every text for people that its own file has, by the name of its message in a catalogue.
    #[must_use]
    pub fn texts(&self) -> Vec<(String, String)> {
        let (mut scenario, mut training) = (self.scenario.clone(), self.training.clone());
        let mut own = texts(&mut scenario, &mut training);
        if self.draws.is_some() {
            own.truncate(OF_AN_ASSESSMENT);
        }
        let own = own.into_iter();
        own.map(|(id, text)| (id, text.clone())).collect()
    }
}

#[cfg(test)]
impl Translations {
    /// One catalogue.
    pub fn of(language: Language, text: &str) -> Self {
        let catalogue = Catalogue::read(language, text).expect("messages");
        Self(vec![(language, catalogue)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exercise::load;
    use std::fs;

    /// What stands in the catalogue is told, what does not stays, and the way back leads to the exercise as it was loaded.
    #[test]
    fn an_exercise_is_told_in_the_language_that_it_is_put_into() {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("../../recipes/exercises/emergency-stop.toml");
        let mut english = load(&path).unwrap_or_else(|errors| panic!("{errors:?}"));
        english.translations = Translations::of(
            Language::German,
            "title = Titel\nexpected-confirm = Bestätigt.\n",
        );
        let english = Arc::new(english);
        let german = english.in_language(Language::German);
        assert_eq!(german.words.language(), Language::German);
        assert_eq!(german.scenario.title, "Titel");
        for told in [&english, &german] {
            assert_eq!(told.title(Language::German), "Titel");
            assert_eq!(told.title(Language::Spanish), english.scenario.title);
        }
        assert_eq!(german.training.expected[0].text, "Bestätigt.");
        assert_eq!(german.training.brief, english.training.brief);
        assert_eq!(german.files, english.files);
        let spanish = german.in_language(Language::Spanish);
        assert_eq!(spanish.scenario.title, english.scenario.title);
        assert!(Arc::ptr_eq(
            &spanish.in_language(Language::English),
            &english
        ));
    }

    #[test]
    fn a_catalogue_stands_beside_the_exercise_and_one_that_is_none_is_an_error() {
        let folder = std::env::temp_dir().join(format!("twinplate-words-{}", std::process::id()));
        let german = folder.join("words/de");
        fs::create_dir_all(&german).expect("a folder");
        let there = |text: &str| {
            fs::write(german.join("one.ftl"), text).expect("a file");
            read(&folder.join("a.toml"), "one")
        };
        let good = there("title = Titel\n").expect("messages");
        assert_eq!(good.0.len(), 1);
        let wrong = there("no message").expect_err("no message");
        assert!(wrong[0].file.ends_with("one.ftl"), "{wrong:?}");
        let none = read(&folder.join("a.toml"), "other").expect("none");
        assert!(none.0.is_empty());
        fs::remove_dir_all(&folder).expect("removed");
    }
}

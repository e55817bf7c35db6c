//! Assessments: one of several exercises is drawn by the session's seed, with the moment at which its fault begins. Work order, title and
//! panel are the same whatever was drawn.

use super::translated::{self, Translations};
use super::{Exercise, hash, load, training};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use twinplate_sim::bench::FileHash;
use twinplate_sim::files::{self, FileError, Loaded};
use twinplate_sim::math::max;
use twinplate_sim::model::{Component, Scenario, What, When};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::training::rules::{Assessed, Assessment, Training};
use twinplate_words::Language;

/// What an assessment draws from.
#[derive(Clone, Debug)]
pub struct Draws {
    rules: Assessment,
    exercises: Vec<Drawn>,
}

/// One of the exercises.
#[derive(Clone, Debug)]
struct Drawn {
    scenario: Scenario,
    training: Training,
    translations: Translations,
}

impl Draws {
    /// With the texts of every exercise in a language.
    pub(super) fn in_language(&self, language: Language) -> Self {
        let mut told = self.clone();
        for one in &mut told.exercises {
            let texts = translated::texts(&mut one.scenario, &mut one.training);
            one.translations.put(language, texts);
        }
        told
    }

    /// The rules that the assessment shows before anything is drawn.
    pub(super) fn shown(&self) -> Option<&Training> {
        self.exercises.first().map(|first| &first.training)
    }
}

/// Loads the exercises of an assessment. They must look alike to who comes to the machine: the same recipes, the same start, the same
/// points. So the recipes are loaded once, with the first of them.
pub(super) fn load_draws(
    path: &Path,
    loaded: &Loaded<Scenario>,
    rules: &Assessment,
) -> Result<Exercise, Vec<FileError>> {
    let mut exercises: Vec<Drawn> = Vec::new();
    let mut hashes = Vec::new();
    let mut errors = Vec::new();
    for (index, id) in rules.draws.iter().enumerate() {
        let key = format!("assessment.draws[{index}].exercise");
        let file = beside(path, id);
        if !file.is_file() || file == *path {
            errors.push(loaded.error(
                "not-found",
                &key,
                format!("there is no exercise `{id}` beside this file"),
                "the id of an exercise of the same folder".into(),
            ));
            continue;
        }
        match drawn_from(&file, exercises.first()) {
            Err(found) => errors.extend(found),
            Ok(Ok((drawn, hash))) => {
                exercises.push(drawn);
                hashes.push(hash);
            }
            Ok(Err(what)) => errors.push(loaded.error(
                "inconsistent",
                &key,
                format!("the exercise `{id}` {what}: who comes to the machine could tell it from the others"),
                "exercises with the same recipes, start and points, and without a guide".into(),
            )),
        }
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    let Some(first) = rules.draws.first() else {
        return Err(vec![loaded.error(
            "missing-key",
            "assessment.draws",
            "an assessment draws from nothing".into(),
            "two exercises or more".into(),
        )]);
    };
    let first = load(&beside(path, first))?;
    let translations = translated::read(path, &loaded.value.id)?;
    let mut files = first.files.clone();
    for file in hashes {
        if !files.contains(&file) {
            files.push(file);
        }
    }
    Ok(Exercise {
        scenario: Scenario {
            events: Vec::new(),
            training: None,
            assessment: None,
            ..loaded.value.clone()
        },
        training: Training {
            order: rules.order,
            brief: rules.brief.clone(),
            pass: rules.pass,
            forbidden: Vec::new(),
            ..first.training.clone()
        },
        files,
        translations,
        draws: Some(Arc::new(Draws {
            rules: rules.clone(),
            exercises,
        })),
        ..first
    })
}

/// An exercise's file.
fn beside(path: &Path, id: &str) -> PathBuf {
    path.with_file_name(format!("{id}.toml"))
}

/// One of the exercises and its file's hash; or in what it is told from the first.
type Found = Result<(Drawn, FileHash), &'static str>;

fn drawn_from(file: &Path, first: Option<&Drawn>) -> Result<Found, Vec<FileError>> {
    let loaded = files::load_scenario(file)?;
    if loaded.value.assessment.is_some() {
        return Ok(Err("is an assessment itself"));
    }
    let training = training(&loaded)?;
    if let Some(what) = first.and_then(|first| unlike(&first.training, &training)) {
        return Ok(Err(what));
    }
    let hash = hash(&loaded);
    let drawn = Drawn {
        translations: translated::read(file, &loaded.value.id)?,
        scenario: loaded.value,
        training,
    };
    Ok(Ok((drawn, hash)))
}

/// In what an exercise is told from another before anything happens.
fn unlike(a: &Training, b: &Training) -> Option<&'static str> {
    if !b.guide.is_empty() {
        Some("is guided")
    } else if (&a.recipe, &a.stored) != (&b.recipe, &b.stored) {
        Some("has other recipes")
    } else if a.start != b.start {
        Some("begins otherwise")
    } else if a.points() != b.points() {
        Some("has other points")
    } else {
        None
    }
}

impl Exercise {
    /// What a session of this exercise plays: the exercise itself, or of an assessment what the seed draws.
    #[must_use]
    pub(crate) fn drawn(self: &Arc<Self>, seed: u64) -> Arc<Self> {
        let Some(draws) = &self.draws else {
            return self.clone();
        };
        let draw = |purpose| substream(seed, self.id(), purpose, 0);
        let count = draws.exercises.len() as u64;
        let which = usize::try_from(draw("exercise") % count.max(1)).unwrap_or(0);
        let Some(Drawn {
            scenario, training, ..
        }) = draws.exercises.get(which)
        else {
            return self.clone();
        };
        // In milliseconds, so that no rounding makes a moment.
        let spread = (draws.rules.spread * 1e3) as u64;
        let shift = (draw("moment") % (2 * spread + 1)) as f64 * 1e-3 - draws.rules.spread;
        let mut truth: Vec<Component> = Vec::new();
        let mut events = scenario.events.clone();
        for event in &mut events {
            let What::Fault(fault) = &event.what else {
                continue;
            };
            if !truth.contains(&fault.component) {
                truth.push(fault.component);
            }
            if let When::After { delay, .. } = &mut event.when {
                *delay = max(*delay + shift, 0.0);
            }
        }
        Arc::new(Self {
            scenario: Scenario {
                events,
                operator: scenario.operator,
                ..self.scenario.clone()
            },
            training: Training {
                brief: self.training.brief.clone(),
                pass: draws.rules.pass,
                needless_remedy: draws.rules.needless_remedy,
                assessed: Some(Assessed {
                    drawn: scenario.title.clone(),
                    truth,
                    diagnosis: draws.rules.diagnosis,
                    needless_stop: draws.rules.needless_stop,
                }),
                ..training.clone()
            },
            original: Some(self.original.as_ref().unwrap_or(self).clone()),
            draws: None,
            ..self.as_ref().clone()
        })
    }

    /// It is an assessment, or was drawn for one: time goes by the clock, and nothing tells how it stands.
    #[must_use]
    pub const fn assessed(&self) -> bool {
        self.draws.is_some() || self.training.assessed.is_some()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is drawn for an assessment speaks the language, too, under the assessment's own title and work order.
    #[test]
    fn what_is_drawn_is_told_in_the_language() {
        let path =
            Path::new(env!("CARGO_MANIFEST_DIR")).join("../../recipes/exercises/assessment.toml");
        let mut english = load(&path).unwrap_or_else(|errors| panic!("{errors:?}"));
        let german = |text| Translations::of(Language::German, text);
        english.translations = german("title = Prüfung\nbrief = Auftrag\n");
        let mut draws = english.draws.as_deref().expect("an assessment").clone();
        for one in &mut draws.exercises {
            one.translations = german("title = Gezogen\nbrief = nicht dies\npractise = Übe\n");
        }
        english.draws = Some(Arc::new(draws));
        let english = Arc::new(english);
        let told: Vec<String> = english.texts().into_iter().map(|(id, _)| id).collect();
        assert_eq!(told, ["title", "brief"]);
        let german = english.in_language(Language::German);
        assert_eq!(german.scenario.title, "Prüfung");
        let drawn = german.drawn(1);
        assert_eq!(drawn.scenario.title, "Prüfung");
        assert_eq!(drawn.training.brief, "Auftrag");
        assert_eq!(drawn.training.practise, "Übe");
        assert_eq!(drawn.training.drawn().as_deref(), Some("Gezogen"));
        let back = drawn.in_language(Language::English);
        assert!(Arc::ptr_eq(&back, &english));
    }
}

//! Assessments: one of several exercises is drawn by the session's seed, with the moment at which its fault begins. Work order, title and
//! panel are the same whatever was drawn.

use super::{Exercise, load};
use std::path::Path;
use std::sync::Arc;
use twinplate_sim::files::{FileError, Loaded};
use twinplate_sim::math::max;
use twinplate_sim::model::{Component, Scenario, What, When};
use twinplate_sim::plant::seed::substream;
use twinplate_sim::training::rules::{Assessed, Assessment, Training};

/// What an assessment draws from.
#[derive(Clone, Debug)]
pub struct Draws {
    rules: Assessment,
    exercises: Vec<Exercise>,
}

/// Loads the exercises of an assessment. They must look alike to who comes to the machine: the same recipes, the same start, the same
/// points.
pub(super) fn load_draws(
    path: &Path,
    loaded: &Loaded<Scenario>,
    rules: &Assessment,
) -> Result<Exercise, Vec<FileError>> {
    let folder = path.parent().unwrap_or(Path::new(""));
    let mut exercises: Vec<Exercise> = Vec::new();
    let mut errors = Vec::new();
    for (index, id) in rules.draws.iter().enumerate() {
        let key = format!("assessment.draws[{index}].exercise");
        let file = folder.join(format!("{id}.toml"));
        if !file.is_file() || file == *path {
            errors.push(loaded.error(
                "not-found",
                &key,
                format!("there is no exercise `{id}` beside this file"),
                "the id of an exercise of the same folder".into(),
            ));
            continue;
        }
        match load(&file) {
            Err(found) => errors.extend(found),
            Ok(exercise) => match exercises.first().and_then(|first| unlike(first, &exercise)) {
                None => exercises.push(exercise),
                Some(what) => errors.push(loaded.error(
                    "inconsistent",
                    &key,
                    format!("the exercise `{id}` {what}: who comes to the machine could tell it from the others"),
                    "exercises with the same recipes, start and points, and without a guide".into(),
                )),
            },
        }
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    let Some(first) = exercises.first().cloned() else {
        return Err(vec![loaded.error(
            "missing-key",
            "assessment.draws",
            "an assessment draws from nothing".into(),
            "two exercises or more".into(),
        )]);
    };
    let mut files = first.files.clone();
    for file in exercises.iter().flat_map(|exercise| &exercise.files) {
        if !files.contains(file) {
            files.push(file.clone());
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
        draws: Some(Arc::new(Draws {
            rules: rules.clone(),
            exercises,
        })),
        ..first
    })
}

/// In what an exercise is told from another before anything happens.
fn unlike(first: &Exercise, other: &Exercise) -> Option<&'static str> {
    let (a, b) = (&first.training, &other.training);
    if other.draws.is_some() {
        Some("is an assessment itself")
    } else if !b.guide.is_empty() {
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
        let Some(drawn) = draws.exercises.get(which) else {
            return self.clone();
        };
        // In milliseconds, so that no rounding makes a moment.
        let spread = (draws.rules.spread * 1e3) as u64;
        let shift = (draw("moment") % (2 * spread + 1)) as f64 * 1e-3 - draws.rules.spread;
        let mut truth: Vec<Component> = Vec::new();
        let mut events = drawn.scenario.events.clone();
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
                operator: drawn.scenario.operator,
                ..self.scenario.clone()
            },
            training: Training {
                brief: draws.rules.brief.clone(),
                pass: draws.rules.pass,
                needless_remedy: draws.rules.needless_remedy,
                assessed: Some(Assessed {
                    drawn: drawn.scenario.title.clone(),
                    truth,
                    diagnosis: draws.rules.diagnosis,
                    needless_stop: draws.rules.needless_stop,
                }),
                ..drawn.training.clone()
            },
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

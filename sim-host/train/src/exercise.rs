//! The compiled exercise: an exercise file with its recipes, machine and batch, ready for any number of sessions.

mod assessment;
mod possible;
mod translated;

use super::protocol::{ExerciseCard, JobCard, PlanCard, StoredRecipe, unit_cards};
use assessment::{Draws, load_draws};
use firmware_core::store::{Checked, StoreError, StoredRecipe as Kept};
use std::collections::BTreeSet;
use std::f64::consts::PI;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use translated::Translations;
use twinplate_sim::bench::{FileHash, Job};
use twinplate_sim::files::{self, FileError, Loaded, Overrides};
use twinplate_sim::flash::Flash;
use twinplate_sim::math;
use twinplate_sim::model::{End, Recipe, Scenario};
use twinplate_sim::training::rules::{Inspection, Training};
use twinplate_words::{Language, Words};

/// Folders in which the recipe of an exercise is looked for, beside the exercise first, then beside the folder it is in.
const FOLDERS: [&str; 2] = ["training", "recipes"];
/// m³/s as L/min.
const TO_L_MIN: f64 = 6e4;
/// rad/s as rpm.
const TO_RPM: f64 = 30.0 / PI;

/// An exercise with everything that a session needs. Plain data, shared between sessions.
#[derive(Clone, Debug)]
pub struct Exercise {
    /// The scenario, its training part apart.
    pub scenario: Scenario,
    /// What makes it an exercise.
    pub training: Training,
    /// The job that is right for the work order: it also says what machine and parts there are.
    pub job: Job,
    /// Stored recipes by slot.
    pub stored: Vec<Job>,
    /// What the controller's recipe store has of them in its flash.
    pub flash: Flash,
    /// Slot of the right recipe, from 1.
    pub right: u8,
    /// Files it was made from.
    pub files: Vec<FileHash>,
    /// The words that it is told in: English as it is loaded, another language by [`Exercise::in_language`].
    pub words: &'static Words,
    /// Its own texts in other languages.
    translations: Translations,
    /// As it was loaded, where it is in another language or was drawn.
    original: Option<Arc<Exercise>>,
    /// What is drawn from, for an assessment.
    draws: Option<Arc<Draws>>,
}

/// Loads an exercise file and the recipes that it names.
///
/// # Errors
/// All errors of the files that could be found.
pub fn load(path: &Path) -> Result<Exercise, Vec<FileError>> {
    made(path, files::load_scenario(path)?)
}

/// Makes an exercise of a text, as if it stood at `path`.
///
/// # Errors
/// As [`load`].
pub fn read(path: &Path, text: &str) -> Result<Exercise, Vec<FileError>> {
    made(path, files::parse_scenario(path, text)?)
}

fn made(path: &Path, loaded: Loaded<Scenario>) -> Result<Exercise, Vec<FileError>> {
    if let Some(rules) = &loaded.value.assessment {
        return load_draws(path, &loaded, rules);
    }
    let training = training(&loaded)?;
    let ids = if training.stored.is_empty() {
        vec![training.recipe.clone()]
    } else {
        training.stored.clone()
    };
    let mut stored = Vec::new();
    let mut hashes = vec![hash(&loaded)];
    let mut errors = Vec::new();
    for (index, id) in ids.iter().enumerate() {
        let key = if training.stored.is_empty() {
            "training.recipe".to_owned()
        } else {
            format!("training.stored[{index}].recipe")
        };
        match find(path, id)
            .ok_or_else(|| vec![not_found(&loaded, &key, id)])
            .and_then(|found| job(&found, &mut hashes))
        {
            Ok(job) => stored.push(job),
            Err(found) => errors.extend(found),
        }
    }
    if !errors.is_empty() {
        return Err(errors);
    }
    let right = ids.iter().position(|id| *id == training.recipe);
    let job = right.and_then(|index| stored.get(index).cloned());
    let (Some(right), Some(job)) = (right.and_then(|r| u8::try_from(r + 1).ok()), job) else {
        return Err(vec![not_found(
            &loaded,
            "training.recipe",
            &training.recipe,
        )]);
    };
    let impossible = possible::check(&loaded, &training, &job.recipe, stored.len());
    if !impossible.is_empty() {
        return Err(impossible);
    }
    let flash = flash(&stored).map_err(|error| {
        vec![loaded.error(
            "out-of-range",
            "training.stored",
            format!("the recipes cannot be stored: {}", error.word()),
            "fewer recipes, or with fewer steps".into(),
        )]
    })?;
    let translations = translated::read(path, &loaded.value.id)?;
    Ok(Exercise {
        scenario: Scenario {
            training: None,
            ..loaded.value
        },
        training,
        job,
        stored,
        flash,
        right,
        files: hashes,
        words: Words::of(Language::English),
        translations,
        original: None,
        draws: None,
    })
}

/// What makes a scenario an exercise.
fn training(loaded: &Loaded<Scenario>) -> Result<Training, Vec<FileError>> {
    let training = loaded.value.training.as_deref().cloned();
    training.ok_or_else(|| {
        vec![loaded.error(
            "missing-key",
            "id",
            "this scenario is no exercise: it has no part `training` or `assessment`".into(),
            "a part [training] or [assessment], as in recipes/exercises".into(),
        )]
    })
}

fn hash(loaded: &Loaded<Scenario>) -> FileHash {
    FileHash {
        kind: "scenario".into(),
        id: loaded.value.id.clone(),
        hash: loaded.hash,
    }
}

/// A flash with these recipes in its slots. Nobody checked them: what an operator recalls may be wrong on purpose.
fn flash(stored: &[Job]) -> Result<Flash, StoreError> {
    let unchecked = |job: &Job| Kept {
        recipe: job.compiled.clone(),
        checked: Checked::default(),
    };
    let recipes: Vec<Kept> = stored.iter().map(unchecked).collect();
    Ok(Flash::holding(&recipes)?.into_flash())
}

fn find(exercise: &Path, id: &str) -> Option<PathBuf> {
    let beside = exercise.parent().unwrap_or(Path::new(""));
    let file = format!("{id}.toml");
    let mut places = folders(beside).map(|folder| folder.join(&file));
    places.find(|path| path.is_file())
}

/// Where the recipes of a folder's exercises are looked for, in this order.
fn folders(beside: &Path) -> impl Iterator<Item = PathBuf> {
    let above = match beside.parent() {
        Some(above) if beside.file_name().is_some() => above.to_owned(),
        _ => beside.join(".."),
    };
    let beside = beside.to_owned();
    FOLDERS
        .iter()
        .flat_map(move |folder| [beside.join(folder), above.join(folder)])
}

/// Identifiers of the recipes that the exercises of a folder may name, by the names of their files.
#[must_use]
pub fn recipes(folder: &Path) -> BTreeSet<String> {
    let files = folders(folder).filter_map(|place| std::fs::read_dir(place).ok());
    files
        .flatten()
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|end| end == "toml"))
        .filter_map(|path| path.file_stem()?.to_str().map(str::to_owned))
        .collect()
}

fn not_found(loaded: &Loaded<Scenario>, key: &str, id: &str) -> FileError {
    loaded.error(
        "not-found",
        key,
        format!("there is no recipe `{id}`"),
        format!("the id of a recipe: a file training/{id}.toml or recipes/{id}.toml beside the exercise's folder"),
    )
}

fn job(path: &Path, hashes: &mut Vec<FileHash>) -> Result<Job, Vec<FileError>> {
    let set = files::load_set(path, &Overrides::default())?;
    for (kind, id, hash) in [
        ("machine", &set.machine.value.id, set.machine.hash),
        ("batch", &set.batch.value.id, set.batch.hash),
        ("recipe", &set.recipe.value.id, set.recipe.hash),
    ] {
        if !hashes
            .iter()
            .any(|known| known.kind == kind && known.id == *id)
        {
            hashes.push(FileHash {
                kind: kind.into(),
                id: id.clone(),
                hash,
            });
        }
    }
    let place = set.recipe.clone();
    Job::new(set.machine.value, set.batch.value, set.recipe.value).map_err(|error| {
        vec![place.error(
            "inconsistent",
            "id",
            format!("the controller would refuse this recipe: {error}"),
            "a recipe that `twinplate check` finds good".into(),
        )]
    })
}

/// An exercise file of a folder: the exercise, or what is wrong with it.
pub type Listed = (PathBuf, Result<Exercise, Vec<FileError>>);

/// All exercise files of a folder in their order, with the errors of those that could not be read. Other files are left alone.
///
/// # Errors
/// When the folder cannot be read.
pub fn list(folder: &Path) -> std::io::Result<Vec<Listed>> {
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder)? {
        let path = entry?.path();
        if path.extension().is_some_and(|e| e == "toml") {
            paths.push(path);
        }
    }
    paths.sort();
    let mut list: Vec<_> = paths
        .into_iter()
        .map(|path| {
            let exercise = load(&path);
            (path, exercise)
        })
        .collect();
    list.sort_by_key(|(_, exercise)| exercise.as_ref().map_or(u32::MAX, |e| e.training.order));
    Ok(list)
}

impl Exercise {
    /// Its identifier.
    #[must_use]
    pub fn id(&self) -> &str {
        &self.scenario.id
    }

    /// Longest simulated time of an attempt, ticks.
    #[must_use]
    pub fn longest(&self) -> u32 {
        twinplate_sim::compile::ticks(self.scenario.longest).0
    }

    /// As it is offered and introduced.
    #[must_use]
    pub fn card(&self) -> ExerciseCard {
        ExerciseCard {
            id: self.scenario.id.clone(),
            title: self.scenario.title.clone(),
            brief: self.brief(),
            guided: !self.training.guide.is_empty(),
            assessed: self.assessed(),
            inspected: self.training.inspection == Inspection::Operator,
            tended: self.training.asks_for("work"),
            statements: self
                .training
                .statements
                .iter()
                .map(|one| (one.id.clone(), one.text.clone()))
                .collect(),
            machine: self.job.machine.title.clone(),
            points: self.training.points(),
            pass: self.training.pass,
        }
    }

    /// The work order, and what the shift before wrote.
    fn brief(&self) -> String {
        let mut told = vec![self.training.brief.clone()];
        told.extend(self.book());
        told.join(" ")
    }

    /// What the shift before wrote, line by line.
    pub(super) fn book(&self) -> Vec<String> {
        let lines = self.training.book.iter();
        lines
            .map(|line| self.words.tell("shift-book", &[("line", line.into())]))
            .collect()
    }

    /// What the panel needs to know of machine and batch.
    #[must_use]
    pub fn job_card(&self) -> JobCard {
        let (machine, batch) = (&self.job.machine, &self.job.batch);
        let highest = self
            .stored
            .iter()
            .flat_map(|job| job.recipe.steps.iter().map(|step| step.load_limit))
            .fold(machine.control.first_contact_limit, math::max);
        JobCard {
            machine: machine.title.clone(),
            batch: batch.title.clone(),
            pieces: batch.pieces(),
            carriers: machine.geometry.carriers,
            rated_load_n: machine.control.rated_load,
            resting_load_n: machine.actuator.resting_load(),
            initial_load_n: machine.control.initial_load,
            load_scale_n: [-machine.actuator.weight(), highest * 1.2],
            speed_scale_rpm: [0, 1, 2, 3].map(|i: usize| machine.drives[i].speed * TO_RPM),
            flow_scale_l_min: machine.slurry.flow_max * TO_L_MIN,
            flow_min_l_min: machine.slurry.flow_min * TO_L_MIN,
            size_m: [batch.target, batch.tolerance],
            incoming_m: batch.thickness,
            estop_category: machine.control.estop_category,
            plan: PlanCard::of(machine, batch),
            units: unit_cards(&self.job.recipe.shown),
        }
    }

    /// Stored recipes for recall, by slot from 1.
    #[must_use]
    pub fn stored_cards(&self) -> Vec<StoredRecipe> {
        (1u8..)
            .zip(&self.stored)
            .map(|(slot, job)| StoredRecipe {
                slot,
                id: job.recipe.id.clone(),
                title: job.recipe.title.clone(),
                batch: job.batch.title.clone(),
                pieces: job.batch.pieces(),
                steps: steps(&job.recipe, job.batch.area()),
                form_by: job
                    .recipe
                    .flatness
                    .as_ref()
                    .map(|control| control.measured.name().into()),
            })
            .collect()
    }

    /// What a remedy can be asked for: (component word, what is done, where and how long it takes, for people).
    #[must_use]
    pub fn remedies(&self) -> Vec<(String, String)> {
        super::remedy::remedies(self.words)
    }
}

fn steps(recipe: &Recipe, area: f64) -> Vec<(String, f64)> {
    recipe
        .steps
        .iter()
        .map(|step| (step.name.clone(), step.pressure * area))
        .collect()
}

/// In-band time that a step asks for, s; 0 where it does not end by time.
pub(super) fn step_time(recipe: &Recipe, step: u8) -> f64 {
    match recipe.steps.get(usize::from(step)).map(|step| step.end) {
        Some(End::Time { seconds }) => seconds,
        _ => 0.0,
    }
}

//! The form in which instructors make and change exercises: what it asks, the text that it makes checked as a file is, and kept.

use super::exercises::{NotKept, Text};
use super::request::{Posted, Refusal, Shared, as_instructor, aside, understood};
use super::tongue::{self, Line};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode};
use serde::{Deserialize, Serialize};
use serde_json::Value;
use std::sync::Arc;
use twinplate_sim::files::form::{self, Fields};
use twinplate_sim::files::{FileError, FileKind};
use twinplate_train::exercise::Exercise;

/// Longest text of an exercise that is taken, bytes: several times the longest of the demonstration set.
pub const LONGEST_TEXT: usize = 131_072;

/// An error of a text.
#[derive(Clone, Debug, Serialize)]
pub struct Wrong {
    code: &'static str,
    line: usize,
    message: String,
    expected: String,
    nearest: Option<String>,
}

impl From<&FileError> for Wrong {
    fn from(error: &FileError) -> Self {
        Self {
            code: error.code,
            line: error.line,
            message: error.message.clone(),
            // Lines to paste are for who writes a file by hand; what leads to them says nothing without.
            expected: match error.lines.as_slice() {
                [] => error.expected.clone(),
                _ => String::new(),
            },
            nearest: error.nearest.clone(),
        }
    }
}

fn wrong(errors: &[FileError]) -> Vec<Wrong> {
    errors.iter().map(Wrong::from).collect()
}

/// An exercise that there is.
#[derive(Clone, Debug, Serialize)]
pub struct Entry {
    exercise: String,
    title: String,
    order: u32,
}

/// A file that is left out.
#[derive(Clone, Debug, Serialize)]
pub struct Broken {
    file: String,
    errors: Vec<Wrong>,
}

/// Everything that the form needs.
#[derive(Clone, Debug, Serialize)]
pub struct Form {
    /// First line of the text, and its first key with the value.
    format: &'static str,
    fields: Fields,
    /// Acts, each with its parameter.
    acts: Vec<(&'static str, &'static str)>,
    recipes: Vec<String>,
    exercises: Vec<Entry>,
    broken: Vec<Broken>,
    /// Why none can be made here; `None` where they can.
    passing: Option<String>,
}

/// The form.
///
/// # Errors
/// Who is no instructor.
pub async fn form(State(shared): State<Shared>, headers: HeaderMap) -> Result<Json<Form>, Refusal> {
    as_instructor(&shared, &headers)?;
    let words = tongue::words(&headers);
    let told = aside(&shared, move |shared| {
        let all = shared.exercises.look();
        let entry = |exercise: &Arc<Exercise>| Entry {
            exercise: exercise.id().to_owned(),
            title: exercise.title(words.language()).into_owned(),
            order: exercise.training.order,
        };
        let left_out = shared.exercises.left_out();
        Form {
            format: FileKind::Scenario.format(),
            fields: form::fields(FileKind::Scenario),
            acts: form::acts(),
            recipes: shared.exercises.recipes().collect(),
            exercises: all.iter().map(entry).collect(),
            broken: left_out
                .iter()
                .map(|one| Broken {
                    file: one
                        .path
                        .file_name()
                        .map_or_else(String::new, |name| name.to_string_lossy().into_owned()),
                    errors: wrong(&one.errors),
                })
                .collect(),
            passing: lasting(shared).err().map(|refusal| refusal.why.told(words)),
        }
    });
    Ok(Json(told.await?))
}

/// There is no folder to begin from, to look into and to keep in.
fn passing() -> Refusal {
    Refusal::new(
        StatusCode::CONFLICT,
        "passing",
        Line::say("refused-passing"),
    )
}

/// What is worked on stands in a folder.
fn lasting(shared: &Shared) -> Result<(), Refusal> {
    if shared.exercises.lasting() {
        Ok(())
    } else {
        Err(passing())
    }
}

/// An exercise to begin with.
#[derive(Clone, Debug, Serialize)]
pub struct Begun {
    values: Value,
    /// It was made in the page, and may be changed in its place.
    own: bool,
    hash: String,
}

/// What stands in an exercise's file.
///
/// # Errors
/// Who is no instructor, no folder, no such exercise, a file that cannot be read.
pub async fn text(
    State(shared): State<Shared>,
    headers: HeaderMap,
    Path(id): Path<String>,
) -> Result<Json<Begun>, Refusal> {
    as_instructor(&shared, &headers)?;
    lasting(&shared)?;
    let read = aside(&shared, move |shared| shared.exercises.text(&id)).await?;
    let begun = read.map(|found| {
        found.and_then(|Text { text, own, hash }| {
            let values = form::values(&text)?;
            Some(Begun { values, own, hash })
        })
    });
    begun
        .map_err(|error| system(&error))?
        .map(Json)
        .ok_or_else(|| Refusal::not_found(Line::say("refused-no-exercise")))
}

fn system(error: &std::io::Error) -> Refusal {
    tracing::error!("exercises: {error}");
    let why = Line::tell("refused-folder", [("error", error.to_string().into())]);
    Refusal::new(StatusCode::INTERNAL_SERVER_ERROR, "system", why)
}

/// A text to look at, or to keep.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Typed {
    text: String,
    /// Hash of the text that it was made from, where it is to take the place of that one.
    #[serde(default)]
    replaces: Option<String>,
}

/// What a text comes to.
#[derive(Clone, Debug, Serialize)]
pub struct Judged {
    errors: Vec<Wrong>,
    /// Points that can be had, where nothing is wrong.
    points: Option<u32>,
    /// It was kept under this identifier.
    kept: Option<String>,
}

impl Judged {
    fn wrong(errors: &[FileError]) -> Self {
        Self {
            errors: wrong(errors),
            points: None,
            kept: None,
        }
    }
}

/// Checks a text as a file is checked.
///
/// # Errors
/// Who is no instructor, no folder.
pub(crate) async fn check(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Posted<Typed>,
) -> Result<Json<Judged>, Refusal> {
    let Typed { text, .. } = typed(&shared, &headers, body)?;
    let judged = aside(&shared, move |shared| match shared.exercises.read(&text) {
        Ok(exercise) => Judged {
            errors: Vec::new(),
            points: Some(exercise.training.points()),
            kept: None,
        },
        Err(errors) => Judged::wrong(&errors),
    });
    Ok(Json(judged.await?))
}

/// Keeps a text as an exercise; it is offered from now on.
///
/// # Errors
/// Who is no instructor, no folder, another exercise of this identifier, a system that refuses. A text that is
/// no exercise is none of them: its errors are the answer.
pub(crate) async fn keep(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Posted<Typed>,
) -> Result<Json<Judged>, Refusal> {
    let Typed { text, replaces } = typed(&shared, &headers, body)?;
    let kept = aside(&shared, move |shared| {
        shared.exercises.keep(&text, replaces.as_deref())
    });
    let conflict = |code, why: Line| Err(Refusal::new(StatusCode::CONFLICT, code, why));
    match kept.await? {
        Ok(id) => {
            tracing::info!(exercise = id, "kept");
            let points = shared.exercises.find(&id).map(|one| one.training.points());
            Ok(Json(Judged {
                errors: Vec::new(),
                points,
                kept: Some(id),
            }))
        }
        Err(NotKept::Wrong(errors)) => Ok(Json(Judged::wrong(&errors))),
        Err(NotKept::Passing) => Err(passing()),
        Err(NotKept::There(id)) => conflict(
            "there",
            Line::tell("refused-there", [("exercise", id.into())]),
        ),
        Err(NotKept::Changed(id)) => conflict(
            "changed",
            Line::tell("refused-changed", [("exercise", id.into())]),
        ),
        Err(NotKept::System(error)) => Err(system(&error)),
    }
}

fn typed(shared: &Shared, headers: &HeaderMap, body: Posted<Typed>) -> Result<Typed, Refusal> {
    as_instructor(shared, headers)?;
    lasting(shared)?;
    understood(body)
}

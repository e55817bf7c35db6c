//! What every route works with: what all of them share, the token, and how a request is refused.

use super::exercises::Exercises;
use super::floor::Floor;
use super::gate::{Gate, Shut, Who};
use super::tongue::Line;
use crate::records::Clerk;
use axum::extract::Query;
use axum::extract::rejection::QueryRejection;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use std::sync::Arc;
use twinplate_words::Words;

/// Everything the routes need.
#[derive(Clone)]
pub struct Shared {
    /// Who may ask.
    pub gate: Arc<Gate>,
    /// The exercises.
    pub exercises: Arc<Exercises>,
    /// The stations.
    pub floor: Floor,
    /// The records.
    pub clerk: Clerk,
}

/// A request that is not done: status, one word for programs, a sentence for people. The sentence is told on the way out, in the language
/// of the request.
#[derive(Clone, Debug, PartialEq)]
pub struct Refusal {
    /// HTTP status.
    pub status: StatusCode,
    /// One word.
    pub code: &'static str,
    /// Why, and what would help.
    pub why: Line,
}

impl Refusal {
    /// With a status, a word and a sentence.
    #[must_use]
    pub const fn new(status: StatusCode, code: &'static str, why: Line) -> Self {
        Self { status, code, why }
    }

    /// Nothing is there.
    #[must_use]
    pub const fn not_found(why: Line) -> Self {
        Self::new(StatusCode::NOT_FOUND, "not-found", why)
    }

    /// What was sent is not understood, as the framework says.
    pub(crate) fn not_understood(status: StatusCode, why: String) -> Self {
        let why = Line::tell("refused-not-understood", [("why", why.into())]);
        Self::new(status, "not-understood", why)
    }

    /// The answer in a language.
    pub(crate) fn told(&self, words: &Words) -> Response {
        let body = serde_json::json!({ "error": self.why.told(words), "code": self.code });
        (self.status, axum::Json(body)).into_response()
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        // It waits there for who knows the language.
        let mut response = self.status.into_response();
        response.extensions_mut().insert(self);
        response
    }
}

impl From<Shut> for Refusal {
    fn from(shut: Shut) -> Self {
        let (status, code, why) = match shut {
            Shut::NoHost => (
                StatusCode::BAD_REQUEST,
                "no-host",
                Line::say("refused-no-host"),
            ),
            Shut::OtherHost => (
                StatusCode::FORBIDDEN,
                "other-host",
                Line::say("refused-other-host"),
            ),
            Shut::OtherOrigin => (
                StatusCode::FORBIDDEN,
                "other-origin",
                Line::say("refused-other-origin"),
            ),
            Shut::NoToken => (
                StatusCode::UNAUTHORIZED,
                "no-token",
                Line::say("refused-no-token"),
            ),
            Shut::NotInstructor => (
                StatusCode::FORBIDDEN,
                "instructor",
                Line::say("refused-not-instructor"),
            ),
        };
        Self::new(status, code, why)
    }
}

/// The token of a request is one of ours: whose.
///
/// # Errors
/// A refusal with status 401.
pub(crate) fn with_token(shared: &Shared, headers: &HeaderMap) -> Result<Who, Refusal> {
    Ok(shared.gate.token_header(headers)?)
}

/// The token of a request is an instructor's.
///
/// # Errors
/// A refusal with status 401 or 403.
pub(crate) fn as_instructor(shared: &Shared, headers: &HeaderMap) -> Result<(), Refusal> {
    Ok(with_token(shared, headers)?.may(Who::Instructor)?)
}

/// What was sent in a body that a route needs as JSON.
pub type Posted<T> = Result<axum::Json<T>, axum::extract::rejection::JsonRejection>;

/// What was sent, where it was understood.
///
/// # Errors
/// It was not: the framework's status and sentence.
pub(crate) fn understood<T>(body: Posted<T>) -> Result<T, Refusal> {
    body.map(|axum::Json(sent)| sent)
        .map_err(|wrong| Refusal::not_understood(wrong.status(), wrong.body_text()))
}

/// What is asked for behind an address.
pub type Queried<T> = Result<Query<T>, QueryRejection>;

/// What is asked for, where it was understood.
///
/// # Errors
/// It was not: the framework's status and sentence.
pub(crate) fn asked_for<T>(queried: Queried<T>) -> Result<T, Refusal> {
    queried
        .map(|Query(asked)| asked)
        .map_err(|wrong| Refusal::not_understood(wrong.status(), wrong.body_text()))
}

/// Does what takes the disk, away from the tasks that serve connections.
///
/// # Errors
/// It panicked.
pub(crate) async fn aside<T: Send + 'static>(
    shared: &Shared,
    work: impl FnOnce(&Shared) -> T + Send + 'static,
) -> Result<T, Refusal> {
    let shared = shared.clone();
    let done = tokio::task::spawn_blocking(move || work(&shared)).await;
    done.map_err(|error| {
        tracing::error!("{error}");
        Refusal::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "system",
            Line::say("refused-failed"),
        )
    })
}

//! What every route works with: what all of them share, the token, and how a request is refused.

use super::exercises::Exercises;
use super::floor::Floor;
use super::gate::{Gate, Shut, Who};
use crate::records::Clerk;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use std::sync::Arc;

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

/// A request that is not done: status, one word for programs, a sentence for people.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// HTTP status.
    pub status: StatusCode,
    /// One word.
    pub code: &'static str,
    /// Why, and what would help.
    pub why: String,
}

impl Refusal {
    /// With a status, a word and a sentence.
    pub fn new(status: StatusCode, code: &'static str, why: impl Into<String>) -> Self {
        Self {
            status,
            code,
            why: why.into(),
        }
    }

    /// Nothing is there.
    pub fn not_found(why: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, "not-found", why)
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let body = serde_json::json!({ "error": self.why, "code": self.code });
        (self.status, axum::Json(body)).into_response()
    }
}

impl From<Shut> for Refusal {
    fn from(shut: Shut) -> Self {
        let (status, code, why) = match shut {
            Shut::NoHost => (
                StatusCode::BAD_REQUEST,
                "no-host",
                "a request names one host, once",
            ),
            Shut::OtherHost => (
                StatusCode::FORBIDDEN,
                "other-host",
                "this server is not the host that was asked for: use the address that it printed",
            ),
            Shut::OtherOrigin => (
                StatusCode::FORBIDDEN,
                "other-origin",
                "only a page of this server may do this",
            ),
            Shut::NoToken => (
                StatusCode::UNAUTHORIZED,
                "no-token",
                "this needs the server's token: open the page with the address that has it, or load it again",
            ),
            Shut::NotInstructor => (
                StatusCode::FORBIDDEN,
                "instructor",
                "this is for instructors: it needs the token that the server printed for them when it started",
            ),
        };
        Self::new(status, code, why)
    }
}

/// The token of a request is one of ours.
///
/// # Errors
/// A refusal with status 401.
pub(crate) fn with_token(shared: &Shared, headers: &HeaderMap) -> Result<(), Refusal> {
    shared.gate.token_header(headers)?;
    Ok(())
}

/// The token of a request is an instructor's.
///
/// # Errors
/// A refusal with status 401 or 403.
pub(crate) fn as_instructor(shared: &Shared, headers: &HeaderMap) -> Result<(), Refusal> {
    Ok(shared.gate.token_header(headers)?.may(Who::Instructor)?)
}

/// What was sent in a body that a route needs as JSON.
pub type Posted<T> = Result<axum::Json<T>, axum::extract::rejection::JsonRejection>;

/// What was sent, where it was understood.
///
/// # Errors
/// It was not: the framework's status and sentence.
pub(crate) fn understood<T>(body: Posted<T>) -> Result<T, Refusal> {
    body.map(|axum::Json(sent)| sent)
        .map_err(|wrong| Refusal::new(wrong.status(), "not-understood", wrong.body_text()))
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
            "the server failed at this; see its log",
        )
    })
}

//! What the pages ask for beside the socket, as JSON and CSV.

use super::floor::{MOST_STATIONS, NotOpened};
use super::gate::Who;
use super::request::{
    Posted, Queried, Refusal, Shared, as_instructor, aside, asked_for, understood, with_token,
};
use super::roll;
use super::station::Summary;
use super::tongue::{self, Line};
use crate::records::{Filter, Listed, RecordsError, Whole, export};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::header::{CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::http::{HeaderMap, HeaderValue, StatusCode};
use axum::response::{IntoResponse, Response};
use serde::{Deserialize, Serialize};
use twinplate_train::exercise::Exercise;
use twinplate_train::protocol::ExerciseCard;
use twinplate_train::vocabulary;
use twinplate_words::Language;

/// Longest name of a trainee, characters.
pub const LONGEST_NAME: usize = 60;

/// The exercises that the folder holds now, in their order.
///
/// # Errors
/// A server that fails at it.
pub async fn exercises(
    State(shared): State<Shared>,
    headers: HeaderMap,
) -> Result<Json<Vec<ExerciseCard>>, Refusal> {
    let language = tongue::language(&headers);
    let cards = aside(&shared, move |shared| {
        let all = shared.exercises.look();
        let cards = all.iter().map(|one| one.in_language(language).card());
        cards.collect::<Vec<_>>()
    });
    Ok(Json(cards.await?))
}

/// The words of the core, of faults and of rows.
pub async fn vocabulary(headers: HeaderMap) -> Json<serde_json::Value> {
    Json(vocabulary::json(tongue::words(&headers)))
}

/// The stations.
pub async fn stations(
    State(shared): State<Shared>,
    headers: HeaderMap,
) -> Result<Json<Vec<Summary>>, Refusal> {
    with_token(&shared, &headers)?;
    Ok(Json(shared.floor.list()))
}

/// What opens a station.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wanted {
    exercise: String,
    trainee: String,
    #[serde(default)]
    seed: Option<u64>,
}

/// A station that was opened.
#[derive(Debug, Serialize)]
pub struct Opened {
    station: String,
}

/// Opens a station for an attempt.
pub(crate) async fn open_station(
    State(shared): State<Shared>,
    headers: HeaderMap,
    body: Posted<Wanted>,
) -> Result<Json<Opened>, Refusal> {
    with_token(&shared, &headers)?;
    let wanted = understood(body)?;
    let trainee = name(&wanted.trainee)?;
    let exercise = shared
        .exercises
        .find(&wanted.exercise)
        .ok_or_else(|| Refusal::not_found(Line::say("refused-no-exercise")))?;
    if wanted.seed.is_some() && exercise.assessed() {
        return Err(Refusal::new(
            StatusCode::UNPROCESSABLE_ENTITY,
            "assessed",
            Line::say("refused-seed-assessed"),
        ));
    }
    let exercise = exercise.in_language(tongue::language(&headers));
    let opened = shared.floor.open(exercise, trainee, wanted.seed).await;
    let station = opened.map_err(not_opened)?;
    Ok(Json(Opened { station }))
}

fn not_opened(why: NotOpened) -> Refusal {
    match why {
        NotOpened::Full => Refusal::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "full",
            Line::tell("refused-full", [("most", MOST_STATIONS.into())]),
        ),
        NotOpened::Stopping => Refusal::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "stopping",
            Line::say("refused-stopping"),
        ),
        NotOpened::Records(error) => error.into(),
        NotOpened::Controller(why) => {
            tracing::error!("no station was opened: {why}");
            let why = Line::tell("refused-no-controller", [("why", why.into())]);
            Refusal::new(StatusCode::SERVICE_UNAVAILABLE, "no-controller", why)
        }
        NotOpened::System(error) => {
            tracing::error!("no station was opened: {error}");
            Refusal::new(
                StatusCode::INTERNAL_SERVER_ERROR,
                "system",
                Line::say("refused-no-thread"),
            )
        }
    }
}

/// A trainee's name as it is kept: without spaces around, nothing in it that cannot be printed.
fn name(typed: &str) -> Result<String, Refusal> {
    let name = typed.trim();
    let wrong = |why: Line| Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, "name", why);
    if name.is_empty() {
        return Err(wrong(Line::say("refused-name-empty")));
    }
    if name.chars().count() > LONGEST_NAME {
        let most = LONGEST_NAME.into();
        return Err(wrong(Line::tell("refused-name-long", [("most", most)])));
    }
    if name.chars().any(char::is_control) {
        return Err(wrong(Line::say("refused-name-unprintable")));
    }
    Ok(name.to_owned())
}

/// Number of an attempt in an address.
///
/// # Errors
/// No number: there is no such attempt.
pub fn number(text: &str) -> Result<i64, Refusal> {
    let digits = !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    text.parse()
        .ok()
        .filter(|_| digits)
        .ok_or_else(|| Refusal::not_found(Line::say("refused-no-number")))
}

impl From<RecordsError> for Refusal {
    fn from(error: RecordsError) -> Self {
        if let RecordsError::NoAttempt(id) = error {
            let number = id.to_string().into();
            return Self::not_found(Line::tell("refused-no-attempt", [("attempt", number)]));
        }
        tracing::error!("{error}");
        let (status, code) = match error {
            RecordsError::Busy => (StatusCode::SERVICE_UNAVAILABLE, "records-busy"),
            _ => (StatusCode::INTERNAL_SERVER_ERROR, "records"),
        };
        let why = match error {
            RecordsError::Busy => Line::say("refused-records-busy"),
            RecordsError::Ended => Line::say("refused-records-ended"),
            RecordsError::Database(error) => {
                let error = error.to_string().into();
                Line::tell("refused-records-database", [("error", error)])
            }
            // Of opening the file, which no request does.
            other => {
                let error = format!("{other}: {}", other.cure()).into();
                Line::tell("refused-records", [("error", error)])
            }
        };
        Self::new(status, code, why)
    }
}

/// Which attempts are asked for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked {
    trainee: Option<String>,
    exercise: Option<String>,
    before: Option<i64>,
    limit: Option<u32>,
    /// The page's own; see [`super::gate::Gate::page`].
    #[serde(rename = "token")]
    _token: Option<String>,
}

/// An attempt as the pages get it.
#[derive(Debug, Serialize)]
pub struct Record {
    attempt: i64,
    exercise: String,
    title: String,
    trainee: String,
    station: String,
    seed: String,
    started: String,
    ended: Option<String>,
    state: String,
    points: Option<f64>,
    of: Option<f64>,
    passed: Option<bool>,
    finished: bool,
}

fn record(shared: &Shared, language: Language, listed: Listed) -> Record {
    let exercise = shared.exercises.find(&listed.exercise);
    let hidden = hidden(exercise.as_deref(), &listed);
    let title = exercise.map(|exercise| exercise.title(language).into_owned());
    Record {
        attempt: listed.id,
        title: title.unwrap_or_else(|| listed.exercise.clone()),
        exercise: listed.exercise,
        trainee: listed.trainee,
        station: listed.station,
        seed: if hidden { String::new() } else { listed.seed },
        started: listed.started,
        ended: listed.ended,
        finished: listed.state == "finished",
        state: listed.state,
        points: listed.score,
        of: listed.points,
        passed: listed.passed,
    }
}

/// It is an assessment under way: what was drawn is nobody's to know.
fn hidden(exercise: Option<&Exercise>, listed: &Listed) -> bool {
    listed.state == "running" && exercise.is_some_and(Exercise::assessed)
}

/// The attempts, newest first.
pub async fn attempts(
    State(shared): State<Shared>,
    headers: HeaderMap,
    asked: Queried<Asked>,
) -> Result<Json<Vec<Record>>, Refusal> {
    as_instructor(&shared, &headers)?;
    let asked = asked_for(asked)?;
    let filter = Filter {
        trainee: asked.trainee,
        exercise: asked.exercise,
        before: asked.before,
        limit: asked.limit,
    };
    let listed = shared
        .clerk
        .answer(move |records| records.list(&filter))
        .await?;
    let language = tongue::language(&headers);
    let records = listed.into_iter().map(|one| record(&shared, language, one));
    Ok(Json(records.collect()))
}

/// An attempt with its debrief.
#[derive(Debug, Serialize)]
pub struct Looked {
    record: Record,
    debrief: Option<serde_json::Value>,
    /// Hash of what the controller did: with exercise, seed and acts it comes out again.
    run: Option<String>,
}

/// Who asks for an attempt.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Looking {
    /// Name of the station it was made at: who was there knows it, and nobody guesses it.
    station: Option<String>,
}

/// One attempt with its debrief: for instructors, and for whoever was at its station.
pub async fn attempt(
    State(shared): State<Shared>,
    headers: HeaderMap,
    Path(attempt): Path<String>,
    looking: Queried<Looking>,
) -> Result<Json<Looked>, Refusal> {
    let who = with_token(&shared, &headers)?;
    let id = number(&attempt)?;
    let looking = asked_for(looking)?;
    let found = shared.clerk.answer(move |records| records.whole(id)).await;
    let was_there = |whole: &Whole| looking.station.as_ref() == Some(&whole.listed.station);
    if who != Who::Instructor && !found.as_ref().is_ok_and(was_there) {
        // Whether there is such an attempt is not told either.
        return Err(Refusal::new(
            StatusCode::FORBIDDEN,
            "not-there",
            Line::say("refused-debrief-not-there"),
        ));
    }
    let whole = found?;
    let exercise = shared.exercises.find(&whole.listed.exercise);
    if hidden(exercise.as_deref(), &whole.listed) {
        return Err(Refusal::new(
            StatusCode::CONFLICT,
            "assessed",
            Line::say("refused-debrief-assessed"),
        ));
    }
    let language = tongue::language(&headers);
    let whole = with_debrief(&shared, whole, language).await?;
    let debrief = whole
        .debrief
        .and_then(|json| serde_json::from_str(&json).ok());
    let run = whole.attempt.as_deref().and_then(roll::run);
    let record = record(&shared, language, whole.listed);
    Ok(Json(Looked {
        record,
        debrief,
        run,
    }))
}

/// An attempt that has no debrief yet gets one: it is done again from what was saved of it.
async fn with_debrief(
    shared: &Shared,
    mut whole: Whole,
    language: Language,
) -> Result<Whole, Refusal> {
    let (None, Some(attempt)) = (&whole.debrief, whole.attempt.clone()) else {
        return Ok(whole);
    };
    let Some(exercise) = shared.exercises.find(&whole.listed.exercise) else {
        return Ok(whole);
    };
    // Seconds of computing at most, and not on the tasks that serve connections.
    let again =
        tokio::task::spawn_blocking(move || roll::again(&exercise.in_language(language), &attempt))
            .await;
    match again {
        Ok(Ok(closing)) => {
            whole.debrief = Some(closing.debrief.clone());
            if whole.listed.state == "unfinished" {
                let id = whole.listed.id;
                shared
                    .clerk
                    .answer(move |records| records.add_debrief(id, &closing))
                    .await?;
            }
        }
        Ok(Err(why)) => tracing::warn!(attempt = whole.listed.id, "has no debrief: {why}"),
        Err(error) => tracing::error!(attempt = whole.listed.id, "has no debrief: {error}"),
    }
    Ok(whole)
}

/// All attempts as CSV.
pub(crate) async fn attempts_csv(
    State(shared): State<Shared>,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    as_instructor(&shared, &headers)?;
    let text = shared
        .clerk
        .answer(|records| export::attempts(records))
        .await?;
    Ok(csv("attempts.csv", text))
}

/// All acts as CSV.
pub(crate) async fn acts_csv(
    State(shared): State<Shared>,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    as_instructor(&shared, &headers)?;
    let text = shared
        .clerk
        .answer(|records| export::acts(records, roll::acts))
        .await?;
    Ok(csv("acts.csv", text))
}

fn csv(name: &'static str, text: String) -> Response {
    let kind = HeaderValue::from_static("text/csv; charset=utf-8");
    let mut response = ([(CONTENT_TYPE, kind)], text).into_response();
    if let Ok(value) = HeaderValue::try_from(format!("attachment; filename=\"{name}\"")) {
        response.headers_mut().insert(CONTENT_DISPOSITION, value);
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_trimmed_and_printable() {
        assert_eq!(name("  Ana B. \n").expect("a name"), "Ana B.");
        assert_eq!(name(&"ä".repeat(60)).expect("a name").chars().count(), 60);
        for wrong in ["", "   ", "a\u{7}b", "a\nb", &"a".repeat(61)] {
            assert_eq!(name(wrong).expect_err("no name").code, "name");
        }
    }

    #[test]
    fn attempts_have_plain_numbers() {
        assert_eq!(number("17").expect("a number"), 17);
        for wrong in ["", "-1", "+1", "1.5", "1a", "99999999999999999999"] {
            assert_eq!(
                number(wrong).expect_err("no number").status,
                StatusCode::NOT_FOUND
            );
        }
    }
}

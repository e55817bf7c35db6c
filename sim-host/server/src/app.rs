//! The routes, what every answer carries, and what is refused before any route is asked.

use super::assets::{
    CATALOGUE, CLASS, DEBRIEF, EXERCISES, INSTRUCTOR, LANGUAGE_PLACE, LANGUAGES_PLACE, OPERATOR,
    TOKEN_PLACE, catalogue, find, languages,
};
use super::form::LONGEST_TEXT;
use super::gate::{Gate, Who};
use super::request::{Refusal, Shared};
use super::tongue::{self, Line};
use super::{api, class, form, visit};
use axum::Router;
use axum::extract::ws::WebSocketUpgrade;
use axum::extract::{DefaultBodyLimit, Path, Request, State};
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE, REFERRER_POLICY, X_CONTENT_TYPE_OPTIONS,
    X_FRAME_OPTIONS,
};
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, Uri};
use axum::middleware::{Next, from_fn, from_fn_with_state};
use axum::response::{IntoResponse, Response};
use axum::routing::{MethodRouter, get, post};
use futures_util::StreamExt;
use std::sync::Arc;
use tower_http::compression::CompressionLayer;
use twinplate_train::protocol::LONGEST_SAID;

/// Longest body of a request, bytes.
pub const LONGEST_BODY: usize = 4096;
/// Longest message that the socket itself takes, bytes. One that is longer than [`LONGEST_SAID`] but not than this is answered
/// in words.
const LONGEST_FRAME: usize = 4 * LONGEST_SAID;

/// The whole server but for its listener.
pub fn app(shared: Shared) -> Router {
    let gate = Arc::clone(&shared.gate);
    Router::new()
        .route("/", page_for(Who::Operator, OPERATOR))
        .route("/instructor", page_for(Who::Instructor, INSTRUCTOR))
        .route("/class", page_for(Who::Instructor, CLASS))
        .route("/exercises", page_for(Who::Instructor, EXERCISES))
        .route("/debrief/{attempt}", get(debrief))
        .route("/assets/{name}", get(asset))
        .route("/api/exercises", get(api::exercises))
        .route("/api/exercises/form", get(form::form))
        .route("/api/exercises/{id}/text", get(form::text))
        .route(
            "/api/exercises/check",
            post(form::check).layer(DefaultBodyLimit::max(LONGEST_TEXT)),
        )
        .route(
            "/api/exercises/keep",
            post(form::keep).layer(DefaultBodyLimit::max(LONGEST_TEXT)),
        )
        .route("/api/vocabulary", get(api::vocabulary))
        .route("/api/stations", get(api::stations).post(api::open_station))
        .route("/api/class", get(class::class))
        .route("/api/class/rule", post(class::keep_rule))
        .route("/api/attempts", get(api::attempts))
        .route("/api/attempts/{attempt}", get(api::attempt))
        .route("/api/attempts.csv", get(api::attempts_csv))
        .route("/api/acts.csv", get(api::acts_csv))
        .route("/ws/{station}", get(socket))
        .fallback(nothing)
        .method_not_allowed_fallback(no_method)
        .with_state(shared)
        .layer(DefaultBodyLimit::max(LONGEST_BODY))
        .layer(from_fn(tell))
        .layer(CompressionLayer::new())
        .layer(from_fn_with_state(gate, guard))
        .layer(from_fn(dress))
}

/// Host on everything; origin on everything that acts: all but reading, and the socket.
async fn guard(State(gate): State<Arc<Gate>>, request: Request, next: Next) -> Response {
    let reads = [Method::GET, Method::HEAD].contains(request.method());
    let acts = !reads || request.uri().path().starts_with("/ws/");
    let checked = gate.host(request.headers(), request.uri()).and_then(|()| {
        if acts {
            gate.origin(request.headers())
        } else {
            Ok(())
        }
    });
    match checked {
        Ok(()) => next.run(request).await,
        Err(shut) => {
            tracing::info!("refused: {shut:?}");
            Refusal::from(shut).told(tongue::words(request.headers()))
        }
    }
}

/// Tells a refusal in the language of its request.
async fn tell(request: Request, next: Next) -> Response {
    let words = tongue::words(request.headers());
    let mut response = next.run(request).await;
    match response.extensions_mut().remove::<Refusal>() {
        Some(refusal) => refusal.told(words),
        None => response,
    }
}

/// What every answer tells the browser: only what is ours, nothing guessed, nothing passed on, in nobody's frame.
async fn dress(request: Request, next: Next) -> Response {
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        (
            CONTENT_SECURITY_POLICY,
            "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'; object-src 'none'",
        ),
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (REFERRER_POLICY, "no-referrer"),
        (X_FRAME_OPTIONS, "DENY"),
        (CACHE_CONTROL, "no-store"),
        (
            HeaderName::from_static("cross-origin-resource-policy"),
            "same-origin",
        ),
        (
            HeaderName::from_static("cross-origin-opener-policy"),
            "same-origin",
        ),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

async fn debrief(
    State(shared): State<Shared>,
    Path(attempt): Path<String>,
    uri: Uri,
    headers: HeaderMap,
) -> Result<Response, Refusal> {
    api::number(&attempt)?;
    page(&shared.gate, &uri, &headers, Who::Operator, DEBRIEF)
}

/// The route of a page for somebody.
fn page_for(who: Who, text: &'static str) -> MethodRouter<Shared> {
    get(
        async move |State(shared): State<Shared>, uri: Uri, headers: HeaderMap| {
            page(&shared.gate, &uri, &headers, who, text)
        },
    )
}

fn page(
    gate: &Gate,
    uri: &Uri,
    headers: &HeaderMap,
    who: Who,
    text: &'static str,
) -> Result<Response, Refusal> {
    gate.page(uri, who)?;
    let text = text
        .replace(TOKEN_PLACE, gate.token(who))
        .replace(LANGUAGE_PLACE, tongue::language(headers).tag())
        .replace(LANGUAGES_PLACE, &languages());
    Ok(of_kind("text/html; charset=utf-8", text))
}

async fn asset(Path(name): Path<String>) -> Result<Response, Refusal> {
    if let Some(words) = catalogue(&name) {
        return Ok(of_kind(CATALOGUE, words));
    }
    let none = || Refusal::not_found(Line::say("refused-no-file"));
    let asset = find(&name).ok_or_else(none)?;
    Ok(of_kind(asset.kind, asset.bytes))
}

fn of_kind(kind: &'static str, body: impl IntoResponse) -> Response {
    ([(CONTENT_TYPE, HeaderValue::from_static(kind))], body).into_response()
}

async fn socket(
    State(shared): State<Shared>,
    Path(name): Path<String>,
    headers: HeaderMap,
    upgrade: WebSocketUpgrade,
) -> Response {
    let station = shared.floor.find(&name);
    let words = tongue::words(&headers);
    let visit = shared.floor.visit();
    upgrade
        .max_message_size(LONGEST_FRAME)
        .max_frame_size(LONGEST_FRAME)
        .on_upgrade(async move |socket| {
            let _visit = visit;
            let (outgoing, incoming) = socket.split();
            match station {
                Some(station) => {
                    visit::attend(&shared.gate, &station, words, incoming, outgoing).await;
                }
                None => visit::turn_away(words, incoming, outgoing).await,
            }
        })
}

async fn nothing() -> Refusal {
    Refusal::not_found(Line::say("refused-nothing"))
}

async fn no_method() -> Refusal {
    Refusal::new(
        StatusCode::METHOD_NOT_ALLOWED,
        "no-method",
        Line::say("refused-no-method"),
    )
}

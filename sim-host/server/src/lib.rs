//! The training server: everything with a socket, a clock or a thread around a [session](twinplate_train::session).
//!
//! - [`gate`]: who may ask: host, origin, token; [`tongue`]: in which language;
//! - [`mod@app`]: the routes; [`api`]: JSON and CSV; [`class`]: the class at a glance; [`assets`]: the pages;
//! - [`exercises`]: those of a folder, as it is now; [`form`]: how instructors make and change them;
//! - [`controllers`]: where their controllers run;
//! - [`floor`]: the stations; [`station`]: what a station shares with its connections, and how an emergency stop gets in;
//! - [`runner`]: the thread that makes the ticks; [`visit`]: one connection;
//! - `patient`: connections that say nothing;
//! - [`desk`], [`pace`], [`rate`]: seats and control, simulated time against the clock, messages a second: pure;
//! - [`records`]: what is kept of all attempts, in one file; [`roll`]: what goes into the records; `random`: tokens and seats.

#![cfg_attr(test, allow(clippy::disallowed_methods))] // expectations may come from std

pub mod api;
pub mod app;
pub mod assets;
pub mod class;
pub mod controllers;
pub mod desk;
pub mod exercises;
pub mod floor;
pub mod form;
pub mod gate;
pub mod pace;
mod patient;
mod random;
pub mod rate;
pub mod records;
pub mod request;
pub mod roll;
pub mod runner;
pub mod station;
pub mod tongue;
pub mod visit;

pub use request::Shared;

use app::app;
use patient::Patient;

use std::future::Future;
use std::net::SocketAddr;
use std::time::Duration;
use tokio::net::TcpListener;

/// Letters of a token that the server makes itself: 130 bits.
const TOKEN: usize = 26;
/// Open connections get so long to end when the server stops.
const STOP_WITHIN: Duration = Duration::from_secs(2);

/// A token for one start of the server.
///
/// # Errors
/// A system that gives no random bytes.
pub fn new_token() -> std::io::Result<String> {
    random::word(TOKEN)
}

/// Listens on an address; port 0 takes a free one.
///
/// # Errors
/// What the system refuses.
pub async fn listen(address: SocketAddr) -> std::io::Result<TcpListener> {
    TcpListener::bind(address).await
}

/// Serves until `stop` comes; then the stations are closed and their attempts recorded.
///
/// # Errors
/// What the system refuses.
pub async fn serve(
    listener: TcpListener,
    shared: Shared,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    let (stopping, stopped) = tokio::sync::oneshot::channel();
    let floor = shared.floor.clone();
    let visits = shared.floor.clone();
    let closing = async move {
        stop.await;
        // Attempts first: whoever is connected hears how it ended.
        let closed = tokio::task::spawn_blocking(move || floor.shut()).await;
        if let Err(error) = closed {
            tracing::error!("stations were not closed: {error}");
        }
        let _ = stopping.send(());
    };
    let serving = axum::serve(Patient(listener), app(shared)).with_graceful_shutdown(closing);
    let late = async {
        let _ = stopped.await;
        tokio::time::sleep(STOP_WITHIN).await;
    };
    // A request has ended for the framework where a connection to a station begins: what is said to those last is waited for here.
    let gone = async {
        let served = serving.await;
        visits.left().await;
        served
    };
    tokio::select! {
        served = gone => served,
        () = late => Ok(()),
    }
}

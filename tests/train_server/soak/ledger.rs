//! What the clients were told, against what stands in the records.

use crate::house::House;
use rusqlite::Connection;
use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;
use tokio::time::Instant;
use twinplate_server::records::{Records, Whole};
use twinplate_train::attempt::Attempt;

/// A running attempt loses at most so much of what was answered (`docs/training.md`).
const MAY_LOSE: Duration = Duration::from_secs(1);
/// What a busy machine may add to it between a server's answer and its disk. Invented.
const BUSY: Duration = Duration::from_secs(2);
/// Attempts that one check opens for their debrief: each that was cut off is done again for it.
const OPENED: usize = 12;

/// What is known of one attempt. Every trainee has one.
#[derive(Clone, Debug, Default)]
struct Known {
    /// When each of its acts was answered.
    answered: Vec<Instant>,
    /// The server said that it is recorded.
    ended: bool,
    /// Its server was killed, running or not.
    killed_at: Option<Instant>,
}

/// All attempts, by trainee.
#[derive(Clone, Debug, Default)]
pub struct Ledger(BTreeMap<String, Known>);

impl Ledger {
    pub fn opened(&mut self, trainee: &str) {
        self.0.insert(trainee.into(), Known::default());
    }

    fn of(&mut self, trainee: &str) -> &mut Known {
        self.0.get_mut(trainee).expect("was opened")
    }

    /// An act was answered, taken or refused: both are kept.
    pub fn answered(&mut self, trainee: &str) {
        self.of(trainee).answered.push(Instant::now());
    }

    /// The server has told that the attempt is over and recorded.
    pub fn ended(&mut self, trainee: &str) {
        self.of(trainee).ended = true;
    }

    /// The server of all that are open was killed.
    pub fn killed(&mut self, at: Instant) {
        for known in self.0.values_mut() {
            known.killed_at.get_or_insert(at);
        }
    }

    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// What is missing in the file that a killed server has left. The file is opened as the next server opens it.
    pub fn missing_in_file(&self, path: &Path) -> Vec<String> {
        let mut missing = Vec::new();
        let found = match read(path) {
            Ok(found) => found,
            Err(why) => return vec![format!("the file cannot be read: {why}")],
        };
        for (trainee, known) in &self.0 {
            match found.get(trainee) {
                None => missing.push(format!("{trainee}: was opened, is not there")),
                Some(whole) => missing.extend(known.lacks(trainee, whole)),
            }
        }
        missing
    }

    /// What is missing in what the server itself gives after its start.
    pub async fn missing_at(&self, house: &House) -> Vec<String> {
        let mut missing = Vec::new();
        let listed = house.get("/api/attempts?limit=5000").await.json();
        let listed = listed.as_array().expect("a list");
        let mut opened = 0;
        for (trainee, known) in &self.0 {
            let mut of = listed.iter().filter(|one| one["trainee"] == **trainee);
            let (Some(one), None) = (of.next(), of.next()) else {
                missing.push(format!("{trainee}: is not listed once"));
                continue;
            };
            let state = one["state"].as_str().unwrap_or_default();
            let wanted: &[&str] = if known.ended {
                &["finished"]
            } else {
                &["finished", "unfinished"]
            };
            if !wanted.contains(&state) {
                missing.push(format!("{trainee}: {state}"));
            }
            if known.due(state) == 0 || opened == OPENED {
                continue;
            }
            opened += 1;
            let looked = house
                .get(&format!("/api/attempts/{}", one["attempt"]))
                .await;
            if looked.json()["debrief"]["end_s"].as_f64().is_none() {
                missing.push(format!("{trainee}: has no debrief: {one}"));
            }
        }
        missing
    }
}

impl Known {
    /// How many of its acts must be kept: all of a finished attempt, of another one those before what may be lost.
    fn due(&self, state: &str) -> usize {
        let safe = self
            .killed_at
            .and_then(|at| at.checked_sub(MAY_LOSE + BUSY));
        self.answered
            .iter()
            .filter(|at| state == "finished" || safe.is_some_and(|safe| **at < safe))
            .count()
    }

    /// What an attempt lacks in the records.
    fn lacks(&self, trainee: &str, whole: &Whole) -> Vec<String> {
        let mut lacks = Vec::new();
        let state = whole.listed.state.as_str();
        if self.ended && (state != "finished" || whole.listed.points.is_none()) {
            lacks.push(format!("{trainee}: was told to be recorded, is {state}"));
        }
        if state == "running" {
            lacks.push(format!("{trainee}: runs without a server"));
        }
        let due = self.due(state);
        let attempt = whole.attempt.as_deref();
        match attempt.map(serde_json::from_str::<Attempt>) {
            Some(Ok(attempt)) if attempt.deeds.len() < due => lacks.push(format!(
                "{trainee}: {} of {due} acts are kept",
                attempt.deeds.len()
            )),
            None if due > 0 => lacks.push(format!("{trainee}: nothing of {due} acts is kept")),
            Some(Err(why)) => lacks.push(format!("{trainee}: is not whole: {why}")),
            _ => {}
        }
        lacks
    }
}

/// All attempts of a file, by trainee, after it was found whole.
fn read(path: &Path) -> Result<BTreeMap<String, Whole>, String> {
    let told = |error: &dyn std::fmt::Display| error.to_string();
    let (records, _) = Records::open(path).map_err(|error| told(&error))?;
    let mut found = BTreeMap::new();
    let mut twice = None;
    records
        .each(|whole| {
            let trainee = whole.listed.trainee.clone();
            if found.insert(trainee.clone(), whole).is_some() {
                twice = Some(trainee);
            }
        })
        .map_err(|error| told(&error))?;
    drop(records);
    if let Some(twice) = twice {
        return Err(format!("{twice} is there twice"));
    }
    let db = Connection::open(path).map_err(|error| told(&error))?;
    let whole: String = db
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .map_err(|error| told(&error))?;
    if whole != "ok" {
        return Err(whole);
    }
    Ok(found)
}

//! The layout of the file and its versions.

use super::RecordsError;
use rusqlite::Connection;
use std::path::Path;

/// Version of the layout; goes up by one with every change, and [`STEPS`] gets the step that leads there.
pub const VERSION: i64 = 2;
/// Marks the file as ours: "twpl" in ASCII.
pub const APPLICATION: i64 = 0x7477_706c;

/// What leads from one version to the next: the first entry makes version 1 from nothing, the second adds what a trainer sets.
///
/// Times are UTC, ISO 8601. A seed has 64 bits without a sign, which the database has no number for: it is text. `attempt` and
/// `debrief` are JSON as the session writes them.
const STEPS: [&str; 2] = [
    "
CREATE TABLE trainees (
    id INTEGER PRIMARY KEY,
    name TEXT NOT NULL UNIQUE
) STRICT;
CREATE TABLE attempts (
    id INTEGER PRIMARY KEY AUTOINCREMENT,
    exercise TEXT NOT NULL,
    trainee INTEGER NOT NULL REFERENCES trainees (id),
    station TEXT NOT NULL,
    seed TEXT NOT NULL,
    started TEXT NOT NULL,
    ended TEXT,
    state TEXT NOT NULL CHECK (state IN ('running', 'finished', 'unfinished')),
    score REAL,
    points REAL,
    passed INTEGER CHECK (passed IN (0, 1)),
    attempt TEXT,
    debrief TEXT
) STRICT;
CREATE INDEX attempts_by_trainee ON attempts (trainee, id);
CREATE INDEX attempts_by_exercise ON attempts (exercise, id);
CREATE TABLE running (
    attempt INTEGER PRIMARY KEY REFERENCES attempts (id),
    saved TEXT NOT NULL,
    acts TEXT NOT NULL
) STRICT;
",
    "
CREATE TABLE settings (
    name TEXT PRIMARY KEY,
    value TEXT NOT NULL
) STRICT;
",
];
const _: () = assert!(STEPS.len() as i64 == VERSION);

/// Sets the connection up and brings the layout to our version.
///
/// # Errors
/// A foreign or newer file, or a database that refuses.
pub fn prepare(db: &Connection, path: &Path) -> Result<(), RecordsError> {
    let foreign = |error| match error {
        // Not a database at all.
        rusqlite::Error::SqliteFailure(code, _)
            if code.code == rusqlite::ErrorCode::NotADatabase =>
        {
            RecordsError::Foreign(path.to_owned())
        }
        other => RecordsError::Database(other),
    };
    let application = pragma(db, "application_id").map_err(foreign)?;
    let version = pragma(db, "user_version").map_err(foreign)?;
    let tables: i64 = db
        .query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))
        .map_err(foreign)?;
    if application != APPLICATION && (application != 0 || version != 0 || tables != 0) {
        return Err(RecordsError::Foreign(path.to_owned()));
    }
    if version > VERSION {
        return Err(RecordsError::Newer(path.to_owned(), version, VERSION));
    }
    // A trainee's score is worth a wait for the disk.
    db.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;",
    )?;
    for (step, to) in STEPS.iter().zip(1_i64..) {
        if to > version {
            db.execute_batch(&format!(
                "BEGIN IMMEDIATE; {step} PRAGMA application_id = {APPLICATION}; PRAGMA user_version = {to}; COMMIT;"
            ))?;
        }
    }
    Ok(())
}

fn pragma(db: &Connection, name: &str) -> rusqlite::Result<i64> {
    db.query_row(&format!("PRAGMA {name}"), [], |row| row.get(0))
}

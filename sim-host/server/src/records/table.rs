//! What is asked of the records.

use super::{Records, RecordsError};
use rusqlite::{Connection, OptionalExtension, Row, TransactionBehavior, params};
use serde::Serialize;

/// Attempts that one list gives at most.
pub const LONGEST_LIST: u32 = 5000;

/// Now, as the database writes it.
const NOW: &str = "strftime('%Y-%m-%dT%H:%M:%SZ', 'now')";

/// An attempt that begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewAttempt {
    /// Exercise, by identifier.
    pub exercise: String,
    /// The name that the trainee typed.
    pub trainee: String,
    /// Station.
    pub station: String,
    /// Seed.
    pub seed: u64,
}

/// How an attempt ended.
#[derive(Clone, Debug, PartialEq)]
pub struct Closing {
    /// It was ended as such: by finishing, or by its longest time. Else it was left.
    pub finished: bool,
    /// Points reached.
    pub score: f64,
    /// Points that could be had.
    pub points: f64,
    /// Passed.
    pub passed: bool,
    /// The attempt as JSON: files, seed, acts with their ticks, hashes.
    pub attempt: String,
    /// The debrief as JSON.
    pub debrief: String,
}

/// An attempt in a list.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Listed {
    /// Number.
    pub id: i64,
    /// Exercise, by identifier.
    pub exercise: String,
    /// Name of the trainee.
    pub trainee: String,
    /// Station.
    pub station: String,
    /// Seed, decimal.
    pub seed: String,
    /// When it began, UTC.
    pub started: String,
    /// When it ended, UTC; when it was last saved, if it was cut off.
    pub ended: Option<String>,
    /// `running`, `finished`, `unfinished`.
    pub state: String,
    /// Points reached.
    pub score: Option<f64>,
    /// Points that could be had.
    pub points: Option<f64>,
    /// Passed.
    pub passed: Option<bool>,
}

/// All of one attempt.
#[derive(Clone, Debug, PartialEq)]
pub struct Whole {
    /// As in the list.
    pub listed: Listed,
    /// The attempt as JSON; what was saved of it while it ran.
    pub attempt: Option<String>,
    /// The debrief as JSON; `None` until it was made.
    pub debrief: Option<String>,
}

/// Which attempts a list gives, newest first.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Filter {
    /// Of this trainee.
    pub trainee: Option<String>,
    /// Of this exercise.
    pub exercise: Option<String>,
    /// With a number below this.
    pub before: Option<i64>,
    /// So many; at most [`LONGEST_LIST`].
    pub limit: Option<u32>,
}

const COLUMNS: &str = "a.id, a.exercise, t.name, a.station, a.seed, a.started, a.ended, a.state, a.score, a.points, a.passed";

impl Records {
    /// Writes down that an attempt begins. Gives its number.
    ///
    /// # Errors
    /// A database that refuses.
    pub fn begin(&mut self, new: &NewAttempt) -> Result<i64, RecordsError> {
        let change = self
            .db
            .transaction_with_behavior(TransactionBehavior::Immediate)?;
        let trainee = known(&change, &new.trainee)?.unwrap_or_else(|| new.trainee.clone());
        change.execute(
            "INSERT INTO trainees (name) VALUES (?1) ON CONFLICT DO NOTHING",
            [&trainee],
        )?;
        change.execute(
            &format!(
                "INSERT INTO attempts (exercise, trainee, station, seed, started, state)
                 SELECT ?1, id, ?3, ?4, {NOW}, 'running' FROM trainees WHERE name = ?2"
            ),
            params![new.exercise, trainee, new.station, new.seed.to_string()],
        )?;
        let id = change.last_insert_rowid();
        change.commit()?;
        Ok(id)
    }

    /// Saves running attempts as they stand, all at once. One that is closed already stays as it is.
    ///
    /// # Errors
    /// A database that refuses.
    pub fn save<'a>(
        &mut self,
        running: impl IntoIterator<Item = (i64, &'a str)>,
    ) -> Result<(), RecordsError> {
        let change = self.db.transaction()?;
        {
            let mut put = change.prepare(&format!(
                "INSERT INTO running (attempt, saved, acts)
                 SELECT id, {NOW}, ?2 FROM attempts WHERE id = ?1 AND state = 'running'
                 ON CONFLICT (attempt) DO UPDATE SET saved = excluded.saved, acts = excluded.acts"
            ))?;
            for (id, acts) in running {
                put.execute(params![id, acts])?;
            }
        }
        change.commit()?;
        Ok(())
    }

    /// Closes a running attempt.
    ///
    /// # Errors
    /// No such attempt running, or a database that refuses.
    pub fn close(&mut self, id: i64, closing: &Closing) -> Result<(), RecordsError> {
        let state = if closing.finished {
            "finished"
        } else {
            "unfinished"
        };
        let change = self.db.transaction()?;
        let closed = change.execute(
            &format!(
                "UPDATE attempts SET ended = {NOW}, state = ?2, score = ?3, points = ?4, passed = ?5, attempt = ?6, debrief = ?7
                 WHERE id = ?1 AND state = 'running'"
            ),
            params![
                id,
                state,
                closing.score,
                closing.points,
                closing.passed,
                closing.attempt,
                closing.debrief
            ],
        )?;
        if closed == 0 {
            return Err(RecordsError::NoAttempt(id));
        }
        change.execute("DELETE FROM running WHERE attempt = ?1", [id])?;
        change.commit()?;
        Ok(())
    }

    /// What was worked out later for an attempt that was cut off: its debrief and its score.
    ///
    /// # Errors
    /// A database that refuses.
    pub(crate) fn add_debrief(&mut self, id: i64, closing: &Closing) -> Result<(), RecordsError> {
        self.db.execute(
            "UPDATE attempts SET score = ?2, points = ?3, passed = ?4, debrief = ?5
             WHERE id = ?1 AND state = 'unfinished' AND debrief IS NULL",
            params![
                id,
                closing.score,
                closing.points,
                closing.passed,
                closing.debrief
            ],
        )?;
        Ok(())
    }

    /// Attempts that ran when their server died: what was saved of them is theirs now.
    pub(super) fn close_abandoned(&mut self) -> Result<usize, RecordsError> {
        let change = self.db.transaction()?;
        let left = change.execute(
            "UPDATE attempts SET
                 state = 'unfinished',
                 ended = (SELECT saved FROM running WHERE running.attempt = attempts.id),
                 attempt = (SELECT acts FROM running WHERE running.attempt = attempts.id)
             WHERE state = 'running'",
            [],
        )?;
        change.execute("DELETE FROM running", [])?;
        change.commit()?;
        Ok(left)
    }

    /// A list of attempts, newest first.
    ///
    /// # Errors
    /// A database that refuses.
    pub fn list(&self, filter: &Filter) -> Result<Vec<Listed>, RecordsError> {
        let mut query = self.db.prepare(&format!(
            "SELECT {COLUMNS} FROM attempts a JOIN trainees t ON t.id = a.trainee
             WHERE (?1 IS NULL OR t.name = ?1) AND (?2 IS NULL OR a.exercise = ?2) AND (?3 IS NULL OR a.id < ?3)
             ORDER BY a.id DESC LIMIT ?4"
        ))?;
        let limit = filter.limit.unwrap_or(500).min(LONGEST_LIST);
        let rows = query.query_map(
            params![filter.trainee, filter.exercise, filter.before, limit],
            listed,
        )?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// All of one attempt.
    ///
    /// # Errors
    /// No such attempt, or a database that refuses.
    pub fn whole(&self, id: i64) -> Result<Whole, RecordsError> {
        let mut query = self.db.prepare(&format!(
            "SELECT {COLUMNS}, coalesce(a.attempt, r.acts), a.debrief
             FROM attempts a JOIN trainees t ON t.id = a.trainee LEFT JOIN running r ON r.attempt = a.id WHERE a.id = ?1"
        ))?;
        query
            .query_row([id], whole)
            .optional()?
            .ok_or(RecordsError::NoAttempt(id))
    }

    /// Looks at every attempt in turn, oldest first, without holding them all.
    ///
    /// # Errors
    /// A database that refuses.
    pub fn each(&self, mut look: impl FnMut(Whole)) -> Result<(), RecordsError> {
        let mut query = self.db.prepare(&format!(
            "SELECT {COLUMNS}, coalesce(a.attempt, r.acts), NULL
             FROM attempts a JOIN trainees t ON t.id = a.trainee LEFT JOIN running r ON r.attempt = a.id ORDER BY a.id"
        ))?;
        for row in query.query_map([], whole)? {
            look(row?);
        }
        Ok(())
    }
}

/// The name under which somebody is known already: whoever writes it in other cases, or with other spaces, is the same person.
fn known(db: &Connection, name: &str) -> rusqlite::Result<Option<String>> {
    let plain = |name: &str| {
        let words: Vec<&str> = name.split_whitespace().collect();
        words.join(" ").to_lowercase()
    };
    let wanted = plain(name);
    let mut query = db.prepare("SELECT name FROM trainees ORDER BY id")?;
    for known in query.query_map([], |row| row.get::<_, String>(0))? {
        let known = known?;
        if plain(&known) == wanted {
            return Ok(Some(known));
        }
    }
    Ok(None)
}

fn listed(row: &Row<'_>) -> rusqlite::Result<Listed> {
    Ok(Listed {
        id: row.get(0)?,
        exercise: row.get(1)?,
        trainee: row.get(2)?,
        station: row.get(3)?,
        seed: row.get(4)?,
        started: row.get(5)?,
        ended: row.get(6)?,
        state: row.get(7)?,
        score: row.get(8)?,
        points: row.get(9)?,
        passed: row.get(10)?,
    })
}

fn whole(row: &Row<'_>) -> rusqlite::Result<Whole> {
    Ok(Whole {
        listed: listed(row)?,
        attempt: row.get(11)?,
        debrief: row.get(12)?,
    })
}

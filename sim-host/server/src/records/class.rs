//! What is asked of the records for a whole class: every finished attempt, and the trainer's own rule.

use super::{Records, RecordsError};
use rusqlite::{OptionalExtension, params};

/// A finished attempt.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Its number.
    pub id: i64,
    /// Who.
    pub trainee: String,
    /// Name of the station.
    pub station: String,
    /// Identifier of the exercise.
    pub exercise: String,
    /// Points that it brought.
    pub score: f64,
    /// Points that could be had.
    pub points: f64,
    /// It was passed.
    pub passed: bool,
}

/// Name of the rule among the settings.
const RULE: &str = "rule";

impl Records {
    /// Every finished attempt, oldest first.
    ///
    /// # Errors
    /// A database that refuses.
    pub fn tried(&self) -> Result<Vec<Tried>, RecordsError> {
        let mut query = self.db.prepare(
            "SELECT a.id, t.name, a.exercise, a.score, a.points, a.passed, a.station FROM attempts a JOIN trainees t ON t.id = a.trainee
             WHERE a.state = 'finished' AND a.score IS NOT NULL AND a.points IS NOT NULL AND a.passed IS NOT NULL ORDER BY a.id",
        )?;
        let rows = query.query_map([], |row| {
            Ok(Tried {
                id: row.get(0)?,
                trainee: row.get(1)?,
                exercise: row.get(2)?,
                score: row.get(3)?,
                points: row.get(4)?,
                passed: row.get(5)?,
                station: row.get(6)?,
            })
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// The trainer's rule, as it was kept.
    ///
    /// # Errors
    /// A database that refuses.
    pub fn rule(&self) -> Result<Option<String>, RecordsError> {
        let mut query = self
            .db
            .prepare("SELECT value FROM settings WHERE name = ?1")?;
        Ok(query.query_row([RULE], |row| row.get(0)).optional()?)
    }

    /// Keeps the trainer's rule.
    ///
    /// # Errors
    /// A database that refuses.
    pub(crate) fn keep_rule(&mut self, rule: &str) -> Result<(), RecordsError> {
        self.db.execute(
            "INSERT INTO settings (name, value) VALUES (?1, ?2) ON CONFLICT (name) DO UPDATE SET value = excluded.value",
            params![RULE, rule],
        )?;
        Ok(())
    }
}

//! The records as CSV, for a spreadsheet.
//!
//! A cell that a spreadsheet would take for a formula gets an apostrophe in front: names are typed by anybody.

use super::table::Whole;
use super::{Records, RecordsError};

/// One act of an attempt, for the CSV.
#[derive(Clone, Debug, PartialEq)]
pub struct ActRow {
    /// Simulated time at which it acted, s.
    pub time_s: f64,
    /// Who: `operator`, `instructor`.
    pub by: String,
    /// What, in the words of the scripts.
    pub act: String,
}

/// All attempts, oldest first.
///
/// # Errors
/// A database that refuses.
pub fn attempts(records: &Records) -> Result<String, RecordsError> {
    let mut table = Table::new([
        "attempt", "exercise", "trainee", "station", "seed", "started", "ended", "state", "score",
        "points", "passed",
    ]);
    records.each(|Whole { listed, .. }| {
        table.row([
            listed.id.to_string(),
            listed.exercise,
            listed.trainee,
            listed.station,
            listed.seed,
            listed.started,
            listed.ended.unwrap_or_default(),
            listed.state,
            listed.score.map(|n| n.to_string()).unwrap_or_default(),
            listed.points.map(|n| n.to_string()).unwrap_or_default(),
            listed.passed.map(yes_no).unwrap_or_default().to_owned(),
        ]);
    })?;
    Ok(table.text())
}

/// All acts of all attempts, oldest first. `read` finds the acts in the JSON of an attempt.
///
/// # Errors
/// A database that refuses.
pub fn acts(records: &Records, read: impl Fn(&str) -> Vec<ActRow>) -> Result<String, RecordsError> {
    let mut table = Table::new(["attempt", "exercise", "trainee", "time-s", "by", "act"]);
    records.each(
        |Whole {
             listed, attempt, ..
         }| {
            for act in attempt.as_deref().map(&read).unwrap_or_default() {
                table.row([
                    listed.id.to_string(),
                    listed.exercise.clone(),
                    listed.trainee.clone(),
                    act.time_s.to_string(),
                    act.by,
                    act.act,
                ]);
            }
        },
    )?;
    Ok(table.text())
}

const fn yes_no(yes: bool) -> &'static str {
    if yes { "yes" } else { "no" }
}

struct Table(csv::Writer<Vec<u8>>);

impl Table {
    fn new<const N: usize>(head: [&str; N]) -> Self {
        let mut table = Self(csv::Writer::from_writer(Vec::new()));
        table.row(head.map(str::to_owned));
        table
    }

    fn row<const N: usize>(&mut self, cells: [String; N]) {
        // Rows of one length into memory: nothing can fail.
        let _ = self.0.write_record(cells.map(harmless));
    }

    fn text(self) -> String {
        let bytes = self.0.into_inner().unwrap_or_default();
        // Made of strings.
        String::from_utf8(bytes).unwrap_or_default()
    }
}

/// Takes from a cell the power to be a formula.
fn harmless(cell: String) -> String {
    // A plain negative number is none.
    if cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err() {
        format!("'{cell}")
    } else {
        cell
    }
}

#[cfg(test)]
mod tests {
    use super::harmless;

    #[test]
    fn what_a_spreadsheet_would_calculate_is_text() {
        for (cell, wanted) in [
            ("=1+1", "'=1+1"),
            ("+A1", "'+A1"),
            ("-A1", "'-A1"),
            ("@x", "'@x"),
            ("-1.5", "-1.5"),
            ("Ana", "Ana"),
        ] {
            assert_eq!(harmless(cell.into()), wanted);
        }
    }
}

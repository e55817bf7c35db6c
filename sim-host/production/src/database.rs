//! A record kept in SQLite: the same columns under the same headings, read as a sheet. The only place here that opens a file.

use rusqlite::types::ValueRef;
use rusqlite::{Connection, OpenFlags};
use std::fmt::Write as _;
use std::path::Path;
use twinplate_sim::files::{FileError, SIZE_LIMIT};

/// How a file of this kind begins.
const MAGIC: &[u8] = b"SQLite format 3\0";
/// Rows that are read: one more than a sheet may have, so that whoever reads it says that there are too many.
const ROWS: usize = 10_001;

/// Whether a file's bytes are a database.
#[must_use]
pub fn is_database(bytes: &[u8]) -> bool {
    bytes.starts_with(MAGIC)
}

/// A table as a sheet: a row of headings, then a line for each row in the order in which they were put in. Without a name it must be the
/// only table. The file is not written to.
///
/// # Errors
/// A file that cannot be read, a table that is not there or holds what is no text and no number.
pub fn sheet(path: &Path, table: Option<&str>) -> Result<Vec<u8>, Vec<FileError>> {
    let file = path.display().to_string();
    let whole = |code, message: String, expected: &str| {
        vec![FileError::whole(code, &file, message, expected)]
    };
    let broken = |error: &rusqlite::Error| {
        whole(
            "unreadable-file",
            format!("the database cannot be read ({error})"),
            "an SQLite file that is whole, with a table of rows",
        )
    };
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let database = Connection::open_with_flags(path, flags).map_err(|error| broken(&error))?;
    let tables = tables(&database).map_err(|error| broken(&error))?;
    let name = match table {
        Some(name) => tables.iter().find(|known| *known == name),
        None if tables.len() == 1 => tables.first(),
        None => None,
    };
    let Some(name) = name else {
        let message = match table {
            Some(name) => format!("no table is named `{name}`"),
            None => format!("the database has {} tables", tables.len()),
        };
        let expected = format!("--table with one of: {}", tables.join(", "));
        return Err(whole("unknown-key", message, &expected));
    };
    match rows(&database, name) {
        Ok(Ok(text)) => Ok(text.into_bytes()),
        Ok(Err((row, column))) => {
            let message =
                format!("`{column}` in row {row} of `{name}` is neither text nor a number");
            Err(whole("bad-number", message, "numbers and text alone"))
        }
        Err(error) => Err(broken(&error)),
    }
}

/// Names of the tables, SQLite's own left out.
fn tables(database: &Connection) -> rusqlite::Result<Vec<String>> {
    let mut asked = database.prepare(
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
    )?;
    asked.query_map([], |row| row.get(0))?.collect()
}

/// The sheet, or row and column of a cell that is no text and no number.
fn rows(database: &Connection, table: &str) -> rusqlite::Result<Result<String, (usize, String)>> {
    let quoted = table.replace('"', "\"\"");
    let mut asked = database.prepare(&format!(
        "SELECT * FROM \"{quoted}\" ORDER BY rowid LIMIT {ROWS}"
    ))?;
    let names: Vec<String> = asked.column_names().map(str::to_owned).collect();
    let mut text: String = names
        .iter()
        .map(|name| cell(name))
        .collect::<Vec<_>>()
        .join(",");
    let mut found = asked.query([])?;
    let mut number = 0;
    // One row more than a sheet may hold: whoever reads it says that it is too long.
    while text.len() as u64 <= SIZE_LIMIT
        && let Some(row) = found.next()?
    {
        number += 1;
        text.push('\n');
        for (at, name) in names.iter().enumerate() {
            if at > 0 {
                text.push(',');
            }
            // Writing to a String cannot fail.
            match row.get_ref(at)? {
                ValueRef::Null => {}
                ValueRef::Integer(value) => drop(write!(text, "{value}")),
                ValueRef::Real(value) => drop(write!(text, "{value}")),
                ValueRef::Text(bytes) => text.push_str(&cell(&String::from_utf8_lossy(bytes))),
                ValueRef::Blob(_) => return Ok(Err((number, name.clone()))),
            }
        }
    }
    Ok(Ok(text))
}

/// A text as a cell of a sheet.
fn cell(text: &str) -> String {
    let plain: String = text
        .chars()
        .map(|sign| if sign.is_control() { ' ' } else { sign })
        .collect();
    format!("\"{}\"", plain.replace('"', "\"\""))
}

//! What is kept of training: who tried which exercise, how it went, what was done. One SQLite file, one server at a time.
//!
//! - An attempt is written down when it begins (`running`), saved while it runs, and closed with its score (`finished`).
//! - An attempt that was running when its server died shows as `unfinished` when the file is opened again, with all that was
//!   saved of it; so does one that was left before its end.
//! - A commit is on the disk before anybody is told of it: write-ahead log, full synchronisation.
//!
//! `schema` is the layout and its versions, [`table`] and `class` what is asked of it, [`export`] the CSV, [`clerk`] the one thread that
//! writes.

mod class;
pub mod clerk;
pub mod export;
mod schema;
pub mod table;

pub use class::Tried;
pub use clerk::Clerk;
pub use table::{Closing, Filter, Listed, NewAttempt, Whole};

use rusqlite::{Connection, ErrorCode};
use std::fmt;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Why records cannot be read or written.
#[derive(Debug)]
pub enum RecordsError {
    /// Another server has the file.
    InUse(PathBuf),
    /// The folder or the file cannot be made or opened.
    File(PathBuf, std::io::Error),
    /// The file belongs to some other program, or to nothing we know.
    Foreign(PathBuf),
    /// The file was written by a newer program: its version and ours.
    Newer(PathBuf, i64, i64),
    /// Another program holds the database.
    Busy,
    /// The database refuses.
    Database(rusqlite::Error),
    /// There is no attempt of this number.
    NoAttempt(i64),
    /// The thread that writes has ended.
    Ended,
}

impl fmt::Display for RecordsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::InUse(path) => write!(f, "{} is in use by another server", path.display()),
            Self::File(path, error) => write!(f, "{} cannot be opened: {error}", path.display()),
            Self::Foreign(path) => write!(f, "{} is no file of training records", path.display()),
            Self::Newer(path, theirs, ours) => write!(
                f,
                "{} has version {theirs} of the layout; this program knows versions up to {ours}",
                path.display()
            ),
            Self::Busy => write!(f, "another program holds the records"),
            Self::Database(error) => write!(f, "the records cannot be used: {error}"),
            Self::NoAttempt(id) => write!(f, "there is no attempt {id} in the records"),
            Self::Ended => write!(f, "the records are closed"),
        }
    }
}

impl RecordsError {
    /// What to do about it.
    #[must_use]
    pub const fn cure(&self) -> &'static str {
        match self {
            Self::InUse(_) => "stop the other server, or name another file with --records",
            Self::File(..) => "name a file in a folder that may be written, with --records",
            Self::Foreign(_) => {
                "name a new file, or one that this program has written, with --records"
            }
            Self::Newer(..) => "use the newer program, or name another file with --records",
            Self::Busy => "close them there, and try again",
            Self::Database(_) => {
                "see that the disk is not full and that the file is whole; a backup can be named with --records"
            }
            Self::NoAttempt(_) => "look at the list of attempts",
            Self::Ended => "start the server again",
        }
    }
}

impl std::error::Error for RecordsError {}

impl From<rusqlite::Error> for RecordsError {
    fn from(error: rusqlite::Error) -> Self {
        let busy = matches!(
            error.sqlite_error_code(),
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked)
        );
        if busy {
            Self::Busy
        } else {
            Self::Database(error)
        }
    }
}

/// How long another program that holds the database is waited for.
const BUSY_FOR: Duration = Duration::from_millis(1500);

/// The records, open.
#[derive(Debug)]
pub struct Records {
    db: Connection,
    /// Held while they are open: the system lets it go with the process, however that ends.
    _lock: Option<File>,
}

impl Records {
    /// Opens the file, or makes it. Attempts that were running become `unfinished`; their number is given too.
    ///
    /// # Errors
    /// A file that is in use, foreign, newer, or that cannot be opened.
    pub fn open(path: &Path) -> Result<(Self, usize), RecordsError> {
        let wrong = |error| RecordsError::File(path.to_owned(), error);
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).map_err(wrong)?;
        }
        let lock = lock(path)?;
        private(path).map_err(wrong)?;
        let db = Connection::open(path)
            .map_err(|error| wrong(std::io::Error::other(error.to_string())))?;
        db.busy_timeout(BUSY_FOR)?;
        schema::prepare(&db, path)?;
        let mut records = Self {
            db,
            _lock: Some(lock),
        };
        let left = records.close_abandoned()?;
        Ok((records, left))
    }

    /// Records that nothing keeps, for tests and trials.
    ///
    /// # Errors
    /// A database that cannot be made.
    pub fn in_memory() -> Result<Self, RecordsError> {
        let db = Connection::open_in_memory()?;
        schema::prepare(&db, Path::new(":memory:"))?;
        Ok(Self { db, _lock: None })
    }
}

/// Makes the file, if it is not there, and lets nobody but its owner read it: it holds what people can and cannot do. What SQLite lays
/// beside it takes its mode.
fn private(path: &Path) -> std::io::Result<()> {
    let mut options = OpenOptions::new();
    options.create(true).truncate(false).write(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::{OpenOptionsExt, PermissionsExt};
        let file = options.mode(0o600).open(path)?;
        file.set_permissions(std::fs::Permissions::from_mode(0o600))?;
    }
    #[cfg(not(unix))]
    options.open(path)?;
    Ok(())
}

/// Takes the lock beside the file.
fn lock(path: &Path) -> Result<File, RecordsError> {
    let mut name = path.as_os_str().to_owned();
    name.push(".lock");
    let beside = PathBuf::from(name);
    let file = OpenOptions::new()
        .create(true)
        .truncate(false)
        .write(true)
        .open(&beside)
        .map_err(|error| RecordsError::File(beside.clone(), error))?;
    match file.try_lock() {
        Ok(()) => Ok(file),
        Err(TryLockError::WouldBlock) => Err(RecordsError::InUse(path.to_owned())),
        Err(TryLockError::Error(error)) => Err(RecordsError::File(beside, error)),
    }
}

#[cfg(test)]
mod tests;

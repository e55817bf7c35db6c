//! Where results go: files that are never half-written, and a stdout that may close early.
//!
//! An [`Output`] is opened before the work starts, so that an unwritable path costs nobody an hour; it writes to a temporary
//! file beside its target, which is renamed over the target only when everything is in it.

use super::failure::Failure;
use super::interrupt;
use crate::report::fit;
use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// A file to come.
#[derive(Debug)]
pub struct Output {
    /// As the user named it.
    shown: PathBuf,
    /// With links followed.
    target: PathBuf,
    temporary: PathBuf,
    file: Option<File>,
}

impl Output {
    /// Makes sure that `path` can be written, without touching it. `option` is the option that named it, for the error.
    ///
    /// # Errors
    /// A path that is no regular file or whose folder is missing or not writable.
    pub fn open(path: &Path, option: &str) -> Result<Self, Failure> {
        let refuse = |why: &str| {
            Failure::new(
                format!("cannot write {}: {why}", path.display()),
                format!("name a file in a folder that exists and may be written, with {option}"),
            )
        };
        let Some(name) = path.file_name() else {
            return Err(refuse("it names no file"));
        };
        if let Ok(found) = fs::metadata(path)
            && !found.is_file()
        {
            return Err(refuse(if found.is_dir() {
                "it is a folder"
            } else {
                "it is not a regular file"
            }));
        }
        // A link keeps pointing where it points: what it points to is replaced.
        let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
        let mut hidden = std::ffi::OsString::from(".");
        hidden.push(name);
        hidden.push(format!(".{}.tmp", std::process::id()));
        let temporary = target.with_file_name(hidden);
        let file = interrupt::create(&temporary, || {
            OpenOptions::new()
                .write(true)
                .create_new(true)
                .open(&temporary)
        })
        .map_err(|error| refuse(&reason(&error)))?;
        Ok(Self {
            shown: path.to_owned(),
            target,
            temporary,
            file: Some(file),
        })
    }

    /// The path as the user named it.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.shown
    }

    /// Writes the file, and puts it in its place once it is whole.
    ///
    /// # Errors
    /// What the disk reports; the target is then as it was.
    pub fn write(
        mut self,
        content: impl FnOnce(&mut BufWriter<File>) -> io::Result<()>,
    ) -> Result<(), Failure> {
        let written = match self.file.take() {
            Some(file) => self.fill(file, content),
            None => Ok(()),
        };
        written.map_err(|error| {
            Failure::new(
                format!("cannot write {}: {}", self.shown.display(), reason(&error)),
                "make room on the disk or name another path; the old file, if there was one, is as it was",
            )
        })?;
        tracing::info!(path = %self.shown.display(), "written");
        Ok(())
    }

    fn fill(
        &self,
        file: File,
        content: impl FnOnce(&mut BufWriter<File>) -> io::Result<()>,
    ) -> io::Result<()> {
        let mut writer = BufWriter::new(file);
        content(&mut writer)?;
        let file = writer
            .into_inner()
            .map_err(io::IntoInnerError::into_error)?;
        file.sync_all()?;
        interrupt::settle(&self.temporary, || {
            fs::rename(&self.temporary, &self.target)
        })
    }
}

impl Drop for Output {
    fn drop(&mut self) {
        // Gone already where it was renamed; where it cannot be removed there is nobody left to tell.
        let _ = interrupt::settle(&self.temporary, || fs::remove_file(&self.temporary));
    }
}

/// Refuses outputs that would overwrite each other or an input. Pairs of path and what it is.
///
/// # Errors
/// The first clash.
pub(crate) fn distinct(outputs: &[(&Path, &str)], inputs: &[&Path]) -> Result<(), Failure> {
    // The folder exists or the output is refused anyway; comparing with links followed catches two names of one file.
    let real = |path: &Path| {
        fs::canonicalize(path).unwrap_or_else(|_| {
            let parent = match path.parent() {
                Some(parent) if parent.as_os_str().is_empty() => Path::new("."),
                Some(parent) => parent,
                None => Path::new("."),
            };
            fs::canonicalize(parent).map_or_else(
                |_| path.to_owned(),
                |parent| parent.join(path.file_name().unwrap_or_default()),
            )
        })
    };
    for (index, (path, option)) in outputs.iter().enumerate() {
        if inputs.iter().any(|input| real(input) == real(path)) {
            return Err(Failure::new(
                format!("{option} would overwrite the input {}", path.display()),
                format!("name another file with {option}"),
            ));
        }
        if let Some((_, other)) = outputs[..index]
            .iter()
            .find(|(other, _)| real(other) == real(path))
        {
            return Err(Failure::new(
                format!(
                    "{other} and {option} name the same file, {}",
                    path.display()
                ),
                "give each its own",
            ));
        }
    }
    Ok(())
}

/// Writes a result to stdout. A reader that has had enough (a closed pipe) is no error.
///
/// # Errors
/// Any other trouble with stdout.
pub fn say(text: &str) -> Result<(), Failure> {
    let mut stdout = io::stdout().lock();
    match stdout
        .write_all(text.as_bytes())
        .and_then(|()| stdout.flush())
    {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Failure::new(
            format!("cannot write to standard output: {}", reason(&error)),
            "send it somewhere that has room",
        )),
        Ok(()) | Err(_) => Ok(()),
    }
}

/// Writes a text for people to stdout, in so many columns.
///
/// # Errors
/// As [`say`].
pub fn show(text: &str, width: usize) -> Result<(), Failure> {
    say(&fit(text, width))
}

/// Writes to stderr; where even that is impossible, silently.
pub(crate) fn complain(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// The reason of an I/O error in words, without the number.
pub fn reason(error: &io::Error) -> String {
    match error.kind() {
        ErrorKind::NotFound => "its folder does not exist".to_owned(),
        ErrorKind::PermissionDenied => "permission denied".to_owned(),
        ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        ErrorKind::StorageFull => "the disk is full".to_owned(),
        ErrorKind::NotADirectory => "a part of the path is no folder".to_owned(),
        _ => error.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_write_that_fails_half_way_leaves_the_old_file_and_no_other() {
        let folder = std::env::temp_dir().join(format!("twinplate-output-{}", std::process::id()));
        fs::create_dir_all(&folder).expect("folder");
        let path = folder.join("result");
        fs::write(&path, "old").expect("written");
        let failed = Output::open(&path, "--report")
            .expect("writable")
            .write(|file| {
                file.write_all(b"half of the new")?;
                Err(io::Error::from(ErrorKind::StorageFull))
            });
        assert!(
            failed
                .as_ref()
                .is_err_and(|failure| failure.text(false).contains("the disk is full")),
            "{failed:?}"
        );
        let entries = || fs::read_dir(&folder).expect("folder").count();
        assert_eq!(fs::read_to_string(&path).ok().as_deref(), Some("old"));
        assert_eq!(entries(), 1);
        // Opened and then not needed: nothing is left of it either.
        drop(Output::open(&path, "--report").expect("writable"));
        assert_eq!(fs::read_to_string(&path).ok().as_deref(), Some("old"));
        assert_eq!(entries(), 1);
        Output::open(&path, "--report")
            .expect("writable")
            .write(|file| file.write_all(b"new"))
            .expect("written");
        assert_eq!(fs::read_to_string(&path).ok().as_deref(), Some("new"));
        assert_eq!(entries(), 1);
        fs::remove_dir_all(&folder).expect("removed");
    }
}

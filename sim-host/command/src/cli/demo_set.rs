//! The demonstration set: `demo` writes it out, and `train` takes its exercises where there are no others.
//!
//! It is read in the source tree that this program was built from; a packaged program has it inside (feature `packaged`).

use super::args;
use super::failure::Failure;
use super::interrupt;
use super::terminal::Terminal;
use super::{Answer, output};
use std::borrow::Cow;
use std::ffi::OsString;
use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Where exercises are looked for, unless said otherwise.
const EXERCISES: &str = "recipes/exercises";
/// Their folder in the set.
const IN_THE_SET: &str = "exercises";

/// A file of the set: path below the set's folder, and content.
type File = (PathBuf, Cow<'static, [u8]>);

/// Writes the set into a new folder, whole or not at all.
///
/// # Errors
/// A folder that is there and not empty, or that cannot be written.
pub fn demo(typed: &args::Demo, terminal: Terminal) -> Result<Answer, Failure> {
    let shown = typed.folder.display();
    let Some(name) = typed.folder.file_name() else {
        return Err(Failure::new(
            format!("{shown} names no new folder"),
            "name one that is not there yet, such as `recipes`",
        ));
    };
    let cure =
        "name a new folder in one that exists and may be written, and see that there is room";
    let mut temporary = OsString::from(".");
    temporary.push(name);
    temporary.push(format!(".{}.tmp", std::process::id()));
    let scratch = Scratch::with_the_set(typed.folder.with_file_name(temporary), cure)?;
    interrupt::settle(&scratch.0, || fs::rename(&scratch.0, &typed.folder)).map_err(|error| {
        match error.kind() {
            ErrorKind::DirectoryNotEmpty | ErrorKind::AlreadyExists | ErrorKind::NotADirectory => {
                Failure::new(
                    format!("{shown} is there already; nothing was written"),
                    "name a folder that is not there yet, or is empty",
                )
            }
            _ => cannot_write(&typed.folder, &error, cure),
        }
    })?;
    let told = format!(
        "The demonstration set is in {shown}. Its machines, batches and recipes are
invented: run them on nothing. Try:

  twinplate check {shown}/recipes/glass-f800.toml
  twinplate train --exercises {shown}/{IN_THE_SET}
"
    );
    output::show(&told, terminal.out.width)?;
    Ok(Answer::Yes)
}

/// A folder of exercises.
#[derive(Debug)]
pub struct Exercises {
    folder: PathBuf,
    /// The set, where it had to be written out for this.
    scratch: Option<Scratch>,
}

impl Exercises {
    /// The folder that was named; else `recipes/exercises`, where that is; else the demonstration set's. Exercises name other
    /// files by their places, so these are written to the temporary folder, for as long as this lives.
    ///
    /// # Errors
    /// A set that cannot be read or written.
    pub fn find(named: Option<&Path>) -> Result<Self, Failure> {
        let here = Path::new(EXERCISES);
        if let Some(folder) = named.or_else(|| here.is_dir().then_some(here)) {
            return Ok(Self {
                folder: folder.to_owned(),
                scratch: None,
            });
        }
        let name = format!("twinplate-{}", std::process::id());
        let cure = "write the demonstration set with `twinplate demo`, and start beside it";
        let scratch = Scratch::with_the_set(std::env::temp_dir().join(name), cure)?;
        tracing::info!("there is no {EXERCISES} here: the demonstration set's are taken");
        Ok(Self {
            folder: scratch.0.join(IN_THE_SET),
            scratch: Some(scratch),
        })
    }

    /// Where they are.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// The folder is there when this is gone.
    #[must_use]
    pub const fn lasting(&self) -> bool {
        self.scratch.is_none()
    }
}

/// A folder that is removed when dropped, unless it was renamed.
#[derive(Debug)]
struct Scratch(PathBuf);

impl Scratch {
    /// With the demonstration set in it. The folder must not be there; `cure` is for one that cannot be written.
    fn with_the_set(path: PathBuf, cure: &str) -> Result<Self, Failure> {
        let files = files().map_err(|error| {
            Failure::new(
                format!("cannot read the demonstration set: {error}"),
                "build this program again where its sources are, or take a packaged one",
            )
        })?;
        interrupt::create(&path, || fs::create_dir(&path))
            .map_err(|error| cannot_write(&path, &error, cure))?;
        let scratch = Self(path);
        for (name, content) in files {
            let target = scratch.0.join(name);
            let put = || {
                fs::create_dir_all(target.parent().unwrap_or(&scratch.0))?;
                fs::write(&target, content)
            };
            interrupt::fill(put).map_err(|error| cannot_write(&target, &error, cure))?;
        }
        Ok(scratch)
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // Gone already where it was renamed; where it cannot be removed there is nobody left to tell.
        let _ = interrupt::settle(&self.0, || fs::remove_dir_all(&self.0));
    }
}

fn cannot_write(path: &Path, error: &io::Error, cure: &str) -> Failure {
    let what = format!("cannot write {}: {}", path.display(), output::reason(error));
    Failure::new(what, cure)
}

/// All files of the set.
#[cfg(feature = "packaged")]
fn files() -> io::Result<Vec<File>> {
    Ok(twinplate_demo_set::FILES
        .iter()
        .map(|(name, content)| (PathBuf::from(name), Cow::Borrowed(*content)))
        .collect())
}

/// All files of the set, but for an editor's hidden ones.
#[cfg(not(feature = "packaged"))]
fn files() -> io::Result<Vec<File>> {
    let root = twinplate_sim::demo::folder();
    let mut files = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder)? {
            let entry = entry?;
            let path = entry.path();
            if entry.file_name().to_string_lossy().starts_with('.') {
                continue;
            }
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(&root).map_err(io::Error::other)?;
                files.push((name.to_owned(), Cow::Owned(fs::read(&path)?)));
            }
        }
    }
    Ok(files)
}

//! The exercises of a folder. Whoever asks for the list gets what the folder holds now: a file that is new, changed or gone is noticed,
//! and one that cannot be used is left out and told to instructors. Stations keep the exercise that they were opened with.

use super::station::held;
use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};
use std::time::SystemTime;
use twinplate_sim::files::FileError;
use twinplate_train::exercise::{self, Exercise};
use twinplate_words::Language;

/// What a file begins with that was made in the page; such a file, and no other, may be changed there: nobody's comments are lost.
pub const MARK: &str = "# Made in the page of exercises.";

/// A file that is left out.
#[derive(Clone, Debug)]
pub struct LeftOut {
    /// The file.
    pub path: PathBuf,
    /// What is wrong with it.
    pub errors: Vec<FileError>,
}

/// A file as the folder lists it: one that was changed has another time or length.
type Stamp = (PathBuf, Option<SystemTime>, u64);

#[derive(Clone, Debug, Default)]
struct Kept {
    stamps: Vec<Stamp>,
    all: Arc<[Arc<Exercise>]>,
    /// Files of `all`, in the same order.
    paths: Vec<PathBuf>,
    left_out: Arc<[LeftOut]>,
}

impl Kept {
    /// File of an exercise, by its identifier.
    fn path_of(&self, id: &str) -> Option<&PathBuf> {
        let at = self.all.iter().position(|exercise| exercise.id() == id)?;
        self.paths.get(at)
    }
}

/// The exercises of a folder; by default none of none.
#[derive(Debug, Default)]
pub struct Exercises {
    folder: PathBuf,
    /// The folder stays there: it is looked at again, and new ones may be put into it.
    lasting: bool,
    kept: Mutex<Kept>,
}

/// Why a text was not kept as an exercise.
#[derive(Debug)]
pub enum NotKept {
    /// The folder is not lasting.
    Passing,
    /// The text is no exercise.
    Wrong(Vec<FileError>),
    /// There is an exercise of this identifier that was not made in the page, or the text was not made from it.
    There(String),
    /// Somebody else has changed it meanwhile.
    Changed(String),
    /// The system refuses.
    System(io::Error),
}

/// The text of an exercise.
#[derive(Clone, Debug)]
pub struct Text {
    /// Text.
    pub text: String,
    /// It was made in the page.
    pub own: bool,
    /// Tells this text from any other one.
    pub hash: String,
}

impl Text {
    fn of(text: String) -> Self {
        Self {
            own: text.starts_with(MARK),
            hash: format!("{:016x}", twinplate_sim::files::hash(text.as_bytes())),
            text,
        }
    }
}

impl Exercises {
    /// Reads a folder. One that is not `lasting` may go afterwards.
    ///
    /// # Errors
    /// A folder that cannot be read.
    pub fn open(folder: &Path, lasting: bool) -> io::Result<Self> {
        Ok(Self {
            folder: folder.to_owned(),
            lasting,
            kept: Mutex::new(read(folder, stamps(folder)?)?),
        })
    }

    /// As they stand, in order of their files. Reads files: not for asynchronous tasks.
    pub fn look(&self) -> Arc<[Arc<Exercise>]> {
        let mut kept = held(&self.kept);
        if !self.lasting {
            return Arc::clone(&kept.all);
        }
        // A folder that cannot be read now leaves everything as it was.
        match stamps(&self.folder) {
            Ok(stamps) if stamps != kept.stamps => match read(&self.folder, stamps) {
                Ok(now) => *kept = now,
                Err(error) => tracing::error!("exercises cannot be read again: {error}"),
            },
            Ok(_) => {}
            Err(error) => tracing::debug!("exercises cannot be listed: {error}"),
        }
        Arc::clone(&kept.all)
    }

    /// As they stood when the folder was looked at last.
    #[must_use]
    pub fn all(&self) -> Arc<[Arc<Exercise>]> {
        Arc::clone(&held(&self.kept).all)
    }

    /// One of them, by its identifier.
    #[must_use]
    pub fn find(&self, id: &str) -> Option<Arc<Exercise>> {
        let all = self.all();
        all.iter().find(|exercise| exercise.id() == id).cloned()
    }

    /// Files that are left out.
    #[must_use]
    pub fn left_out(&self) -> Arc<[LeftOut]> {
        Arc::clone(&held(&self.kept).left_out)
    }

    /// Identifiers of recipes that an exercise of this folder may name.
    pub fn recipes(&self) -> impl Iterator<Item = String> {
        exercise::recipes(&self.folder).into_iter()
    }

    /// The folder stays there.
    #[must_use]
    pub const fn lasting(&self) -> bool {
        self.lasting
    }

    /// The text of an exercise, by its identifier. `None` where there is none.
    ///
    /// # Errors
    /// A file that cannot be read.
    pub fn text(&self, id: &str) -> io::Result<Option<Text>> {
        let path = held(&self.kept).path_of(id).cloned();
        path.map(|path| fs::read_to_string(path).map(Text::of))
            .transpose()
    }

    /// The exercise that a text would be in this folder.
    ///
    /// # Errors
    /// All errors of the text.
    pub fn read(&self, text: &str) -> Result<Exercise, Vec<FileError>> {
        exercise::read(&self.folder.join("exercise.toml"), text)
    }

    /// Keeps a text as an exercise, in a file that has its identifier for a name. `replaces` is the hash of the text that it was made
    /// from, where it is to take the place of that one. The file is there whole or not at all.
    ///
    /// # Errors
    /// [`NotKept`]; the folder is as before.
    pub fn keep(&self, text: &str, replaces: Option<&str>) -> Result<String, NotKept> {
        if !self.lasting {
            return Err(NotKept::Passing);
        }
        let id = self.read(text).map_err(NotKept::Wrong)?.id().to_owned();
        let path = self.folder.join(format!("{id}.toml"));
        // One at a time: nobody comes between the look and the rename.
        let kept = held(&self.kept);
        if kept.path_of(&id).is_some_and(|other| *other != path) {
            return Err(NotKept::There(id));
        }
        match fs::read_to_string(&path) {
            Ok(there) => match (Text::of(there), replaces) {
                (there, Some(hash)) if there.own && there.hash == hash => {}
                (there, Some(_)) if there.own => return Err(NotKept::Changed(id)),
                _ => return Err(NotKept::There(id)),
            },
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(NotKept::System(error)),
        }
        // Not an exercise's name: no half of it is ever listed.
        let part = self.folder.join(format!(".{id}.part"));
        let put = || {
            let mut file = fs::File::create(&part)?;
            writeln!(file, "{MARK}")?;
            file.write_all(without_mark(text).as_bytes())?;
            file.sync_all()?;
            fs::rename(&part, &path)
        };
        put().map_err(|error| {
            // Where it was not made there is nothing to remove.
            let _ = fs::remove_file(&part);
            NotKept::System(error)
        })?;
        drop(kept);
        self.look();
        Ok(id)
    }
}

fn without_mark(text: &str) -> &str {
    text.strip_prefix(MARK)
        .map_or(text, |rest| rest.trim_start_matches(['\r', '\n']))
}

/// Of the exercises, and of the catalogues of their texts in other languages.
fn stamps(folder: &Path) -> io::Result<Vec<Stamp>> {
    let mut all = listed(folder, "toml")?;
    for language in Language::ALL {
        match listed(&folder.join("words").join(language.tag()), "ftl") {
            Ok(catalogues) => all.extend(catalogues),
            Err(error) if error.kind() == io::ErrorKind::NotFound => {}
            Err(error) => return Err(error),
        }
    }
    Ok(all)
}

fn listed(folder: &Path, wanted: &str) -> io::Result<Vec<Stamp>> {
    let mut all = Vec::new();
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        if path.extension().is_some_and(|end| end == wanted) {
            let about = entry.metadata()?;
            all.push((path, about.modified().ok(), about.len()));
        }
    }
    all.sort();
    Ok(all)
}

fn read(folder: &Path, stamps: Vec<Stamp>) -> io::Result<Kept> {
    let mut all: Vec<Arc<Exercise>> = Vec::new();
    let mut paths = Vec::new();
    let mut left_out = Vec::new();
    for (path, loaded) in exercise::list(folder)? {
        let twice = |id: &str| all.iter().any(|other| other.id() == id);
        match loaded {
            Ok(exercise) if twice(exercise.id()) => {
                let id = exercise.id();
                let error = FileError::whole(
                    "duplicate-name",
                    &path.display().to_string(),
                    format!("an exercise `{id}` is there already"),
                    "an identifier of its own",
                );
                left_out.push(LeftOut {
                    path,
                    errors: vec![error],
                });
            }
            Ok(exercise) => {
                all.push(Arc::new(exercise));
                paths.push(path);
            }
            Err(errors) => left_out.push(LeftOut { path, errors }),
        }
    }
    Ok(Kept {
        stamps,
        all: all.into(),
        paths,
        left_out: left_out.into(),
    })
}

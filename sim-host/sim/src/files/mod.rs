//! Files: TOML 1.0 with units in the quantities → [`crate::model`] in SI. The only place that checks plain data.
//!
//! Six kinds, one a file: machine, batch, recipe, scenario, shelf, route. The first key, `format`, says which. A reader reports *all*
//! errors of a file at once, each with its place and what would mend it; nothing here panics, whatever the bytes.
//!
//! - `source` reads and parses, and knows places;
//! - [`quantity`] reads "14 kPa"; [`grades`] knows abrasive grades;
//! - `table` is the one reader of tables, `machine`, `batch`, `recipe`, `scenario`, `shelf`, `route` say which keys there are;
//! - [`schema`] makes JSON Schema from the same calls, [`form`] what a form asks;
//! - [`set`] finds the machine and the batch that a recipe names; [`with_gains`], [`with_cell`]
//!   and [`with_removal`] write what was tuned or calibrated into the text of a file.
//!
//! A text that is no file, read and refused:
//!
//! ```
//! use std::path::Path;
//! use twinplate_sim::files::{parse_batch, parse_machine, parse_recipe, render_errors};
//!
//! let name = Path::new("typed by hand");
//! let errors = parse_recipe(name, "format = \"recipe-1\"\nprestart = \"30 kg\"").unwrap_err();
//! assert!(errors.iter().any(|error| error.line == 2), "{}", render_errors(&errors, false));
//! assert!(parse_machine(name, "").is_err() && parse_batch(name, "").is_err());
//! ```
//!
//! Ranges here only keep nonsense out (a plate of 50 km); whether a recipe is *good* is judged by `study`.

mod assessment;
mod batch;
mod calibrated;
mod calibrated_motion;
mod corrected;
mod edit;
pub mod error;
mod flatness;
pub mod form;
mod gains;
pub mod grades;
mod machine;
pub mod materials;
mod near;
mod outline;
mod plates;
pub mod quantity;
mod recipe;
mod removal_rate;
mod route;
mod scenario;
pub mod schema;
pub mod set;
mod shelf;
mod shown;
mod slips;
mod source;
mod table;
mod training;
mod units;

pub use batch::{value_words as batch_value_words, width_words as batch_width_words};
pub use calibrated::{calibrated_key, with_cell, with_keys, with_removal};
pub use calibrated_motion::{ActuatorKey, inertia_unit, with_actuator, with_drive};
pub use corrected::{StepSetting, with_step_setting};
pub use edit::EditError;
pub use error::{FileError, MarkedLine, render_errors, render_errors_within};
pub use gains::{with_gains, written_gain};
pub use machine::{value_words, width_words};
pub use near::near_path;
pub use route::{MAX_STAGES, Route, RouteSet, is_route, load_route};
pub(crate) use scenario::LONGEST as LONGEST_SCENARIO;
pub use scenario::{COMPONENTS, FAULT_MODES, MAX_EVENTS, STATION_ACTS};
pub use set::{Overrides, Set, load_set, load_set_with, step_there, steps_there};
pub use shown::answered_in;
pub use source::{Place, SIZE_LIMIT};
pub use units::{INCH, POUND_FORCE, PSI, is_of_inches};

use crate::model::{Batch, Machine, Recipe, Scenario, Shelf};
use crate::plant::part_form::HELIUM;
use firmware_core::process_image::ALL_DRIVES;
use source::Source;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use table::{Sink, Table, TableNotes};

/// A kind of file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// A machine.
    Machine,
    /// A batch of parts.
    Batch,
    /// A recipe.
    Recipe,
    /// A scenario.
    Scenario,
    /// A shelf of consumables.
    Shelf,
    /// A route.
    Route,
}

impl FileKind {
    /// All kinds.
    pub const ALL: [Self; 6] = [
        Self::Machine,
        Self::Batch,
        Self::Recipe,
        Self::Scenario,
        Self::Shelf,
        Self::Route,
    ];

    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Machine => "machine",
            Self::Batch => "batch",
            Self::Recipe => "recipe",
            Self::Scenario => "scenario",
            Self::Shelf => "shelf",
            Self::Route => "route",
        }
    }

    /// What the key `format` must say: the kind and the version of its layout.
    #[must_use]
    pub const fn format(self) -> &'static str {
        match self {
            Self::Machine => "machine-1",
            Self::Batch => "batch-1",
            Self::Recipe => "recipe-1",
            Self::Scenario => "scenario-1",
            Self::Shelf => "shelf-1",
            Self::Route => "route-1",
        }
    }

    fn aliases(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Machine => MACHINE_ALIASES,
            Self::Batch => batch::ALIASES,
            Self::Recipe => recipe::ALIASES,
            Self::Scenario | Self::Shelf | Self::Route => &[],
        }
    }

    fn notes(self) -> TableNotes {
        table::notes(|t| {
            self.read_format(t);
            match self {
                Self::Machine => drop(machine::read(t)),
                Self::Batch => drop(batch::read(t)),
                Self::Recipe => drop(recipe::read(t)),
                Self::Scenario => drop(scenario::read(t)),
                Self::Shelf => drop(shelf::read(t)),
                Self::Route => drop(route::read(t)),
            }
        })
    }

    fn read_format(self, t: &mut Table<'_, '_>) {
        t.word(
            "format",
            &[(self.format(), ())],
            "Kind of file and version of its layout.",
        );
    }
}

/// Model paths of a machine that differ from the file's, model first.
const MACHINE_ALIASES: &[(&str, &str)] = &[
    ("control.band-newtons", "control.band"),
    ("control.estop-category", "control.emergency-stop-category"),
    ("gains.kc", "gains.proportional"),
    ("gains.ti", "gains.integral-time"),
    ("gains.weight", "gains.setpoint-weight"),
    ("cell.creep", "cell.creep-fast"),
    ("cell.creep-time", "cell.creep-time-fast"),
    ("plates.form", "plates.form-lower"),
];

/// A file that was read without error.
#[derive(Clone, Debug, PartialEq)]
pub struct Loaded<T> {
    /// What it says.
    pub value: T,
    /// Where it was.
    pub path: PathBuf,
    /// Its text, as read.
    pub text: String,
    /// Hash of its bytes ([`hash`]).
    pub hash: u64,
    kind: FileKind,
    places: BTreeMap<String, Place>,
}

impl<T> Loaded<T> {
    /// The place of a value: by its path in the file (`steps[1].limit`) or in the model (`steps[1].load_limit`,
    /// `drives[2].torque`); lists count from 0. A path that has no place of its own gets that of the table it is in.
    #[must_use]
    pub fn place(&self, path: &str) -> Option<Place> {
        let path = self.file_path(path);
        let mut path = path.as_str();
        loop {
            if let Some(place) = self.places.get(path) {
                return Some(*place);
            }
            path = &path[..path.rfind(['.', '['])?];
        }
    }

    /// The line of text at a place, for a finding that shows it.
    #[must_use]
    pub fn line(&self, place: Place) -> &str {
        self.text
            .lines()
            .nth(place.line.saturating_sub(1))
            .unwrap_or("")
    }

    /// An error that marks the value of a path.
    #[must_use]
    pub fn error(
        &self,
        code: &'static str,
        path: &str,
        message: String,
        expected: String,
    ) -> FileError {
        let place = self.place(path).unwrap_or(Place { line: 1, column: 1 });
        let line = self.line(place);
        let at = |column: usize| {
            line.char_indices()
                .nth(column)
                .map_or(line.len(), |(at, _)| at)
        };
        let start = at(place.column - 1);
        let mark = MarkedLine::cut(line, start, line.trim_end().len().max(start));
        FileError {
            line: place.line,
            column: place.column,
            mark: Some(mark),
            ..FileError::whole(code, &self.path.display().to_string(), message, &expected)
        }
    }

    /// A model path as the file's: hyphens, drive names, names that differ.
    fn file_path(&self, path: &str) -> String {
        let mut path = path.replace('_', "-");
        for drive in ALL_DRIVES {
            let (index, drive) = (drive as usize, drive.name());
            for list in ["drives", "speeds"] {
                path = path.replace(&format!("{list}[{index}]"), &format!("{list}.{drive}"));
            }
        }
        path = path.replace(".load-limit", ".limit");
        for (model, file) in self.kind.aliases() {
            if path == *model {
                return (*file).to_owned();
            }
        }
        path
    }
}

/// FNV-1a, 64 bits, over bytes (offset basis 0xcbf29ce484222325, prime 0x100000001b3): names a file's content in reports
/// and journals. No protection against intent.
#[must_use]
pub fn hash(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// Loads a machine file.
///
/// # Errors
/// All errors of the file, in the order of their places.
pub fn load_machine(path: &Path) -> Result<Loaded<Machine>, Vec<FileError>> {
    try_machine(path).whole()
}

/// Loads a batch file.
///
/// # Errors
/// All errors of the file, in the order of their places.
pub fn load_batch(path: &Path) -> Result<Loaded<Batch>, Vec<FileError>> {
    try_batch(path).whole()
}

/// Loads a recipe file.
///
/// # Errors
/// All errors of the file, in the order of their places.
pub fn load_recipe(path: &Path) -> Result<Loaded<Recipe>, Vec<FileError>> {
    try_recipe(path).whole()
}

/// Loads a scenario file.
///
/// # Errors
/// All errors of the file, in the order of their places.
pub fn load_scenario(path: &Path) -> Result<Loaded<Scenario>, Vec<FileError>> {
    load(path, FileKind::Scenario, scenario::read).whole()
}

/// Reads a scenario from a text; `path` is what its errors call it, and where what it names is looked for.
///
/// # Errors
/// As [`load_scenario`].
pub fn parse_scenario(path: &Path, text: &str) -> Result<Loaded<Scenario>, Vec<FileError>> {
    parse(path, text, FileKind::Scenario, scenario::read)
}

/// Loads a shelf file.
///
/// # Errors
/// All errors of the file, in the order of their places.
pub fn load_shelf(path: &Path) -> Result<Loaded<Shelf>, Vec<FileError>> {
    load(path, FileKind::Shelf, shelf::read).whole()
}

/// Reads a machine from a text; `path` is what its errors call it.
///
/// # Errors
/// As [`load_machine`].
pub fn parse_machine(path: &Path, text: &str) -> Result<Loaded<Machine>, Vec<FileError>> {
    parse(path, text, FileKind::Machine, machine::read)
}

/// Reads a batch from a text; `path` is what its errors call it.
///
/// # Errors
/// As [`load_batch`].
pub fn parse_batch(path: &Path, text: &str) -> Result<Loaded<Batch>, Vec<FileError>> {
    parse(path, text, FileKind::Batch, batch::read)
}

/// Reads a recipe from a text; `path` is what its errors call it.
///
/// # Errors
/// As [`load_recipe`].
pub fn parse_recipe(path: &Path, text: &str) -> Result<Loaded<Recipe>, Vec<FileError>> {
    parse(path, text, FileKind::Recipe, recipe::read)
}

/// Reads a shelf from a text; `path` is what its errors call it.
#[cfg(test)]
pub(crate) fn parse_shelf(path: &Path, text: &str) -> Result<Loaded<Shelf>, Vec<FileError>> {
    parse(path, text, FileKind::Shelf, shelf::read)
}

/// What reading a file gave: as much of its value as there is, with stand-ins where something was wrong.
struct Attempt<T> {
    loaded: Option<Loaded<T>>,
    errors: Vec<FileError>,
}

impl<T> Attempt<T> {
    fn failed(error: FileError) -> Self {
        Self {
            loaded: None,
            errors: vec![error],
        }
    }

    /// The value, where nothing was wrong with it.
    fn whole(self) -> Result<Loaded<T>, Vec<FileError>> {
        match self.loaded {
            Some(loaded) if self.errors.is_empty() => Ok(loaded),
            _ => Err(self.errors),
        }
    }
}

fn try_machine(path: &Path) -> Attempt<Machine> {
    load(path, FileKind::Machine, machine::read)
}

fn try_batch(path: &Path) -> Attempt<Batch> {
    load(path, FileKind::Batch, batch::read)
}

fn try_recipe(path: &Path) -> Attempt<Recipe> {
    load(path, FileKind::Recipe, recipe::read)
}

fn parse<T>(
    path: &Path,
    text: &str,
    kind: FileKind,
    read: impl FnOnce(&mut Table<'_, '_>) -> T,
) -> Result<Loaded<T>, Vec<FileError>> {
    let source = Source::of_text(path.display().to_string(), text.to_owned())
        .map_err(|error| vec![*error])?;
    read_source(source, path, kind, read).whole()
}

fn load<T>(path: &Path, kind: FileKind, read: impl FnOnce(&mut Table<'_, '_>) -> T) -> Attempt<T> {
    match Source::read(path) {
        Ok(source) => read_source(source, path, kind, read),
        Err(error) => Attempt::failed(*error),
    }
}

fn read_source<T>(
    source: Source,
    path: &Path,
    kind: FileKind,
    read: impl FnOnce(&mut Table<'_, '_>) -> T,
) -> Attempt<T> {
    let parsed = source.parse();
    let mut errors = parsed.errors;
    let Some(document) = parsed.document else {
        return Attempt {
            loaded: None,
            errors,
        };
    };
    if let Some(error) = wrong_kind(&source, &document, kind) {
        errors.push(error);
        return Attempt {
            loaded: None,
            errors,
        };
    }
    let mut sink = Sink {
        source: &source,
        errors,
        spans: BTreeMap::new(),
        lost: parsed.lost,
        lamp: HELIUM,
    };
    let value = Table::read_file(&mut sink, document.as_table(), |t| {
        kind.read_format(t);
        read(t)
    });
    let Sink {
        mut errors, spans, ..
    } = sink;
    errors.sort_by_key(|error| (error.line, error.column));
    let places = spans
        .into_iter()
        .map(|(path, span)| (path, source.place(span.start)))
        .collect();
    let hash = hash(source.text.as_bytes());
    Attempt {
        loaded: Some(Loaded {
            value,
            path: path.to_owned(),
            text: source.text,
            hash,
            kind,
            places,
        }),
        errors,
    }
}

/// A file of another kind gets this one error: everything else about it would be noise.
fn wrong_kind(
    source: &Source,
    document: &toml_edit::Document<String>,
    kind: FileKind,
) -> Option<FileError> {
    let item = document.get("format")?;
    let text = item.as_str()?;
    let other = FileKind::ALL
        .into_iter()
        .find(|other| *other != kind && text.starts_with(other.word()))?;
    Some(source.error(
        "wrong-kind",
        item.span().unwrap_or(0..0),
        format!("this is a {} file", other.word()),
        format!("a {} file, format = \"{}\"", kind.word(), kind.format()),
    ))
}

#[cfg(test)]
mod tests;

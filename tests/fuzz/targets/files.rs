//! Readers of the program's own files: errors with a place and of bounded length, or a value that can be run.

use super::machine::{DEMO, job};
use super::root;
use std::cell::RefCell;
use std::path::{Path, PathBuf};
use twinplate_sim::bench::{Job, NoRecorder};
use twinplate_sim::compile;
use twinplate_sim::files::error::{CODES, TOLD};
use twinplate_sim::files::{self, FileError, Overrides, render_errors};
use twinplate_train::exercise as training;

/// Longest drawing of one error, bytes: its marked line is cut, but what was expected may list every key of a table.
const LONGEST_ERROR: usize = 8 << 10;
/// The folder and the file in a room.
const HERE: &str = "here";
const FILE: &str = "fuzzed.toml";
/// Ticks that a job which was read is run for: into the precheck, with the numbers of its plant all worked out.
const TICKS: u32 = 200;

/// A folder of this thread's own, beside those of the demonstration set, for one file at a time.
struct Room(PathBuf);

impl Room {
    fn new() -> Self {
        let name = format!(
            "twinplate-fuzz-{}-{:?}",
            std::process::id(),
            std::thread::current().id()
        );
        let folder = std::env::temp_dir().join(name);
        std::fs::create_dir_all(folder.join(HERE)).expect("a folder for the file");
        for beside in ["machines", "batches", "recipes", "training"] {
            let there = root().join("recipes").join(beside);
            std::os::unix::fs::symlink(there, folder.join(beside)).expect("a link to the set");
        }
        Self(folder)
    }
}

impl Drop for Room {
    fn drop(&mut self) {
        // What is left behind is the system's to clear.
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

thread_local! {
    static ROOM: RefCell<Option<Room>> = const { RefCell::new(None) };
}

/// Has bytes read as a file.
fn read<T>(bytes: &[u8], load: impl FnOnce(&Path) -> Result<T, Vec<FileError>>) -> Option<T> {
    ROOM.with_borrow_mut(|room| {
        let room = room.get_or_insert_with(Room::new);
        let path = room.0.join(HERE).join(FILE);
        std::fs::write(&path, bytes).expect("the file is written");
        load(&path)
    })
    .map_err(|errors| told(bytes, &errors))
    .ok()
}

/// Errors say what, where, and no more than somebody can read.
pub fn told(bytes: &[u8], errors: &[FileError]) {
    assert!(!errors.is_empty(), "refused without a word");
    // Files that the file names have lines of their own.
    let lines = bytes
        .iter()
        .filter(|byte| matches!(byte, b'\n' | b'\r'))
        .count()
        + 1;
    for error in errors {
        assert!(
            CODES.iter().any(|(code, _)| *code == error.code),
            "{}",
            error.code
        );
        assert!(error.line >= 1 && error.column >= 1, "no place: {error}");
        assert!(
            !error.file.ends_with(FILE) || error.line <= lines,
            "beyond the file: {error}"
        );
        assert!(!error.message.is_empty(), "says nothing: {error}");
        if let Some(mark) = &error.mark {
            assert!(
                mark.line.get(mark.start..mark.end).is_some(),
                "marks nothing: {mark:?}"
            );
        }
    }
    let drawn = render_errors(errors, false);
    assert!(
        drawn.len() <= (TOLD + 1) * LONGEST_ERROR,
        "{} bytes for {} errors",
        drawn.len(),
        errors.len()
    );
}

/// A job that a file makes with those of the demonstration set is run a little.
fn run(job: &Job) {
    let setup = job.nominal(1);
    let mut bench = setup.bench(setup.controller(), NoRecorder);
    bench.advance(TICKS).expect("in process");
    let status = bench.status().expect("ran");
    assert!(
        status.load.is_finite() && status.load_raw.is_finite(),
        "{status:?}"
    );
}

pub fn machine(bytes: &[u8]) {
    let Some(file) = read(bytes, files::load_machine) else {
        return;
    };
    let _ = compile::default_gains(&file.value);
    let Job { batch, recipe, .. } = job(DEMO[0]).clone();
    if let Ok(job) = Job::new(file.value, batch, recipe) {
        run(&job);
    }
}

pub fn batch(bytes: &[u8]) {
    let Some(file) = read(bytes, files::load_batch) else {
        return;
    };
    let Job {
        machine, recipe, ..
    } = job(DEMO[0]).clone();
    if let Ok(job) = Job::new(machine, file.value, recipe) {
        run(&job);
    }
}

pub fn recipe(bytes: &[u8]) {
    let Some(file) = read(bytes, files::load_recipe) else {
        return;
    };
    for name in DEMO {
        let Job { machine, batch, .. } = job(name).clone();
        if let Ok(job) = Job::new(machine, batch, file.value.clone()) {
            run(&job);
        }
    }
}

pub fn scenario(bytes: &[u8]) {
    read(bytes, files::load_scenario);
}

pub fn shelf(bytes: &[u8]) {
    read(bytes, files::load_shelf);
}

/// With the recipes that it names, where they are of the demonstration set.
pub fn exercise(bytes: &[u8]) {
    read(bytes, training::load);
}

/// As [`exercise`].
pub fn route(bytes: &[u8]) {
    read(bytes, |path| files::load_route(path, &Overrides::default()));
}

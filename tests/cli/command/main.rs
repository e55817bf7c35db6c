//! The `twinplate` binary from outside: exit codes, what stands on stdout, what happens to files.
//!
//! Belongs to the package `twinplate` (see its `Cargo.toml`), so that Cargo builds the binary first.

mod bad_files;
mod bad_input;
mod batches;
mod calibrate;
mod calibrate_shop;
mod correct;
mod demo;
mod demo_set;
mod draft;
mod every_unit;
mod explain;
mod file_errors;
mod interrupted;
mod judged;
mod narrow;
mod on_board;
mod outputs;
mod replay;
mod seek;
mod several;
mod shop;
mod short_batch;
mod shrink;
mod told;
mod train;
mod tune;
mod tune_logs;
mod tune_page;
mod typed_units;

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// What a call left behind.
pub struct Ran {
    /// Exit code; -1 where a signal ended it.
    pub code: i32,
    /// Standard output.
    pub out: String,
    /// Standard error.
    pub err: String,
}

impl Ran {
    /// Standard error in one line, so that a test need not know where a sentence is broken.
    pub fn complaint(&self) -> String {
        self.err.split_whitespace().collect::<Vec<_>>().join(" ")
    }
}

/// The root of the workspace, where all calls are made.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// A command for the binary, at the root, with nothing of the caller's environment that changes what it draws.
pub fn command() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_twinplate"));
    command
        .current_dir(root())
        .env_remove("NO_COLOR")
        .stdin(Stdio::null());
    command
}

/// Calls the binary.
pub fn twinplate(arguments: &[&str]) -> Ran {
    let output = command()
        .args(arguments)
        .output()
        .expect("the binary starts");
    let ran = Ran {
        code: output.status.code().unwrap_or(-1),
        out: String::from_utf8(output.stdout).expect("stdout is UTF-8"),
        err: String::from_utf8(output.stderr).expect("stderr is UTF-8"),
    };
    assert!(
        !ran.err.contains("panicked"),
        "{arguments:?} panicked:\n{}",
        ran.err
    );
    ran
}

/// Calls the binary and reads its JSON.
pub fn json(arguments: &[&str]) -> (i32, serde_json::Value) {
    let ran = twinplate(arguments);
    let value = serde_json::from_str(&ran.out)
        .unwrap_or_else(|error| panic!("{arguments:?}: {error}\n{}\n{}", ran.out, ran.err));
    (ran.code, value)
}

/// A fresh, empty folder for one test.
pub fn scratch(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&path);
    std::fs::create_dir_all(&path).expect("scratch folder");
    path
}

/// A path as an argument.
pub fn text(path: &Path) -> &str {
    path.to_str().expect("UTF-8 path")
}

/// Names of all entries of a folder, hidden ones too, sorted.
pub fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .expect("folder")
        .map(|entry| entry.expect("entry").file_name().to_string_lossy().into())
        .collect();
    names.sort();
    names
}

/// Paths of the TOML files of a folder, relative to the root, sorted.
pub fn files_in(folder: &str) -> Vec<String> {
    names(&root().join(folder))
        .into_iter()
        .filter(|name| name.ends_with(".toml"))
        .map(|name| format!("{folder}/{name}"))
        .collect()
}

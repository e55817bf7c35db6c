//! Writes the table of files that the library includes.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};
use std::{env, fs, io};

fn main() -> io::Result<()> {
    let variable = |name: &str| env::var(name).map_err(io::Error::other);
    let folder = Path::new(&variable("CARGO_MANIFEST_DIR")?).join("../../recipes");
    let folder = folder.canonicalize()?;
    // A folder stands for all that is in it.
    println!("cargo::rerun-if-changed={}", folder.display());
    let mut files = Vec::new();
    collect(&folder, &mut files)?;
    files.sort();
    let mut table = String::from("[\n");
    for file in &files {
        let name = file.strip_prefix(&folder).map_err(io::Error::other)?;
        let name = name.to_string_lossy().replace('\\', "/");
        let path = file.to_string_lossy();
        writeln!(table, "({name:?}, include_bytes!({path:?}).as_slice()),")
            .map_err(io::Error::other)?;
    }
    table.push(']');
    fs::write(Path::new(&variable("OUT_DIR")?).join("files.rs"), table)
}

/// All files below a folder; what is hidden is an editor's.
fn collect(folder: &Path, files: &mut Vec<PathBuf>) -> io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        if entry.file_name().to_string_lossy().starts_with('.') {
            continue;
        }
        if entry.file_type()?.is_dir() {
            collect(&entry.path(), files)?;
        } else {
            files.push(entry.path());
        }
    }
    Ok(())
}

//! A copy of the core with one change, and what is built from it: image and guard. The tree itself is never touched.

use crate::list::Change;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The tree as it is.
pub fn tree() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

/// Where a copy is made; always the same, so that what does not change is built once.
fn place() -> PathBuf {
    let target = std::env::var_os("CARGO_TARGET_DIR");
    target
        .map_or_else(|| tree().join("target"), PathBuf::from)
        .join("board/changed")
}

fn copy(from: &Path, to: &Path) -> std::io::Result<()> {
    std::fs::create_dir_all(to)?;
    for entry in std::fs::read_dir(from)? {
        let (path, name) = entry.map(|entry| (entry.path(), entry.file_name()))?;
        if path.is_file() {
            std::fs::copy(&path, to.join(name))?;
        } else if name != "target" {
            copy(&path, &to.join(name))?;
        }
    }
    Ok(())
}

/// Copies the core with its image and its guard, and makes the change. Gives the folder of the copy.
pub fn changed(change: &Change) -> PathBuf {
    let (root, place) = (tree(), place());
    let made = || -> std::io::Result<()> {
        for part in ["firmware-core", "tests/guard"] {
            copy(&root.join(part), &place.join(part))?;
        }
        // The core's version and its pinned crates stand here; who is a member of it does not matter to the copy.
        std::fs::copy(root.join("Cargo.toml"), place.join("Cargo.toml"))?;
        Ok(())
    };
    made().unwrap_or_else(|error| panic!("{}: {error}", place.display()));
    let file = place.join("firmware-core/src").join(change.file);
    let source =
        std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", change.file));
    let source = change
        .make(&source)
        .unwrap_or_else(|error| panic!("{error}"));
    std::fs::write(&file, source).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
    place
}

/// Builds a workspace of the core for a part of the board's script, and gives the program's path. It is moved to where copies are made: no
/// changed image is left where the next one who wants an image finds it.
///
/// # Errors
/// What the compiler or the linker said.
pub fn build(part: &str, workspace: &Path) -> Result<PathBuf, String> {
    let told = Command::new(tree().join("firmware-core/board/build"))
        .arg(part)
        .arg(workspace)
        .output()
        .unwrap_or_else(|error| panic!("firmware-core/board/build: {error}"));
    if !told.status.success() {
        return Err(String::from_utf8_lossy(&told.stderr).into_owned());
    }
    let (built, kept) = (String::from_utf8_lossy(&told.stdout), place().join("built"));
    let moved =
        std::fs::create_dir_all(place()).and_then(|()| std::fs::rename(built.trim(), &kept));
    moved
        .map(|()| kept)
        .map_err(|error| format!("{built}: {error}"))
}

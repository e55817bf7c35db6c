//! The path that was probably meant, where the one that was typed leads nowhere.

use super::error::nearest;
use std::path::{Path, PathBuf};

/// The file near to a path that leads to none: each part that is not there gives way to its nearest neighbour. `None` where
/// nothing is near enough.
#[must_use]
pub fn near_path(path: &Path) -> Option<PathBuf> {
    let mut found = PathBuf::new();
    for part in path.components() {
        let next = found.join(part);
        found = if next.exists() {
            next
        } else {
            let near = neighbour(&found, part.as_os_str().to_str()?)?;
            found.join(near)
        };
    }
    found.is_file().then_some(found)
}

/// The name in a folder that is nearest to one, endings apart; names of the same ending first.
fn neighbour(folder: &Path, name: &str) -> Option<String> {
    let here = if folder.as_os_str().is_empty() {
        Path::new(".")
    } else {
        folder
    };
    let mut names: Vec<String> = std::fs::read_dir(here)
        .ok()?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .collect();
    names.sort();
    let ending = |name: &str| Path::new(name).extension().map(std::ffi::OsStr::to_owned);
    let (alike, others): (Vec<&String>, Vec<&String>) = names
        .iter()
        .partition(|other| ending(other) == ending(name));
    let of = |names: &[&String]| {
        let near = nearest(stem(name), names.iter().map(|name| stem(name)))?;
        names
            .iter()
            .find(|name| stem(name) == near)
            .map(|name| (*name).clone())
    };
    of(&alike).or_else(|| of(&others))
}

fn stem(name: &str) -> &str {
    Path::new(name)
        .file_stem()
        .and_then(std::ffi::OsStr::to_str)
        .unwrap_or(name)
}

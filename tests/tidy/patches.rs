//! The patches of `tests/broken`: one that no longer applies proves nothing, and `tests/broken/run` belongs to the long suite.

use super::source::root;
use std::fs;
use std::path::{Path, PathBuf};

/// All patches, sorted.
pub fn patches() -> Vec<PathBuf> {
    let folder = fs::read_dir(root().join("tests/broken")).expect("a folder");
    let mut all: Vec<PathBuf> = folder
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "patch"))
        .collect();
    all.sort();
    all
}

/// What of a patch does not apply to the tree as it stands; the line may have moved, nothing else.
pub fn unfit(patch: &str, tree: &Path) -> Vec<String> {
    let mut unfit = Vec::new();
    for key in ["What: ", "Test: ", "Filter: "] {
        if !patch
            .lines()
            .any(|line| line.len() > key.len() && line.starts_with(key))
        {
            unfit.push(format!("no line `{key}…`"));
        }
    }
    let files: Vec<&str> = patch.split("\n--- a/").skip(1).collect();
    if files.is_empty() {
        unfit.push("changes no file".into());
    }
    for file in files {
        let (path, rest) = file.split_once('\n').unwrap_or((file, ""));
        let text = format!(
            "\n{}",
            fs::read_to_string(tree.join(path)).unwrap_or_default()
        );
        for hunk in rest.split("\n@@ ").skip(1) {
            let was: Vec<&str> = hunk
                .lines()
                .skip(1)
                .take_while(|line| !line.starts_with("diff "))
                .filter(|line| !line.starts_with('+'))
                .map(|line| line.get(1..).unwrap_or_default())
                .collect();
            if !text.contains(&format!("\n{}\n", was.join("\n"))) {
                unfit.push(format!("{path} has nowhere:\n{}", was.join("\n")));
            }
        }
    }
    unfit
}

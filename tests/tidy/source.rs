//! Reads what the tidy rules ask of manifests and sources: plain text over this repository's own formatted code, no more.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// A crate of the house.
pub struct House {
    pub name: String,
    pub folder: PathBuf,
    /// Crates of the house among its dependencies.
    pub knows: Vec<String>,
}

/// A source file, tests beside the code left out.
pub struct Source {
    /// From the root of the repository.
    pub path: String,
    /// From the crate's `src`.
    inside: PathBuf,
    /// As it stands.
    pub text: String,
    /// Without comments and without items that only tests have.
    code: String,
}

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

pub fn crates() -> Vec<House> {
    let core = root().join("firmware-core");
    let mut folders = vec![core.join("lockstep"), core];
    let inside = std::fs::read_dir(root().join("sim-host")).expect("sim-host");
    folders.extend(
        inside
            .map(|entry| entry.expect("crate").path())
            .filter(|path| path.is_dir()),
    );
    folders.sort();
    folders
        .into_iter()
        .map(|folder| {
            let manifest = std::fs::read_to_string(folder.join("Cargo.toml")).expect("manifest");
            let name = manifest
                .lines()
                .find_map(|line| line.strip_prefix("name = \"")?.strip_suffix('"'))
                .expect("name")
                .to_owned();
            let normal = manifest.split("[dependencies]").nth(1).unwrap_or_default();
            let normal = normal.split("\n[").next().unwrap_or_default();
            let knows = normal
                .lines()
                .filter_map(|line| line.split(['.', ' ', '=']).next())
                .filter(|name| {
                    name.starts_with("twinplate") || ["firmware-core", "lockstep"].contains(name)
                })
                .map(str::to_owned)
                .collect();
            House {
                name,
                folder: folder.join("src"),
                knows,
            }
        })
        .collect()
}

/// The sources below a folder, in order of their paths.
pub fn sources(folder: &Path) -> Vec<Source> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(folder_now) = folders.pop() {
        for entry in std::fs::read_dir(&folder_now).expect("folder") {
            let path = entry.expect("entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|end| end == "rs") {
                let text = std::fs::read_to_string(&path).expect("source");
                found.push(Source {
                    path: path
                        .strip_prefix(root())
                        .unwrap_or(&path)
                        .to_string_lossy()
                        .into_owned(),
                    inside: path.strip_prefix(folder).expect("inside").to_owned(),
                    code: code(&text),
                    text,
                });
            }
        }
    }
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

/// Code without comments and without the items that stand under `#[cfg(test)]`.
fn code(text: &str) -> String {
    let mut kept = Vec::new();
    let mut lines = text
        .lines()
        .map(|line| line.split("//").next().unwrap_or_default());
    while let Some(line) = lines.next() {
        if line.trim() != "#[cfg(test)]" {
            kept.push(line);
            continue;
        }
        let indent = &line[..line.len() - line.trim_start().len()];
        let close = format!("{indent}}}");
        // An item ends on the line of its head, or with the brace at the indentation of its head.
        for line in lines.by_ref() {
            let head = line.starts_with(indent) && !line[indent.len()..].starts_with([' ', '#']);
            if head && line.ends_with([';', ',']) || line == close {
                break;
            }
        }
    }
    kept.join("\n")
}

impl Source {
    /// A file that only tests, or helps to.
    pub fn only_tests(&self) -> bool {
        let name = self
            .inside
            .file_stem()
            .unwrap_or_default()
            .to_string_lossy();
        name.ends_with("tests") || name == "testing"
    }

    /// Path of its module from the crate's root; empty for the root and for a file that only tests.
    pub fn modules(&self) -> Vec<String> {
        let path = self.inside.with_extension("");
        let mut names: Vec<String> = path
            .iter()
            .map(|part| part.to_string_lossy().into_owned())
            .collect();
        let last = names.last().cloned().unwrap_or_default();
        if ["mod", "lib", "main"].contains(&last.as_str()) {
            names.pop();
        }
        if self.only_tests() { Vec::new() } else { names }
    }

    /// Its code, without comments and tests.
    pub fn code(&self) -> &str {
        &self.code
    }

    /// First-level modules of its crate that it names.
    pub fn names_of_modules(&self) -> BTreeSet<String> {
        let up = "super::".repeat(self.modules().len());
        let mut names = BTreeSet::new();
        for way in ["crate::", up.as_str()] {
            for (at, _) in self.code.match_indices(way) {
                let before = self.code[..at].chars().next_back().unwrap_or(' ');
                let after = &self.code[at + way.len()..];
                if before.is_alphanumeric() || before == ':' || before == '_' || before == '$' {
                    continue;
                }
                names.extend(
                    heads(after)
                        .into_iter()
                        .filter(|name| name.starts_with(|c: char| c.is_ascii_lowercase()))
                        .filter(|name| name != "super"),
                );
            }
        }
        names
    }

    /// Every word of its code. What serde is told to do with a module calls both of its functions.
    pub fn words(&self) -> BTreeSet<&str> {
        let mut words: BTreeSet<&str> = self
            .code
            .split(|c: char| !c.is_alphanumeric() && c != '_')
            .collect();
        if self.code.contains("serde(with = ") {
            words.extend(["serialize", "deserialize"]);
        }
        words
    }

    /// Every word of the examples in its docs, which are compiled as a crate of their own.
    pub fn doc_words(&self) -> BTreeSet<&str> {
        let mut inside = false;
        let mut words = BTreeSet::new();
        for line in self
            .text
            .lines()
            .filter_map(|line| line.trim_start().strip_prefix("//"))
        {
            let line = line.trim_start_matches(['/', '!', ' ']);
            if line.starts_with("```") {
                inside = !inside;
            } else if inside {
                words.extend(line.split(|c: char| !c.is_alphanumeric() && c != '_'));
            }
        }
        words
    }

    /// Names of its functions that are public beyond the crate.
    pub fn public_functions(&self) -> Vec<&str> {
        let heads = ["pub fn ", "pub const fn ", "pub async fn "];
        self.code
            .lines()
            .filter_map(|line| {
                heads
                    .iter()
                    .find_map(|head| line.trim_start().strip_prefix(head))
            })
            .filter_map(|rest| rest.split(['(', '<']).next())
            .collect()
    }
}

/// First names of a path, or of every path of a list in braces.
fn heads(path: &str) -> Vec<String> {
    let first = |text: &str| -> String {
        text.trim_start()
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect()
    };
    let Some(list) = path.strip_prefix('{') else {
        return vec![first(path)];
    };
    let mut found = vec![first(list)];
    let mut depth = 0;
    for (at, letter) in list.char_indices() {
        match letter {
            '{' => depth += 1,
            '}' if depth == 0 => break,
            '}' => depth -= 1,
            ',' if depth == 0 => found.push(first(&list[at + 1..])),
            _ => {}
        }
    }
    found
}

/// Functions of a source and their lines, from the line of the head to the closing brace at its indentation.
pub fn functions(text: &str) -> Vec<(String, usize)> {
    let mut found = Vec::new();
    let lines: Vec<&str> = text.lines().collect();
    for (first, line) in lines.iter().enumerate() {
        let head = line.trim_start();
        let indent = &line[..line.len() - head.len()];
        let Some(at) = head.find("fn ").filter(|at| {
            head[..*at]
                .split(' ')
                .all(|w| ["", "pub", "const", "async"].contains(&w) || w.starts_with("pub("))
        }) else {
            continue;
        };
        let name: String = head[at + 3..]
            .chars()
            .take_while(|c| c.is_alphanumeric() || *c == '_')
            .collect();
        let close = format!("{indent}}}");
        if let Some(last) = lines[first..].iter().position(|line| *line == close) {
            found.push((name, last + 1));
        }
    }
    found
}

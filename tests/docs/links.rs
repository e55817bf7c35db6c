//! Links and paths in the book lead somewhere, and no page names a place of somebody's machine.

use crate::pages::{read, root};
use std::path::Path;

/// Pages of the book, from the root.
fn pages() -> Vec<String> {
    let mut pages = vec![
        "README.md".to_owned(),
        "DEVELOPERS.md".to_owned(),
        "recipes/README.md".to_owned(),
        "firmware-core/src/sequence/README.md".to_owned(),
    ];
    for entry in std::fs::read_dir(root().join("docs")).expect("docs") {
        let name = entry
            .expect("entry")
            .file_name()
            .to_string_lossy()
            .into_owned();
        if name.ends_with(".md") {
            pages.push(format!("docs/{name}"));
        }
    }
    pages.sort();
    pages
}

/// The anchor that a heading gets.
fn anchor(heading: &str) -> String {
    heading
        .trim()
        .to_lowercase()
        .chars()
        .filter(|c| c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'))
        .map(|c| if c == ' ' { '-' } else { c })
        .collect()
}

/// Targets of `[text](target)`, code blocks apart.
fn targets(text: &str) -> Vec<&str> {
    text.split("](")
        .skip(1)
        .filter_map(|rest| rest.split_once(')'))
        .map(|(target, _)| target)
        .filter(|target| !target.contains(char::is_whitespace))
        .collect()
}

#[test]
fn every_link_leads_somewhere() {
    let mut checked = 0;
    for page in pages() {
        let text = read(&page);
        let folder = Path::new(&page)
            .parent()
            .unwrap_or(Path::new(""))
            .to_owned();
        for target in targets(&text) {
            if target.starts_with("http") {
                continue;
            }
            checked += 1;
            let (path, fragment) = target.split_once('#').unwrap_or((target, ""));
            let file = if path.is_empty() {
                Path::new(&page).to_owned()
            } else {
                folder.join(path)
            };
            let full = root().join(&file);
            assert!(full.exists(), "{page}: nothing at {target}");
            if !fragment.is_empty() {
                let linked = std::fs::read_to_string(&full).expect("page");
                let found = linked
                    .lines()
                    .filter(|line| line.starts_with('#'))
                    .any(|line| anchor(line.trim_start_matches('#')) == fragment);
                assert!(found, "{page}: no heading for {target}");
            }
        }
    }
    assert!(checked > 30, "{checked}");
}

/// A path in code letters that begins like one of the repository's must be there.
#[test]
fn every_path_in_code_letters_exists() {
    let tops = ["firmware-core/", "sim-host/", "tests/", "recipes/", "docs/"];
    let mut checked = 0;
    for page in pages() {
        // Generated names come from the code; fenced blocks are sessions and examples.
        let text = read(&page);
        for line in text.lines().filter(|line| !line.starts_with("    ")) {
            for word in line.split('`').skip(1).step_by(2) {
                let plain = word
                    .chars()
                    .all(|c| c.is_ascii_alphanumeric() || "/._-".contains(c));
                if !plain || !tops.iter().any(|top| word.starts_with(top)) {
                    continue;
                }
                checked += 1;
                let beside = root().join(&page).with_file_name(word);
                assert!(
                    root().join(word).exists() || beside.exists(),
                    "{page}: there is no {word}"
                );
            }
        }
    }
    assert!(checked > 30, "{checked}");
}

#[test]
fn every_page_is_in_the_contents() {
    let contents = read("docs/README.md");
    for page in pages() {
        if let Some(name) = page
            .strip_prefix("docs/")
            .filter(|name| *name != "README.md")
        {
            assert!(
                contents.contains(&format!("({name})")),
                "docs/README.md does not list {name}"
            );
        }
    }
}

#[test]
fn no_page_names_a_place_of_a_machine() {
    // Spelt in pieces, or this file would be the first to break the rule.
    let places = ["work", "root", "tmp", "home"].map(|name| format!("/{name}/"));
    for page in pages() {
        let text = read(&page);
        for place in &places {
            assert!(!text.contains(place.as_str()), "{page} names {place}");
        }
    }
}

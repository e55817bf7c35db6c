//! The catalogue as people ask for it: by name, one entry, the whole page.

use super::{ALL_CODES, Code};
use std::fmt::Write as _;
use twinplate_sim::files::error::nearest;

/// The code of this name.
///
/// # Errors
/// The name that may have been meant, where none is equal and one is near enough.
pub fn find(name: &str) -> Result<Code, Option<&'static str>> {
    let names = || ALL_CODES.iter().map(|code| code.entry().code);
    ALL_CODES
        .iter()
        .find(|code| code.entry().code == name)
        .copied()
        .ok_or_else(|| nearest(name, names()))
}

/// The text of `explain CODE`.
#[must_use]
pub fn explain(code: Code) -> String {
    let entry = code.entry();
    let mut text = String::new();
    // Writing to a String cannot fail.
    let _ = writeln!(
        text,
        "{} (finding {}, {})",
        entry.code,
        entry.id,
        entry.severity.word()
    );
    for (label, body) in [
        ("What", entry.title),
        ("Rule", entry.meaning),
        ("Why", entry.why),
        ("Remedy", entry.cure),
        ("Example", entry.example),
    ] {
        let lines = crate::finding::wrap(body, 70);
        for (index, line) in lines.iter().enumerate() {
            let label = if index == 0 { label } else { "" };
            let _ = writeln!(text, "{label:<8} {line}");
        }
    }
    text
}

/// A paragraph of the page, or an entry of a list, in lines that an editor shows whole.
fn paragraph(text: &mut String, bullet: &str, body: &str) {
    let mut indent = bullet.to_owned();
    for line in crate::finding::wrap(body, 120) {
        let _ = writeln!(text, "{indent}{line}");
        indent = " ".repeat(bullet.len());
    }
}

/// The generated page `docs/findings.md`.
#[must_use]
pub fn page() -> String {
    let mut text = String::from(
        "# Findings of `check`\n\nGenerated from the catalogue in `sim-host/check/src/catalogue.rs`; do not edit by hand.\n\
         `twinplate explain CODE` prints one of these. An error makes the verdict `fail`, a warning `warn`. All examples are invented.\n",
    );
    for (heading, from, to) in [
        ("Geometry, carriers and parts", 1, 14),
        ("Which machine, which batch", 15, 19),
        ("Load", 20, 39),
        ("First contact and strength", 40, 49),
        ("Speeds and drives", 50, 69),
        ("Slurry", 70, 79),
        ("Time, stock, size and finish", 80, 99),
        ("Envelope and loop", 100, 199),
        ("Closed-loop trials", 200, 299),
    ] {
        let _ = write!(text, "\n## {heading}\n");
        for code in ALL_CODES {
            let entry = code.entry();
            if entry.id < from || entry.id > to {
                continue;
            }
            let _ = write!(
                text,
                "\n### `{}` ({}, {})\n\n",
                entry.code,
                entry.id,
                entry.severity.word()
            );
            paragraph(
                &mut text,
                "",
                &format!("**{}.** {}", entry.title, entry.meaning),
            );
            text.push('\n');
            for (label, body) in [
                ("Why", entry.why),
                ("Remedy", entry.cure),
                ("Example", entry.example),
            ] {
                paragraph(&mut text, "- ", &format!("{label}: {body}"));
            }
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::RETIRED;
    use std::collections::BTreeSet;

    #[test]
    fn numbers_and_names_are_unique_and_never_retired_ones() {
        let ids: BTreeSet<u16> = ALL_CODES.iter().map(|c| c.entry().id).collect();
        let names: BTreeSet<&str> = ALL_CODES.iter().map(|c| c.entry().code).collect();
        assert_eq!(ids.len(), ALL_CODES.len());
        assert_eq!(names.len(), ALL_CODES.len());
        assert!(RETIRED.iter().all(|id| !ids.contains(id)));
    }

    #[test]
    fn names_are_kebab_case_and_every_text_is_filled() {
        for code in ALL_CODES {
            let entry = code.entry();
            assert!(
                entry.code.split('-').all(|word| !word.is_empty()
                    && word
                        .chars()
                        .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit())),
                "{} is not kebab-case",
                entry.code
            );
            for text in [
                entry.title,
                entry.meaning,
                entry.why,
                entry.cure,
                entry.example,
            ] {
                assert!(text.len() > 4, "{} has an empty text", entry.code);
            }
            assert_eq!(*code as u16, entry.id);
        }
    }

    #[test]
    fn every_code_is_on_the_page_once() {
        let page = page();
        for code in ALL_CODES {
            let heading = format!("### `{}` (", code.entry().code);
            assert_eq!(page.matches(&heading).count(), 1, "{}", code.entry().code);
        }
    }

    #[test]
    fn the_committed_page_is_current() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../../docs/findings.md");
        if std::env::var_os("UPDATE").is_some_and(|v| v == "1") {
            std::fs::write(path, page()).expect("docs/findings.md can be written");
        }
        let committed = std::fs::read_to_string(path).unwrap_or_default();
        assert!(
            committed == page(),
            "docs/findings.md is stale: run this test once with UPDATE=1 and commit the result"
        );
    }

    #[test]
    fn a_wrong_name_is_answered_with_the_nearest() {
        assert_eq!(find("creep-too-fast"), Ok(Code::CreepTooFast));
        assert_eq!(find("creep-to-fast"), Err(Some("creep-too-fast")));
        assert_eq!(find("CREEP-TOO-FAST"), Err(Some("creep-too-fast")));
        assert_eq!(find("bogus"), Err(None));
        assert!(
            explain(Code::CreepTooFast)
                .lines()
                .all(|line| line.chars().count() <= 80)
        );
    }
}

//! The catalogue as text: `explain CODE`, and the page of findings.

use super::{ALL_CODES, Code};
use std::fmt::Write as _;

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
        let lines = wrap(body, 70);
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
    for line in wrap(body, 120) {
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

/// Breaks a text into lines of at most `width` characters at its spaces; a longer word gets a line of its own.
#[must_use]
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

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
    fn an_explanation_fits_the_terminal() {
        for code in ALL_CODES {
            let text = explain(*code);
            assert!(
                text.lines().all(|line| line.chars().count() <= 80),
                "{text}"
            );
        }
    }
}

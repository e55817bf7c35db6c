//! The measured blocks of the book's page: written by the long commands, held against their rows by the short tests.

use std::path::{Path, PathBuf};

const END: &str = "<!-- end -->";

fn page() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/falsification.md")
}

fn begin(name: &str) -> String {
    format!("<!-- measured: {name} -->\n")
}

/// A measured block of the page.
pub fn block(name: &str) -> String {
    let text = std::fs::read_to_string(page()).expect("page");
    text.split_once(&begin(name))
        .and_then(|(_, rest)| rest.split_once(END))
        .expect("the page has the block")
        .0
        .to_owned()
}

/// Writes a measured block where `UPDATE` asks for it.
pub fn update(name: &str, table: &str) {
    if std::env::var_os("UPDATE").is_none_or(|value| value != "1") {
        return;
    }
    let text = std::fs::read_to_string(page()).expect("page");
    let begin = begin(name);
    let (head, rest) = text.split_once(&begin).expect("the page has the block");
    let (_, tail) = rest.split_once(END).expect("the block has an end");
    std::fs::write(page(), format!("{head}{begin}{table}{END}{tail}")).expect("written");
}

/// The rows of a block, cell by cell.
pub fn rows(block: &str) -> Vec<Vec<&str>> {
    block
        .lines()
        .filter(|line| line.starts_with("| `"))
        .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
        .collect()
}

/// A cell that is a number.
pub fn number(cell: &str) -> f64 {
    cell.parse().expect("a number")
}

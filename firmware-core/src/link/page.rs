//! The spec page as tests read it.

use std::string::{String, ToString};
use std::vec::Vec;

pub(super) const PAGE: &str = include_str!("../../../docs/link.md");

/// Rows of every table under a marker, cell by cell, without the marks of code.
pub(super) fn table(name: &str) -> Vec<Vec<String>> {
    let marker = std::format!("<!-- table: {name} -->");
    let mut rows = Vec::new();
    let mut lines = PAGE.lines();
    while let Some(line) = lines.next() {
        if line != marker {
            continue;
        }
        let table = lines.by_ref().take_while(|line| line.starts_with('|'));
        rows.extend(table.skip(2).map(|line| {
            let cells = line.trim_matches('|').split('|');
            cells.map(|cell| cell.trim().replace('`', "")).collect()
        }));
    }
    assert!(!rows.is_empty(), "{name}");
    rows
}

/// `11 22 01..FE` as bytes.
pub(super) fn bytes(text: &str) -> Vec<u8> {
    let byte = |text: &str| u8::from_str_radix(text, 16).expect("two digits");
    let mut bytes = Vec::new();
    for piece in text.split_whitespace() {
        match piece.split_once("..") {
            Some((first, last)) => bytes.extend(byte(first)..=byte(last)),
            None => bytes.push(byte(piece)),
        }
    }
    bytes
}

/// What a row of fields, `slot=1 since=300`, says of one of them.
pub(super) fn field(fields: &str, name: &str) -> String {
    fields
        .split_whitespace()
        .find_map(|pair| pair.strip_prefix(name)?.strip_prefix('='))
        .expect(name)
        .to_string()
}

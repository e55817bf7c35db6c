//! The page `docs/store.md`: its vectors are read from there and tried, and its table of cuts is written there.

use super::super::layout::BANK_HEADER;
use super::*;
use std::string::{String, ToString};
use std::vec::Vec;
use std::{format, fs, path};

const PAGE: &str = "docs/store.md";

fn path() -> path::PathBuf {
    path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("..")
        .join(PAGE)
}

/// The page, and where the lines of a generated block are in it.
fn block(name: &str) -> (String, core::ops::Range<usize>) {
    let text = fs::read_to_string(path()).expect("the page");
    let begin = format!("<!-- generated: {name} -->\n");
    let from = text.find(&begin).expect("the block") + begin.len();
    let to = from + text[from..].find("<!-- end -->").expect("its end");
    (text, from..to)
}

/// A generated block of the page must be `body`; `UPDATE=1` makes it so.
pub(super) fn check_block(name: &str, body: &str) {
    let (mut text, found) = block(name);
    if text[found.clone()] == *body {
        return;
    }
    assert!(
        std::env::var_os("UPDATE").is_some_and(|v| v == "1"),
        "{PAGE}, block `{name}`: the code says\n{body}\nUPDATE=1 rewrites it"
    );
    text.replace_range(found, body);
    fs::write(path(), text).expect("page written");
}

/// Rows of the table below a heading, without its head, cell by cell.
fn rows(heading: &str) -> Vec<Vec<String>> {
    let text = fs::read_to_string(path()).expect("the page");
    let section = text.split(heading).nth(1).expect("the heading");
    section
        .lines()
        .skip_while(|line| !line.starts_with('|'))
        .take_while(|line| line.starts_with('|'))
        .skip(2)
        .map(|line| {
            let cells = line.trim_matches('|').split('|');
            cells
                .map(|cell| cell.trim().trim_matches('`').to_string())
                .collect()
        })
        .collect()
}

/// Bytes from hexadecimal digits, spaces left out.
pub(super) fn bytes(hex: &str) -> Vec<u8> {
    let digits: Vec<u32> = hex.chars().filter_map(|c| c.to_digit(16)).collect();
    digits
        .chunks(2)
        .map(|pair| (pair[0] * 16 + pair[1]) as u8)
        .collect()
}

/// A flash of the smallest suitable size with these bytes at the beginning of its banks.
fn flash(lower: &[u8], upper: &[u8]) -> Vec<u8> {
    let mut all = std::vec![0xFF; SMALL];
    all[..lower.len()].copy_from_slice(lower);
    all[SMALL / 2..][..upper.len()].copy_from_slice(upper);
    all
}

/// Everything that a store gives out, in the words of the page.
fn told(flash: &[u8]) -> String {
    let mut store = match Store::open(Image(flash)) {
        Ok(store) => store,
        Err(error) => return error.name().into(),
    };
    let mut all = Vec::new();
    for slot in 0..SLOTS {
        match store.recipe(slot) {
            Ok(found) => {
                let (name, verdict) = (&found.recipe.name, found.verdict().name());
                all.push(format!("slot {slot}: {name}, {verdict}"));
            }
            Err(StoreError::Empty) => {}
            Err(error) => all.push(format!("slot {slot}: {}", error.name())),
        }
    }
    match store.progress() {
        Ok(p) => all.push(format!("progress: step {}, {} ms", p.step, p.step_time.0)),
        Err(StoreError::Empty) => {}
        Err(error) => all.push(format!("progress: {}", error.name())),
    }
    match store.params() {
        Ok(p) => all.push(format!(
            "parameters: {} N, settle {} ms",
            p.weight.get(),
            p.settle_limit.0
        )),
        Err(StoreError::Empty) => {}
        Err(error) => all.push(format!("parameters: {}", error.name())),
    }
    if all.is_empty() {
        all.push("nothing".into());
    }
    let [lower, upper] = store.erases();
    if upper > 1 {
        all.push(format!("erases {lower} and {upper}"));
    }
    if store.active.as_ref().is_some_and(|active| active.sealed) {
        all.push("sealed".into());
    }
    if store.is_damaged() {
        all.push("damaged".into());
    }
    all.join("; ")
}

/// A row is accepted where nothing of it is turned away.
fn try_rows(heading: &str, least: usize, flash_of: impl Fn(&[String]) -> Vec<u8>) {
    let rows = rows(heading);
    assert!(rows.len() >= least, "{heading} has {} rows", rows.len());
    for row in &rows {
        let (cells, [accepted, reads]) = row.split_last_chunk().expect("columns");
        let found = told(&flash_of(cells));
        assert_eq!(found, *reads, "{}", row[0]);
        let turned_away = ["nothing", "sealed", "damaged", "another-version"];
        let away = turned_away.iter().any(|word| found.contains(word));
        let expected = if away { "reject" } else { "accept" };
        assert_eq!(expected, accepted, "{}", row[0]);
    }
}

#[test]
fn every_vector_of_a_bank_is_accepted_or_rejected_as_the_page_says() {
    try_rows("### Banks", 8, |cells| {
        flash(&bytes(&cells[1]), &bytes(&cells[2]))
    });
}

#[test]
fn every_vector_of_a_record_is_accepted_or_rejected_as_the_page_says() {
    // Behind the header of the first bank.
    let bank = bytes(&rows("### Banks")[0][1]);
    let header = &bank[..BANK_HEADER as usize];
    try_rows("### Records", 16, |cells| {
        flash(&[header, &bytes(&cells[1])].concat(), &[])
    });
}

/// The constants that the page names are the code's.
#[test]
fn the_page_names_the_sizes_of_the_code() {
    let text = fs::read_to_string(path()).expect("the page");
    for (what, number) in [
        ("Slots", u32::from(SLOTS)),
        ("Longest payload", MAX_PAYLOAD as u32),
        ("Longest record", MAX_RECORD as u32),
        ("Smallest bank", MIN_BANK),
        ("Format", u32::from(STORE_FORMAT)),
        ("Recipe schema", u32::from(RECIPE_SCHEMA)),
        ("Parameters schema", u32::from(PARAMS_SCHEMA)),
        ("Progress schema", u32::from(PROGRESS_SCHEMA)),
        ("Progress every, ms", PROGRESS_EVERY.0),
    ] {
        let row = format!("| {what} | {number} |");
        assert!(text.contains(&row), "{PAGE} lacks the row {row}");
    }
}

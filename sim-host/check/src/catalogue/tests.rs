//! Numbers, names and texts of the catalogue.

use super::*;
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
fn a_wrong_name_is_answered_with_the_nearest() {
    assert_eq!(find("creep-too-fast"), Ok(Code::CreepTooFast));
    assert_eq!(find("creep-to-fast"), Err(Some("creep-too-fast")));
    assert_eq!(find("CREEP-TOO-FAST"), Err(Some("creep-too-fast")));
    assert_eq!(find("bogus"), Err(None));
}

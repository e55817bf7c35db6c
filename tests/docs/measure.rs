//! What a machine or batch file may leave out, and how each key is measured, from the one table of rules.

use crate::pages::{check, table};
use twinplate_sim::assumed::{batch, rules};
use twinplate_sim::files::{batch_width_words, width_words};
use twinplate_sim::model::Shown;

const PAGE: &str = "docs/measure-your-machine.md";

#[test]
fn what_is_assumed_and_how_it_is_measured() {
    let head = ["key", "left out", "envelope", "from", "measured by", "how"];
    let rows = rules().map(|rule| {
        vec![
            format!("`{}`", rule.key),
            rule.rule.to_owned(),
            width_words(rule),
            rule.source.to_owned(),
            if rule.by.starts_with("calibrate ") {
                format!("`{}`", rule.by)
            } else {
                rule.by.to_owned()
            },
            rule.how.to_owned(),
        ]
    });
    check(PAGE, "assumed-keys", &table(&head, rows));
}

#[test]
fn what_is_assumed_of_a_batch_and_how_it_is_measured() {
    let head = ["key", "left out", "envelope", "from", "measured by", "how"];
    let rows = batch::rules().map(|rule| {
        vec![
            format!("`{}`", rule.key),
            rule.rule.to_owned(),
            batch_width_words(rule, &Shown::default()),
            rule.source.to_owned(),
            rule.by.to_owned(),
            rule.how.to_owned(),
        ]
    });
    check(
        "docs/files-and-verbs.md",
        "batch-assumed",
        &table(&head, rows),
    );
}

//! What a machine or batch file may leave out, and how each key is measured, from the one table of rules.

use crate::pages::{check, read, table};
use twinplate_sim::assumed::{Rule, batch, rules};
use twinplate_sim::demo;
use twinplate_sim::files::{ActuatorKey, batch_width_words, calibrated_key, width_words};
use twinplate_sim::model::Shown;

const PAGE: &str = "docs/measure-your-machine.md";

/// What a key is measured with, in the order of the page: as a rule names it, and how the page heads it.
const WITH: [(&str, &str); 13] = [
    ("stopwatch", "Stopwatch"),
    ("dial gauge", "Dial gauge"),
    ("rule", "Steel rule"),
    ("pressure gauge", "Pressure gauge"),
    ("thermometer", "Thermometer"),
    ("dead weights", "Dead weights"),
    ("log", "Log of the controller"),
    ("calibrate cell", "Dead weights, for `calibrate cell`"),
    (
        "calibrate actuator",
        "Log of the cylinder, for `calibrate actuator`",
    ),
    ("calibrate drives", "Log of a drive, for `calibrate drives`"),
    (
        "calibrate slurry",
        "Stopwatch and bucket, for `calibrate slurry`",
    ),
    (
        "calibrate heat",
        "Thermometer over a shift, for `calibrate heat`",
    ),
    ("data sheet", "Data sheets"),
];

fn measured_with<'a>(by: &'a str) -> impl Iterator<Item = &'static Rule> + 'a {
    rules().filter(move |rule| rule.by == by)
}

#[test]
fn what_is_assumed_and_why_so_wide() {
    let head = ["key", "left out", "from", "envelope", "why so wide"];
    let rows = rules().map(|rule| {
        vec![
            format!("`{}`", rule.key),
            rule.rule.to_owned(),
            rule.source.to_owned(),
            width_words(rule),
            rule.spread.to_owned(),
        ]
    });
    check(PAGE, "assumed-keys", &table(&head, rows));
}

#[test]
fn how_each_key_is_measured() {
    let mut text = String::new();
    for (by, title) in WITH {
        text.push_str(&format!("\n### {title}\n\n"));
        let rows = measured_with(by).map(|rule| {
            vec![
                format!("`{}`", rule.key),
                rule.how.to_owned(),
                rule.write.to_owned(),
            ]
        });
        text.push_str(&table(&["key", "what to do", "what to write down"], rows));
    }
    text.push('\n');
    check(PAGE, "how-to-measure", &text);
}

/// Every key that may be left out stands on the page: as one to measure, or as a setting.
#[test]
fn every_assumed_key_is_measured_on_the_page() {
    let page = read(PAGE);
    let (_, measured) = page.split_once("## How to measure").expect("the section");
    let (measured, _) = measured.split_once("\n## ").expect("the next section");
    for rule in rules().filter(|rule| rule.by != "setting") {
        let row = format!("| `{}` | ", rule.key);
        assert!(measured.contains(&row), "no row for {}", rule.key);
        assert!(WITH.iter().any(|(by, _)| *by == rule.by), "{}", rule.by);
    }
    for (by, title) in WITH {
        assert!(measured_with(by).next().is_some(), "nothing under {title}");
    }
}

/// The verb that writes a key, by what the files let it write.
fn verb_of(key: &str) -> Option<&'static str> {
    let (table, name) = key.rsplit_once('.').expect("a table");
    let sheet = || calibrated_key(&demo::machine("machine-a"), table, name).is_some();
    match table {
        "actuator" => ActuatorKey::ALL
            .iter()
            .any(|key| key.name() == name)
            .then_some("actuator"),
        "cell" => (name == "nonlinearity").then_some("cell"),
        "slurry" => sheet().then_some("slurry"),
        "thermal" => sheet().then_some("heat"),
        _ if table.starts_with("drives.") => Some("drives"),
        _ => None,
    }
}

/// A rule names a verb where, and only where, that verb writes its key.
#[test]
fn the_verb_that_is_named_takes_the_key() {
    for rule in rules() {
        let named = rule.by.strip_prefix("calibrate ");
        assert_eq!(named, verb_of(rule.key), "{}", rule.key);
    }
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

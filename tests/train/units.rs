//! A station speaks in the units that its machine, batch and recipe were typed in: the pages get them with the job card.

use crate::{exercise, folder};
use std::path::Path;
use twinplate_sim::files::quantity::find;
use twinplate_train::exercise::load;
use twinplate_train::protocol::{UnitCards, unit_cards};

/// The practice job with some quantities in other units, in a folder of its own; gives the exercise's file.
fn retyped(name: &str, swaps: &[[&str; 2]]) -> std::path::PathBuf {
    let to = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&to);
    for part in ["exercises", "training", "training/batches", "machines"] {
        std::fs::create_dir_all(to.join(part)).expect("a folder");
        let from = folder().join("..").join(part);
        for entry in std::fs::read_dir(from).expect("a folder of the set") {
            let path = entry.expect("an entry").path();
            if path.extension().is_none_or(|ending| ending != "toml") {
                continue;
            }
            let mut text = std::fs::read_to_string(&path).expect("a file of the set");
            for [typed, other] in swaps {
                text = text.replace(typed, other);
            }
            let name = path.file_name().expect("a name");
            std::fs::write(to.join(part).join(name), text).expect("written");
        }
    }
    to.join("exercises/plain-cycle.toml")
}

fn units(cards: &UnitCards) -> Vec<(&str, &str)> {
    cards
        .iter()
        .map(|(kind, card)| (kind.as_str(), card.symbol.as_str()))
        .collect()
}

#[test]
fn the_practice_job_speaks_in_its_own_units() {
    let card = exercise("plain-cycle").job_card();
    assert_eq!(card.units, unit_cards(&Default::default()));
    for (kind, card) in &card.units {
        let unit = find(&card.symbol).expect(kind);
        assert!((card.size / unit.to_si(1.0) - 1.0).abs() < 1e-12, "{kind}");
        assert_eq!((card.offset, card.more), (0.0, 0), "{kind}");
    }
}

#[test]
fn a_job_in_pounds_and_fahrenheit_speaks_in_them() {
    let swaps = [
        ["limit = \"350 N\"", "limit = \"78.68 lbf\""],
        ["high = \"45 °C\"", "high = \"113 °F\""],
        ["tank = \"10 L\"", "tank = \"2.6417 gal\""],
    ];
    let path = retyped("train-units", &swaps);
    let exercise = load(&path).unwrap_or_else(|errors| panic!("{errors:?}"));
    let cards = exercise.job_card().units;
    let told = units(&cards);
    for due in [("load", "lbf"), ("temperature", "°F"), ("mass", "kg")] {
        assert!(told.contains(&due), "{due:?} in {told:?}");
    }
    // As a page converts, by the wire's newtons and degrees Celsius.
    let typed = |kind: &str, si: f64| (si - cards[kind].offset) / cards[kind].size;
    assert!((typed("load", 350.0) - 78.68).abs() < 0.01);
    assert!((typed("temperature", 45.0) - 113.0).abs() < 1e-9);
    assert_eq!(cards["load"].more, 1, "a pound is more than a newton");
}

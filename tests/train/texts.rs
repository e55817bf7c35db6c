//! The exercises as people meet them: each is in the README, says that it is invented, and can be read on a panel; and the recipes that
//! they lap with are good ones.

use crate::{exercise, folder};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use twinplate_check::Case;
use twinplate_check::predict::predict;
use twinplate_check::static_check;
use twinplate_sim::files::{Overrides, load_set, render_errors};
use twinplate_train::exercise::Exercise;

/// Longest first sentence of an expectation, characters: the time line shows that much.
const FIRST: usize = 60;

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("the folder is there")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files
}

fn stem(path: &Path) -> String {
    path.file_stem().expect("stem").to_string_lossy().into()
}

fn exercises() -> Vec<Arc<Exercise>> {
    let all: Vec<_> = files(&folder())
        .iter()
        .map(|path| exercise(&stem(path)))
        .collect();
    assert!(all.len() >= 15, "{}", all.len());
    all
}

/// First sentence of a text, as the time line cuts it: to the first full stop or colon.
fn first(text: &str) -> &str {
    let end = text
        .match_indices(['.', ':'])
        .map(|(at, _)| at + 1)
        .find(|end| text[*end..].starts_with(' '));
    &text[..end.unwrap_or(text.len())]
}

/// What is wrong with the texts of an exercise.
fn faults(exercise: &Exercise) -> Vec<String> {
    let training = &exercise.training;
    let mut wrong = Vec::new();
    if !exercise.scenario.title.ends_with("(invented)") {
        wrong.push("the title does not say that it is invented".into());
    }
    if training.points() != 100 {
        wrong.push(format!("{} points in all, not 100", training.points()));
    }
    let texts = training.expected.iter().map(|e| (&e.id, &e.text));
    for (id, text) in texts.clone() {
        if first(text).chars().count() > FIRST {
            wrong.push(format!("{id}: its first sentence is too long: {text}"));
        }
    }
    for (id, text) in texts.chain(training.forbidden.iter().map(|f| (&f.id, &f.why))) {
        if !text.ends_with('.') {
            wrong.push(format!("{id}: no full sentence: {text}"));
        }
    }
    for rule in &training.forbidden {
        let harms = [
            "cracked",
            "scored",
            "carriers",
            "undersize",
            "oversize",
            "scratched",
            "danger",
            "needless-remedy",
        ];
        let taken =
            training.expected.iter().any(|e| e.id == rule.id) || harms.contains(&rule.id.as_str());
        if taken {
            wrong.push(format!("{}: the name means two things", rule.id));
        }
    }
    wrong
}

#[test]
fn every_exercise_can_be_read_and_adds_up() {
    let wrong: Vec<String> = exercises()
        .iter()
        .flat_map(|exercise| {
            faults(exercise)
                .into_iter()
                .map(|fault| format!("{}: {fault}", exercise.id()))
        })
        .collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn a_text_that_cannot_be_read_is_told() {
    let good = exercise("first-cycle");
    let spoil = |change: &dyn Fn(&mut Exercise)| {
        let mut exercise = Exercise::clone(&good);
        change(&mut exercise);
        faults(&exercise).len()
    };
    assert_eq!(spoil(&|_| ()), 0);
    assert_eq!(spoil(&|e| e.scenario.title = "First cycle".into()), 1);
    assert_eq!(spoil(&|e| e.training.expected[0].points += 1), 1);
    let long = "x".repeat(FIRST);
    assert_eq!(
        spoil(&|e| e.training.expected[0].text = format!("{long}. Why.")),
        1
    );
    assert_eq!(
        spoil(&|e| e.training.expected[0].text = format!("Short. {long}.")),
        0
    );
    assert_eq!(spoil(&|e| e.training.forbidden[0].why = "no end".into()), 1);
    assert_eq!(spoil(&|e| e.training.forbidden[0].id = "scored".into()), 1);
}

#[test]
fn the_readme_names_every_exercise_and_no_other() {
    let text = std::fs::read_to_string(folder().join("../README.md")).expect("the README is there");
    let mut named: Vec<&str> = text
        .lines()
        .filter_map(|line| line.strip_prefix("| `exercises/"))
        .filter_map(|rest| rest.split_once(".toml`"))
        .map(|(id, _)| id)
        .collect();
    named.sort_unstable();
    let there: Vec<String> = files(&folder()).iter().map(|path| stem(path)).collect();
    assert_eq!(named, there);
}

#[test]
fn every_file_says_first_that_it_is_invented() {
    let training = folder().join("../training");
    for folder in [folder(), training.clone(), training.join("batches")] {
        for path in files(&folder) {
            let text = std::fs::read_to_string(&path).expect("text");
            assert!(
                text.starts_with("# Invented for practice"),
                "{}",
                path.display()
            );
        }
    }
}

#[test]
fn no_rule_speaks_about_a_practice_recipe() {
    let recipes = files(&folder().join("../training"));
    assert!(!recipes.is_empty());
    for path in recipes {
        let set = load_set(&path, &Overrides::default())
            .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
        let case = Case {
            machine: &set.machine.value,
            batch: &set.batch.value,
            recipe: &set.recipe.value,
        };
        let told: Vec<String> = static_check::check(&case, &predict(&case, 1.0))
            .iter()
            .map(|finding| format!("{}: {}", finding.name(), finding.message))
            .collect();
        assert!(told.is_empty(), "{}: {told:#?}", path.display());
    }
}

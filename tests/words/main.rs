//! The catalogues: every language has every message, with the same arguments and attributes; every message is asked for, and every one
//! that is asked for is there; the pages have no words of their own.

use fluent_syntax::ast::{Entry, Expression, InlineExpression, Message, Pattern, PatternElement};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use twinplate_words::Language;

/// What a message is made of: names of its arguments and attributes; whether it has a value.
#[derive(Debug, Default, PartialEq)]
struct Made {
    value: bool,
    attributes: BTreeSet<String>,
    arguments: BTreeSet<String>,
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("..")
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn named(inline: &InlineExpression<String>, arguments: &mut BTreeSet<String>) {
    match inline {
        InlineExpression::VariableReference { id } => {
            arguments.insert(id.name.clone());
        }
        InlineExpression::Placeable { expression } => inner(expression, arguments),
        _ => {}
    }
}

fn inner(expression: &Expression<String>, arguments: &mut BTreeSet<String>) {
    match expression {
        Expression::Inline(inline) => named(inline, arguments),
        Expression::Select { selector, variants } => {
            named(selector, arguments);
            for variant in variants {
                of_pattern(&variant.value, arguments);
            }
        }
    }
}

fn of_pattern(pattern: &Pattern<String>, arguments: &mut BTreeSet<String>) {
    for element in &pattern.elements {
        if let PatternElement::Placeable { expression } = element {
            inner(expression, arguments);
        }
    }
}

fn made(message: &Message<String>) -> Made {
    let mut made = Made {
        value: message.value.is_some(),
        ..Made::default()
    };
    if let Some(pattern) = &message.value {
        of_pattern(pattern, &mut made.arguments);
    }
    for attribute in &message.attributes {
        made.attributes.insert(attribute.id.name.clone());
        of_pattern(&attribute.value, &mut made.arguments);
    }
    made
}

/// The messages of a file; each name once.
fn messages(path: &Path) -> BTreeMap<String, Made> {
    let resource = fluent_syntax::parser::parse(text(path))
        .unwrap_or_else(|(_, errors)| panic!("{}: {errors:?}", path.display()));
    let mut all = BTreeMap::new();
    for entry in &resource.body {
        match entry {
            Entry::Message(message) => {
                let name = message.id.name.clone();
                let before = all.insert(name.clone(), made(message));
                assert!(
                    before.is_none(),
                    "{}: {name} stands there twice",
                    path.display()
                );
            }
            Entry::Comment(_) | Entry::GroupComment(_) | Entry::ResourceComment(_) => {}
            other => panic!("{}: {other:?}", path.display()),
        }
    }
    all
}

fn catalogue(language: Language, room: &str) -> BTreeMap<String, Made> {
    messages(&root().join(format!(
        "sim-host/words/catalogues/{}/{room}.ftl",
        language.tag()
    )))
}

fn others() -> impl Iterator<Item = Language> {
    Language::ALL
        .into_iter()
        .filter(|language| *language != Language::English)
}

/// Catalogues of what the server says, and of the pages' own words.
const SAID: [&str; 4] = ["session", "acts", "debrief", "server"];
const PAGES: [&str; 4] = ["panel", "operator", "teacher", "review"];

#[test]
fn every_language_has_every_message_with_the_same_arguments() {
    let mut wrong = Vec::new();
    for room in SAID.iter().chain(&PAGES) {
        let english = catalogue(Language::English, room);
        assert!(!english.is_empty(), "{room}");
        for language in others() {
            let other = catalogue(language, room);
            for name in english.keys().chain(other.keys()).collect::<BTreeSet<_>>() {
                if english.get(name) != other.get(name) {
                    wrong.push(format!(
                        "{room} in {}: {name}: {:?}, in English {:?}",
                        language.tag(),
                        other.get(name),
                        english.get(name)
                    ));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_word_of_the_machine_stands_in_every_language() {
    let wanted: BTreeSet<String> = twinplate_train::machine_words::all()
        .into_iter()
        .map(|(id, _)| id)
        .collect();
    for language in others() {
        let there: BTreeSet<String> = catalogue(language, "machine").into_keys().collect();
        let missing: Vec<_> = wanted.difference(&there).collect();
        let unused: Vec<_> = there.difference(&wanted).collect();
        assert!(
            missing.is_empty() && unused.is_empty(),
            "{}: missing {missing:?}, unused {unused:?}",
            language.tag()
        );
    }
}

/// Files under a folder with one of these ends.
fn files(folder: &str, ends: &[&str]) -> Vec<PathBuf> {
    let mut all = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(&folder).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path
                .extension()
                .is_some_and(|end| ends.iter().any(|one| end == *one))
            {
                all.push(path);
            }
        }
    }
    all.sort();
    all
}

/// Every text between two such signs.
fn between<'a>(text: &'a str, before: &str, after: &str) -> Vec<&'a str> {
    text.split(before)
        .skip(1)
        .filter_map(|rest| rest.split(after).next())
        .collect()
}

/// Names of messages that are asked for in the scripts and pages, by literal calls and by the tables that name theirs.
fn asked_by_pages() -> BTreeSet<String> {
    let mut asked = BTreeSet::new();
    for path in files("sim-host/server/src/assets", &["js", "html"]) {
        let name = path.file_name().unwrap_or_default();
        if name == "fluent.js" || name == "uplot.js" {
            continue;
        }
        let text = text(&path);
        for found in [
            between(&text, "say(\"", "\""),
            between(&text, "data-say=\"", "\""),
        ] {
            asked.extend(found.into_iter().map(str::to_owned));
        }
        for line in between(&text, "// say: ", "\n") {
            asked.extend(line.split_whitespace().map(str::to_owned));
        }
    }
    asked
}

#[test]
fn the_pages_ask_for_every_message_and_for_no_other() {
    let asked = asked_by_pages();
    let there: BTreeSet<String> = PAGES
        .iter()
        .flat_map(|room| catalogue(Language::English, room).into_keys())
        .collect();
    let missing: Vec<_> = asked.difference(&there).collect();
    let unused: Vec<_> = there.difference(&asked).collect();
    assert!(
        missing.is_empty() && unused.is_empty(),
        "missing {missing:?}, unused {unused:?}"
    );
}

#[test]
fn the_server_asks_for_every_message_and_for_no_other() {
    let sources: String = ["sim-host/train/src", "sim-host/server/src"]
        .iter()
        .flat_map(|folder| files(folder, &["rs"]))
        .map(|path| text(&path))
        .collect();
    let there: BTreeSet<String> = SAID
        .iter()
        .flat_map(|room| catalogue(Language::English, room).into_keys())
        .collect();
    let literal: BTreeSet<&str> = sources.split('"').collect();
    let unused: Vec<_> = there
        .iter()
        .filter(|name| !literal.contains(name.as_str()))
        .collect();
    let asked: BTreeSet<&str> = [
        between(&sources, "say(\"", "\""),
        between(&sources, "tell(\"", "\""),
        between(&sources, "tell(\n            \"", "\""),
        between(&sources, "tell(\n                \"", "\""),
        between(&sources, "tell(\n                    \"", "\""),
    ]
    .into_iter()
    .flatten()
    .collect();
    let missing: Vec<_> = asked
        .iter()
        .filter(|name| !there.contains(**name))
        .collect();
    assert!(
        missing.is_empty() && unused.is_empty(),
        "missing {missing:?}, unused {unused:?}"
    );
}

#[test]
fn every_exercise_can_be_read_in_every_language() {
    for path in files("recipes/exercises", &["toml"]) {
        let exercise = twinplate_train::exercise::load(&path)
            .unwrap_or_else(|errors| panic!("{}: {errors:?}", path.display()));
        let wanted: BTreeSet<String> = exercise.texts().into_iter().map(|(id, _)| id).collect();
        for language in others() {
            let file = root().join(format!(
                "recipes/exercises/words/{}/{}.ftl",
                language.tag(),
                exercise.id()
            ));
            let there: BTreeSet<String> = messages(&file).into_keys().collect();
            assert_eq!(there, wanted, "{}", file.display());
        }
    }
}

/// Text of a page that no message gives: between its tags, and not of the caution of scripts.
#[test]
fn the_pages_have_no_words_of_their_own() {
    let mut wrong = Vec::new();
    for path in files("sim-host/server/src/assets", &["html"]) {
        let page = text(&path);
        let body = page.split("<body").nth(1).expect("a body");
        for piece in body.split('<').skip(1) {
            let (tag, said) = piece.split_once('>').unwrap_or((piece, ""));
            let own = tag.starts_with("option") && tag.contains("lang=");
            if said.chars().any(char::is_alphabetic) && !own {
                wrong.push(format!("{}: {}", path.display(), said.trim()));
            }
            for attribute in ["aria-label=\"", "title=\"", "placeholder=\""] {
                wrong.extend(
                    between(tag, attribute, "\"")
                        .into_iter()
                        .map(|said| format!("{}: {attribute}{said}", path.display())),
                );
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

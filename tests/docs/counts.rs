//! What the pages say there is, counted: exercises, their scripts, verbs.

use crate::pages::{read, root};
use clap::CommandFactory;

/// Files in a folder of the repository that end in `ending`.
fn files(folder: &str, ending: &str) -> Vec<std::path::PathBuf> {
    let mut found: Vec<_> = std::fs::read_dir(root().join(folder))
        .expect("folder")
        .map(|entry| entry.expect("entry").path())
        .filter(|path| path.extension() == Some(ending.as_ref()))
        .collect();
    found.sort();
    found
}

/// A number as the pages write it at the beginning of a sentence.
fn word(number: usize) -> &'static str {
    const FROM_TEN: [&str; 21] = [
        "Ten",
        "Eleven",
        "Twelve",
        "Thirteen",
        "Fourteen",
        "Fifteen",
        "Sixteen",
        "Seventeen",
        "Eighteen",
        "Nineteen",
        "Twenty",
        "Twenty-one",
        "Twenty-two",
        "Twenty-three",
        "Twenty-four",
        "Twenty-five",
        "Twenty-six",
        "Twenty-seven",
        "Twenty-eight",
        "Twenty-nine",
        "Thirty",
    ];
    FROM_TEN[number - 10]
}

#[test]
fn the_pages_count_the_exercises_that_there_are() {
    let exercises = files("recipes/exercises", "toml");
    let scripts = files("recipes/exercises/scripts", "txt");
    let says = |path: &std::path::PathBuf, what: &str| {
        std::fs::read_to_string(path)
            .expect("exercise")
            .contains(what)
    };
    // What draws one of them is none.
    let number = exercises
        .iter()
        .filter(|path| !says(path, "[assessment]"))
        .count();
    let readme = read("README.md");
    assert!(
        readme.contains(&format!("\n{} exercises", word(number))),
        "README.md counts the exercises wrong: there are {number}"
    );
    let counted = format!("{number} exercises, {} scripts", scripts.len());
    assert!(
        read("docs/assurance.md").contains(&counted),
        "docs/assurance.md does not say {counted}"
    );
    let set = read("recipes/README.md");
    for exercise in &exercises {
        let name = exercise.file_name().and_then(|n| n.to_str()).expect("name");
        let guided = says(exercise, "[[training.guide]]");
        let row = format!(
            "| `exercises/{name}` | {} |",
            if guided { "yes" } else { "" }
        );
        assert!(set.contains(&row), "recipes/README.md has no row {row}");
    }
}

/// A page that says what the program does names every verb it has, and calls none of them missing.
#[test]
fn the_pages_name_every_verb_and_miss_none() {
    let program = twinplate::cli::args::Typed::command();
    let verbs: Vec<&str> = program.get_subcommands().map(|v| v.get_name()).collect();
    assert!(verbs.len() >= 5, "{verbs:?}");
    for (page, before) in [("README.md", "| `"), ("docs/job.md", "- `")] {
        let text = read(page);
        for verb in &verbs {
            let entry = format!("\n{before}{verb}`");
            assert!(text.contains(&entry), "{page} does not tell of `{verb}`");
        }
    }
    for page in ["README.md", "docs/job.md", "docs/files-and-verbs.md"] {
        for line in read(page).lines().filter(|l| l.starts_with("Not yet")) {
            for verb in &verbs {
                assert!(!line.contains(verb), "{page} misses what is there: {line}");
            }
        }
    }
}

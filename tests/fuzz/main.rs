//! Fuzzing in the normal suite: every target on its corpus, on the good and the bad files of the sources, and on a fixed number of
//! mutations of them. `tests/fuzz/run` is the long run of the same targets.

mod bounds;
mod mutate;
mod table;
mod targets;

use mutate::Mutator;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::time::{Duration, Instant};
use targets::{TARGETS, Target, root};
use twinplate_sim::bench::ensemble;

/// Mutations of each target in the normal run; `FUZZ_CASES` gives another number.
const CASES: usize = 150;
/// Longest entry that is mutated, bytes: larger ones are read as they are.
const LONGEST: usize = 16 << 10;
/// An execution that takes longer hangs: they take milliseconds, in a test build on a busy computer tens of them.
const HANGS: Duration = Duration::from_secs(20);

/// Files of a folder, in the order of their names.
fn files(folder: &Path, begins: &str) -> Vec<Vec<u8>> {
    let entries =
        std::fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let mut paths: Vec<_> = entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.is_file())
        .filter(|path| {
            path.file_name()
                .is_some_and(|name| name.to_string_lossy().starts_with(begins))
        })
        .collect();
    paths.sort();
    assert!(
        !paths.is_empty(),
        "nothing in {} begins with `{begins}`",
        folder.display()
    );
    paths
        .iter()
        .map(|path| std::fs::read(path).expect("a file"))
        .collect()
}

/// Corpus and seeds of a target.
fn entries(target: &Target) -> Vec<Vec<u8>> {
    let mut all = files(&root().join("tests/fuzz/corpus").join(target.name), "");
    for (folder, begins) in target.seeds {
        all.extend(files(&root().join(folder), begins));
    }
    all
}

/// One execution; where it fails the bytes are kept.
fn execute(target: &Target, bytes: &[u8]) {
    let begun = Instant::now();
    let ended = catch_unwind(AssertUnwindSafe(|| (target.run)(bytes)));
    if ended.is_ok() && begun.elapsed() < HANGS {
        return;
    }
    let path = std::env::temp_dir().join(format!("twinplate-fuzz-{}", target.name));
    std::fs::write(&path, bytes).expect("the bytes are kept");
    panic!(
        "{} {} on {}",
        target.name,
        if ended.is_ok() { "hangs" } else { "fails" },
        path.display()
    );
}

#[test]
fn no_entry_and_no_mutation_of_it_panics_hangs_or_breaks_a_rule() {
    let cases = std::env::var("FUZZ_CASES")
        .map_or(CASES, |cases| cases.parse().expect("a number of cases"));
    let threads = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    ensemble(TARGETS.len(), threads, &|_| (), |index| {
        let target = &TARGETS[index];
        let entries = entries(target);
        for entry in &entries {
            execute(target, entry);
        }
        let small: Vec<&[u8]> = entries
            .iter()
            .map(Vec::as_slice)
            .filter(|entry| entry.len() <= LONGEST)
            .collect();
        let mut mutator = Mutator::new(index as u64);
        for _ in 0..cases {
            execute(target, &mutator.mutated(&small));
        }
    });
}

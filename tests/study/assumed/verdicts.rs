//! Verdicts on short machine files beside those on the full ones, for good jobs and bad ones.

use super::{SAMPLE, checked, recipes, short, short_check, short_path, with_keys};
use crate::bad_jobs::{BAD, Bad, DRAWS};
use crate::pages;
use crate::trials::Set;
use std::path::Path;
use twinplate_check::Case;
use twinplate_check::check::Checked;
use twinplate_check::verdict::Verdict;
use twinplate_sim::demo;
use twinplate_sim::files::parse_machine;
use twinplate_sim::model::Machine;

const PAGE: &str = "docs/measure-your-machine.md";
/// Draws of the committed table of good jobs: those of `check`.
const ALL: usize = 200;
/// Draws of the committed table of bad jobs.
const OF_BAD: usize = 20;

fn on(machine: &Machine, set: &Set, draws: usize) -> Checked {
    let case = Case {
        machine,
        batch: &set.1,
        recipe: &set.2,
    };
    checked(&case, draws)
}

/// Without trying the assumed keys one by one, which can only add errors.
fn unranked(machine: &Machine, set: &Set, draws: usize) -> Verdict {
    let case = Case {
        machine,
        batch: &set.1,
        recipe: &set.2,
    };
    super::unranked(&case, draws)
}

/// Keys with which a check says that it fails, sorted.
fn deciding(checked: &Checked) -> Vec<&'static str> {
    let list = checked.report.assumed.as_ref();
    let keys = list.iter().flat_map(|list| &list.keys);
    let mut keys: Vec<&str> = keys
        .filter(|key| key.fails.is_some())
        .map(|key| key.key)
        .collect();
    keys.sort_unstable();
    keys
}

fn listed(keys: &[&str]) -> String {
    let names: Vec<String> = keys.iter().map(|key| format!("`{key}`")).collect();
    if names.is_empty() {
        "none".to_owned()
    } else {
        names.join(", ")
    }
}

/// The short file with some keys as the full one has them.
fn with_measured(id: &str, keys: &[&str]) -> Machine {
    let full =
        std::fs::read_to_string(recipes().join(format!("machines/{id}.toml"))).expect("text");
    let mut text = std::fs::read_to_string(short_path(id)).expect("text");
    let mut given = Vec::new();
    for path in keys {
        let (table, key) = path.rsplit_once('.').expect("a table");
        let (_, rest) = full.split_once(&format!("[{table}]\n")).expect("the table");
        let line = rest
            .lines()
            .find_map(|line| line.strip_prefix(&format!("{key} = ")));
        let value = line.expect("the key").to_owned();
        match table.strip_prefix("drives.") {
            Some(drive) => {
                text = text.replace(
                    &format!("{drive} = {{ "),
                    &format!("{drive} = {{ {key} = {value}, "),
                );
            }
            None => given.push(((*path).to_owned(), value)),
        }
    }
    parse_machine(Path::new("short.toml"), &with_keys(&text, &given))
        .expect("reads")
        .value
}

/// A row of the table of good jobs: full, short, and short with what decides measured.
fn good_row(recipe: &str, draws: usize) -> Vec<String> {
    let set = demo::set(recipe);
    let id = set.0.id.clone();
    let full = on(&set.0, &set, draws).report.verdict;
    let found = short_check(recipe, draws);
    let keys = deciding(found);
    assert!(
        found.report.verdict >= full,
        "{recipe}: the short file is bolder, {:?} where the full one has {full:?}",
        found.report.verdict
    );
    let measured = if keys.is_empty() {
        "-".to_owned()
    } else {
        let again = on(&with_measured(&id, &keys), &set, draws);
        again.report.verdict.word().to_owned()
    };
    vec![
        format!("`{recipe}`"),
        full.word().to_owned(),
        found.report.verdict.word().to_owned(),
        found.report.envelope.failed.to_string(),
        listed(&keys),
        measured,
    ]
}

const GOOD_HEAD: [&str; 6] = [
    "recipe",
    "full file",
    "short file",
    "runs failed",
    "keys that decide",
    "with those measured",
];

/// Rows of a block of the page that begin so.
pub fn committed(block: &str, first: &str) -> Vec<String> {
    let text = pages::read(PAGE);
    let (_, rest) = text
        .split_once(&format!("<!-- generated: {block} -->\n"))
        .expect("the block");
    rest.lines()
        .take_while(|line| *line != "<!-- end -->")
        .find(|line| line.starts_with(&format!("| {first} |")))
        .expect("the row")
        .trim_matches('|')
        .split(" | ")
        .map(|cell| cell.trim().to_owned())
        .collect()
}

/// At its wider envelope a short file gives the verdict of the full one or a more cautious one; where it is more cautious, measuring what
/// it names gives the full file's verdict. A sample; the page has all draws.
#[test]
fn short_files_are_no_bolder_and_name_what_to_measure() {
    for recipe in demo::recipes() {
        let row = committed("short-verdicts", &format!("`{recipe}`"));
        let found = short_check(&recipe, SAMPLE);
        assert_eq!(row[1], "pass", "{recipe}");
        assert_eq!(row[2], found.report.verdict.word(), "{recipe}");
        assert_eq!(row[4], listed(&deciding(found)), "{recipe}");
        assert!(row[5] == "-" || row[5] == row[1], "{recipe}: {row:?}");
        // As many keys are told first as there is room for.
        let list = found.report.assumed.as_ref().expect("a list");
        assert_eq!(
            list.first().count(),
            twinplate_check::assumed::FIRST,
            "{recipe}"
        );
    }
    assert_eq!(
        good_row("steel-f400", SAMPLE),
        committed("short-verdicts", "`steel-f400`")
    );
}

/// Minutes: the table of good jobs with all draws.
#[test]
#[ignore = "minutes: UPDATE=1 cargo test --release -p twinplate-tests --test study -- --ignored"]
fn good_jobs_on_short_files() {
    let rows: Vec<Vec<String>> = demo::recipes()
        .iter()
        .map(|recipe| good_row(recipe, ALL))
        .collect();
    pages::check(PAGE, "short-verdicts", &pages::table(&GOOD_HEAD, rows));
}

fn bad_sets((name, _, change, _, _): &Bad) -> [Set; 2] {
    let mut full = demo::set(name);
    let mut cut = (short(&full.0.id), full.1.clone(), full.2.clone());
    change(&mut full);
    change(&mut cut);
    [full, cut]
}

/// A job that is bad is bad on a short file as well: it never passes without a word, and with the draws of the page it fails where the full
/// file fails.
#[test]
fn bad_jobs_are_bad_on_short_files_too() {
    let mut bolder = Vec::new();
    for bad in BAD {
        let [_, cut] = bad_sets(bad);
        if unranked(&cut.0, &cut, DRAWS) == Verdict::Pass {
            bolder.push(format!("{}, {}", bad.0, bad.1));
        }
        let row = committed("short-bad", &format!("`{}` | {}", bad.0, bad.1));
        assert_eq!(row[2], row[3], "{row:?}");
    }
    assert!(bolder.is_empty(), "{bolder:#?}");
}

/// Minutes: the table of bad jobs, the assumed keys not tried one by one.
#[test]
#[ignore = "minutes: UPDATE=1 cargo test --release -p twinplate-tests --test study -- --ignored"]
fn bad_jobs_on_short_files() {
    let rows: Vec<Vec<String>> = BAD
        .iter()
        .map(|bad| {
            let [full, cut] = bad_sets(bad).map(|set| unranked(&set.0, &set, OF_BAD));
            assert!(
                cut >= full,
                "{}, {}: {cut:?} where the full file has {full:?}",
                bad.0,
                bad.1
            );
            [&format!("`{}`", bad.0), bad.1, full.word(), cut.word()]
                .map(ToString::to_string)
                .to_vec()
        })
        .collect();
    let head = ["good recipe", "made bad", "full file", "short file"];
    pages::check(PAGE, "short-bad", &pages::table(&head, rows));
}

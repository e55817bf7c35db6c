//! The search against random draws from the same box at equal evaluations: the table of the book.

use crate::{job, sought_for};
use sim_host::study::seek::Target;
use std::path::{Path, PathBuf};

/// Evaluations of the search, and as many draws. Fixed before the table was first made.
const EVALUATIONS: usize = 300;
/// Pairs in which the search must do better.
const BETTER: usize = 8;

/// Ten pairs of recipe and requirement, fixed before the table was first made: each recipe once or twice, and every requirement whose
/// margin the envelope moves.
const PAIRS: [(&str, Target); 10] = [
    ("glass-f800", Target::LoadLimit),
    ("glass-f800", Target::PartContact),
    ("alumina-diamond", Target::LoadLimit),
    ("alumina-diamond", Target::Spread),
    ("steel-f400", Target::LoadLimit),
    ("steel-f400", Target::FirstContact),
    ("zirconia-fixed", Target::Spread),
    ("silicon-f1000", Target::LoadLimit),
    ("silicon-f1000", Target::PartContact),
    ("glass-polish", Target::Size),
];

fn page() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../docs/falsification.md")
}

const BEGIN: &str = "<!-- measured: comparison -->\n";
const END: &str = "<!-- end -->";

/// The measured block of the page.
fn block(text: &str) -> &str {
    text.split_once(BEGIN)
        .and_then(|(_, rest)| rest.split_once(END))
        .expect("the page has the block")
        .0
}

#[test]
#[ignore = "minutes: UPDATE_DOCS=1 cargo test --release -p twinplate-tests --test seek comparison -- --ignored"]
fn comparison_with_random_draws() {
    let mut table = String::from(
        "| recipe | requirement | unit | limit | search | evaluations | random | draws | better |\n|---|---|---|---|---|---|---|---|---|\n",
    );
    let mut better = 0;
    for (name, target) in PAIRS {
        let (_, found) = sought_for(job(name), target, EVALUATIONS, false);
        let (worst, drawn) = (
            found.worst.as_ref().expect("evaluated"),
            found.drawn.as_ref().expect("drawn"),
        );
        let wins = worst.measured.margin < drawn.measured.margin;
        better += usize::from(wins);
        let line = format!(
            "| `{name}` | {} | {} | {:.4} | {:.4} | {} | {:.4} | {} | {} |\n",
            target.what(),
            target.unit(),
            worst.measured.limit,
            worst.measured.margin,
            found.evaluations,
            drawn.measured.margin,
            found.draws,
            if wins { "search" } else { "random" }
        );
        print!("{line}");
        table.push_str(&line);
    }
    table.push_str(&format!(
        "\nThe search's worst margin is below the draws' in {better} of {} pairs.\n",
        PAIRS.len()
    ));
    if std::env::var_os("UPDATE_DOCS").is_some() {
        let text = std::fs::read_to_string(page()).expect("page");
        let (head, rest) = text.split_once(BEGIN).expect("the page has the block");
        let (_, tail) = rest.split_once(END).expect("the block has an end");
        let fresh = format!("{head}{BEGIN}{table}{END}{tail}");
        std::fs::write(page(), fresh).expect("written");
    }
    assert!(better >= BETTER, "{better} of {}:\n{table}", PAIRS.len());
}

/// What the page says is what it is allowed to say: every pair is there at equal evaluations, and the count is right.
#[test]
fn the_page_holds_all_pairs_and_counts_them_right() {
    let text = std::fs::read_to_string(page()).expect("page");
    let rows: Vec<Vec<&str>> = block(&text)
        .lines()
        .filter(|line| line.starts_with("| `"))
        .map(|line| line.trim_matches('|').split('|').map(str::trim).collect())
        .collect();
    let named: Vec<(&str, &str)> = rows
        .iter()
        .map(|row| (row[0].trim_matches('`'), row[1]))
        .collect();
    assert_eq!(named, PAIRS.map(|(name, target)| (name, target.what())));
    let number = |text: &str| text.parse::<f64>().expect("a number");
    let mut better = 0;
    for row in &rows {
        // Whole generations: the draws keep step with them.
        assert_eq!(row[5], row[7], "{row:?}");
        assert!(number(row[5]) >= EVALUATIONS as f64, "{row:?}");
        better += usize::from(row[8] == "search");
        assert!(
            number(row[4]) <= number(row[6]) || row[8] == "random",
            "{row:?}"
        );
    }
    assert!(better >= BETTER);
    assert!(block(&text).contains(&format!("in {better} of {} pairs", PAIRS.len())));
}

/// Two pairs that cost little, in every test run.
#[test]
fn the_search_does_better_than_as_many_draws() {
    for (name, target) in [
        ("glass-f800", Target::FirstContact),
        ("silicon-f1000", Target::PartContact),
    ] {
        let (_, found) = sought_for(job(name), target, 150, false);
        let margin = |case: &Option<sim_host::study::seek::Case>| {
            case.as_ref().map(|case| case.measured.margin)
        };
        assert!(
            margin(&found.worst) < margin(&found.drawn),
            "{name}: {}",
            crate::told(&found)
        );
    }
}

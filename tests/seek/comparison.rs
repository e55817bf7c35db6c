//! The search against random draws from the same box at equal evaluations: the table of the book.

use crate::page::{block, number, rows, update};
use crate::{beside_draws, job, told};
use twinplate_falsify::seek::Target;

/// Evaluations of the search, and as many draws. Fixed before the table was first made.
const EVALUATIONS: usize = 300;
/// Pairs in which the search must do better.
const BETTER: usize = 8;
/// Seed of the search and of the draws.
const SEED: u64 = 1;

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

#[test]
#[ignore = "minutes: UPDATE=1 cargo test --release -p twinplate-tests --test seek comparison_with -- --ignored"]
fn comparison_with_random_draws() {
    let mut table = String::from(
        "| recipe | requirement | unit | limit | search | evaluations | random | draws | better |\n|---|---|---|---|---|---|---|---|---|\n",
    );
    let mut better = 0;
    for (name, target) in PAIRS {
        let found = beside_draws(job(name), target, EVALUATIONS, SEED);
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
    update("comparison", &table);
    assert!(better >= BETTER, "{better} of {}:\n{table}", PAIRS.len());
}

/// What the page says is what it is allowed to say: every pair is there at equal evaluations, and the count is right.
#[test]
fn the_page_holds_all_pairs_and_counts_them_right() {
    let text = block("comparison");
    let rows = rows(&text);
    let named: Vec<(&str, &str)> = rows
        .iter()
        .map(|row| (row[0].trim_matches('`'), row[1]))
        .collect();
    assert_eq!(named, PAIRS.map(|(name, target)| (name, target.what())));
    let mut better = 0;
    for row in &rows {
        assert_eq!(row[5], row[7], "{row:?}");
        assert!(number(row[5]) >= EVALUATIONS as f64, "{row:?}");
        better += usize::from(row[8] == "search");
        assert!(
            number(row[4]) <= number(row[6]) || row[8] == "random",
            "{row:?}"
        );
    }
    assert!(better >= BETTER);
    assert!(text.contains(&format!("in {better} of {} pairs", PAIRS.len())));
}

/// Two pairs that cost little, in every test run.
#[test]
fn the_search_does_better_than_as_many_draws() {
    for (name, target) in [
        ("glass-f800", Target::FirstContact),
        ("silicon-f1000", Target::PartContact),
    ] {
        let found = beside_draws(job(name), target, 200, SEED);
        assert!(
            found.worst.as_ref().map(|case| case.measured.margin)
                < found.drawn.as_ref().map(|case| case.measured.margin),
            "{name}: {}",
            told(&found)
        );
    }
}

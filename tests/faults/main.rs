//! The fault matrix against its page and its tables: what `docs/fault-matrix.md` and the files in `docs/fault-matrix` say is what
//! the run gives, and everything is as declared.
//!
//! A row that is left out must be missed (`deleted.rs`). What is spared by forks that meet changes nothing (`ahead.rs`).
//!
//! The normal run does one machine; `FAULTS=all` does all three, and `UPDATE=1 FAULTS=all` rewrites page and tables. Read the
//! difference before you commit it.

#[path = "../docs/pages.rs"]
mod pages;

mod ahead;
mod deleted;
mod own;
mod random;

use pages::{check, check_file, csv, read, root, table};
use std::sync::LazyLock;
use twinplate::report::fault_declarations as declared;
use twinplate::report::faults as draw;
use twinplate::report::fit;
use twinplate_falsify::faults::{Bed, Matrix, MatrixPlan, matrix, whole};
use twinplate_sim::bench::Job;
use twinplate_sim::files::{Overrides, load_set, render_errors};
use twinplate_sim::model::Shown;
use twinplate_sim::plant::fault_table::{SUPPORTED, Supported};

const PAGE: &str = "docs/fault-matrix.md";
/// Lines that the page may have: what is longer stands in a table beside it.
const LONGEST_PAGE: usize = 150;
/// One recipe a machine; each takes its machine's parts nearest to what they bear or its drives nearest to their torque.
const RECIPES: [&str; 3] = ["glass-f800", "zirconia-fixed", "silicon-f1000"];
/// The other demonstration recipes: they have no tables on the page, but are as declared all the same.
const OTHERS: [&str; 3] = ["alumina-diamond", "steel-f400", "glass-polish"];
/// One cell of theirs in so many is tried in the normal run; `FAULTS=all` tries every one.
const ONE_IN: usize = 20;
/// Seed of the page.
const SEED: u64 = 1;

/// All three machines, not the first alone.
fn all() -> bool {
    std::env::var_os("FAULTS").is_some_and(|which| which == "all")
}

fn threads() -> usize {
    std::thread::available_parallelism().map_or(2, usize::from)
}

fn job(recipe: &str) -> Job {
    let path = root().join(format!("recipes/recipes/{recipe}.toml"));
    let set = load_set(&path, &Overrides::default())
        .unwrap_or_else(|e| panic!("{}", render_errors(&e, false)));
    Job::new(set.machine.value, set.batch.value, set.recipe.value).expect("demo recipes compile")
}

/// Numbers of the cells of these faults, at every moment.
fn numbers(bed: &Bed, wanted: impl Fn(&Supported) -> bool) -> Vec<usize> {
    let moments = bed.count() / SUPPORTED.len();
    (0..bed.count())
        .filter(|number| wanted(&SUPPORTED[number / moments]))
        .collect()
}

/// The matrices that this run looks at, each with its job.
static MATRICES: LazyLock<Vec<(&str, Job, Matrix)>> = LazyLock::new(|| {
    RECIPES[..if all() { RECIPES.len() } else { 1 }]
        .iter()
        .map(|recipe| {
            let job = job(recipe);
            let options = MatrixPlan {
                threads: threads(),
                seed: SEED,
            };
            let matrix =
                matrix(&job, options, &|_, _| ()).unwrap_or_else(|e| panic!("{recipe}: {e}"));
            (*recipe, job, matrix)
        })
        .collect()
});

#[test]
fn the_page_is_what_the_run_gives_and_everything_is_as_declared() {
    for (recipe, _, matrix) in MATRICES.iter() {
        let failing: String = matrix
            .failing()
            .take(20)
            .map(|cell| draw::failure(cell, &Shown::default()))
            .collect();
        let pairs: String = matrix
            .pairs
            .iter()
            .filter(|pair| !pair.passes())
            .map(|pair| draw::pair_failure(pair, &Shown::default()))
            .collect();
        let unlisted = matrix.unlisted();
        assert!(failing.is_empty(), "{recipe}:\n{failing}");
        assert!(pairs.is_empty(), "{recipe}:\n{pairs}");
        assert!(unlisted.is_empty(), "{recipe}: {unlisted:?}");
        assert!(matrix.passes());
        check_file(
            &file(recipe, "unnoticed"),
            &csv(
                &[
                    "component",
                    "mode",
                    "what happens",
                    "what would notice it",
                    "what it costs",
                    "seen in the run",
                ],
                draw::unnoticed_rows(matrix),
            ),
        );
        check_file(
            &file(recipe, "matrix"),
            &csv(&draw::heads(matrix), draw::rows(matrix)),
        );
        check_file(
            &file(recipe, "pairs"),
            &csv(
                &["pair", "faults", "the first begins in", "row", "harm"],
                draw::pair_rows(matrix),
            ),
        );
    }
    check(PAGE, "summary", &summaries());
    let lines = read(PAGE).lines().count();
    assert!(lines <= LONGEST_PAGE, "{PAGE} has {lines} lines");
}

/// The verb's whole text of a matrix, on terminals of eighty and of sixty columns: only a line of one word may be wider.
#[test]
fn what_is_said_of_a_matrix_fits_the_terminal() {
    let shown = &Shown::default();
    for (recipe, _, matrix) in MATRICES.iter() {
        let mut text = draw::summary(matrix) + &draw::declared_text(matrix, shown);
        let cells = matrix.cells.iter();
        text.extend(cells.map(|cell| draw::failure(cell, shown)));
        let pairs = matrix.pairs.iter();
        text.extend(pairs.map(|pair| draw::pair_failure(pair, shown)));
        for columns in [80, 60] {
            for line in fit(&text, columns).lines() {
                let wide = line.chars().count() > columns;
                assert!(
                    !wide || line.split_whitespace().count() < 2,
                    "{recipe}, {columns} columns: {line}"
                );
            }
        }
    }
}

/// A table beside the page.
fn file(recipe: &str, name: &str) -> String {
    format!("docs/fault-matrix/{recipe}-{name}.csv")
}

/// The numbers of the three machines, a column each. Where a run leaves a machine out, its column is the page's own.
fn summaries() -> String {
    let page = read(PAGE);
    let kept = |what: &str, column: usize| {
        page.lines()
            .find_map(|line| line.strip_prefix(&format!("| {what} | ")))
            .and_then(|cells| cells.trim_end_matches(" |").split(" | ").nth(column))
            .unwrap_or("not run")
            .to_owned()
    };
    let runs: Vec<Vec<(&str, String)>> =
        MATRICES.iter().map(|(_, _, m)| draw::numbers(m)).collect();
    let rows = runs[0].iter().enumerate().map(|(index, (what, _))| {
        let mut row = vec![(*what).to_owned()];
        row.extend((0..RECIPES.len()).map(|column| {
            runs.get(column)
                .map_or_else(|| kept(what, column), |run| run[index].1.clone())
        }));
        row
    });
    let heads = RECIPES.map(|recipe| format!("`{recipe}`"));
    let mut head = vec![""];
    head.extend(heads.iter().map(String::as_str));
    table(&head, rows)
}

#[test]
fn the_other_recipes_are_as_declared_too() {
    for recipe in OTHERS {
        let bed = Bed::new(&job(recipe), SEED, &whole).unwrap_or_else(|e| panic!("{recipe}: {e}"));
        let every = if all() { 1 } else { ONE_IN };
        let numbers: Vec<usize> = (0..bed.count()).step_by(every).collect();
        let cells = bed.cells(&numbers, threads(), &|_| ()).expect("in process");
        assert_eq!(cells.len(), numbers.len(), "{recipe}");
        let failing: String = cells
            .iter()
            .filter(|cell| !cell.passes())
            .take(20)
            .map(|cell| draw::failure(cell, &Shown::default()))
            .collect();
        assert!(failing.is_empty(), "{recipe}:\n{failing}");
    }
}

#[test]
fn what_is_stated_beforehand_stands_on_the_page() {
    check(
        PAGE,
        "kinds",
        &table(&["mark", "harm", "to", "from when on"], declared::kinds()),
    );
    check(
        PAGE,
        "declared",
        &table(
            &[
                "component",
                "mode",
                "fault begins in",
                "harm",
                "why no controller prevents it",
            ],
            declared::declarations(),
        ),
    );
    check_file(
        "docs/fault-matrix/pairs-declared.csv",
        &csv(
            &["one fault", "the other", "harm", "why"],
            declared::masks(),
        ),
    );
    check_file(
        "docs/fault-matrix/slower-stops.csv",
        &csv(
            &["component", "mode", "what takes longer", "why"],
            declared::excuses(),
        ),
    );
}

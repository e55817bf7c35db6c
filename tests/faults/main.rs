//! The fault matrix against its page: what `docs/fault-matrix.md` says is what the run gives, and everything is as declared.
//!
//! The normal run does one machine; `FAULTS=all` does all three, and `UPDATE=1 FAULTS=all` rewrites the page. Read the
//! difference before you commit it.

#[path = "../docs/pages.rs"]
mod pages;

use pages::{check, root, table};
use sim_host::bench::Job;
use sim_host::files::{Overrides, load_set, render_errors};
use sim_host::report::faults as draw;
use sim_host::study::faults::{Matrix, Options, matrix};

const PAGE: &str = "docs/fault-matrix.md";
/// One recipe a machine; each takes its machine's parts nearest to what they bear or its drives nearest to their torque.
const RECIPES: [&str; 3] = ["glass-f800", "zirconia-fixed", "silicon-f1000"];

fn run(recipe: &str) -> Matrix {
    let path = root().join(format!("recipes/recipes/{recipe}.toml"));
    let set = load_set(&path, &Overrides::default())
        .unwrap_or_else(|e| panic!("{}", render_errors(&e, false)));
    let job = Job::new(set.machine.value, set.batch.value, set.recipe.value)
        .expect("demo recipes compile");
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    let options = Options { threads, seed: 1 };
    matrix(&job, options, &|_, _| ()).unwrap_or_else(|e| panic!("{recipe}: {e}"))
}

#[test]
fn the_page_is_what_the_run_gives_and_everything_is_as_declared() {
    let all = std::env::var_os("FAULTS").is_some_and(|which| which == "all");
    for recipe in &RECIPES[..if all { RECIPES.len() } else { 1 }] {
        let matrix = run(recipe);
        let failing: String = matrix.failing().take(20).map(draw::failure).collect();
        let unlisted = matrix.unlisted();
        assert!(failing.is_empty(), "{recipe}:\n{failing}");
        assert!(unlisted.is_empty(), "{recipe}: {unlisted:?}");
        let block = |name: &str| format!("{name} {recipe}");
        check(
            PAGE,
            &block("summary"),
            &format!("```\n{}```\n", draw::summary(&matrix)),
        );
        check(
            PAGE,
            &block("rows"),
            &table(
                &["row", "name", "cells it answered first"],
                draw::first_rows(&matrix),
            ),
        );
        check(
            PAGE,
            &block("unnoticed"),
            &table(
                &[
                    "fault",
                    "what happens",
                    "what would notice it",
                    "what it costs",
                    "seen in the run",
                ],
                draw::unnoticed_rows(&matrix),
            ),
        );
        check(
            PAGE,
            &block("matrix"),
            &table(&draw::heads(&matrix), draw::rows(&matrix)),
        );
    }
}

#[test]
fn what_is_stated_beforehand_stands_on_the_page() {
    check(
        PAGE,
        "kinds",
        &table(&["mark", "harm", "to", "from when on"], draw::kinds()),
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
            draw::declarations(),
        ),
    );
    check(
        PAGE,
        "excuses",
        &table(
            &["component", "mode", "what takes longer", "why"],
            draw::excuses(),
        ),
    );
}

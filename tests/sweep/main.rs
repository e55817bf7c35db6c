//! More than one recipe at once, held against single checks: every point of a sweep against a recipe edited by hand, the edge of the
//! feasible region against bisection, a route against what its stages leave.

mod beside;
mod points;
mod route;

use std::path::{Path, PathBuf};
use twinplate_check::check::{Request, check};
use twinplate_check::trials::TrialPlan;
use twinplate_check::verdict::CheckReport;
use twinplate_check::{Case, locate};
use twinplate_sim::files::{Overrides, Set, load_set, render_errors};

fn demo(path: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../recipes")
        .join(path)
}

fn set_of(path: &str) -> Set {
    load_set(&demo(path), &Overrides::default())
        .unwrap_or_else(|e| panic!("{}", render_errors(&e, false)))
}

fn plan(draws: usize, threads: usize) -> TrialPlan {
    TrialPlan {
        draws,
        threads,
        seed: 1,
    }
}

/// A check as anybody would make it.
fn checked(set: &Set, draws: usize) -> CheckReport {
    let request = Request {
        trials: plan(draws, 2),
        locate: &|place| locate(set, place),
        waivers: &[],
        replay: &|run| format!("run {run}"),
        progress: &|_| (),
        judged: &|_| (),
    };
    check(&Case::of(set), &request)
        .expect("a controller in process")
        .report
}

/// A folder of this test's own, made anew.
fn scratch(name: &str) -> PathBuf {
    let folder =
        std::env::temp_dir().join(format!("twinplate-sweep-{}-{name}", std::process::id()));
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a folder");
    folder
}

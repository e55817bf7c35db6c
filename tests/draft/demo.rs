//! Each demonstration batch on its machine, with the demonstration shelf: the draft passes `check` as it is.

use twinplate_check::check::{Request, check};
use twinplate_check::trials::TrialPlan;
use twinplate_check::{Case, Severity};
use twinplate_draft::{Brought, Goal, Order, Stage, Trials, draft};
use twinplate_sim::demo;
use twinplate_sim::files::{load_shelf, parse_recipe, render_errors};
use twinplate_sim::model::{Batch, Machine, Shelf, Shown};

pub(crate) fn shelf() -> Shelf {
    load_shelf(&demo::folder().join("shelf/demo-shelf.toml"))
        .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)))
        .value
}

pub(crate) fn trials(search: usize, proof: usize) -> Trials {
    Trials {
        search,
        proof,
        threads: 1,
        seed: 1,
    }
}

/// The draft's own text, read anew and checked with another seed: errors by name.
pub(crate) fn failures(machine: &Machine, stage: &Stage, draws: usize) -> Vec<String> {
    let path = stage.recipe.path.clone();
    let read = parse_recipe(&path, &stage.recipe.text)
        .unwrap_or_else(|errors| panic!("{}", render_errors(&errors, false)));
    assert_eq!(read.value, stage.recipe.value);
    let case = Case {
        machine,
        batch: &stage.batch,
        recipe: &read.value,
    };
    let report = check(
        &case,
        &Request::plain(TrialPlan {
            draws,
            threads: 1,
            seed: 1,
        }),
    )
    .expect("a controller in process")
    .report;
    let failed: Vec<String> = report
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Error)
        .map(|finding| format!("{}: {}", finding.code, finding.message))
        .collect();
    assert_eq!(failed.is_empty(), report.passes(Severity::Error));
    failed
}

pub(crate) fn order<'a>(machine: &'a Machine, batch: &'a Batch, shelf: &'a Shelf) -> Order<'a> {
    Order {
        machine,
        batch,
        shelf,
        goal: Goal::Balanced,
        longest: None,
        gauge: true,
        id: "drafted".into(),
        trials: trials(6, 40),
        shown: Shown::default(),
    }
}

/// No other goal's draft is faster than the fastest, none costs less than the cheapest.
#[test]
fn the_fastest_is_fastest_and_the_cheapest_costs_least() {
    let shelf = shelf();
    for name in ["glass-f800", "steel-f400"] {
        let (machine, batch, _) = demo::set(name);
        let order = Order {
            trials: trials(3, 6),
            ..order(&machine, &batch, &shelf)
        };
        let all: Vec<(Goal, f64, f64)> = Goal::ALL
            .into_iter()
            .map(|goal| {
                let stages = draft(&Order {
                    goal,
                    ..order.clone()
                })
                .unwrap_or_else(|bound| panic!("{name} {goal:?}: {bound:?}"));
                let told = Brought::of(&stages).expect("a recipe");
                (goal, told.cycle_s, told.cost.expect("priced"))
            })
            .collect();
        println!("{name}: {all:?}");
        let of = |goal: Goal| all.iter().find(|row| row.0 == goal).expect("every goal");
        for (_, cycle, cost) in &all {
            assert!(of(Goal::Fastest).1 <= *cycle, "{name}: {all:?}");
            assert!(of(Goal::Cheapest).2 <= *cost, "{name}: {all:?}");
        }
    }
}

/// Where no abrasive can do it, each that was tried is told with what binds it.
#[test]
fn every_abrasive_that_was_tried_is_told() {
    let shelf = shelf();
    let (machine, mut batch, _) = demo::set("glass-f800");
    batch.finish = 1e-9;
    let bound = draft(&order(&machine, &batch, &shelf)).expect_err("nothing is as smooth");
    let fitting = shelf
        .abrasives
        .iter()
        .filter(|abrasive| abrasive.is_for(&batch.material));
    assert_eq!(bound.tried.len(), fitting.count());
    for tried in &bound.tried {
        assert!(
            !tried.limits.is_empty() && !tried.said.is_empty(),
            "{tried:?}"
        );
    }
}

#[test]
fn every_demonstration_batch_gets_a_recipe_that_passes() {
    let shelf = shelf();
    for name in demo::recipes() {
        let (machine, batch, hidden) = demo::set(&name);
        let gauges = if hidden.gauge {
            &[true][..]
        } else {
            &[true, false]
        };
        for &gauge in gauges {
            let order = Order {
                gauge,
                ..order(&machine, &batch, &shelf)
            };
            let stages = draft(&order).unwrap_or_else(|bound| panic!("{name}: {bound:?}"));
            for stage in &stages {
                if std::env::var_os("SHOW").is_some() {
                    println!("{}", stage.recipe.text);
                    println!("{:#?}", stage.changes);
                }
                println!(
                    "{name} gauge {gauge}: {:?} {} s, {} changes, {:?}",
                    stage.report.verdict,
                    stage.report.prediction.cycle_s,
                    stage.changes.len(),
                    stage
                        .report
                        .findings
                        .iter()
                        .map(|f| f.code)
                        .collect::<Vec<_>>()
                );
                assert_eq!(
                    failures(&machine, stage, 10),
                    Vec::<String>::new(),
                    "{name}"
                );
            }
        }
    }
}

//! What each goal costs and brings: the small table beside a draft.

use crate::goal::Goal;
use crate::limit::Limit;
use crate::order::{Bound, Order, Stage};
use crate::route::attempt;
use twinplate_sim::math::min;

/// What a draft for one goal comes to. Of several recipes in a row: times and costs together, the least of the margins.
#[derive(Clone, Debug, PartialEq)]
pub struct Brought {
    /// Recipes in a row.
    pub recipes: usize,
    /// Nominal cycles, s.
    pub cycle_s: f64,
    /// What the worst run leaves of the load bound that it comes nearest to, share.
    pub load_margin: f64,
    /// What the worst run leaves of the flatness allowed, µm.
    pub flatness_left_um: f64,
    /// Price of slurry and machine time for a batch, in the shelf's currency; `None` where the shelf does not price both.
    pub cost: Option<f64>,
}

impl Brought {
    /// Of a draft; `None` for no recipes.
    #[must_use]
    pub fn of(stages: &[Stage]) -> Option<Self> {
        let mut all: Option<Self> = None;
        for stage in stages {
            let report = &stage.report;
            let load = report
                .results
                .as_ref()
                .and_then(|results| results.tightest_load())
                .map_or(0.0, |worst| 1.0 - worst.value / worst.limit);
            let flat = report
                .judged
                .iter()
                .find(|target| target.name == "flatness")
                .and_then(|target| target.left)
                .unwrap_or(0.0);
            let one = Self {
                recipes: 1,
                cycle_s: report.prediction.cycle_s,
                load_margin: load,
                flatness_left_um: flat,
                cost: stage.cost,
            };
            all = Some(match all {
                None => one,
                Some(before) => Self {
                    recipes: before.recipes + 1,
                    cycle_s: before.cycle_s + one.cycle_s,
                    load_margin: min(before.load_margin, one.load_margin),
                    flatness_left_um: min(before.flatness_left_um, one.flatness_left_um),
                    cost: before.cost.zip(one.cost).map(|(a, b)| a + b),
                },
            });
        }
        all
    }
}

/// A row of the table.
#[derive(Clone, Debug, PartialEq)]
pub struct Trade {
    /// The goal.
    pub goal: Goal,
    /// What it brings, or what binds.
    pub brought: Result<Brought, Vec<Limit>>,
}

/// Drafts for every goal, proved by the trials of the search alone: enough to compare, not to run. That of the order's own goal is taken
/// from `drafted`.
#[must_use]
pub fn compare(order: &Order, drafted: &Result<Vec<Stage>, Bound>) -> Vec<Trade> {
    let brought = |drafted: &Result<Vec<Stage>, Bound>| match drafted {
        Ok(stages) => Brought::of(stages).ok_or_else(Vec::new),
        Err(bound) => Err(bound.limits.clone()),
    };
    Goal::ALL
        .into_iter()
        .map(|goal| Trade {
            goal,
            brought: if goal == order.goal {
                brought(drafted)
            } else {
                let other = Order {
                    goal,
                    ..order.clone()
                };
                brought(&attempt(&other, false))
            },
        })
        .collect()
}

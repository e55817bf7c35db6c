//! What is asked of a draft, and what it answers.

use crate::fit::{Fitted, Stuck, Trials};
use crate::goal::Goal;
use crate::limit::Limit;
use crate::plan::{Change, Ground};
use crate::write::{Choice, Names};
use twinplate_check::verdict::CheckReport;
use twinplate_sim::files::Loaded;
use twinplate_sim::model::{Batch, Machine, Recipe, Shelf, Shelved, Shown};

/// What is to be drafted.
#[derive(Clone, Debug)]
pub struct Order<'a> {
    /// The machine.
    pub machine: &'a Machine,
    /// The batch as it comes, with its targets.
    pub batch: &'a Batch,
    /// What stands on the shelf.
    pub shelf: &'a Shelf,
    /// What the recipe is to be best at.
    pub goal: Goal,
    /// Longest cycle of each recipe, s.
    pub longest: Option<f64>,
    /// A size gauge is fitted.
    pub gauge: bool,
    /// Identifier of the recipe; of several, what theirs begin with.
    pub id: String,
    /// How it is tried.
    pub trials: Trials,
    /// The units that are written and answered in.
    pub shown: Shown,
}

/// One recipe of a draft, proved.
#[derive(Clone, Debug)]
pub struct Stage {
    /// The batch as it comes into this recipe.
    pub batch: Batch,
    /// The text of its file, where the draft made it: what the recipe before leaves.
    pub batch_text: Option<String>,
    /// The recipe with its text.
    pub recipe: Loaded<Recipe>,
    /// Why its numbers are what they are.
    pub choices: Vec<Choice>,
    /// What was changed until it passed.
    pub changes: Vec<Change>,
    /// The check that it passed.
    pub report: CheckReport,
    /// Price of its slurry and of the machine's time for one batch, in the shelf's currency.
    pub cost: Option<f64>,
}

/// Why there is no draft.
#[derive(Clone, Debug, PartialEq)]
pub struct Bound {
    /// What binds: first what cannot be met or gives way no further, then what holds it from the other side.
    pub limits: Vec<Limit>,
    /// What the check said last, with its numbers.
    pub said: String,
    /// The abrasive with which a draft came furthest; empty where none was tried.
    pub with: String,
    /// What had been changed by then.
    pub changes: Vec<Change>,
    /// Each abrasive by itself, as far as it was tried.
    pub tried: Vec<Tried>,
}

impl Bound {
    /// What is known without trying an abrasive.
    pub(crate) fn untried(limit: Limit, said: String) -> Self {
        Self {
            limits: vec![limit],
            said,
            with: String::new(),
            changes: Vec::new(),
            tried: Vec::new(),
        }
    }
}

/// An abrasive that cannot do it by itself, and why.
#[derive(Clone, Debug, PartialEq)]
pub struct Tried {
    /// Its grade.
    pub grade: String,
    /// What binds, as in [`Bound`].
    pub limits: Vec<Limit>,
    /// What the check said, with its numbers.
    pub said: String,
}

impl Tried {
    pub(crate) fn of(abrasive: &Shelved, stuck: &Stuck) -> Self {
        Self {
            grade: abrasive.consumables.grade.clone(),
            limits: stuck.limits.clone(),
            said: stuck.said.clone(),
        }
    }
}

/// What a draft with one abrasive is made from.
pub(crate) fn ground<'a>(
    order: &'a Order<'a>,
    batch: &'a Batch,
    abrasive: &'a Shelved,
    goal: Goal,
) -> Ground<'a> {
    Ground {
        machine: order.machine,
        batch,
        abrasive,
        goal,
        weights: goal.weights(),
        longest: order.longest,
        gauge: order.gauge,
        shown: &order.shown,
    }
}

/// Names of the recipe with one abrasive by itself.
pub(crate) fn names(order: &Order, abrasive: &Shelved) -> Names {
    Names {
        id: order.id.clone(),
        title: title(order.batch, abrasive),
    }
}

pub(crate) fn title(batch: &Batch, abrasive: &Shelved) -> String {
    let text = format!("{} on {}, drafted", batch.id, abrasive.consumables.grade);
    text.chars().take(120).collect()
}

/// A recipe that passes, with what it costs.
pub(crate) fn stage(
    order: &Order,
    fitted: Fitted,
    batch: Batch,
    batch_text: Option<String>,
) -> Stage {
    let cost = cost(order, fitted.plan.ground.abrasive, &fitted.report);
    Stage {
        batch,
        batch_text,
        recipe: fitted.recipe,
        choices: fitted.choices,
        changes: fitted.plan.changes,
        report: fitted.report,
        cost,
    }
}

/// Price of slurry and machine time for a batch.
fn cost(order: &Order, abrasive: &Shelved, report: &CheckReport) -> Option<f64> {
    let told = &report.prediction;
    price(order, abrasive, told.slurry_l / 1e3, told.cycle_s)
}

/// Price of so much slurry, m³, and of so long a cycle, s; `None` where the shelf does not have both.
pub(crate) fn price(order: &Order, abrasive: &Shelved, slurry: f64, cycle: f64) -> Option<f64> {
    Some(abrasive.price? * slurry + order.shelf.machine? * cycle)
}

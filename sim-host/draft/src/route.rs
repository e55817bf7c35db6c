//! Which abrasives, in which order: one where one can do it, otherwise coarse to fine, each taking off the damage of the one before.

use crate::fit::{Fitted, Stuck, Trials, fit};
use crate::goal::Goal;
use crate::limit::Limit;
use crate::plan::{Change, Ground};
use crate::write::{Choice, Names};
use crate::{best, between};
use twinplate_check::verdict::CheckReport;
use twinplate_sim::files::Loaded;
use twinplate_sim::math::{exp, log, max};
use twinplate_sim::model::{Batch, Machine, Recipe, Shelf, Shelved};
use twinplate_sim::plant::CUT;
use twinplate_sim::plant::abrasion::Abrasion;

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
    fn of(abrasive: &Shelved, stuck: &Stuck) -> Self {
        Self {
            grade: abrasive.consumables.grade.clone(),
            limits: stuck.limits.clone(),
            said: stuck.said.clone(),
        }
    }
}

/// Most abrasives in a row.
const LONGEST_ROW: usize = 3;

/// Drafts a recipe, or several in a row.
///
/// # Errors
/// What binds.
pub fn draft(order: &Order) -> Result<Vec<Stage>, Bound> {
    attempt(order, true)
}

/// The same; without `proof` the trials of the search are enough.
pub(crate) fn attempt(order: &Order, proof: bool) -> Result<Vec<Stage>, Bound> {
    let fitting = fitting(order);
    if fitting.is_empty() {
        return Err(Bound {
            limits: vec![Limit::Shelf],
            said: format!(
                "nothing on the shelf `{}` is for {}",
                order.shelf.id, order.batch.material
            ),
            with: String::new(),
            changes: Vec::new(),
            tried: Vec::new(),
        });
    }
    if let Some(best) = best::best(order, &fitting, proof) {
        return Ok(vec![best]);
    }
    let mut tried: Vec<Tried> = Vec::new();
    let mut furthest: Option<(Stuck, String)> = None;
    let (mut shared, mut hopeless_for_all) = (false, false);
    for abrasive in &fitting {
        match alone(order, abrasive, proof) {
            Ok(stage) => return Ok(vec![stage]),
            Err(stuck) => {
                let all = common(&stuck);
                tried.push(Tried::of(abrasive, &stuck));
                shared |= shares_out(&stuck);
                further(&mut furthest, stuck, abrasive);
                if all {
                    hopeless_for_all = true;
                    break;
                }
            }
        }
    }
    let most = if shared && !hopeless_for_all {
        LONGEST_ROW
    } else {
        1
    };
    for count in 2..=most.min(fitting.len()) {
        for row in rows(&fitting, count) {
            match in_a_row(order, &row, proof) {
                Ok(stages) => return Ok(stages),
                Err((stuck, abrasive)) if stuck.reach > 0 => {
                    further(&mut furthest, stuck, abrasive);
                }
                Err(_) => {}
            }
        }
    }
    let (stuck, with) =
        furthest.unwrap_or_else(|| (Stuck::new(&[Limit::Shelf], String::new(), 0), String::new()));
    Err(Bound {
        limits: stuck.limits,
        said: stuck.said,
        with,
        changes: stuck.changes,
        tried,
    })
}

/// The attempt that came further is told; of two as far, the first. A grain that is too coarse is no attempt where a finer one is not.
fn further(furthest: &mut Option<(Stuck, String)>, stuck: Stuck, abrasive: &Shelved) {
    let rank = |stuck: &Stuck| (stuck.limits.first() != Some(&Limit::Grain), stuck.reach);
    let better = furthest
        .as_ref()
        .is_none_or(|(other, _)| rank(&stuck) > rank(other));
    if better {
        *furthest = Some((stuck, abrasive.consumables.grade.clone()));
    }
}

/// What the shelf has for the material, the one that cuts fastest first.
fn fitting<'a>(order: &Order<'a>) -> Vec<&'a Shelved> {
    let batch = order.batch;
    let mut found: Vec<&Shelved> = order
        .shelf
        .abrasives
        .iter()
        .filter(|abrasive| abrasive.is_for(&batch.material))
        .collect();
    let removal = |abrasive: &Shelved| Abrasion::of(&abrasive.consumables, &batch.material).removal;
    let usual = |abrasive: &Shelved| {
        let [pressure, speed] = crate::goal::usual(abrasive.consumables.process);
        removal(abrasive) * pressure * speed
    };
    found.sort_by(|a, b| usual(b).total_cmp(&usual(a)));
    found
}

pub(crate) fn ground<'a>(
    order: &Order<'a>,
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
    }
}

/// Where a draft begins when its own goal leads nowhere.
const OTHERWISE: [Goal; 4] = [
    Goal::Balanced,
    Goal::Gentlest,
    Goal::Flattest,
    Goal::Fastest,
];

/// One abrasive on a batch; where the goal's beginning leads nowhere, from another.
fn fit_from<'a>(
    order: &Order<'a>,
    batch: &'a Batch,
    abrasive: &'a Shelved,
    names: &Names,
    proof: bool,
) -> Result<Fitted<'a>, Stuck> {
    let first = match fit(
        ground(order, batch, abrasive, order.goal),
        names,
        &order.trials,
        proof,
    ) {
        Ok(fitted) => return Ok(fitted),
        Err(stuck) => stuck,
    };
    if hopeless(&first) {
        return Err(first);
    }
    for goal in OTHERWISE.into_iter().filter(|goal| *goal != order.goal) {
        if let Ok(mut fitted) = fit(
            ground(order, batch, abrasive, goal),
            names,
            &order.trials,
            proof,
        ) {
            fitted.plan.note(
                "other-beginning",
                format!("begun again as for {}", goal.word()),
            );
            return Ok(fitted);
        }
    }
    Err(first)
}

/// Whether no other beginning can help: what binds does not move, or the rules have moved speed and loads through all their room.
fn hopeless(stuck: &Stuck) -> bool {
    use Limit as L;
    stuck.reach == 0
        || !matches!(
            stuck.limits.first(),
            Some(
                L::LongestCycle
                    | L::Torque
                    | L::SlowDrive
                    | L::DriveSpeed
                    | L::Machine
                    | L::Heat
                    | L::Stock
                    | L::Parallelism
                    | L::Tank
            )
        )
}

/// Whether no other abrasive can help: what binds is of machine and parts alone.
fn common(stuck: &Stuck) -> bool {
    use Limit as L;
    let pair = [L::LeastLoad, L::Strength];
    stuck.reach < 2
        && (matches!(
            stuck.limits.first(),
            Some(L::PartsFit | L::FirstContact | L::RatedLoad | L::Strength)
        ) || pair.iter().all(|limit| stuck.limits.contains(limit)))
}

/// Whether several abrasives in a row may do what one cannot: time, finish and slurry are what they share out.
fn shares_out(stuck: &Stuck) -> bool {
    use Limit as L;
    matches!(
        stuck.limits.first(),
        Some(L::LongestCycle | L::Grain | L::Tank | L::Stock)
    )
}

fn alone(order: &Order, abrasive: &Shelved, proof: bool) -> Result<Stage, Stuck> {
    let names = names(order, abrasive);
    let fitted = fit_from(order, order.batch, abrasive, &names, proof)?;
    Ok(stage(order, fitted, order.batch.clone(), None))
}

/// Names of the recipe with one abrasive by itself.
pub(crate) fn names(order: &Order, abrasive: &Shelved) -> Names {
    Names {
        id: order.id.clone(),
        title: title(order.batch, abrasive),
    }
}

fn title(batch: &Batch, abrasive: &Shelved) -> String {
    let text = format!("{} on {}, drafted", batch.id, abrasive.consumables.grade);
    text.chars().take(120).collect()
}

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

/// Rows of abrasives, each cutting slower and finer than the one before; those of the fewest and fastest first.
fn rows<'a>(fitting: &[&'a Shelved], count: usize) -> Vec<Vec<&'a Shelved>> {
    let mut rows: Vec<Vec<&Shelved>> = fitting.iter().map(|one| vec![*one]).collect();
    for _ in 1..count {
        rows = rows
            .iter()
            .flat_map(|row| {
                let last = row
                    .last()
                    .map_or(f64::INFINITY, |one| one.consumables.grain);
                fitting
                    .iter()
                    .filter(move |next| next.consumables.grain < last)
                    .map(|next| {
                        let mut longer = row.clone();
                        longer.push(next);
                        longer
                    })
            })
            .collect();
    }
    rows
}

/// Depth per face that an abrasive has to take off after another, m: the damage before it on the thinnest part, and what it takes for
/// its own finish to settle.
fn depth_after(batch: &Batch, before: &Shelved, after: &Shelved, finish: f64) -> f64 {
    let [was, is] = [before, after].map(|one| Abrasion::of(&one.consumables, &batch.material));
    let spread = 0.5 * CUT * 0.2 * batch.spread;
    let settled = if finish > is.roughness && was.roughness > finish {
        after.consumables.settle_depth
            * log((was.roughness - is.roughness) / (0.9 * (finish - is.roughness)))
    } else {
        0.0
    };
    // Run-up and seating alone take something.
    max(max(1.25 * was.damage + spread, 1.1 * settled), 1e-6)
}

fn in_a_row<'a>(
    order: &Order<'a>,
    row: &[&'a Shelved],
    proof: bool,
) -> Result<Vec<Stage>, (Stuck, &'a Shelved)> {
    let Some(depths) = split(order.batch, row) else {
        let last = row.last().copied().unwrap_or(&order.shelf.abrasives[0]);
        let said = "the stock is less than the damage of the steps in between".to_owned();
        return Err((Stuck::new(&[Limit::Stock], said, 0), last));
    };
    let mut stages: Vec<Stage> = Vec::new();
    let mut incoming = order.batch.clone();
    let mut text = None;
    let mut left: f64 = depths.iter().sum();
    for (index, (abrasive, depth)) in row.iter().zip(&depths).enumerate() {
        left -= depth;
        let last = index + 1 == row.len();
        if !last {
            between::aim(
                &mut incoming,
                order.batch,
                abrasive,
                order.batch.target + left,
            );
            if index == 0 {
                incoming.id = between::id(&order.id, 1, "in");
                text = Some(between::text(
                    &incoming,
                    "the batch as it comes, with the target of this step",
                ));
            }
        }
        if last {
            between::finish(&mut incoming, order.batch);
        }
        if let Some(text) = &mut text {
            *text = between::text(&incoming, BETWEEN);
        }
        let names = Names {
            id: between::id(&order.id, index + 1, ""),
            title: title(order.batch, abrasive),
        };
        let batch = incoming.clone();
        let local = Order {
            batch: &batch,
            ..order.clone()
        };
        let fitted = fit_from(&local, &batch, abrasive, &names, proof)
            .map_err(|stuck| (stuck, *abrasive))?;
        let next = between::after(&batch, abrasive, &fitted.report, &order.id, index + 2);
        stages.push(stage(order, fitted, batch.clone(), text.clone()));
        incoming = next;
        text = Some(String::new());
    }
    Ok(stages)
}

/// What stands over a batch file in between.
const BETWEEN: &str = "drafted: what comes into this recipe, and what it is to leave";

/// Thickness that each abrasive of a row takes off, m; `None` where the stock is too little.
fn split(batch: &Batch, row: &[&Shelved]) -> Option<Vec<f64>> {
    let stock = batch.thickness - batch.target;
    let mut depths = vec![0.0; row.len()];
    let mut spent = 0.0;
    for index in (1..row.len()).rev() {
        let finish = if index + 1 == row.len() {
            batch.finish
        } else {
            let own = Abrasion::of(&row[index].consumables, &batch.material).roughness;
            1.15 * own
        };
        depths[index] = 2.0 * depth_after(batch, row[index - 1], row[index], finish);
        spent += depths[index];
    }
    let first = stock - spent;
    // The first one must still take off what the parts come with, and settle.
    let settle = row.first().map_or(0.0, |one| one.consumables.settle_depth);
    let least = 2.0 * max(1.1 * batch.damage, settle * (1.0 - exp(-1.0)));
    if first < least {
        return None;
    }
    depths[0] = first;
    Some(depths)
}

//! Which abrasives, in which order: one where one can do it, otherwise coarse to fine, each taking off the damage of the one before.

use crate::fit::{Fitted, Stuck, fit};
use crate::goal::Goal;
use crate::limit::Limit;
use crate::order::{Bound, Order, Stage, Tried, ground, names, stage, title};
use crate::rows::{rows, split};
use crate::write::Names;
use crate::{best, between};
use twinplate_check::finding::significant;
use twinplate_sim::model::{Batch, Of, Shelved};
use twinplate_sim::plant::abrasion::Abrasion;

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
        let said = format!(
            "nothing on the shelf `{}` is for {}",
            order.shelf.id, order.batch.material
        );
        return Err(Bound::untried(Limit::Shelf, said));
    }
    if let Some(said) = by_time_alone(order) {
        return Err(Bound::untried(Limit::Tolerance, said));
    }
    if let Some(best) = best::best(order, &fitting, proof) {
        return Ok(vec![best]);
    }
    let mut tried: Vec<Tried> = Vec::new();
    let mut furthest: Option<(Stuck, String)> = None;
    let mut shared = false;
    for abrasive in &fitting {
        match alone(order, abrasive, proof) {
            Ok(stage) => return Ok(vec![stage]),
            Err(stuck) => {
                let all = common(&stuck);
                tried.push(Tried::of(abrasive, &stuck));
                shared = !all && (shared || shares_out(&stuck));
                further(&mut furthest, stuck, abrasive);
                if all {
                    break;
                }
            }
        }
    }
    let most = if shared { LONGEST_ROW } else { 1 };
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

/// Size error by the removal's doubt over the tolerance from which no trial is needed to know.
const FAR_OFF: f64 = 1.3;

/// Why no time can end at the size, whatever the abrasive: without a gauge every doubt of the removal is an error of the size.
fn by_time_alone(order: &Order) -> Option<String> {
    let batch = order.batch;
    let share = order.machine.envelope.removal;
    let off = share * (batch.thickness - batch.target);
    (!order.gauge && off > FAR_OFF * batch.tolerance).then(|| {
        format!(
            "without a size gauge a removal that is off by {} % (`envelope.removal`) makes the size wrong by {}; ± {} are allowed: fit a \
             gauge, or make the removal known by trial runs and type how well it is",
            significant(share * 100.0, 3),
            order.shown.say(Of::Size, off, 3),
            order.shown.say(Of::Size, batch.tolerance, 3)
        )
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

/// Where a draft begins when its own goal leads nowhere.
const OTHERWISE: [Goal; 4] = [
    Goal::Balanced,
    Goal::Gentlest,
    Goal::Flattest,
    Goal::Fastest,
];

/// One abrasive on a batch; where the goal's beginning leads nowhere, from another.
fn fit_from<'a>(
    order: &'a Order<'a>,
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

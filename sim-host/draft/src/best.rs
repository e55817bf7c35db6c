//! The fastest and the cheapest are looked for: of many beginnings with every abrasive, those that come out best by the closed form are
//! tried first.

use crate::fit::{Fitted, fit, sketch};
use crate::goal::{Goal, Weights};
use crate::order::{Order, Stage, ground, names, price, stage};
use crate::plan::Ground;
use twinplate_sim::model::Shelved;

/// Usual pressure and sliding speed, times these; and flow over the pump's largest.
const PRESSURES: [f64; 3] = [1.0, 1.7, 2.5];
/// See `PRESSURES`.
const SPEEDS: [f64; 2] = [1.0, 1.4];
/// See `PRESSURES`.
const FLOWS: [f64; 2] = [0.45, 0.85];
/// Beginnings that are tried before the rules of the other goals have their turn.
const TRIED: usize = 6;

/// The best recipe with one abrasive, by time or by cost. `None` for goals that are no number, where prices are missing, and where none
/// of the best beginnings leads to a recipe.
pub(crate) fn best(order: &Order, fitting: &[&Shelved], proof: bool) -> Option<Stage> {
    let mut sketched = sketches(order, fitting);
    sketched.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut best: Option<(f64, Fitted)> = None;
    for (score, ground) in sketched.into_iter().take(TRIED) {
        // What is mended for the trials costs more than its sketch, hardly ever less.
        if best.as_ref().is_some_and(|(found, _)| score >= *found) {
            break;
        }
        let names = names(order, ground.abrasive);
        if let Ok(fitted) = fit(ground, &names, &order.trials, proof) {
            let told = &fitted.report.prediction;
            let score = rated(order, ground.abrasive, told.slurry_l / 1e3, told.cycle_s)?;
            if best.as_ref().is_none_or(|(found, _)| score < *found) {
                best = Some((score, fitted));
            }
        }
    }
    best.map(|(_, fitted)| stage(order, fitted, order.batch.clone(), None))
}

/// What is to be least: time, s, or price.
fn rated(order: &Order, abrasive: &Shelved, slurry: f64, cycle: f64) -> Option<f64> {
    match order.goal {
        Goal::Fastest => Some(cycle),
        Goal::Cheapest => price(order, abrasive, slurry, cycle),
        Goal::Balanced | Goal::Gentlest | Goal::Flattest => None,
    }
}

/// Every beginning that comes to an end without a run, and what it is rated at.
fn sketches<'a>(order: &'a Order<'a>, fitting: &[&'a Shelved]) -> Vec<(f64, Ground<'a>)> {
    let mut found = Vec::new();
    for abrasive in fitting {
        // Where nothing can be rated, nothing needs to be sketched.
        if rated(order, abrasive, 0.0, 0.0).is_none() {
            continue;
        }
        let like = ground(order, order.batch, abrasive, order.goal);
        let names = names(order, abrasive);
        for weights in beginnings() {
            let ground = Ground { weights, ..like };
            if let Some(told) = sketch(ground, &names)
                && let Some(score) = rated(order, abrasive, told.slurry, told.cycle)
            {
                found.push((score, ground));
            }
        }
    }
    found
}

fn beginnings() -> impl Iterator<Item = Weights> {
    PRESSURES.into_iter().flat_map(|pressure| {
        SPEEDS.into_iter().flat_map(move |speed| {
            FLOWS.into_iter().map(move |flow| Weights {
                pressure,
                speed,
                flow,
            })
        })
    })
}

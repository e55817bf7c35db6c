//! Rows of abrasives from coarse to fine, and how the stock is split among them.

use twinplate_sim::math::{exp, log, max};
use twinplate_sim::model::{Batch, Shelved};
use twinplate_sim::plant::CUT;
use twinplate_sim::plant::abrasion::Abrasion;

/// Rows of abrasives, each cutting slower and finer than the one before; those of the fewest and fastest first.
pub(crate) fn rows<'a>(fitting: &[&'a Shelved], count: usize) -> Vec<Vec<&'a Shelved>> {
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

/// Thickness that each abrasive of a row takes off, m; `None` where the stock is too little.
pub(crate) fn split(batch: &Batch, row: &[&Shelved]) -> Option<Vec<f64>> {
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

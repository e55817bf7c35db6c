//! Pairs made infeasible by one limit: a feasible one, of which one number is changed so far that no recipe can pass.

use crate::generator::{Pair, feasible};
use twinplate_check::predict::predict;
use twinplate_draft::Limit;
use twinplate_sim::compile::Holding;

/// One way to forbid a pair, told in words; the limit that a draft has to name.
type Forbid = (Limit, &'static str, fn(&mut Pair));

const FORBIDS: [Forbid; 13] = [
    (
        Limit::Strength,
        "a part bears less than its even share of the least load that the machine holds",
        |pair| {
            let least = Holding::of(&pair.machine).lowest();
            pair.batch.strength = 0.8 * least / f64::from(pair.batch.pieces());
        },
    ),
    (
        Limit::RatedLoad,
        "the machine is rated less than its full command may press with",
        |pair| pair.machine.control.rated_load *= 0.5,
    ),
    (
        Limit::Torque,
        "the drives do not overcome their own drag",
        |pair| {
            for drive in &mut pair.machine.drives {
                drive.torque = 0.7 * drive.drag;
            }
        },
    ),
    (
        Limit::LongestCycle,
        "lowering, wetting and lifting alone take longer than the cycle may",
        |pair| {
            let predicted = predict(&pair.case(), 1.0);
            let lapping: f64 = predicted.steps.iter().map(|step| step.duration_s).sum();
            pair.longest = Some(0.9 * (predicted.cycle - lapping));
        },
    ),
    (
        Limit::Stock,
        "the damage is deeper than half the stock",
        |pair| {
            pair.batch.damage_left = None;
            pair.batch.damage = 0.7 * (pair.batch.thickness - pair.batch.target);
        },
    ),
    (
        Limit::Grain,
        "no grain on the shelf leaves the finish asked for",
        |pair| {
            let finest = pair
                .shelf
                .abrasives
                .iter()
                .filter(|one| one.is_for(&pair.batch.material))
                .filter_map(|one| one.consumables.roughness)
                .fold(f64::INFINITY, f64::min);
            pair.batch.finish = 0.8 * finest;
        },
    ),
    (
        Limit::Tolerance,
        "the gauge's zero alone may be off by more than the tolerance",
        |pair| {
            pair.gauge = true;
            pair.batch.tolerance = 0.3e-6;
        },
    ),
    (
        Limit::Tolerance,
        "without a gauge the removal's doubt is more than the tolerance",
        |pair| {
            pair.gauge = false;
            let stock = pair.batch.thickness - pair.batch.target;
            pair.batch.tolerance = 0.1 * stock;
        },
    ),
    (
        Limit::Flatness,
        "the flatness asked for is finer than the rims' roll-off",
        |pair| pair.batch.flatness = 0.01e-6,
    ),
    (
        Limit::PartsFit,
        "the pockets reach into the carriers' teeth",
        |pair| {
            let most = pair.machine.geometry.radius_carrier();
            for circle in &mut pair.batch.circles {
                circle.radius = most - 0.5 * pair.batch.outline.outer_radius();
            }
        },
    ),
    (
        Limit::CarrierThickness,
        "the carriers are as thick as the finished parts",
        |pair| pair.batch.carrier_thickness = pair.batch.target,
    ),
    (
        Limit::CarrierTeeth,
        "the carriers are cut from something like felt",
        |pair| pair.batch.carrier_strength = 2e3,
    ),
    (
        Limit::FilmLife,
        "the film dries before the drives can coast down from any speed",
        |pair| pair.machine.slurry.film_life = 0.05,
    ),
];

/// The `number`th pair that one limit forbids.
pub fn pair(number: u64) -> (Pair, Limit, &'static str) {
    let (limit, what, forbid) = FORBIDS[number as usize % FORBIDS.len()];
    // Other pairs than those that the feasible ones are counted on.
    let mut pair = feasible(10_000 + number);
    pair.name = format!("{} ({})", pair.name, limit.name());
    forbid(&mut pair);
    (pair, limit, what)
}

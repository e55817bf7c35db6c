//! What the heat of each step does to plates and parts once it has settled: that is where every long run and every run of batches tends.

use crate::case::Case;
use twinplate_sim::model::Step;
use twinplate_sim::plant::SettledGap;

/// What the settled heat of one step does, friction being `friction` times the recipe's.
#[must_use]
pub fn gap(case: &Case, step: &Step, friction: f64) -> SettledGap {
    let power = power(case, step).map(|power| power * friction);
    SettledGap::new(case.machine, case.batch, step.pressure, power)
}

/// Heat that goes through the lower and the upper plate in this step at the recipe's friction, W: `(1 - slurry share) mu N v`, the pieces'
/// own weight on the lower one.
#[must_use]
pub fn power(case: &Case, step: &Step) -> [f64; 2] {
    let stays = 1.0 - case.machine.thermal.slurry_share;
    let [lower, upper] = case.face_speeds(step);
    let load = case.setpoint(step);
    [lower * (load + case.pieces_weight()), upper * load]
        .map(|rubbed| stays * case.recipe.consumables.friction * rubbed)
}

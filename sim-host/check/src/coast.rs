//! How long the drives coast after a power cut, with the plate at resting load.
//!
//! Four inertias, bearing drag, and the friction of both faces through [`Rubbing`](twinplate_sim::plant::torque::Rubbing); nothing drives. The longest coast is
//! the one with the least friction, so the envelope's low edge of the friction coefficient is what a film must outlast.

use super::case::Case;
use twinplate_sim::math::abs;
use twinplate_sim::model::Step;

/// Step of the integration, s. A quarter of it makes a coast longer or shorter by less than a tenth of a percent.
const STEP: f64 = 0.004;

/// Speed below which a drive stands, rad/s (0.5 rpm; invented).
const STANDSTILL: f64 = 0.05;

/// Longest coast that is looked for, s. A machine that coasts longer has no brake worth the name.
const LONGEST: f64 = 300.0;

/// Time from a step's speeds to standstill of every drive at the nominal resting load, s; `LONGEST` when it takes longer.
///
/// `friction` is the friction coefficient of the wet gap.
#[must_use]
pub fn coast_time(case: &Case, step: &Step, friction: f64) -> f64 {
    let machine = case.machine;
    let mut rubbing = case.rubbing();
    let load = machine.actuator.resting_load();
    let lower = friction * (load + case.pieces_weight());
    let upper = friction * load;
    let mut speeds = step.speeds;
    for (speed, spec) in speeds.iter_mut().zip(&machine.drives) {
        if spec.fixed {
            *speed = 0.0;
        }
    }
    let mut time = 0.0;
    while time < LONGEST {
        if speeds.iter().all(|speed| abs(*speed) < STANDSTILL) {
            return time;
        }
        let arms = rubbing.arms(&speeds);
        for (drive, (speed, spec)) in speeds.iter_mut().zip(&machine.drives).enumerate() {
            if spec.fixed {
                continue;
            }
            let torque = lower * arms.lower[drive] + upper * arms.upper[drive];
            let pushed = *speed + torque / spec.inertia * STEP;
            // Drag stops a drive; it never turns it backwards.
            let drop = spec.drag / spec.inertia * STEP;
            *speed = if abs(pushed) <= drop {
                0.0
            } else if pushed > 0.0 {
                pushed - drop
            } else {
                pushed + drop
            };
        }
        time += STEP;
    }
    LONGEST
}

/// Longest coast of the recipe at the envelope's lowest friction, s, and the step it starts from.
#[must_use]
pub fn longest_coast(case: &Case) -> (usize, f64) {
    let friction = case.recipe.consumables.friction * (1.0 - case.machine.envelope.friction);
    let mut longest = (0, 0.0);
    for (index, step) in case.recipe.steps.iter().enumerate() {
        // Steps at the speeds of the one before coast alike.
        if index > 0 && case.recipe.steps[index - 1].speeds == step.speeds {
            continue;
        }
        let time = coast_time(case, step, friction);
        if time > longest.1 {
            longest = (index, time);
        }
    }
    longest
}

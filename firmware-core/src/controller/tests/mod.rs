//! A controller put into the place where a rule is asked of it, instead of being brought there through a cycle.

mod cause;
mod cycle;
mod form;
mod gains;
mod motion;
mod outputs;
mod requests;
mod rig;
mod setup;
mod status;

use super::Controller;
use crate::process_image::Inputs;
use crate::recipe::RecipeWire;
use crate::sequence::Request;

/// A recipe that the sample machine runs.
fn recipe(controller: &Controller) -> RecipeWire {
    crate::recipe::sample(&controller.params, 265.0, 350.0)
}

/// What the cell counts at a load on the parts, N; none: the plate hangs.
#[allow(clippy::cast_possible_truncation)] // forces of the sample machine
fn counts(load: f32) -> i32 {
    let p = crate::params::tests::sample();
    ((load - p.weight.get()) / p.cell_scale.get()) as i32
}

/// Inputs of a machine that stands parked with nothing wrong.
pub(crate) fn sound() -> Inputs {
    Inputs {
        cell_ok: true,
        cell_counts: counts(0.0),
        counterbalance_ok: true,
        supply_pressure: u16::MAX,
        pin_in: true,
        arm_home: true,
        guard_a: true,
        guard_b: true,
        guard_locked: true,
        estop_a: true,
        estop_b: true,
        agitator_turning: true,
        ..Inputs::default()
    }
}

/// The sample machine after its first tick, with a recipe loaded.
fn controller() -> Controller {
    let params = crate::params::tests::sample().check().expect("valid");
    let mut controller = Controller::new(params, 1);
    controller.tick(&sound(), None);
    let recipe = recipe(&controller);
    controller
        .request(&Request::LoadRecipe(recipe))
        .expect("made for this machine");
    controller
}

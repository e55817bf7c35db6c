//! How long a phase may take.

use super::{
    LOAD_SPARE, PRECHECK_TIME, RELEASE_SPARE, STOP_LINE_TIME, TOUCH_DOWN_TIME, WETTING_SPARE,
};
use crate::math;
use crate::params::CheckedParams;
use crate::process_image::DRIVES;
use crate::recipe::{CheckedRecipe, StepWire};
use crate::sequence::Phase;
use crate::units::{Rpm, Ticks};

/// Longest time of a phase from its entry, ticks; `None` for one that ends by a rule of its own or waits for the operator.
///
/// A deadline ends a phase of a cycle that is on its way (Running, Restarting, Holding) and a lift from the air; other states have
/// rows of their own: the monitored stop time, the longest coast, the longest hold.
#[must_use]
pub fn deadline(
    phase: Phase,
    params: &CheckedParams,
    recipe: Option<&CheckedRecipe>,
    step: Option<&StepWire>,
) -> Option<u32> {
    let p = params.get();
    let programmed = |of: fn(&CheckedRecipe) -> Ticks| recipe.map_or(0, |r| of(r).0);
    let speeds = || params.ramp_deadline(fastest(step)).0;
    let loads = || step.map_or(0, |step| params.load_deadline(step.ramp).0);
    Some(match phase {
        Phase::Rest | Phase::Coast | Phase::Manual | Phase::Dwell => return None,
        Phase::Precheck => PRECHECK_TIME,
        Phase::Lower => p.travel_time.0,
        Phase::TouchDown => TOUCH_DOWN_TIME,
        Phase::SlurryPrestart => programmed(|r| r.get().prestart).saturating_add(WETTING_SPARE),
        Phase::RunUp => speeds(),
        Phase::LoadRamp => loads().max(speeds()).saturating_add(LOAD_SPARE),
        Phase::LoadRelease => loads().saturating_add(RELEASE_SPARE),
        Phase::Rinse => programmed(|r| r.get().rinse).saturating_add(WETTING_SPARE),
        Phase::RunDown => speeds().max(p.stop_time.0),
        Phase::SlurryStop => STOP_LINE_TIME,
        Phase::Lift => p.lift_time.0,
    })
}

fn fastest(step: Option<&StepWire>) -> Rpm {
    let speeds = step.map_or([Rpm::ZERO; DRIVES], |s| s.speeds);
    Rpm::new(
        speeds
            .iter()
            .fold(0.0, |most, s| math::max(most, s.abs().get())),
    )
}

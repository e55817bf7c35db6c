//! Flatness control as a recipe asks for it, and what a batch does to the plates with each of its ring settings.

use crate::compile::{rad_s, rpm, um};
use crate::math::{floor, max, min};
use crate::model::{Batch, End, Machine, Recipe};
use crate::plant::form_change::Wearing;
use crate::plant::plate_form::PlateForm;
use firmware_core::plate_form::RingSetting;
use firmware_core::process_image::{DRIVES, FACES};
use firmware_core::sequence::Request;

/// Another way to turn the pin rings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rings {
    /// Both rings turn against their programmed directions.
    pub reverse: bool,
    /// The inner ring turns faster by this share, the outer one slower.
    pub trim: f64,
}

/// Flatness control in process: what the controller may choose from, and when.
#[derive(Clone, Debug, PartialEq)]
pub struct FlatnessControl {
    /// Form within which a plate needs no correction, m.
    pub deadband: f64,
    /// Form beyond which no cycle starts, m.
    pub limit: f64,
    /// Batches after which the form must be reported again.
    pub longest_unreported: u32,
    /// Settings beside the programmed one.
    pub settings: Vec<Rings>,
}

/// Computed change of form of the lower and the upper plate, m, + convex, by a batch whose pin rings turn by `setting`. The
/// plates are taken to have run in on each other: where both lose most together parts press least, so that in the long run only what
/// one plate gains on the other is left. The first batches after a change differ by what the pressure settles to meanwhile, which is
/// within the elastic sink of the parts; a report tells it.
#[must_use]
pub fn change(
    machine: &Machine,
    batch: &Batch,
    recipe: &Recipe,
    setting: &RingSetting,
) -> [f64; FACES] {
    let turned = |speeds: [f64; DRIVES]| setting.speeds(speeds.map(rpm)).map(rad_s);
    let mut wearing = Wearing::new(machine, batch, recipe.consumables.removal);
    let mut thickness = batch.thickness;
    for step in &recipe.steps {
        let speeds = turned(step.speeds);
        let rate = wearing.removal_rate(step.pressure, &speeds);
        let until = |depth: f64| if rate > 0.0 { depth / rate } else { 0.0 };
        let seconds = match step.end {
            End::Time { seconds } => seconds,
            End::Stock { depth } => until(depth),
            End::Size { thickness: end } => until(max(thickness - end, 0.0)),
        };
        let seconds = min(seconds, step.longest);
        wearing.step(step.pressure, &speeds, seconds);
        thickness -= rate * seconds;
    }
    wearing.change()
}

/// What an operator reports of these plates before a batch: the form where the parts touch, at one temperature, to one light band of the
/// batch's lamp, which is half its wavelength.
#[must_use]
pub fn report(machine: &Machine, batch: &Batch, recipe: &Recipe, plates: &PlateForm) -> Request {
    let measuring = Wearing::new(machine, batch, recipe.consumables.removal);
    let band = 0.5 * batch.wavelength;
    let [lower, upper] = measuring
        .form(plates)
        .map(|form| um(floor(form / band + 0.5) * band));
    Request::ReportForm { lower, upper }
}

//! Flatness control as the controller gets it: what a batch does to the plates with each ring setting of a recipe, and what an operator
//! reports of them.

use crate::convert::{f32_of, rad_s, rpm, um};
use crate::math::{floor, max, min};
use crate::model::{Batch, End, FlatnessControl, Machine, Recipe, Rings};
use crate::plant::abrasion::Abrasion;
use crate::plant::form_change::Wearing;
use crate::plant::plate_form::PlateForm;
use firmware_core::plate_form::{FormControl, MAX_SETTINGS, RingSetting};
use firmware_core::process_image::{DRIVES, FACES};
use firmware_core::sequence::Request;
use firmware_core::units::{Micrometres, Ratio};

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
    let mut wearing = Wearing::new(machine, batch, removal(batch, recipe));
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

/// Removal coefficient that the recipe's abrasive has on the batch's material, 1/Pa.
fn removal(batch: &Batch, recipe: &Recipe) -> f64 {
    Abrasion::of(&recipe.consumables, &batch.material).removal
}

/// What an operator reports of these plates before a batch: the form where the parts touch, at one temperature, to one light band of the
/// batch's lamp, which is half its wavelength.
#[must_use]
pub(crate) fn report(
    machine: &Machine,
    batch: &Batch,
    recipe: &Recipe,
    plates: &PlateForm,
) -> Request {
    let measuring = Wearing::new(machine, batch, removal(batch, recipe));
    let band = 0.5 * batch.wavelength;
    let [lower, upper] = measuring
        .form(plates)
        .map(|form| um(floor(form / band + 0.5) * band));
    Request::ReportForm { lower, upper }
}

/// Flatness control with what a batch does to the plates by each setting; the programmed one is the first.
#[allow(clippy::cast_possible_truncation)] // the files' checks bound the count; `as` saturates
#[must_use]
pub(crate) fn form_control(
    control: &FlatnessControl,
    recipe: &Recipe,
    machine: &Machine,
    batch: &Batch,
) -> FormControl {
    let programmed = Rings {
        reverse: false,
        trim: 0.0,
    };
    let settings = std::iter::once(&programmed).chain(&control.settings);
    FormControl {
        // What the controller has no room for, the files' checks have refused.
        settings: settings
            .take(MAX_SETTINGS)
            .map(|rings| {
                let setting = RingSetting {
                    reversed: rings.reverse,
                    trim: Ratio::new(f32_of(rings.trim)),
                    change: [Micrometres::ZERO; FACES],
                };
                let change = change(machine, batch, recipe, &setting);
                RingSetting {
                    change: change.map(um),
                    ..setting
                }
            })
            .collect(),
        deadband: um(control.deadband),
        limit: um(control.limit),
        longest: min(f64::from(control.longest_unreported), 65_535.0) as u16,
    }
}

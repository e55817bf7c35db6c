//! Flatness control as the controller gets it: what a batch does to the plates with each ring setting of a recipe, and what an operator
//! reports of them.

use crate::convert::{f32_of, rad_s, rpm, um};
use crate::math::{floor, max, min};
use crate::model::{Batch, End, FlatnessControl, Machine, Measured, Outline, Recipe, Rings};
use crate::plant::PartTruth;
use crate::plant::abrasion::Abrasion;
use crate::plant::form_change::Wearing;
use crate::plant::plate_form::PlateForm;
use crate::plant::seed::stream;
use firmware_core::plate_form::{FormControl, MAX_SETTINGS, RingSetting};
use firmware_core::process_image::{DRIVES, FACES};
use firmware_core::sequence::Request;
use firmware_core::units::{Micrometres, Ratio};
use rand_distr::{Distribution, Uniform};

/// Computed change of form of the lower and the upper plate, m, + convex, by a batch whose pin rings turn by `setting`, as it is
/// measured. The plates are taken to have run in on each other: where both lose most together parts press least, so that in the long run only what
/// one plate gains on the other is left. The first batches after a change differ by what the pressure settles to meanwhile, which is
/// within the elastic sink of the parts; a report tells it.
#[must_use]
pub fn change(
    machine: &Machine,
    batch: &Batch,
    recipe: &Recipe,
    measured: Measured,
    setting: &RingSetting,
) -> [f64; FACES] {
    let mut wearing = Wearing::new(machine, batch, removal(batch, recipe));
    for (pressure, speeds, seconds) in steps(&wearing, batch, recipe, setting) {
        wearing.step(pressure, &speeds, seconds);
    }
    wearing.change(measured)
}

/// A step of a batch: pressure (Pa), speeds of the drives (rad/s), time (s).
type Step = (f64, [f64; DRIVES], f64);

/// The steps of a batch as the recipe ends them.
fn steps(wearing: &Wearing, batch: &Batch, recipe: &Recipe, setting: &RingSetting) -> Vec<Step> {
    let turned = |speeds: [f64; DRIVES]| setting.speeds(speeds.map(rpm)).map(rad_s);
    let mut thickness = batch.thickness;
    let mut all = Vec::with_capacity(recipe.steps.len());
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
        all.push((step.pressure, speeds, seconds));
        thickness -= rate * seconds;
    }
    all
}

/// Stock that both faces of a part lose together in a batch that [`forms_after`] reckons with, m; their own weight laps too.
#[must_use]
pub fn stock(machine: &Machine, batch: &Batch, recipe: &Recipe) -> f64 {
    let wearing = Wearing::new(machine, batch, removal(batch, recipe));
    let steps = steps(&wearing, batch, recipe, &ring_setting(Rings::PROGRAMMED));
    let lost =
        |(pressure, speeds, seconds): &Step| wearing.lapped_rate(*pressure, speeds) * seconds;
    steps.iter().map(lost).sum()
}

/// Computed form of both plates, m, + convex, as it is measured after so many batches (rising), begun with the form of the machine file and
/// worn by its coefficient, the rings as programmed. Parts press where the plates come together, so new plates are run in on the way; the
/// plates are as cold as the room. Between two times that are further apart the wear goes on in slices of a quarter of a batch.
#[must_use]
pub fn forms_after(
    machine: &Machine,
    batch: &Batch,
    recipe: &Recipe,
    measured: Measured,
    batches: &[f64],
) -> Vec<[f64; FACES]> {
    /// Slices of a batch.
    const SLICES: f64 = 4.0;
    let mut wearing = Wearing::new(machine, batch, removal(batch, recipe));
    let steps = steps(&wearing, batch, recipe, &ring_setting(Rings::PROGRAMMED));
    let mut now = 0.0;
    let mut forms = Vec::with_capacity(batches.len());
    for until in batches {
        while now < *until {
            let share = min(1.0 / SLICES, until - now);
            for (pressure, speeds, seconds) in &steps {
                wearing.step_pressed(*pressure, speeds, share * seconds);
            }
            now += share;
        }
        forms.push(wearing.measured(measured));
    }
    forms
}

/// Removal coefficient that the recipe's abrasive has on the batch's material, 1/Pa.
fn removal(batch: &Batch, recipe: &Recipe) -> f64 {
    Abrasion::of(&recipe.consumables, &batch.material).removal
}

/// By how much a reading of light bands is off at most, bands: the eye tells quarters.
pub const MISREAD: f64 = 0.25;

/// Form of the lower and the upper plate, m, + convex, by the light bands on the product's faces that lay on them: each face read under
/// the batch's lamp, up to a quarter of a band off, and the mean of all. `None` where there is no product to read.
///
/// A part that turns on a spherical plate takes its curvature: of a bow over the plate's diameter, the share of the squares of the two
/// diameters. Plates that wore are no spheres; what is told of them is the sphere that would leave the same on the parts. It is that of
/// plates as warm as they lapped, with what a part kept of its own bow.
#[must_use]
pub fn by_bands(
    machine: &Machine,
    batch: &Batch,
    parts: &[PartTruth],
    seed: u64,
) -> Option<[f64; FACES]> {
    let band = 0.5 * batch.wavelength;
    let mut random = stream(seed, "operator", "bands", 0);
    let misread = Uniform::new_inclusive(-MISREAD, MISREAD).ok()?;
    let mut sum = [0.0; FACES];
    let mut count = 0.0;
    for part in parts.iter().filter(|part| part.present && !part.dummy) {
        for (sum, sag) in sum.iter_mut().zip(part.sags) {
            *sum += sag / band + misread.sample(&mut random);
        }
        count += 1.0;
    }
    // Hollow is a lower face whose rim hangs, and an upper one whose rim stands.
    let [lower, upper] = sum;
    (count > 0.0).then(|| of_bands(machine, batch, [-lower / count, upper / count]))
}

/// Form of the spheres that would leave so many light bands on the lower and the upper face of a part, m, + convex; bands of a hollow face
/// count as +.
#[must_use]
pub fn of_bands(machine: &Machine, batch: &Batch, bands: [f64; FACES]) -> [f64; FACES] {
    let (outer, bore) = match batch.outline {
        Outline::Ring { outer, inner } => (outer, inner),
        Outline::Disc { .. } | Outline::Rectangle { .. } | Outline::Polygon(_) => {
            (2.0 * batch.outline.outer_radius(), 0.0)
        }
    };
    let form = 0.5 * batch.wavelength * machine.geometry.form_over_sag(outer, bore);
    bands.map(|bands| bands * form)
}

/// Form of the lower and the upper plate where this batch touches them, m, + convex, as warm as they are: inner edge over outer edge.
#[must_use]
pub(crate) fn warm_form(
    machine: &Machine,
    batch: &Batch,
    recipe: &Recipe,
    plates: &PlateForm,
) -> [f64; FACES] {
    Wearing::new(machine, batch, removal(batch, recipe)).form(plates, true)
}

/// The request that reports this form, m.
#[must_use]
pub fn request(form: [f64; FACES]) -> Request {
    let [lower, upper] = form.map(um);
    Request::ReportForm { lower, upper }
}

/// What an operator who knows these plates well reports of them before a batch: the form where the parts touch, to one light band of the
/// batch's lamp, which is half its wavelength. A straightedge shows it at one temperature; parts show a quarter of a band, as warm as they
/// were lapped.
#[must_use]
pub(crate) fn report(
    machine: &Machine,
    batch: &Batch,
    recipe: &Recipe,
    measured: Measured,
    plates: &PlateForm,
) -> Request {
    let measuring = Wearing::new(machine, batch, removal(batch, recipe));
    let band = 0.5 * batch.wavelength;
    let (form, digit) = match measured {
        Measured::Straightedge => (measuring.form(plates, false), band),
        Measured::Bands => {
            let width = 2.0 * batch.outline.outer_radius();
            let told = MISREAD * band * machine.geometry.form_over_sag(width, 0.0);
            (measuring.shown(plates), told)
        }
    };
    request(form.map(|form| floor(form / digit + 0.5) * digit))
}

/// The ways in which a recipe may turn the pin rings, the programmed one first.
fn ways(control: Option<&FlatnessControl>) -> impl Iterator<Item = Rings> + '_ {
    let others = control.into_iter().flat_map(|control| &control.settings);
    std::iter::once(Rings::PROGRAMMED).chain(others.copied())
}

/// A way to turn the rings as the controller knows it, with no change of form computed.
fn ring_setting(rings: Rings) -> RingSetting {
    RingSetting {
        reversed: rings.reverse,
        trim: Ratio::new(f32_of(rings.trim)),
        change: [Micrometres::ZERO; FACES],
    }
}

/// What a batch wears off plates that have run in, for people: each way in which the recipe may turn the rings, the programmed one first,
/// with the change of form of the lower and the upper plate, inner edge over outer edge, m, + convex.
#[must_use]
pub fn wear(machine: &Machine, batch: &Batch, recipe: &Recipe) -> Vec<(Rings, [f64; FACES])> {
    ways(recipe.flatness.as_ref())
        .map(|rings| {
            let setting = ring_setting(rings);
            let measured = Measured::Straightedge;
            (rings, change(machine, batch, recipe, measured, &setting))
        })
        .collect()
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
    FormControl {
        // What the controller has no room for, the files' checks have refused.
        settings: ways(Some(control))
            .take(MAX_SETTINGS)
            .map(|rings| {
                let setting = ring_setting(rings);
                let change = change(machine, batch, recipe, control.measured, &setting);
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

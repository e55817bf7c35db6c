//! The total check of a recipe against a machine: it returns every violation, and nothing else makes a [`CheckedRecipe`].

use super::wire::{EndWire, RECIPE_SCHEMA, RecipeWire, StepWire};
use crate::math::max;
use crate::params::{CheckedParams, ParamsWire};
use crate::plate_form::{FormControl, MAX_SETTINGS, RingSetting};
use crate::process_image::DRIVES;
use crate::units::{Newtons, Rpm, Ticks};
use crate::words::words;
use heapless::Vec;
use serde::{Deserialize, Serialize};

/// Longest step or pre-start that makes sense: a day.
const LONGEST: Ticks = Ticks(86_400_000);

/// Most violations reported for one recipe; more than any recipe can break (20 rules on 16 steps would be 320, but the
/// first 64 tell the story, and the count says how many there were).
pub const MAX_VIOLATIONS: usize = 64;

/// What is wrong; explicit numbers, never reused.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[repr(u16)]
pub enum RecipeRule {
    /// Layout version unknown.
    Schema = 1,
    /// Compiled for another machine.
    Machine = 2,
    /// Compiled against other parameters.
    Parameters = 3,
    /// No steps.
    NoSteps = 4,
    /// No pieces.
    NoPieces = 5,
    /// Contact height not finite, not positive, or above the approach.
    ContactHeight = 6,
    /// Pre-start zero or longer than a day.
    Prestart = 7,
    /// Pre-start flow below the minimum or above the pump.
    PrestartFlow = 8,
    /// Lower size limit negative or not finite.
    SizeLower = 9,
    /// Load not finite or below the lowest that this machine can hold within its tolerance.
    Load = 10,
    /// Step limit not above the load, or above the rated load, or not finite.
    LoadLimit = 11,
    /// Step limit inside twice the governor's half-width of the load, or of the initial load, which every run-up holds.
    GovernorMargin = 12,
    /// Ramp not positive or faster than the machine allows.
    Ramp = 13,
    /// A speed above its drive's largest, or not finite, or non-zero on a fixed ring.
    Speed = 14,
    /// No plate turns in this step.
    NoMotion = 15,
    /// Flow below the minimum or above the pump.
    Flow = 16,
    /// End condition not positive, or by gauge without a size limit (no gauge in use).
    End = 17,
    /// Longest time zero, beyond a day, or below the in-band time that ends the step.
    Longest = 18,
    /// Rinse longer than a day.
    Rinse = 19,
    /// Flatness control out of its ranges: no settings, the first not as programmed, trim, change, deadband, limit or longest time.
    Flatness = 20,
    /// A ring setting takes a speed beyond its drive's largest, turns a fixed ring, or leaves nothing turning.
    RingSetting = 21,
}

// The word says how the recipe breaks the rule.
words!(RecipeRule, ALL_RECIPE_RULES {
    Schema => "schema", "its layout is of another version";
    Machine => "machine", "it was compiled for another machine";
    Parameters => "parameters", "it was compiled against other parameters";
    NoSteps => "no-steps", "it has no steps";
    NoPieces => "no-pieces", "it has no pieces";
    ContactHeight => "contact-height", "the contact height is not between the lower plate and the approach";
    Prestart => "prestart", "the pre-start is nothing or longer than a day";
    PrestartFlow => "prestart-flow", "the pre-start flow is below the least flow or above the pump's";
    SizeLower => "size-lower", "the lower size limit is negative";
    Load => "load", "the load is lower than this machine can hold within its band";
    LoadLimit => "load-limit", "the load limit is not between the load and the rated load";
    GovernorMargin => "governor-margin", "the load limit is closer to the load than twice the governor's half-width";
    Ramp => "ramp", "the ramp is faster than the machine allows";
    Speed => "speed", "a speed is beyond its drive";
    NoMotion => "no-motion", "no plate turns";
    Flow => "flow", "the flow is below the least flow or above the pump's";
    End => "end", "the end condition is not positive, or by a gauge that is not used";
    Longest => "longest", "the longest time is nothing, beyond a day, or shorter than the step";
    Rinse => "rinse", "the rinse is longer than a day";
    Flatness => "flatness", "a number of its flatness control is out of range";
    RingSetting => "ring-setting", "a ring setting takes a speed beyond its drive";
});

/// One violation.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Violation {
    /// What.
    pub rule: RecipeRule,
    /// Step, 0-based; `None` for the recipe as a whole.
    pub step: Option<u8>,
}

/// A recipe that passed its check against one set of parameters.
#[derive(Clone, Debug, PartialEq)]
pub struct CheckedRecipe {
    wire: RecipeWire,
}

impl CheckedRecipe {
    /// The values.
    #[must_use]
    pub const fn get(&self) -> &RecipeWire {
        &self.wire
    }
    /// A step, if it exists.
    #[must_use]
    pub fn step(&self, index: u8) -> Option<&StepWire> {
        self.wire.steps.get(usize::from(index))
    }
    /// Flatness control, where the recipe has it.
    #[must_use]
    pub(crate) const fn form_control(&self) -> Option<&FormControl> {
        self.wire.flatness.as_ref()
    }
    /// Is this the last step (or beyond)?
    #[must_use]
    pub(crate) fn is_last(&self, index: u8) -> bool {
        usize::from(index).saturating_add(1) >= self.wire.steps.len()
    }
    /// Does a drive change direction from this step to the next?
    #[must_use]
    pub(crate) fn reverses_after(&self, index: u8) -> bool {
        let (Some(now), Some(next)) = (self.step(index), self.step(index.saturating_add(1))) else {
            return false;
        };
        now.speeds
            .iter()
            .zip(&next.speeds)
            .any(|(a, b)| a.get() * b.get() < 0.0)
    }
}

/// What is told of each violation.
type Tell<'a> = &'a mut dyn FnMut(Violation);

fn want(tell: Tell<'_>, ok: bool, rule: RecipeRule, step: Option<u8>) {
    if !ok {
        tell(Violation { rule, step });
    }
}

/// A recipe that passed its check, where it lies: only [`RecipeWire::sound`] makes one.
#[derive(Clone, Copy, Debug)]
pub struct Sound<'a>(&'a RecipeWire);

impl Sound<'_> {
    /// It was checked against these parameters; the digest is one of its rules.
    pub(crate) fn is_for(self, params: &CheckedParams) -> bool {
        self.0.params_hash == params.hash()
    }
}

impl CheckedRecipe {
    /// Puts a recipe in the place of the one before. Nothing of its size lies on the stack meanwhile.
    pub(crate) fn replace(place: &mut Option<Self>, recipe: Sound<'_>) {
        let empty = || Self {
            wire: RecipeWire::EMPTY,
        };
        place.get_or_insert_with(empty).wire.copy(recipe.0);
    }
}

impl RecipeWire {
    #[allow(clippy::result_large_err)] // for hosts; the controller checks in place
    /// Checks the whole recipe against the machine's parameters.
    ///
    /// # Errors
    /// Every violation found, up to [`MAX_VIOLATIONS`].
    pub fn check(
        self,
        params: &CheckedParams,
    ) -> Result<CheckedRecipe, Vec<Violation, MAX_VIOLATIONS>> {
        let mut found = Vec::new();
        // A full list already refuses the recipe; what does not fit changes nothing.
        self.violations(params, &mut |violation| {
            let _ = found.push(violation);
        });
        if found.is_empty() {
            Ok(CheckedRecipe { wire: self })
        } else {
            Err(found)
        }
    }

    /// The recipe, if it passes the check against the machine's parameters. It stays where it is.
    #[must_use]
    pub fn sound(&self, params: &CheckedParams) -> Option<Sound<'_>> {
        let mut sound = true;
        self.violations(params, &mut |_| sound = false);
        sound.then_some(Sound(self))
    }

    /// Tells every rule that the recipe breaks on this machine.
    fn violations(&self, params: &CheckedParams, tell: Tell<'_>) {
        let p = params.get();
        let mut want = |ok, rule| want(tell, ok, rule, None);
        want(self.schema == RECIPE_SCHEMA, RecipeRule::Schema);
        want(self.machine_id == p.machine_id, RecipeRule::Machine);
        want(self.params_hash == params.hash(), RecipeRule::Parameters);
        want(!self.steps.is_empty(), RecipeRule::NoSteps);
        want(self.pieces > 0, RecipeRule::NoPieces);
        let height = self.contact_height;
        want(
            height.is_finite() && height.get() > 0.0 && height + p.approach < p.height_raised,
            RecipeRule::ContactHeight,
        );
        want(
            self.prestart > Ticks::ZERO && self.prestart <= LONGEST,
            RecipeRule::Prestart,
        );
        want(
            self.prestart_flow >= p.flow_min && self.prestart_flow <= p.flow_max,
            RecipeRule::PrestartFlow,
        );
        want(self.rinse <= LONGEST, RecipeRule::Rinse);
        want(
            self.size_lower.is_finite() && self.size_lower.get() >= 0.0,
            RecipeRule::SizeLower,
        );
        want(
            self.flatness.as_ref().is_none_or(FormControl::is_sound),
            RecipeRule::Flatness,
        );
        let gauge = self.size_lower.get() > 0.0;
        let drives = Drives::of(p);
        let rings = self.flatness.as_ref().map(Rings::of);
        for (step, index) in self.steps.iter().zip(0_u8..) {
            if let Some(rings) = &rings {
                let fits = rings.fit(step, &drives);
                self::want(tell, fits, RecipeRule::RingSetting, Some(index));
            }
            check_step(tell, (step, index), params, &drives, gauge);
        }
    }
}

/// What the drives may do, rpm.
struct Drives {
    /// Largest speed of each; zero, bit for bit, for a ring that stands still.
    most: [f32; DRIVES],
    /// What turns, turns faster than this.
    least: f32,
}

impl Drives {
    fn of(p: &ParamsWire) -> Self {
        let mut most = p.speed_max.map(Rpm::get);
        for (most, fixed) in most.iter_mut().zip(&p.fixed) {
            if *fixed {
                *most = 0.0;
            }
        }
        Self {
            most,
            least: p.speed_tolerance.get(),
        }
    }
}

/// What the ring settings of a recipe do to the speeds of any step, worked out once.
struct Rings {
    /// Factors of the inner and the outer ring, of each setting.
    factors: Vec<[f32; 2], MAX_SETTINGS>,
    /// The largest of each: where it keeps a ring within its drive, every other does, for rounding keeps the order.
    most: [f32; 2],
}

impl Rings {
    fn of(control: &FormControl) -> Self {
        let factors = || control.settings.iter().skip(1).map(RingSetting::factors);
        // What is no number is beyond every drive.
        let size = |factor: f32| {
            if factor.is_finite() {
                factor.abs()
            } else {
                f32::INFINITY
            }
        };
        let most = factors().fold([0.0_f32; 2], |[inner, outer], [a, b]| {
            [max(inner, size(a)), max(outer, size(b))]
        });
        let mut rings = Self {
            factors: Vec::new(),
            most,
        };
        for factor in factors() {
            // As many fit here as there.
            let _ = rings.factors.push(factor);
        }
        rings
    }

    /// No setting takes a speed of this step beyond its drive, or leaves nothing turning.
    fn fit(&self, step: &StepWire, drives: &Drives) -> bool {
        let [inner, outer, lower, upper] = step.speeds.map(|speed| speed.abs().get());
        let [fast, slow] = self.most;
        let [most_inner, most_outer, ..] = drives.most;
        let least = drives.least;
        let within = inner * fast <= most_inner && outer * slow <= most_outer;
        let turns = lower > least
            || upper > least
            || self
                .factors
                .iter()
                .all(|[a, b]| inner * a.abs() > least || outer * b.abs() > least);
        within && turns
    }
}

fn check_step(
    tell: Tell<'_>,
    (step, index): (&StepWire, u8),
    params: &CheckedParams,
    drives: &Drives,
    gauge: bool,
) {
    let p = params.get();
    let mut want = |ok, rule| want(tell, ok, rule, Some(index));
    want(
        step.load.is_finite() && step.load >= p.lowest,
        RecipeRule::Load,
    );
    let limit = step.load_limit;
    want(
        limit.is_finite() && limit > step.load && limit <= p.rated,
        RecipeRule::LoadLimit,
    );
    let half: Newtons = params.governor_half_width(limit);
    // Below the initial load the seat, where the governor's line is anchored, is the higher of the two.
    let highest = Newtons::new(max(p.initial.get(), step.load.get()));
    want(
        limit.is_finite() && step.load.is_finite() && (limit - highest) >= half * 2.0,
        RecipeRule::GovernorMargin,
    );
    want(
        step.ramp.get() > 0.0 && step.ramp <= p.ramp_max,
        RecipeRule::Ramp,
    );
    let speeds = step.speeds.map(|speed| speed.abs().get());
    let (mut within, mut turns) = (true, false);
    for (speed, most) in speeds.iter().zip(&drives.most) {
        within &= speed <= most;
        turns |= *speed > drives.least;
    }
    want(within, RecipeRule::Speed);
    want(turns, RecipeRule::NoMotion);
    want(
        step.flow >= p.flow_min && step.flow <= p.flow_max,
        RecipeRule::Flow,
    );
    let (end_ok, least) = match step.end {
        EndWire::Time(ticks) => (ticks > Ticks::ZERO && ticks <= LONGEST, ticks),
        EndWire::Stock(depth) => (gauge && depth.is_finite() && depth.get() > 0.0, Ticks::ZERO),
        EndWire::Size(size) => (gauge && size.is_finite() && size.get() > 0.0, Ticks::ZERO),
    };
    want(end_ok, RecipeRule::End);
    want(
        step.longest > least && step.longest <= LONGEST,
        RecipeRule::Longest,
    );
}

#[cfg(test)]
pub(super) mod tests;

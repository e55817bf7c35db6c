//! Flatness control from batch to batch: which of the recipe's ring settings the next batch runs with, from the form of the plates.
//!
//! In planetary lapping the way the carriers turn against a plate, set by the direction of the pin rings and the ratio of their
//! speeds, decides whether the plate wears more outside or inside (common practice, no source). What levels one plate can ruin the
//! other, so both are weighed together. Form is one number a plate: how much higher its inner edge stands than its outer edge, towards
//! the parts, µm, + convex.
//!
//! The operator reports the form. From then on each completed batch adds the change that the host computed for the setting that ran,
//! and the report ages. The law: the setting that leaves the smallest sum of squares of the two forms. Correction begins when a plate is
//! beyond the deadband and ends when both are within half of it, so that the scatter of a reading at its edge does not turn it on and
//! off. Between two settings there is no such threshold: near the line between them they are equally good. Without a report that is
//! young enough, or when nothing needs correction, the rings turn as programmed.
//!
//! It is an aid, no safety function. It is asked at rest only, and what it may choose from was checked with the recipe.

use crate::math;
use crate::process_image::{DRIVES, Drive, FACES};
use crate::units::{Micrometres, Ratio, Rpm};
use heapless::Vec;
use serde::{Deserialize, Serialize};

/// Most ring settings of a recipe, the programmed one included.
pub const MAX_SETTINGS: usize = 6;
/// Largest form that is believed, µm: several times what a shop conditions away (invented).
pub const MOST_FORM: Micrometres = Micrometres::new(500.0);
/// Largest trim, share: at 1 a ring would stand, beyond it it would turn back.
pub const MOST_TRIM: Ratio = Ratio::new(0.5);
/// Most batches that a recipe may allow without a new report.
pub const MOST_UNREPORTED: u16 = 1000;
/// Age of a report that nothing can be reckoned from: there was none, or what happened since has no computed change.
pub const OUT_OF_DATE: u16 = u16::MAX;
const _: () = assert!(MOST_UNREPORTED < OUT_OF_DATE, "out of date is too old");

/// Share of the deadband within which correction ends.
const ENDS_WITHIN: f32 = 0.5;

/// One way to turn the pin rings, and what a batch does to the plates with it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct RingSetting {
    /// Both rings turn against their programmed directions.
    pub reversed: bool,
    /// Trim: the inner ring turns faster by this share, the outer one slower, −0.5..=0.5.
    pub trim: Ratio,
    /// Computed change of form of the lower and the upper plate a batch, + convex.
    pub change: [Micrometres; FACES],
}

impl RingSetting {
    /// The rings turn as the steps say.
    #[must_use]
    fn is_programmed(&self) -> bool {
        !self.reversed && self.trim.get().abs() <= 0.0
    }

    /// What the programmed speeds of the inner and the outer ring are multiplied by.
    #[must_use]
    pub(crate) fn factors(&self) -> [f32; 2] {
        let turn = if self.reversed { -1.0 } else { 1.0 };
        let trim = self.trim.get();
        [turn * (1.0 + trim), turn * (1.0 - trim)]
    }

    /// A step's speeds with this setting; the plates keep theirs.
    #[must_use]
    pub fn speeds(&self, programmed: [Rpm; DRIVES]) -> [Rpm; DRIVES] {
        if self.is_programmed() {
            return programmed;
        }
        let mut speeds = programmed;
        for (ring, factor) in [Drive::Inner, Drive::Outer].into_iter().zip(self.factors()) {
            if let Some(speed) = speeds.get_mut(ring as usize) {
                *speed = *speed * factor;
            }
        }
        speeds
    }
}

/// Flatness control of a recipe.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FormControl {
    /// Settings to choose from, 1 to [`MAX_SETTINGS`]; the first is the programmed one.
    pub settings: Vec<RingSetting, MAX_SETTINGS>,
    /// Form within which a plate needs no correction, over 0.
    pub deadband: Micrometres,
    /// Form beyond which no cycle starts, over the deadband, at most [`MOST_FORM`].
    pub limit: Micrometres,
    /// Batches after which a report is too old, 1 to [`MOST_UNREPORTED`].
    pub longest: u16,
}

impl FormControl {
    /// Everything but the speeds, which are checked step by step, is in its range.
    #[must_use]
    pub fn is_sound(&self) -> bool {
        let sound = |setting: &RingSetting| {
            setting.trim.is_finite()
                && setting.trim.abs() <= MOST_TRIM
                && setting.change.iter().all(|change| is_believed(*change))
        };
        self.settings
            .first()
            .is_some_and(RingSetting::is_programmed)
            && self.settings.iter().all(sound)
            && self.deadband.is_finite()
            && self.deadband > Micrometres::ZERO
            && self.limit > self.deadband
            && is_believed(self.limit)
            && self.longest > 0
            && self.longest <= MOST_UNREPORTED
    }

    /// A setting, if there is one of this number.
    #[must_use]
    pub(crate) fn setting(&self, number: u8) -> Option<&RingSetting> {
        self.settings.get(usize::from(number))
    }

    /// The setting that leaves the smallest sum of squares; the lowest number where several do.
    #[must_use]
    fn best(&self, form: [Micrometres; FACES]) -> u8 {
        let mut best = (f32::INFINITY, 0);
        for (setting, number) in self.settings.iter().zip(0_u8..) {
            let left = form
                .iter()
                .zip(&setting.change)
                .fold(0.0, |sum, (form, change)| {
                    let left = (*form + *change).get();
                    sum + left * left
                });
            if left < best.0 {
                best = (left, number);
            }
        }
        best.1
    }
}

/// A number, and one that the form of a plate can be.
fn is_believed(form: Micrometres) -> bool {
    form.is_finite() && form.abs() <= MOST_FORM
}

/// What the controller knows of the plates' form, and what it chose.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flatness {
    /// Reported, and reckoned on from there.
    form: [Micrometres; FACES],
    age: u16,
    correcting: bool,
    setting: u8,
    /// The plates turned on something since the form was last reckoned.
    worn: bool,
}

impl Flatness {
    /// Nothing reported.
    #[must_use]
    pub const fn new() -> Self {
        Self {
            form: [Micrometres::ZERO; FACES],
            age: OUT_OF_DATE,
            correcting: false,
            setting: 0,
            worn: false,
        }
    }

    /// Takes a report; `false` if no plate has such a form, and then nothing has changed.
    #[must_use]
    pub fn report(&mut self, form: [Micrometres; FACES]) -> bool {
        if !form.iter().all(|form| is_believed(*form)) {
            return false;
        }
        self.form = form;
        self.age = 0;
        self.worn = false;
        true
    }

    /// The plates turn on something.
    pub const fn wear(&mut self) {
        self.worn = true;
    }

    /// The plates have come to rest. A completed batch adds its change; after anything else that wore them the report is out of date.
    pub fn rest(&mut self, control: Option<&FormControl>, complete: bool) {
        if !core::mem::take(&mut self.worn) {
            return;
        }
        let ran = control
            .filter(|_| complete && self.age < OUT_OF_DATE)
            .and_then(|control| control.setting(self.setting));
        let Some(ran) = ran else {
            self.out_of_date();
            return;
        };
        let most = MOST_FORM.get();
        for (form, change) in self.form.iter_mut().zip(&ran.change) {
            *form = Micrometres::new(math::hold((*form + *change).get(), -most, most));
        }
        self.age = self.age.saturating_add(1);
    }

    /// Nothing can be reckoned from the report any more. The form stays: a limit that it passed is not made good by that.
    pub(crate) const fn out_of_date(&mut self) {
        self.age = OUT_OF_DATE;
    }

    /// Chooses anew, to be asked at rest only; says whether that changed the setting.
    pub fn choose(&mut self, control: Option<&FormControl>) -> bool {
        let before = self.setting;
        self.setting = match control.filter(|_| !self.overdue(control)) {
            None => {
                self.correcting = false;
                0
            }
            Some(control) => {
                let share = if self.correcting { ENDS_WITHIN } else { 1.0 };
                let within = control.deadband * share;
                self.correcting = self.form.iter().any(|form| form.abs() > within);
                if self.correcting {
                    control.best(self.form)
                } else {
                    0
                }
            }
        };
        self.setting != before
    }

    /// The form of a plate is beyond the recipe's limit.
    #[must_use]
    pub fn beyond(&self, control: Option<&FormControl>) -> bool {
        control.is_some_and(|c| self.form.iter().any(|form| form.abs() > c.limit))
    }

    /// There is no report, or one that is too old for the recipe.
    #[must_use]
    pub(crate) fn overdue(&self, control: Option<&FormControl>) -> bool {
        control.is_some_and(|c| self.age > c.longest)
    }

    /// Number of the setting in force; 0 is as programmed.
    #[must_use]
    pub const fn setting(&self) -> u8 {
        self.setting
    }

    /// Form of the lower and the upper plate, reported and reckoned on; zero before the first report.
    #[must_use]
    pub(crate) const fn form(&self) -> [Micrometres; FACES] {
        self.form
    }

    /// Batches since the report; [`OUT_OF_DATE`] where nothing can be reckoned from it.
    #[must_use]
    pub(crate) const fn age(&self) -> u16 {
        self.age
    }
}

impl Default for Flatness {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
#[path = "plate_form_tests.rs"]
pub(crate) mod tests;

//! What a batch does to the form of both plates, without running it: plates that have run in on each other, the removal coefficient as
//! the recipe has it.

use super::circles::Circles;
use super::forms::{Forms, Rubbed};
use super::kinematics::carrier_motion;
use super::plate_form::PlateForm;
use crate::model::{Batch, Deviations, Geometry, Machine, Measured, Process};
use firmware_core::process_image::{DRIVES, FACES};

/// Plates under a batch that is only reckoned.
#[derive(Debug)]
pub(crate) struct Wearing {
    geometry: Geometry,
    circles: Circles,
    /// Width of a part, m.
    width: f64,
    /// Removal coefficient, 1/Pa.
    removal: f64,
    forms: Forms,
    before: PlateForm,
    plates: PlateForm,
}

impl Wearing {
    /// Plates as the machine file has them.
    #[must_use]
    pub(crate) fn new(machine: &Machine, batch: &Batch, removal: f64) -> Self {
        let plates = PlateForm::new(machine);
        Self {
            geometry: machine.geometry.clone(),
            circles: Circles::new(&machine.geometry, batch),
            width: 2.0 * batch.outline.outer_radius(),
            removal,
            // Parts are of no interest here, so neither is what they are drawn from.
            forms: Forms::new(machine, batch, Process::default(), &Deviations::NOMINAL, 0),
            before: plates.clone(),
            plates,
        }
    }

    /// Stock that both faces lose together, m/s, at this pressure (Pa) and these speeds (rad/s).
    #[must_use]
    pub(crate) fn removal_rate(&self, pressure: f64, speeds: &[f64; DRIVES]) -> f64 {
        let slide: f64 = self.circles.sliding(&self.geometry, speeds).iter().sum();
        self.removal * pressure * slide
    }

    /// The same with the parts' own weight on their lower face, which is what is lost in truth.
    #[must_use]
    pub(crate) fn lapped_rate(&self, pressure: f64, speeds: &[f64; DRIVES]) -> f64 {
        let [lower, upper] = self.circles.sliding(&self.geometry, speeds);
        self.removal * (pressure * (lower + upper) + self.forms.parts_own() * lower)
    }

    /// A step of so many seconds on plates that have run in on each other.
    pub(crate) fn step(&mut self, pressure: f64, speeds: &[f64; DRIVES], seconds: f64) {
        let rubbed = self.rubbed(speeds, seconds);
        let shares = self.forms.run_in(&rubbed, pressure);
        self.forms
            .wear_plates(&mut self.plates, &rubbed, pressure, &shares);
    }

    /// The same on plates as they are: parts press where these come together. So short that the form hardly changes meanwhile.
    pub(crate) fn step_pressed(&mut self, pressure: f64, speeds: &[f64; DRIVES], seconds: f64) {
        let rubbed = self.rubbed(speeds, seconds);
        let shares = self.forms.pressed(&self.plates, pressure);
        self.forms
            .wear_plates(&mut self.plates, &rubbed, pressure, &shares);
    }

    fn rubbed(&self, speeds: &[f64; DRIVES], seconds: f64) -> Rubbed {
        let [_, _, plates @ ..] = *speeds;
        Rubbed {
            grind: self.removal * seconds,
            motion: carrier_motion(&self.geometry, speeds),
            plates,
            ..Rubbed::default()
        }
    }

    /// Form of the lower and the upper plate where this batch touches them, m, + convex; heat included where `warm`.
    #[must_use]
    pub(crate) fn form(&self, plates: &PlateForm, warm: bool) -> [f64; FACES] {
        [0, 1].map(|face| self.forms.form_of(plates, face, warm))
    }

    /// Form of the spheres that would leave on the parts what these plates leave as warm as they are, m, + convex.
    #[must_use]
    pub(crate) fn shown(&self, plates: &PlateForm) -> [f64; FACES] {
        let over = self.geometry.form_over_sag(self.width, 0.0);
        [0, 1].map(|face| -over * self.forms.sag_of(plates, face))
    }

    /// The form as it is measured now, m, + convex.
    #[must_use]
    pub(crate) fn measured(&self, measured: Measured) -> [f64; FACES] {
        self.as_measured(&self.plates, measured)
    }

    fn as_measured(&self, plates: &PlateForm, measured: Measured) -> [f64; FACES] {
        match measured {
            Measured::Straightedge => self.form(plates, false),
            Measured::Bands => self.shown(plates),
        }
    }

    /// What became of it so far as it is measured, m.
    #[must_use]
    pub(crate) fn change(&self, measured: Measured) -> [f64; FACES] {
        let form = |plates| self.as_measured(plates, measured);
        let (after, before) = (form(&self.plates), form(&self.before));
        [0, 1].map(|face| after[face] - before[face])
    }
}

//! A recipe: abrasive and vehicle, and the steps.

use super::{FlatnessControl, Process, Shown};
use firmware_core::process_image::{DRIVES, FACES};

/// Grain and slurry at which what an abrasive does was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MeasuredAt {
    /// Median grain size, m.
    pub grain: f64,
    /// Abrasive mass share in the slurry, 0..1.
    pub concentration: f64,
}

/// How fast the parts slid where a rate was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sliding {
    /// Mean sliding speed of the parts against either plate, m/s.
    Mean(f64),
    /// Speeds of the drives of the machine that the recipe is for, rad/s, `Drive` order.
    Drives([f64; DRIVES]),
}

/// Removal as a shop measures it: how much thinner the parts become in a minute, at a pressure and speeds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RemovalRate {
    /// Loss of thickness, both faces together, m/s.
    pub thickness: f64,
    /// Pressure on the parts, Pa.
    pub pressure: f64,
    /// How fast the parts slid.
    pub sliding: Sliding,
}

impl RemovalRate {
    /// The removal coefficient per face that gives this rate, 1/Pa, where the faces slid at these mean speeds, m/s: Preston's
    /// equation, rate = coefficient × pressure × speed, for both faces together.
    #[must_use]
    pub fn coefficient(&self, faces: [f64; FACES]) -> f64 {
        self.thickness / (self.pressure * (faces[0] + faces[1]))
    }
}

/// Abrasive, vehicle and what they do to this material.
#[derive(Clone, Debug, PartialEq)]
pub struct Consumables {
    /// Kind of process: how the grains are held.
    pub process: Process,
    /// Abrasive (aluminium oxide, silicon carbide, boron carbide, diamond, cerium oxide), free text.
    pub abrasive: String,
    /// Grade as printed on the bag, for people.
    pub grade: String,
    /// Median grain size, m.
    pub grain: f64,
    /// Vehicle: water or oil, free text.
    pub vehicle: String,
    /// Abrasive mass share in the slurry, 0..1.
    pub concentration: f64,
    /// Removal (Preston) coefficient per face as measured, 1/Pa; what is in force is [`crate::plant::abrasion::Abrasion`]'s.
    pub removal: Option<f64>,
    /// The same as a rate, where the file gives that; [`crate::files::load_set`] and the reader fill `removal` from it.
    pub removal_rate: Option<RemovalRate>,
    /// Friction coefficient of the wet gap.
    pub friction: f64,
    /// Friction coefficient of a dry gap.
    pub friction_dry: f64,
    /// Work per area that halves the grains' cutting ability, J/m²; fresh slurry replaces them.
    pub breakdown_work: f64,
    /// Roughness Ra the process settles at, as measured, m.
    pub roughness: Option<f64>,
    /// Damage depth per face the process leaves, as measured, m.
    pub damage: Option<f64>,
    /// Grain and concentration at which these three were measured; those of the file where nothing is said.
    pub measured_at: Option<MeasuredAt>,
    /// Removed depth per face over which roughness settles (one e-fold), m.
    pub settle_depth: f64,
}

impl Consumables {
    /// Abrasive and grade in words: a grade that names its abrasive says it all.
    #[must_use]
    pub fn named(&self) -> String {
        let Self {
            abrasive, grade, ..
        } = self;
        if grade.to_lowercase().contains(&abrasive.to_lowercase()) {
            grade.clone()
        } else {
            format!("{abrasive} {grade}")
        }
    }

    /// Grain and slurry as the recipe has them.
    pub(crate) const fn as_used(&self) -> MeasuredAt {
        MeasuredAt {
            grain: self.grain,
            concentration: self.concentration,
        }
    }
}

/// What ends a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum End {
    /// In-band time, s.
    Time {
        /// Time, s.
        seconds: f64,
    },
    /// Stock removed from both faces together since the step began, by gauge, m.
    Stock {
        /// Removed thickness, m.
        depth: f64,
    },
    /// Mean thickness by gauge, m.
    Size {
        /// Thickness, m.
        thickness: f64,
    },
}

/// One step of a recipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Name, `[A-Za-z0-9 -]{1,16}`.
    pub name: String,
    /// Pressure on the parts, Pa.
    pub pressure: f64,
    /// Load limit of the step, N.
    pub load_limit: f64,
    /// Load ramp, N/s.
    pub ramp: f64,
    /// Speeds, rad/s, `Drive` order.
    pub speeds: [f64; DRIVES],
    /// Slurry flow, m³/s.
    pub flow: f64,
    /// What ends the step.
    pub end: End,
    /// Longest time of the step, s.
    pub longest: f64,
}

/// A recipe as its file says.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    /// Identifier.
    pub id: String,
    /// One line for people.
    pub title: String,
    /// Machine it was written for.
    pub machine: String,
    /// Batch it was written for.
    pub batch: String,
    /// Kind of process, abrasive and vehicle.
    pub consumables: Consumables,
    /// Pump time before rotation, s.
    pub prestart: f64,
    /// Flow during the pre-start, m³/s.
    pub prestart_flow: f64,
    /// Rinse time after the last step, s; zero for none.
    pub rinse: f64,
    /// The size gauge is used.
    pub gauge: bool,
    /// Flatness control in process; none: the rings always turn as the steps say.
    pub flatness: Option<FlatnessControl>,
    /// Lower and upper size limits for the in-process trip are the batch's; steps in order, 1 to 16.
    pub steps: Vec<Step>,
    /// Units in which people are answered about it: those that it, its batch and its machine were typed in.
    pub shown: Shown,
}

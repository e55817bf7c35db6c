//! What a run comes to, gathered tick by tick without a recorder: an ensemble keeps nothing else.
//!
//! Load is judged by the *true* load with the plates' runout taken out (the ripple is the machine's and is reported apart, in
//! [`Summary::peak_load`]), against limits and setpoints of the recipe; which phase it is, is the controller's word.

mod dwell;
mod tally;

pub use tally::{Tally, Targets};

use crate::plant::places::Pocket;
use crate::plant::{DamageLeft, FormTruth, Harm, Leaning, PartLoad};
use firmware_core::sequence::{Phase, State};
use firmware_core::status::ALL_RESPONSES;

use crate::compile::{OVERSHOOT_NEWTONS, OVERSHOOT_SHARE};
/// Numbers of [`Response`](firmware_core::status::Response).
pub const RESPONSES: usize = ALL_RESPONSES.len();

/// A value that was the worst of its kind, and where.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worst {
    /// Value, in the unit of the field that holds it.
    pub value: f64,
    /// Tick of the bench.
    pub tick: u32,
    /// Step, 0-based.
    pub step: u8,
}

/// A stretch of the run in one state, phase and step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Interval {
    /// Procedural state.
    pub state: State,
    /// Phase.
    pub phase: Phase,
    /// Step, 0-based.
    pub step: u8,
    /// First tick.
    pub start: u32,
    /// First tick after it.
    pub end: u32,
}

/// One step as it went. Loads are true, runout taken out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct StepSummary {
    /// Setpoint of the recipe, N.
    pub setpoint: f64,
    /// Load limit of the recipe, N.
    pub limit: f64,
    /// Highest load from `LoadRamp` on, N; `None` if it never came so far.
    pub peak: Option<Worst>,
    /// Smallest distance below the limit in force, N; negative is above it.
    pub margin: Option<Worst>,
    /// Largest overshoot over the reference in `LoadRamp` and `Dwell`, N; negative if it always stayed below.
    pub overshoot: Option<Worst>,
    /// Time in `Dwell`, s.
    pub dwell: f64,
    /// Share of the dwell within the band around the setpoint, 0..=1; zero without a dwell.
    pub in_band: f64,
    /// Mean load in the dwell, N; zero without one.
    pub mean_load: f64,
    /// Peak-to-peak load in the last half of the dwell, N: hunting. Zero without a dwell.
    pub hunting: f64,
}

impl StepSummary {
    /// Overshoot that this step may have, N.
    #[must_use]
    pub fn overshoot_allowed(&self) -> f64 {
        crate::math::max(OVERSHOOT_NEWTONS, OVERSHOOT_SHARE * self.setpoint)
    }

    /// Overshoot as a share of the setpoint, when there was one to judge.
    #[must_use]
    pub fn overshoot_share(&self) -> Option<f64> {
        self.overshoot
            .filter(|_| self.setpoint > 0.0)
            .map(|worst| worst.value / self.setpoint)
    }
}

/// Thickness of the product (dummies are not counted), m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PartsSummary {
    /// Number of parts.
    pub count: u32,
    /// Mean.
    pub mean: f64,
    /// Sample standard deviation; zero for fewer than two parts.
    pub sd: f64,
    /// Thinnest.
    pub min: f64,
    /// Thickest.
    pub max: f64,
}

/// What the run came to.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// Ticks of the run.
    pub ticks: u32,
    /// State at the end.
    pub state: State,
    /// Phase at the end.
    pub phase: Phase,
    /// Time from the first tick in `Running` to `Complete`, s; `None` if the batch was not completed.
    pub cycle: Option<f64>,
    /// Where the time went, in order.
    pub intervals: Vec<Interval>,
    /// Intervals that found no room (a chattering sequencer).
    pub intervals_dropped: u32,
    /// Steps of the recipe, in order.
    pub steps: Vec<StepSummary>,
    /// Highest load of the whole run, runout included, N.
    pub peak_load: Worst,
    /// Rated load of the machine, N.
    pub rated_load: f64,
    /// Highest total load of a first contact (closed form), N.
    pub first_contact: f64,
    /// Highest load of a first contact on one part (closed form), N.
    pub first_contact_part: f64,
    /// The largest load on one part since the parts were laid in, first contacts apart, and the pocket of that part; `None` where
    /// nothing was pressed.
    pub largest_part: Option<(PartLoad, Pocket)>,
    /// How the plate leant under load since the parts were laid in.
    pub leaning: Leaning,
    /// The largest force along the pitch circle on one tooth of a carrier, N.
    pub tooth: f64,
    /// What came to harm.
    pub harm: Harm,
    /// First first-out cause (interlock row id) of the run and its tick.
    pub cause: Option<(u16, u32)>,
    /// First tick at which each response won, by its number.
    pub responses: [Option<u32>; RESPONSES],
    /// Every interlock row that asked at any time, one bit a row in table order.
    pub rows: u64,
    /// Product thickness at the end.
    pub parts: PartsSummary,
    /// Form of plates and parts at the end.
    pub form: FormTruth,
    /// Roughness Ra at the end, m.
    pub roughness: f64,
    /// The deepest damage left in any face of the product at the end; `None` without product.
    pub damage_left: Option<DamageLeft>,
    /// Slurry used, m³.
    pub slurry_used: f64,
}

impl Summary {
    /// The step whose smallest distance below its limit was the worst.
    #[must_use]
    pub fn worst_margin(&self) -> Option<Worst> {
        self.steps
            .iter()
            .filter_map(|step| step.margin)
            .min_by(|a, b| a.value.total_cmp(&b.value))
    }

    /// The overshoot that used the largest share of what its step allows, N.
    #[must_use]
    pub fn worst_overshoot(&self) -> Option<Worst> {
        let used = |step: &StepSummary, worst: Worst| worst.value / step.overshoot_allowed();
        self.steps
            .iter()
            .filter_map(|step| step.overshoot.map(|worst| (used(step, worst), worst)))
            .max_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, worst)| worst)
    }
}

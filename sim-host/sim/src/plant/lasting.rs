//! What of a machine lasts from batch to batch.

use super::axis::Axis;
use super::cell::LoadCell;
use super::heat::Heat;
use super::left_over::LeftOver;
use super::plate_form::PlateForm;
use super::slurry::Tank;
use super::{Substeps, Timing};
use crate::model::{Deviations, Machine};
use firmware_core::process_image::FACES;

/// What a machine takes from one batch into the next: temperatures and form of the plates, the content of the slurry tank with its
/// worn grains and swarf, the load cell with its drift, and how long ago the size gauge was set. Everything else a cycle begins afresh.
#[derive(Clone, Debug, PartialEq)]
pub struct Lasting {
    pub(super) cell: LoadCell,
    pub(super) heat: Heat,
    pub(super) tank: Tank,
    /// What is left of a coarser abrasive.
    pub(super) left_over: LeftOver,
    /// Running time since the size gauge was set, s.
    pub(super) gauge_age: f64,
    pub(super) plates: PlateForm,
}

impl Lasting {
    /// A machine before its first batch, differing from its file by `dev`: plates at the room's temperature, tank full and stirred.
    /// The batches run with so many `substeps`.
    #[must_use]
    pub fn new(machine: &Machine, dev: &Deviations, seed: u64, substeps: Substeps) -> Self {
        let timing = Timing::of(substeps);
        let hanging = -Axis::new(machine, dev, timing.fast).weight();
        Self {
            cell: LoadCell::new(machine, dev, seed, hanging, timing),
            heat: Heat::new(machine, timing.slow),
            tank: Tank::new(machine, timing.slow),
            left_over: LeftOver::default(),
            gauge_age: 0.0,
            plates: PlateForm::new(machine),
        }
    }

    /// The same with plates at these temperatures, °C, the lower and the upper one.
    #[must_use]
    pub(crate) const fn warmed(mut self, plates: [f64; FACES]) -> Self {
        self.heat.plates = plates;
        self
    }

    /// The tank is emptied and filled with fresh slurry.
    pub fn refill_tank(&mut self) {
        self.tank.refill();
    }

    /// The size gauge is set on its master.
    pub fn set_gauge(&mut self) {
        self.gauge_age = 0.0;
    }

    /// Running time since the size gauge was set, s.
    #[must_use]
    pub const fn gauge_age(&self) -> f64 {
        self.gauge_age
    }

    /// Cutting ability of the grains in the tank against fresh ones, 0..1, and swarf in the slurry, share of its volume.
    #[must_use]
    pub const fn slurry(&self) -> [f64; 2] {
        [self.tank.sharpness, self.tank.swarf]
    }

    /// Temperatures of the lower and the upper plate, °C.
    #[must_use]
    pub const fn temperatures(&self) -> [f64; 2] {
        self.heat.plates
    }

    /// Form of both plates.
    #[must_use]
    pub const fn plates(&self) -> &PlateForm {
        &self.plates
    }

    /// Content of the slurry tank, share of full.
    #[must_use]
    pub const fn tank(&self) -> f64 {
        self.tank.level
    }
}

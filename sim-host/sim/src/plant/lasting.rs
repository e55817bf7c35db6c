//! What of a machine lasts from batch to batch.

use super::Timing;
use super::axis::Axis;
use super::cell::LoadCell;
use super::heat::Heat;
use super::plate_form::PlateForm;
use super::slurry::Tank;
use crate::model::{Deviations, Machine};

/// What a machine takes from one batch into the next: temperatures and form of the plates, the content of the slurry tank, the load
/// cell with its drift. Everything else a cycle begins afresh.
#[derive(Clone, Debug)]
pub struct Lasting {
    pub(super) cell: LoadCell,
    pub(super) heat: Heat,
    pub(super) tank: Tank,
    pub(super) plates: PlateForm,
}

impl Lasting {
    /// A machine before its first batch, differing from its file by `dev`: plates at the room's temperature, tank full and stirred.
    #[must_use]
    pub fn new(machine: &Machine, dev: &Deviations, seed: u64) -> Self {
        let timing = Timing::TICK;
        let hanging = -Axis::new(machine, dev, timing.tick).weight();
        Self {
            cell: LoadCell::new(machine, dev, seed, hanging, timing),
            heat: Heat::new(machine, timing.slow),
            tank: Tank::new(machine, timing.slow),
            plates: PlateForm::new(machine),
        }
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

    /// The slurry tank is filled again.
    pub(crate) const fn fill_tank(&mut self) {
        self.tank.level = 1.0;
    }

    /// Content of the slurry tank, share of full.
    #[must_use]
    pub const fn tank(&self) -> f64 {
        self.tank.level
    }
}

//! Plates that are warm before a cycle begins.

use super::job::{Job, Setup};
use super::journal::Drawn;
use super::port::PortError;
use super::recorder::NoRecorder;
use super::run::{Outcome, run_after};
use crate::math::exp;
use crate::model::{Deviations, Machine};
use crate::plant::Lasting;
use firmware_core::process_image::FACES;
use firmware_core::units::TICKS_PER_SECOND;

/// How warm the plates are before a batch when such batches have followed one another without a pause until nothing changes any more.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settled {
    /// Temperature of the room, °C.
    ambient: f64,
    /// Rise of the lower and the upper plate over it on the machine as its file says, K.
    rise: [f64; FACES],
}

impl Settled {
    /// From what a cycle that began cold left. The plates are linear: of a rise before the cycle there is `keep =
    /// exp(-time cooling/capacity)` after it, and the cycle adds what it added to cold plates, so that `rise = keep rise + added`.
    #[must_use]
    pub fn after_cold(machine: &Machine, cold: &Outcome, after: &Lasting) -> Self {
        let thermal = &machine.thermal;
        let time = f64::from(cold.summary.ticks) / f64::from(TICKS_PER_SECOND);
        let keep = exp(-time * thermal.cooling / thermal.capacity);
        Self {
            ambient: thermal.ambient,
            rise: after
                .temperatures()
                .map(|plate| (plate - thermal.ambient) / (1.0 - keep)),
        }
    }

    /// The same, from one cycle of the machine as its file says, run for it.
    ///
    /// # Errors
    /// None in practice: a controller in this process is always there.
    pub fn of(job: &Job, seed: u64) -> Result<Self, PortError> {
        let setup = job.drawn(Drawn { seed, index: 0 });
        let (cold, after) =
            run_after(setup.unused(), setup.controller(), &setup, None, NoRecorder)?;
        Ok(Self::after_cold(&job.machine, &cold, &after))
    }

    /// Temperatures of the lower and the upper plate on a machine that differs so from its file, °C: heat is friction, and follows its
    /// coefficient. What else differs changes the heat by a few percent and is left out.
    #[must_use]
    pub fn plates(&self, deviations: &Deviations) -> [f64; FACES] {
        self.rise
            .map(|rise| self.ambient + rise * deviations.friction)
    }
}

impl Setup<'_> {
    /// The same with plates as warm as batches before have left them.
    #[must_use]
    pub fn warm(mut self, settled: &Settled) -> Self {
        self.plates = Some(settled.plates(&self.deviations));
        self
    }
}

//! What is done at the machine between cycles, and what is read there.

use super::Plant;
use super::lasting::Lasting;
use super::left_over::LeftOver;
use crate::model::{Conditioning, Machine};
use crate::training::rules::Found;
use crate::training::task::Task;
use firmware_core::process_image::FACES;

/// The slurry in the tank as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SlurrySample {
    /// Grains, share of the mass.
    pub concentration: f64,
    /// Cutting ability of its grains against fresh ones, 0..1.
    pub sharpness: f64,
    /// Swarf, share of the volume.
    pub swarf: f64,
    /// Among its grains are coarser ones of another abrasive.
    pub coarse: bool,
}

impl Lasting {
    /// The same, in the condition that an exercise has it found.
    #[must_use]
    pub fn found(mut self, machine: &Machine, found: &Found) -> Self {
        self.tank.grains = found.grains;
        self.tank.sharpness = found.sharpness;
        self.left_over = LeftOver::of(found.left_over);
        self.plates = self.plates.formed(&machine.geometry, found.form);
        self
    }
}

impl Plant {
    /// Conditioning rings for this machine; none where its file has none.
    #[must_use]
    pub fn conditioning(&self) -> Option<&Conditioning> {
        self.stock.conditioning()
    }

    pub(super) fn tend(&mut self, task: Task) {
        match task {
            Task::MixSlurry => self.lasting.tank.mix(),
            Task::ChangeSlurry => {
                self.lasting.tank.refill();
                self.lasting.left_over.rinsed();
            }
            Task::WashMachine => self.lasting.left_over.washed(),
            Task::ConditionPlates => self.condition(),
            Task::LayStraightedge | Task::SampleSlurry | Task::HangLock | Task::TakeLockOff => {}
        }
        self.sense_slow();
    }

    fn condition(&mut self) {
        let stock = std::sync::Arc::clone(&self.stock);
        if let Some(tools) = stock.conditioning() {
            self.lasting.condition(&self.geometry, tools);
            self.seat.rise = self.forms.rise(&self.lasting.plates);
        }
    }

    /// A sample of the slurry, stirred as it is taken.
    #[must_use]
    pub fn slurry_sample(&self) -> SlurrySample {
        let tank = &self.lasting.tank;
        SlurrySample {
            concentration: self.stock.concentration() * tank.grains,
            sharpness: tank.sharpness,
            swarf: tank.swarf,
            coarse: self.lasting.left_over.in_slurry(),
        }
    }

    /// Form of the lower and the upper plate as a straightedge shows it, everywhere at one temperature, m: inner edge over outer edge, +
    /// convex.
    #[must_use]
    pub fn straightedge(&self) -> [f64; FACES] {
        [0, 1].map(|face| self.forms.form_of(&self.lasting.plates, face, false))
    }
}

//! The machine with its outputs set by hand: no controller, no interlock. For logs such as a technician makes at standstill, loop open.

use crate::math::nearest;
use crate::model::{Batch, Consumables, Deviations, Machine};
use crate::plant::Plant;
use firmware_core::process_image::{Outputs, RodValve};

/// Ticks of 1 ms in a second.
const TICKS: f64 = 1000.0;
/// Ticks after which nothing is waited for any more; a descent takes 15 s.
const LONGEST_WAIT: u32 = 60_000;
/// Seconds for which the plate hangs while the cell is tared.
const TARED: f64 = 1.0;
/// Seconds for which the plate settles on what it was lowered onto.
const SETTLED: f64 = 3.0;

/// The plate under outputs set by hand.
#[derive(Clone, Debug)]
pub struct Rig {
    /// The machine.
    pub plant: Plant,
    /// What it is told.
    pub out: Outputs,
    /// Newtons per count, and counts of the hanging plate.
    scale: f64,
    tare: f64,
}

impl Rig {
    /// The plate raised, its pin withdrawn, the cell tared while it hangs.
    #[must_use]
    pub fn hung(
        machine: &Machine,
        batch: &Batch,
        consumables: &Consumables,
        deviations: &Deviations,
        seed: u64,
    ) -> Self {
        let mut rig = Self {
            plant: Plant::new(machine, batch, consumables, deviations, seed),
            out: Outputs {
                pin_withdraw: true,
                agitator: true,
                ..Outputs::default()
            },
            scale: machine.cell.range / machine.cell.counts_at_range,
            tare: 0.0,
        };
        let over = ticks(TARED);
        let mut sum = 0.0;
        for _ in 0..over {
            rig.run(1);
            sum += f64::from(rig.plant.inputs().cell_counts);
        }
        rig.tare = sum / f64::from(over);
        rig
    }

    /// Lowers the plate onto the parts; the dump valve is shut at the end.
    pub fn lower(&mut self, machine: &Machine, batch: &Batch) {
        let near = batch.thickness + machine.actuator.approach;
        self.out.rod = RodValve::LowerFast;
        self.until(|plant| plant.truth().height < near);
        self.out.rod = RodValve::LowerCreep;
        self.until(|plant| plant.fast_truth().load > 0.0);
        self.out.rod = RodValve::Float;
        self.run(ticks(SETTLED));
        self.out.dump_shut = true;
    }

    /// Runs until something is so, at most a minute.
    pub fn until(&mut self, done: impl Fn(&Plant) -> bool) {
        for _ in 0..LONGEST_WAIT {
            if done(&self.plant) {
                return;
            }
            self.run(1);
        }
    }

    /// So many ticks of 1 ms.
    pub fn run(&mut self, ticks: u32) {
        for _ in 0..ticks {
            self.plant.step(&self.out);
        }
    }

    /// Measured load, N, as a recorder has it.
    #[must_use]
    pub fn load(&self) -> f64 {
        (f64::from(self.plant.inputs().cell_counts) - self.tare) * self.scale
    }
}

/// Whole ticks of 1 ms.
#[must_use]
pub fn ticks(seconds: f64) -> u32 {
    nearest(seconds * TICKS).unsigned_abs()
}

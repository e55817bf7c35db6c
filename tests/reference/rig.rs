//! The real plant under outputs set by hand.

use firmware_core::process_image::{DriveOutput, Outputs, RodValve};
use std::f64::consts::PI;
use twinplate_sim::demo;
use twinplate_sim::model::{Batch, Consumables, Deviations, Machine};
use twinplate_sim::plant::Plant;

/// Revolutions per minute as rad/s.
pub fn rad_s(rpm: f64) -> f64 {
    rpm * PI / 30.0
}

/// Full scale of the regulator's command.
pub const FULL: f64 = 65_535.0;

/// A plant, what it is told, and what it was made from.
pub struct Rig {
    pub plant: Plant,
    pub out: Outputs,
    pub machine: Machine,
    pub batch: Batch,
    pub consumables: Consumables,
}

impl Rig {
    /// Machine A and its glass discs (invented), stripped of what hides the physics under test: no cell errors, no play or
    /// resolution of the regulator, no runout, no dog friction, next to no seal friction. `change` then has the last word.
    pub fn plain(
        dev: &Deviations,
        change: impl FnOnce(&mut Machine, &mut Batch, &mut Consumables),
    ) -> Self {
        let (mut m, mut b, recipe) = demo::set("glass-f800");
        let mut c = recipe.consumables;
        m.cell.noise = 0.0;
        m.cell.creep = [0.0; 2];
        m.cell.nonlinearity = 0.0;
        m.cell.lash = 0.0;
        m.cell.zero_drift = 0.0;
        m.actuator.play = 0.0;
        m.actuator.resolution = 0.0;
        m.actuator.seal_friction = 0.0;
        m.actuator.seal_breakaway = 0.0;
        m.actuator.dog_friction = 0.0;
        m.geometry.runout_ripple = 0.0;
        change(&mut m, &mut b, &mut c);
        Self {
            plant: Plant::new(&m, &b, &c, dev, 7),
            out: Outputs {
                pin_withdraw: true,
                agitator: true,
                ..Outputs::default()
            },
            machine: m,
            batch: b,
            consumables: c,
        }
    }

    /// One tick.
    pub fn tick(&mut self) {
        self.plant.step(&self.out);
    }

    /// Whole seconds and milliseconds.
    pub fn run(&mut self, milliseconds: u32) -> &mut Self {
        for _ in 0..milliseconds {
            self.tick();
        }
        self
    }

    /// Plate down on the parts, floating on the counterbalance, cap side vented.
    pub fn seated(mut self) -> Self {
        self.run(500);
        let near = self.batch.thickness + self.machine.actuator.approach;
        self.until(RodValve::LowerFast, |p| p.truth().height < near);
        self.until(RodValve::LowerCreep, |p| p.load()[1] > 0.0);
        self.out.rod = RodValve::Float;
        self.run(4000);
        self
    }

    fn until(&mut self, rod: RodValve, done: impl Fn(&Plant) -> bool) {
        self.out.rod = rod;
        for _ in 0..60_000 {
            if done(&self.plant) {
                return;
            }
            self.tick();
        }
        panic!("not reached in a minute: {:?}", self.plant.truth());
    }

    /// Dump valve shut and the regulator at a share of its full scale.
    pub fn press(&mut self, share: f64) -> &mut Self {
        self.out.dump_shut = true;
        self.out.cap_command = (share * FULL).round() as u16;
        self
    }

    /// All drives on at speeds in rev/min.
    pub fn turn(&mut self, rpm: [f64; 4]) -> &mut Self {
        self.out.drives = rpm.map(|n| DriveOutput {
            enable: true,
            setpoint: (n * 100.0).round() as i16,
        });
        self
    }
}

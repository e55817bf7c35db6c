//! Stand-ins for what the plant will bring; this file goes when it lands.

use crate::model::{Batch, Component, Consumables, Deviations, Fault, Machine, StationAct};
use firmware_core::process_image::{Inputs, Outputs};

/// True values after a tick.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Truth {
    /// Contact load on the upper faces, N.
    pub load: f64,
    /// The same without the runout ripple, N.
    pub load_without_runout: f64,
    /// Rod force, down positive, N.
    pub rod_force: f64,
    /// Plate height, m.
    pub height: f64,
    /// Drive speeds, rad/s.
    pub speeds: [f64; 4],
    /// Drive torques, N·m.
    pub torques: [f64; 4],
    /// Cap pressure, Pa.
    pub cap_pressure: f64,
    /// Rod pressure, Pa.
    pub rod_pressure: f64,
    /// Flow at the plate, m³/s.
    pub flow: f64,
    /// Wetness, 0..1.
    pub wetness: f64,
    /// Suspended fraction, 0..1.
    pub suspended: f64,
    /// Plate temperatures, °C.
    pub temperatures: [f64; 2],
    /// Mean thickness, m.
    pub thickness: f64,
    /// Removed, upper face, m.
    pub removed_upper: f64,
    /// Removed, lower face, m.
    pub removed_lower: f64,
    /// Roughness, m.
    pub roughness: f64,
    /// Slurry used, m³.
    pub slurry_used: f64,
    /// First contact peak total, N.
    pub contact_peak: f64,
    /// First contact peak on one part, N.
    pub contact_peak_part: f64,
    /// Friction coefficient in force.
    pub friction: f64,
}

/// Harm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Harm;

/// One part.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PartTruth {
    /// Thickness, m.
    pub thickness: f64,
    /// Dummy.
    pub dummy: bool,
}

/// Why not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FaultRefused;

/// The machine.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plant {
    inputs: Inputs,
    truth: Truth,
    parts: Vec<PartTruth>,
    harm: Harm,
}

impl Plant {
    /// New.
    pub fn new(_: &Machine, _: &Batch, _: &Consumables, _: &Deviations, _: u64) -> Self {
        Self {
            inputs: Inputs::default(),
            truth: Truth::default(),
            parts: Vec::new(),
            harm: Harm,
        }
    }
    /// Step.
    pub fn step(&mut self, out: &Outputs) {
        self.truth.load = f64::from(out.cap_command) * 0.01;
        self.truth.load_without_runout = self.truth.load;
    }
    /// Inputs.
    pub fn inputs(&self) -> &Inputs {
        &self.inputs
    }
    /// Truth.
    pub fn truth(&self) -> Truth {
        self.truth
    }
    /// Parts.
    pub fn parts(&self) -> &[PartTruth] {
        &self.parts
    }
    /// Harm.
    pub fn harm(&self) -> &Harm {
        &self.harm
    }
    /// Inject.
    pub fn inject(&mut self, fault: &Fault) -> Result<(), FaultRefused> {
        match fault.magnitude {
            Some(size) if !size.is_finite() => Err(FaultRefused),
            _ => Ok(()),
        }
    }
    /// Clear.
    pub fn clear(&mut self, _: Component) {}
    /// Act.
    pub fn act(&mut self, act: StationAct) {
        self.inputs.estop_a = act != StationAct::PressEstop;
    }
}

//! Components that can fail, the ways in which they fail, and the one set of words for both: scenario files accept them, and messages,
//! reports and the book use them. Below the model, whose faults and exercises are made of them.

use serde::{Deserialize, Serialize};

/// A component that can fail. The numbers never change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[repr(u8)]
pub enum Component {
    /// Cap-side regulator.
    Regulator = 0,
    /// Dump valve.
    DumpValve = 1,
    /// Dump valve feedback switch.
    DumpFeedback = 2,
    /// Counterbalance regulator.
    Counterbalance = 3,
    /// Pilot-operated check valve of the rod side.
    RodValve = 4,
    /// Rod-pressure switch.
    RodSwitch = 5,
    /// Air supply.
    Supply = 6,
    /// Load cell.
    LoadCell = 7,
    /// Cap-side pressure transmitter.
    CapTransmitter = 8,
    /// Plate height transmitter.
    HeightTransmitter = 9,
    /// Parking pin.
    Pin = 10,
    /// Swing arm switch.
    Arm = 11,
    /// Emergency stop channel A.
    EstopA = 12,
    /// Emergency stop channel B.
    EstopB = 13,
    /// Guard channel A.
    GuardA = 14,
    /// Guard channel B.
    GuardB = 15,
    /// Guard lock.
    GuardLock = 16,
    /// Inner ring drive.
    DriveInner = 17,
    /// Outer ring drive.
    DriveOuter = 18,
    /// Lower plate drive.
    DriveLower = 19,
    /// Upper plate drive.
    DriveUpper = 20,
    /// Slurry pump.
    Pump = 21,
    /// Slurry line.
    SlurryLine = 22,
    /// Flow switch.
    FlowSensor = 23,
    /// Agitator.
    Agitator = 24,
    /// Tank level.
    TankLevel = 25,
    /// Rinse water.
    RinseWater = 26,
    /// Plate cooling.
    Cooling = 27,
    /// Lower plate temperature sensor.
    TempLower = 28,
    /// Upper plate temperature sensor.
    TempUpper = 29,
    /// Size gauge.
    Gauge = 30,
    /// Parts in the pockets: a doubled part, an empty pocket, a part stuck to the raised plate.
    Parts = 31,
    /// Drive dog of the upper plate.
    Dog = 32,
    /// The controller's own tick.
    Tick = 33,
}

/// How a component fails: one vocabulary for every component.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[repr(u8)]
pub enum FaultMode {
    /// Does nothing, delivers nothing.
    Off = 0,
    /// Stays as it is.
    Stuck = 1,
    /// Delivers noise.
    Garbage = 2,
    /// Delivers or does something wrong by `magnitude` (meaning and unit are the component's).
    Wrong = 3,
    /// Follows with a lag of `magnitude` seconds.
    Slow = 4,
    /// Follows after `magnitude` seconds.
    Delayed = 5,
    /// Drops out and comes back, `magnitude` seconds each.
    Intermittent = 6,
}

impl FaultMode {
    /// All modes, in the order of their declaration.
    pub const ALL: [Self; 7] = [
        Self::Off,
        Self::Stuck,
        Self::Garbage,
        Self::Wrong,
        Self::Slow,
        Self::Delayed,
        Self::Intermittent,
    ];
}

/// Components that can fail, in the order of their numbers, and the words for them.
pub const COMPONENTS: &[(&str, Component); 34] = &[
    ("regulator", Component::Regulator),
    ("dump-valve", Component::DumpValve),
    ("dump-feedback", Component::DumpFeedback),
    ("counterbalance", Component::Counterbalance),
    ("rod-valve", Component::RodValve),
    ("rod-switch", Component::RodSwitch),
    ("air-supply", Component::Supply),
    ("load-cell", Component::LoadCell),
    ("cap-transmitter", Component::CapTransmitter),
    ("height-transmitter", Component::HeightTransmitter),
    ("parking-pin", Component::Pin),
    ("swing-arm", Component::Arm),
    ("emergency-stop-a", Component::EstopA),
    ("emergency-stop-b", Component::EstopB),
    ("guard-a", Component::GuardA),
    ("guard-b", Component::GuardB),
    ("guard-lock", Component::GuardLock),
    ("drive-inner", Component::DriveInner),
    ("drive-outer", Component::DriveOuter),
    ("drive-lower", Component::DriveLower),
    ("drive-upper", Component::DriveUpper),
    ("pump", Component::Pump),
    ("slurry-line", Component::SlurryLine),
    ("flow-switch", Component::FlowSensor),
    ("agitator", Component::Agitator),
    ("tank-level", Component::TankLevel),
    ("rinse-water", Component::RinseWater),
    ("cooling", Component::Cooling),
    ("temperature-lower", Component::TempLower),
    ("temperature-upper", Component::TempUpper),
    ("gauge", Component::Gauge),
    ("parts", Component::Parts),
    ("drive-dog", Component::Dog),
    ("tick", Component::Tick),
];

/// Ways to fail and the words for them.
pub const FAULT_MODES: &[(&str, FaultMode)] = &[
    ("off", FaultMode::Off),
    ("stuck", FaultMode::Stuck),
    ("garbage", FaultMode::Garbage),
    ("wrong", FaultMode::Wrong),
    ("slow", FaultMode::Slow),
    ("delayed", FaultMode::Delayed),
    ("intermittent", FaultMode::Intermittent),
];

/// The word for a component.
#[must_use]
pub fn component(component: Component) -> &'static str {
    COMPONENTS
        .get(component as usize)
        .map_or("component", |(word, _)| word)
}

/// The word for a mode.
#[must_use]
pub fn mode(mode: FaultMode) -> &'static str {
    FAULT_MODES
        .get(mode as usize)
        .map_or("mode", |(word, _)| word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_stands_at_the_number_of_what_it_names_and_only_once() {
        for (index, (word, named)) in COMPONENTS.iter().enumerate() {
            assert_eq!(*named as usize, index);
            assert_eq!(component(*named), *word);
            assert_eq!(COMPONENTS.iter().filter(|(w, _)| w == word).count(), 1);
        }
        for (index, (word, named)) in FAULT_MODES.iter().enumerate() {
            assert_eq!(*named as usize, index);
            assert_eq!(mode(*named), *word);
        }
        assert_eq!(FAULT_MODES.len(), FaultMode::ALL.len());
    }
}

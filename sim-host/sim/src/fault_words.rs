//! The one set of words for components and for the ways in which they fail: scenario files accept them, and messages, reports
//! and the book use them.

use crate::model::{Component, FaultMode};

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

//! Which component fails in which way: the table of what can be injected, and what each failure does.
//!
//! One row is one supported pair; a pair without a row is refused by name. `magnitude` is the default; where it is `None` the
//! failure has no magnitude. All defaults are invented.

use crate::fault_words as words;
pub use crate::fault_words::{component as name, mode as mode_name};
use crate::model::{Component, FaultMode};
use Component as C;
use FaultMode as M;

/// One supported pair of component and failure mode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Supported {
    /// Component.
    pub component: Component,
    /// Mode.
    pub mode: FaultMode,
    /// Default magnitude, in `unit`.
    pub magnitude: Option<f64>,
    /// Unit of the magnitude; empty where there is none.
    pub unit: &'static str,
    /// What happens.
    pub meaning: &'static str,
}

const fn row(
    component: Component,
    mode: FaultMode,
    magnitude: Option<f64>,
    unit: &'static str,
    meaning: &'static str,
) -> Supported {
    Supported {
        component,
        mode,
        magnitude,
        unit,
        meaning,
    }
}

/// Number of components.
pub const COMPONENTS: usize = words::COMPONENTS.len();

/// The row of a pair, if it is supported.
#[must_use]
pub fn supported(component: Component, mode: FaultMode) -> Option<&'static Supported> {
    SUPPORTED
        .iter()
        .find(|row| row.component == component && row.mode == mode)
}

/// Every supported pair.
#[rustfmt::skip]
pub const SUPPORTED: &[Supported] = &[
    row(C::Regulator, M::Off, None, "", "delivers no pressure"),
    row(C::Regulator, M::Stuck, None, "", "stays at the command it has"),
    row(C::Regulator, M::Garbage, None, "", "follows random commands"),
    row(C::Regulator, M::Wrong, Some(1.3), "factor", "gain is multiplied"),
    row(C::Regulator, M::Slow, Some(0.5), "s", "additional lag"),
    row(C::Regulator, M::Delayed, Some(0.1), "s", "additional dead time"),
    row(C::Regulator, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::DumpValve, M::Off, None, "", "coil dead: the valve vents"),
    row(C::DumpValve, M::Stuck, None, "", "stays as it is"),
    row(C::DumpValve, M::Wrong, Some(0.2), "opening", "opens only to this share"),
    row(C::DumpValve, M::Delayed, Some(0.3), "s", "reacts this late"),
    row(C::DumpValve, M::Intermittent, Some(0.2), "s", "coil drops out and comes back, this long each"),
    row(C::DumpFeedback, M::Off, None, "", "reads shut"),
    row(C::DumpFeedback, M::Stuck, None, "", "contact stays as it is"),
    row(C::DumpFeedback, M::Wrong, None, "", "reads the opposite"),
    row(C::DumpFeedback, M::Delayed, Some(0.2), "s", "contact changes this late"),
    row(C::DumpFeedback, M::Intermittent, Some(0.05), "s", "contact drops out and comes back, this long each"),
    row(C::Counterbalance, M::Off, None, "", "regulator delivers no pressure"),
    row(C::Counterbalance, M::Wrong, Some(0.8), "factor", "regulator pressure is multiplied"),
    row(C::Counterbalance, M::Intermittent, Some(1.0), "s", "drops out and comes back, this long each"),
    row(C::RodValve, M::Off, None, "", "stays trapped whatever it is told"),
    row(C::RodValve, M::Stuck, None, "", "stays in its position"),
    row(C::RodValve, M::Wrong, Some(0.0005), "m/s", "check valve leaks: a held plate sinks at this speed"),
    row(C::RodValve, M::Delayed, Some(0.3), "s", "changes this late"),
    row(C::RodValve, M::Intermittent, Some(0.5), "s", "falls back to trapped and returns, this long each"),
    row(C::RodSwitch, M::Off, None, "", "reads no pressure"),
    row(C::RodSwitch, M::Stuck, None, "", "contact stays as it is"),
    row(C::RodSwitch, M::Wrong, None, "", "reads the opposite"),
    row(C::RodSwitch, M::Delayed, Some(0.2), "s", "contact changes this late"),
    row(C::RodSwitch, M::Intermittent, Some(0.05), "s", "contact drops out and comes back, this long each"),
    row(C::Supply, M::Off, None, "", "no air"),
    row(C::Supply, M::Wrong, Some(0.6), "factor", "pressure is multiplied"),
    row(C::Supply, M::Intermittent, Some(1.0), "s", "drops out and comes back, this long each"),
    row(C::LoadCell, M::Off, None, "", "open bridge: full scale and the status bit gone"),
    row(C::LoadCell, M::Stuck, None, "", "keeps its last reading"),
    row(C::LoadCell, M::Garbage, None, "", "reads anything in its range"),
    row(C::LoadCell, M::Wrong, Some(-1.0), "factor", "reading is multiplied: a negative factor at once (leads swapped), a positive one drifts there at 2 % a second"),
    row(C::LoadCell, M::Slow, Some(0.5), "s", "reading follows with this lag"),
    row(C::LoadCell, M::Delayed, Some(0.1), "s", "reading comes this late"),
    row(C::LoadCell, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::CapTransmitter, M::Off, None, "", "reads zero"),
    row(C::CapTransmitter, M::Stuck, None, "", "keeps its last reading"),
    row(C::CapTransmitter, M::Garbage, None, "", "reads anything in its range"),
    row(C::CapTransmitter, M::Wrong, Some(0.8), "factor", "reading is multiplied"),
    row(C::CapTransmitter, M::Slow, Some(1.0), "s", "reading follows with this lag"),
    row(C::CapTransmitter, M::Delayed, Some(0.5), "s", "reading comes this late"),
    row(C::CapTransmitter, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::HeightTransmitter, M::Off, None, "", "reads zero"),
    row(C::HeightTransmitter, M::Stuck, None, "", "keeps its last reading"),
    row(C::HeightTransmitter, M::Garbage, None, "", "reads anything in its range"),
    row(C::HeightTransmitter, M::Wrong, Some(0.0005), "m", "reading is shifted"),
    row(C::HeightTransmitter, M::Slow, Some(1.0), "s", "reading follows with this lag"),
    row(C::HeightTransmitter, M::Delayed, Some(0.5), "s", "reading comes this late"),
    row(C::HeightTransmitter, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::Pin, M::Off, None, "", "actuator dead: the spring holds it in"),
    row(C::Pin, M::Stuck, None, "", "stays where it is"),
    row(C::Pin, M::Wrong, None, "", "position switches swapped"),
    row(C::Pin, M::Delayed, Some(1.0), "s", "moves this late"),
    row(C::Pin, M::Intermittent, Some(0.5), "s", "actuator drops out and comes back, this long each"),
    row(C::Arm, M::Off, None, "", "switch reads not home"),
    row(C::Arm, M::Garbage, None, "", "switch chatters"),
    row(C::Arm, M::Intermittent, Some(0.5), "s", "contact drops out and comes back, this long each"),
    row(C::EstopA, M::Off, None, "", "channel reads open"),
    row(C::EstopA, M::Stuck, None, "", "contact welded: stays as it is"),
    row(C::EstopA, M::Delayed, Some(0.2), "s", "contact changes this late"),
    row(C::EstopA, M::Intermittent, Some(0.05), "s", "contact drops out and comes back, this long each"),
    row(C::EstopB, M::Off, None, "", "channel reads open"),
    row(C::EstopB, M::Stuck, None, "", "contact welded: stays as it is"),
    row(C::EstopB, M::Delayed, Some(0.2), "s", "contact changes this late"),
    row(C::EstopB, M::Intermittent, Some(0.05), "s", "contact drops out and comes back, this long each"),
    row(C::GuardA, M::Off, None, "", "channel reads open"),
    row(C::GuardA, M::Stuck, None, "", "contact welded: stays as it is"),
    row(C::GuardA, M::Delayed, Some(0.2), "s", "contact changes this late"),
    row(C::GuardA, M::Intermittent, Some(0.05), "s", "contact drops out and comes back, this long each"),
    row(C::GuardB, M::Off, None, "", "channel reads open"),
    row(C::GuardB, M::Stuck, None, "", "contact welded: stays as it is"),
    row(C::GuardB, M::Delayed, Some(0.2), "s", "contact changes this late"),
    row(C::GuardB, M::Intermittent, Some(0.05), "s", "contact drops out and comes back, this long each"),
    row(C::GuardLock, M::Off, None, "", "bolt does not hold"),
    row(C::GuardLock, M::Stuck, None, "", "bolt stays as it is"),
    row(C::GuardLock, M::Wrong, None, "", "switch reads the opposite"),
    row(C::GuardLock, M::Delayed, Some(0.5), "s", "bolt moves this late"),
    row(C::GuardLock, M::Intermittent, Some(0.2), "s", "switch drops out and comes back, this long each"),
    row(C::DriveInner, M::Off, None, "", "trips: coasts and reports a fault"),
    row(C::DriveInner, M::Stuck, None, "", "runs on at its speed whatever it is told"),
    row(C::DriveInner, M::Garbage, None, "", "follows random setpoints"),
    row(C::DriveInner, M::Wrong, Some(-1.0), "factor", "speed is multiplied (-1: turns the wrong way)"),
    row(C::DriveInner, M::Slow, Some(2.0), "s", "setpoint follows with this lag"),
    row(C::DriveInner, M::Delayed, Some(0.5), "s", "setpoint comes this late"),
    row(C::DriveInner, M::Intermittent, Some(0.5), "s", "trips and comes back, this long each"),
    row(C::DriveOuter, M::Off, None, "", "trips: coasts and reports a fault"),
    row(C::DriveOuter, M::Stuck, None, "", "runs on at its speed whatever it is told"),
    row(C::DriveOuter, M::Garbage, None, "", "follows random setpoints"),
    row(C::DriveOuter, M::Wrong, Some(-1.0), "factor", "speed is multiplied (-1: turns the wrong way)"),
    row(C::DriveOuter, M::Slow, Some(2.0), "s", "setpoint follows with this lag"),
    row(C::DriveOuter, M::Delayed, Some(0.5), "s", "setpoint comes this late"),
    row(C::DriveOuter, M::Intermittent, Some(0.5), "s", "trips and comes back, this long each"),
    row(C::DriveLower, M::Off, None, "", "trips: coasts and reports a fault"),
    row(C::DriveLower, M::Stuck, None, "", "runs on at its speed whatever it is told"),
    row(C::DriveLower, M::Garbage, None, "", "follows random setpoints"),
    row(C::DriveLower, M::Wrong, Some(-1.0), "factor", "speed is multiplied (-1: turns the wrong way)"),
    row(C::DriveLower, M::Slow, Some(2.0), "s", "setpoint follows with this lag"),
    row(C::DriveLower, M::Delayed, Some(0.5), "s", "setpoint comes this late"),
    row(C::DriveLower, M::Intermittent, Some(0.5), "s", "trips and comes back, this long each"),
    row(C::DriveUpper, M::Off, None, "", "trips: coasts and reports a fault"),
    row(C::DriveUpper, M::Stuck, None, "", "runs on at its speed whatever it is told"),
    row(C::DriveUpper, M::Garbage, None, "", "follows random setpoints"),
    row(C::DriveUpper, M::Wrong, Some(-1.0), "factor", "speed is multiplied (-1: turns the wrong way)"),
    row(C::DriveUpper, M::Slow, Some(2.0), "s", "setpoint follows with this lag"),
    row(C::DriveUpper, M::Delayed, Some(0.5), "s", "setpoint comes this late"),
    row(C::DriveUpper, M::Intermittent, Some(0.5), "s", "trips and comes back, this long each"),
    row(C::Pump, M::Off, None, "", "does not turn"),
    row(C::Pump, M::Stuck, None, "", "keeps its speed"),
    row(C::Pump, M::Garbage, None, "", "turns at random"),
    row(C::Pump, M::Wrong, Some(0.5), "factor", "delivery is multiplied"),
    row(C::Pump, M::Slow, Some(5.0), "s", "follows with this lag"),
    row(C::Pump, M::Delayed, Some(2.0), "s", "follows this late"),
    row(C::Pump, M::Intermittent, Some(2.0), "s", "stops and starts, this long each"),
    row(C::SlurryLine, M::Off, None, "", "blocked"),
    row(C::SlurryLine, M::Wrong, Some(0.3), "share", "share of the flow that reaches the plate"),
    row(C::SlurryLine, M::Slow, Some(5.0), "s", "additional lag"),
    row(C::SlurryLine, M::Intermittent, Some(1.0), "s", "air in the line: stops and flows, this long each"),
    row(C::FlowSensor, M::Off, None, "", "reads zero"),
    row(C::FlowSensor, M::Stuck, None, "", "keeps its last reading"),
    row(C::FlowSensor, M::Garbage, None, "", "reads anything in its range"),
    row(C::FlowSensor, M::Wrong, Some(1.5), "factor", "reading is multiplied"),
    row(C::FlowSensor, M::Slow, Some(1.0), "s", "reading follows with this lag"),
    row(C::FlowSensor, M::Delayed, Some(0.5), "s", "reading comes this late"),
    row(C::FlowSensor, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::Agitator, M::Off, None, "", "does not turn"),
    row(C::Agitator, M::Stuck, None, "", "motor stays as it is"),
    row(C::Agitator, M::Wrong, None, "", "coupling broken: proven turning, slurry settles"),
    row(C::Agitator, M::Delayed, Some(2.0), "s", "follows this late"),
    row(C::Agitator, M::Intermittent, Some(1.0), "s", "stops and starts, this long each"),
    row(C::TankLevel, M::Off, None, "", "reads empty"),
    row(C::TankLevel, M::Stuck, None, "", "keeps its last reading"),
    row(C::TankLevel, M::Garbage, None, "", "reads anything in its range"),
    row(C::TankLevel, M::Wrong, Some(0.5), "factor", "reading is multiplied"),
    row(C::TankLevel, M::Slow, Some(1.0), "s", "reading follows with this lag"),
    row(C::TankLevel, M::Delayed, Some(0.5), "s", "reading comes this late"),
    row(C::TankLevel, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::RinseWater, M::Off, None, "", "no water"),
    row(C::RinseWater, M::Stuck, None, "", "valve stays as it is"),
    row(C::RinseWater, M::Wrong, Some(0.3), "factor", "flow is multiplied"),
    row(C::RinseWater, M::Delayed, Some(2.0), "s", "valve moves this late"),
    row(C::RinseWater, M::Intermittent, Some(1.0), "s", "stops and flows, this long each"),
    row(C::Cooling, M::Off, None, "", "no cooling"),
    row(C::Cooling, M::Wrong, Some(0.3), "factor", "cooling is multiplied"),
    row(C::Cooling, M::Intermittent, Some(30.0), "s", "stops and flows, this long each"),
    row(C::TempLower, M::Off, None, "", "reads zero"),
    row(C::TempLower, M::Stuck, None, "", "keeps its last reading"),
    row(C::TempLower, M::Garbage, None, "", "reads anything in its range"),
    row(C::TempLower, M::Wrong, Some(15.0), "K", "reading is shifted"),
    row(C::TempLower, M::Slow, Some(30.0), "s", "reading follows with this lag"),
    row(C::TempLower, M::Delayed, Some(10.0), "s", "reading comes this late"),
    row(C::TempLower, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::TempUpper, M::Off, None, "", "reads zero"),
    row(C::TempUpper, M::Stuck, None, "", "keeps its last reading"),
    row(C::TempUpper, M::Garbage, None, "", "reads anything in its range"),
    row(C::TempUpper, M::Wrong, Some(15.0), "K", "reading is shifted"),
    row(C::TempUpper, M::Slow, Some(30.0), "s", "reading follows with this lag"),
    row(C::TempUpper, M::Delayed, Some(10.0), "s", "reading comes this late"),
    row(C::TempUpper, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::Gauge, M::Off, None, "", "no valid reading"),
    row(C::Gauge, M::Stuck, None, "", "keeps its last reading"),
    row(C::Gauge, M::Garbage, None, "", "reads anything in its range"),
    row(C::Gauge, M::Wrong, Some(3e-06), "m", "reading is shifted"),
    row(C::Gauge, M::Slow, Some(5.0), "s", "reading follows with this lag"),
    row(C::Gauge, M::Delayed, Some(2.0), "s", "reading comes this late"),
    row(C::Gauge, M::Intermittent, Some(0.2), "s", "drops out and comes back, this long each"),
    row(C::Parts, M::Off, Some(1.0), "pockets", "pockets without a part"),
    row(C::Parts, M::Wrong, Some(1.0), "pockets", "pockets with two parts"),
    row(C::Parts, M::Stuck, Some(5.0), "parts", "parts stick to the raised plate, each with its share of the carrier"),
    row(C::Dog, M::Off, None, "", "disengaged: the upper plate is not driven"),
    row(C::Dog, M::Stuck, None, "", "jams: turning no longer frees it"),
    row(C::Dog, M::Wrong, Some(4.0), "factor", "friction is multiplied"),
    row(C::Tick, M::Off, None, "", "every tick late"),
    row(C::Tick, M::Intermittent, Some(0.1), "s", "one late tick in this time"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_pair_twice_every_component_once_and_magnitudes_have_units() {
        for (i, a) in SUPPORTED.iter().enumerate() {
            assert_eq!(a.magnitude.is_some(), !a.unit.is_empty(), "{a:?}");
            assert!(!a.meaning.is_empty());
            for b in &SUPPORTED[..i] {
                assert!(
                    (a.component, a.mode) != (b.component, b.mode),
                    "{a:?} twice"
                );
            }
        }
        for (_, component) in words::COMPONENTS {
            assert!(SUPPORTED.iter().any(|row| row.component == *component));
        }
        assert!(SUPPORTED.len() >= 100);
    }
}

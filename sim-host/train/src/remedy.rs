//! Putting something right: what is done, where, and how long it takes. Somebody is called, locks the machine off, looks, and has it done
//! some minutes later; meanwhile nothing can be started. Minutes are invented and short: on a real machine it takes longer.

use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::fault_words::COMPONENTS;
use twinplate_sim::model::Component;

/// Where whoever does it has to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Where {
    /// Outside the guard: cabinet, tank, services, the top of the frame.
    Outside,
    /// In the working space: the guard is open, and the plate hangs on its pin.
    Inside,
}

/// How a component is put right.
#[derive(Clone, Copy, Debug)]
pub(super) struct Remedy {
    /// What, for people.
    pub what: &'static str,
    pub place: Where,
    /// How long it takes. Invented.
    minutes: u32,
}

impl Remedy {
    pub const fn new(what: &'static str, place: Where, minutes: u32) -> Self {
        Self {
            what,
            place,
            minutes,
        }
    }

    /// What, where, and how long it takes, for people.
    pub fn text(&self) -> String {
        let place = match self.place {
            Where::Outside => "outside the guard",
            Where::Inside => "guard open, plate parked",
        };
        format!("{} ({} min, {place})", self.what, self.minutes)
    }

    /// How long it takes.
    pub const fn ticks(&self) -> u32 {
        self.minutes.saturating_mul(60 * TICKS_PER_SECOND)
    }
}

/// Until it is seen whether anything is wrong with it, ticks. Invented.
pub(super) const LOOK: u32 = 60 * TICKS_PER_SECOND;
/// What is said before every one of them. Usual practice; local codes decide.
pub(super) const CAUTION: &str =
    "Isolate, lock off, prove dead; whoever does it is trained for it.";

/// How a component is put right.
pub(super) const fn remedy(component: Component) -> Remedy {
    Remedy::new(what(component), place(component), minutes(component))
}

const fn what(component: Component) -> &'static str {
    match component {
        Component::Regulator => "have the pressure regulator exchanged",
        Component::DumpValve => "have the dump valve exchanged",
        Component::DumpFeedback => "have the dump valve's feedback switch exchanged",
        Component::Counterbalance => "have the counterbalance regulator set",
        Component::RodValve => "have the check valve of the rod side exchanged",
        Component::RodSwitch => "have the rod-pressure switch exchanged",
        Component::Supply => "have the air supply restored",
        Component::LoadCell => "have the load cell and its amplifier exchanged and checked",
        Component::CapTransmitter => "have the cap-pressure transmitter exchanged",
        Component::HeightTransmitter => "have the height transmitter exchanged",
        Component::Pin => "have the parking pin repaired",
        Component::Arm => "have the swing arm's switch set",
        Component::EstopA => "have channel A of the emergency stop repaired",
        Component::EstopB => "have channel B of the emergency stop repaired",
        Component::GuardA => "have channel A of the guard switch repaired",
        Component::GuardB => "have channel B of the guard switch repaired",
        Component::GuardLock => "have the guard lock repaired",
        Component::DriveInner => "have the inner ring's drive checked and its trip reset",
        Component::DriveOuter => "have the outer ring's drive checked and its trip reset",
        Component::DriveLower => "have the lower plate's drive checked and its trip reset",
        Component::DriveUpper => "have the upper plate's drive checked and its trip reset",
        Component::Pump => "have the slurry pump repaired",
        Component::SlurryLine => "free and flush the slurry line",
        Component::FlowSensor => "have the flow switch exchanged",
        Component::Agitator => "put the agitator right and switch it on at the tank",
        Component::TankLevel => "have the level transmitter exchanged",
        Component::RinseWater => "have the rinse water restored",
        Component::Cooling => "have the plate cooling restored",
        Component::TempLower => "have the lower plate's temperature sensor exchanged",
        Component::TempUpper => "have the upper plate's temperature sensor exchanged",
        Component::Gauge => "have the size gauge put right",
        Component::Parts => "free or lay right the parts, by the safe procedure for this machine",
        Component::Dog => "have the upper plate's drive dog put right",
        Component::Tick => "have the controller checked",
    }
}

const fn place(component: Component) -> Where {
    match component {
        Component::TempLower | Component::TempUpper | Component::Parts | Component::Dog => {
            Where::Inside
        }
        _ => Where::Outside,
    }
}

const fn minutes(component: Component) -> u32 {
    match component {
        Component::Agitator => 1,
        Component::Supply
        | Component::Arm
        | Component::SlurryLine
        | Component::FlowSensor
        | Component::TankLevel
        | Component::RinseWater
        | Component::Gauge
        | Component::Parts => 2,
        Component::Regulator
        | Component::DumpValve
        | Component::RodValve
        | Component::Pin
        | Component::Pump
        | Component::Dog => 4,
        _ => 3,
    }
}

/// What a remedy can be asked for: (component word, what is done, where and how long it takes, for people).
pub(super) fn remedies() -> Vec<(String, String)> {
    let told =
        |(word, component): &(&str, Component)| ((*word).to_owned(), remedy(*component).text());
    COMPONENTS.iter().map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Otherwise what is found whole would be found so after it was exchanged.
    #[test]
    fn each_component_can_be_asked_for_and_nothing_is_done_before_it_was_looked_at() {
        assert_eq!(remedies().len(), COMPONENTS.len());
        for (word, component) in COMPONENTS {
            assert!(remedy(*component).ticks() >= LOOK, "{word}");
        }
    }
}

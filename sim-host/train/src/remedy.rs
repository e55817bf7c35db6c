//! Putting something right: what is done, where, and how long it takes. Somebody is called, locks the machine off, looks, and has it done
//! some minutes later; meanwhile nothing can be started. Minutes are invented and short: on a real machine it takes longer.

use firmware_core::units::TICKS_PER_SECOND;
use twinplate_sim::fault_words::COMPONENTS;
use twinplate_sim::model::Component;
use twinplate_words::Words;

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
    /// Message of what is done.
    what: &'static str,
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

    /// What is done, for people.
    pub fn what(&self, words: &Words) -> String {
        words.say(self.what)
    }

    /// What, where, and how long it takes, for people.
    pub fn text(&self, words: &Words) -> String {
        let id = match self.place {
            Where::Outside => "remedy-outside",
            Where::Inside => "remedy-inside",
        };
        words.tell(
            id,
            &[
                ("what", self.what(words).into()),
                ("minutes", self.minutes.into()),
            ],
        )
    }

    /// How long it takes.
    pub const fn ticks(&self) -> u32 {
        self.minutes.saturating_mul(60 * TICKS_PER_SECOND)
    }
}

/// Until it is seen whether anything is wrong with it, ticks. Invented.
pub(super) const LOOK: u32 = 60 * TICKS_PER_SECOND;

/// How a component is put right.
pub(super) const fn remedy(component: Component) -> Remedy {
    Remedy::new(what(component), place(component), minutes(component))
}

/// Message of what is done.
const fn what(component: Component) -> &'static str {
    match component {
        Component::Regulator => "remedy-regulator",
        Component::DumpValve => "remedy-dump-valve",
        Component::DumpFeedback => "remedy-dump-feedback",
        Component::Counterbalance => "remedy-counterbalance",
        Component::RodValve => "remedy-rod-valve",
        Component::RodSwitch => "remedy-rod-switch",
        Component::Supply => "remedy-air-supply",
        Component::LoadCell => "remedy-load-cell",
        Component::CapTransmitter => "remedy-cap-transmitter",
        Component::HeightTransmitter => "remedy-height-transmitter",
        Component::Pin => "remedy-parking-pin",
        Component::Arm => "remedy-swing-arm",
        Component::EstopA => "remedy-emergency-stop-a",
        Component::EstopB => "remedy-emergency-stop-b",
        Component::GuardA => "remedy-guard-a",
        Component::GuardB => "remedy-guard-b",
        Component::GuardLock => "remedy-guard-lock",
        Component::DriveInner => "remedy-drive-inner",
        Component::DriveOuter => "remedy-drive-outer",
        Component::DriveLower => "remedy-drive-lower",
        Component::DriveUpper => "remedy-drive-upper",
        Component::Pump => "remedy-pump",
        Component::SlurryLine => "remedy-slurry-line",
        Component::FlowSensor => "remedy-flow-switch",
        Component::Agitator => "remedy-agitator",
        Component::TankLevel => "remedy-tank-level",
        Component::RinseWater => "remedy-rinse-water",
        Component::Cooling => "remedy-cooling",
        Component::TempLower => "remedy-temperature-lower",
        Component::TempUpper => "remedy-temperature-upper",
        Component::Gauge => "remedy-gauge",
        Component::Parts => "remedy-parts",
        Component::Dog => "remedy-drive-dog",
        Component::Tick => "remedy-tick",
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
pub(super) fn remedies(words: &Words) -> Vec<(String, String)> {
    let told = |(word, component): &(&str, Component)| {
        ((*word).to_owned(), remedy(*component).text(words))
    };
    COMPONENTS.iter().map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_words::Language;

    /// Otherwise what is found whole would be found so after it was exchanged.
    #[test]
    fn each_component_can_be_asked_for_and_nothing_is_done_before_it_was_looked_at() {
        let all = remedies(Words::of(Language::English));
        assert_eq!(all.len(), COMPONENTS.len());
        for (word, component) in COMPONENTS {
            assert!(remedy(*component).ticks() >= LOOK, "{word}");
        }
    }
}

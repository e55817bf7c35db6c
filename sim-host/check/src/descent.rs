//! What the load cell shows of a plate that descends: the drag of its guides, which the controller cannot tell from contact.

use super::case::Case;
use super::finding::significant;
use twinplate_sim::compile::contact_threshold;
use twinplate_sim::model::Of;

/// A cure keeps this share of the bound.
const CURED: f64 = 0.95;

/// A fast descent in which the cell shows so much that the controller takes it for contact, far above the parts: row 40,
/// contact-high, stops the cycle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FeltDescent {
    /// What the cell shows, N.
    pub drag: f64,
    /// From where on that is contact to the controller, N.
    pub threshold: f64,
}

impl FeltDescent {
    /// Of a case, where it is so.
    #[must_use]
    pub fn of(case: &Case) -> Option<Self> {
        let felt = Self {
            drag: case.descent_drag(),
            threshold: contact_threshold(case.machine),
        };
        (felt.threshold > 0.0 && felt.drag > felt.threshold).then_some(felt)
    }

    /// What is the matter, with the keys of the machine file and their values.
    #[must_use]
    pub fn message(&self, case: &Case) -> String {
        let actuator = &case.machine.actuator;
        format!(
            "descending at {} (`actuator.speed-fast`) the guides hold the plate with {} ({} N·s/m, `actuator.guide-drag`); from {} \
             on the controller takes that for contact: half of what the lightest plate rests with ({}, `actuator.counterbalance`) less \
             its seals ({}, `actuator.seal-breakaway`)",
            case.say(Of::Travel, actuator.speed_fast, 3),
            case.say(Of::Load, self.drag, 3),
            significant(actuator.guide_drag, 3),
            case.say(Of::Load, self.threshold, 3),
            case.say(Of::Air, actuator.counterbalance, 4),
            case.say(Of::Load, actuator.seal_breakaway, 3)
        )
    }

    /// What to change, and to what.
    #[must_use]
    pub fn cure(&self, case: &Case) -> String {
        let actuator = &case.machine.actuator;
        let share = CURED * self.threshold / self.drag;
        // Half of every newton that the counterbalance leaves goes into the threshold.
        let more = 2.0 * (self.drag / CURED - self.threshold)
            / (actuator.area_rod() * (1.0 + case.machine.envelope.counterbalance));
        format!(
            "descend at {} or slower, ease the guides to {} N·s/m or less, or lower the counterbalance by {} or more",
            case.at_most(Of::Travel, actuator.speed_fast * share, 2),
            significant(actuator.guide_drag * share, 2),
            case.at_least(Of::Air, more, 2)
        )
    }
}

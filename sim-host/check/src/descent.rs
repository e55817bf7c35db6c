//! What the load cell shows of a plate that descends: the drag of its guides, which the controller cannot tell from contact.

use super::case::Case;
use super::finding::significant;
use twinplate_sim::compile::contact_threshold;

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
            "descending at {} mm/s (`actuator.speed-fast`) the guides hold the plate with {} N ({} N·s/m, `actuator.guide-drag`); from {} N \
             on the controller takes that for contact: half of what the lightest plate rests with ({} bar, `actuator.counterbalance`) less \
             its seals ({} N, `actuator.seal-breakaway`)",
            significant(actuator.speed_fast * 1e3, 3),
            significant(self.drag, 3),
            significant(actuator.guide_drag, 3),
            significant(self.threshold, 3),
            significant(actuator.counterbalance / 1e5, 4),
            significant(actuator.seal_breakaway, 3)
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
            "descend at {} mm/s or slower, ease the guides to {} N·s/m or less, or lower the counterbalance by {} bar or more",
            significant(actuator.speed_fast * share * 1e3, 2),
            significant(actuator.guide_drag * share, 2),
            significant(more / 1e5, 2)
        )
    }
}

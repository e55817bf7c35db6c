//! Lengths in the unit in which they were typed.

use twinplate_sim::files::quantity::Unit;
use twinplate_sim::files::{INCH, is_of_inches};

/// A unit of thickness, and the finer one of its family for differences.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lengths {
    /// Symbol of the unit that was typed.
    pub symbol: &'static str,
    /// Metres in it.
    pub size: f64,
    /// Symbol of the finer one.
    pub fine: &'static str,
    /// Metres in that.
    pub fine_size: f64,
}

impl Lengths {
    /// Of a unit of length: micrometres for the metric ones, micro-inches for those of the inch.
    #[must_use]
    pub(crate) fn of(unit: &Unit) -> Self {
        let (fine, fine_size) = if is_of_inches(unit.symbol) {
            ("µin", INCH * 1e-6)
        } else {
            ("µm", 1e-6)
        };
        Self {
            symbol: unit.symbol,
            size: unit.to_si(1.0),
            fine,
            fine_size,
        }
    }

    /// A thickness in the unit that was typed.
    #[must_use]
    pub fn typed(&self, metres: f64) -> f64 {
        metres / self.size
    }

    /// A difference in the finer unit.
    #[must_use]
    pub fn finely(&self, metres: f64) -> f64 {
        metres / self.fine_size
    }
}

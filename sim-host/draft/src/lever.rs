//! A number that a draft may move, between two ends that limits have set.

use crate::limit::Limit;

/// A positive number with the room that is left for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Lever {
    /// Where it stands.
    pub value: f64,
    low: (f64, Limit),
    high: (f64, Limit),
}

/// A change so small that it counts as none, share of the value.
const STILL: f64 = 1e-3;

impl Lever {
    /// A lever between two ends, as near to `value` as they let it.
    pub fn new(value: f64, low: (f64, Limit), high: (f64, Limit)) -> Self {
        let inside = if value > high.0 { high.0 } else { value };
        Self {
            value: if inside < low.0 { low.0 } else { inside },
            low,
            high,
        }
    }

    /// The limits that leave it no room at all, if they do: the upper one first.
    pub fn closed(&self) -> Option<[Limit; 2]> {
        (self.low.0 > self.high.0 * (1.0 + STILL)).then_some([self.high.1, self.low.1])
    }

    /// Highest value, and what sets it.
    pub const fn high(&self) -> (f64, Limit) {
        self.high
    }

    /// Lowest value.
    pub const fn low(&self) -> (f64, Limit) {
        self.low
    }

    /// Moves it down to a value that `by` asks for, or as far as it goes.
    ///
    /// # Errors
    /// Where it does not move any more: `by`, and what holds it from below.
    pub fn lower(&mut self, to: f64, by: Limit) -> Result<(), [Limit; 2]> {
        let to = if to < self.low.0 { self.low.0 } else { to };
        if to > self.value * (1.0 - STILL) {
            return Err([by, self.low.1]);
        }
        if to < self.high.0 {
            self.high = (to, by);
        }
        self.value = to;
        Ok(())
    }

    /// Moves it up, likewise. A wish moves it without setting an end: `bound` says whether lower values are ruled out.
    ///
    /// # Errors
    /// Where it does not move any more: `by`, and what holds it from above.
    pub fn raise(&mut self, to: f64, by: Limit, bound: bool) -> Result<(), [Limit; 2]> {
        let to = if to > self.high.0 { self.high.0 } else { to };
        if to < self.value * (1.0 + STILL) {
            return Err([by, self.high.1]);
        }
        if bound && to > self.low.0 {
            self.low = (to, by);
        }
        self.value = to;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What holds it from the other side is told with what moves it.
    #[test]
    fn a_lever_without_room_names_both_sides() {
        let mut lever = Lever::new(5.0, (2.0, Limit::LeastLoad), (8.0, Limit::RatedLoad));
        assert_eq!(lever.lower(3.0, Limit::Strength), Ok(()));
        assert_eq!(lever.high(), (3.0, Limit::Strength));
        assert_eq!(lever.lower(1.0, Limit::Strength), Ok(()));
        assert_eq!(lever.value, 2.0);
        assert_eq!(
            lever.lower(1.0, Limit::Strength),
            Err([Limit::Strength, Limit::LeastLoad])
        );
        assert_eq!(
            lever.raise(9.0, Limit::LongestCycle, false),
            Err([Limit::LongestCycle, Limit::Strength])
        );
    }
}

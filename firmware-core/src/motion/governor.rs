//! The governor: whatever the loop wants, the command never goes where the worst line of the envelope could settle above
//! the load limit.
//!
//! Unseated it knows only the declared line and its edges; seated, it is anchored at what was measured:
//! `y_seat + G_high (u - u_seat) <= limit - seal friction`. (`docs/load-loop.md` derives both.)

use crate::math;
use crate::params::CheckedParams;
use crate::units::{Fraction, Newtons};

/// The measured point where the plate sits on the parts: load and the command that holds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seat {
    /// Measured load.
    pub load: Newtons,
    /// Command.
    pub command: Fraction,
}

/// Bound on the command.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Governor {
    gain_high: f32,
    margin: f32,
    resting: f32,
}

impl Governor {
    /// From the machine's declared line and edges.
    #[must_use]
    pub fn new(params: &CheckedParams) -> Self {
        let p = params.get();
        Self {
            gain_high: p.line_gain.get() * p.governor_gain.get(),
            margin: p.governor_margin.get(),
            resting: p.resting.get(),
        }
    }

    /// Highest command allowed under `limit`; 0..=1.
    #[must_use]
    pub fn bound(&self, limit: Newtons, seat: Option<Seat>) -> Fraction {
        let room = limit.get() - self.margin;
        let bound = match seat {
            Some(seat) => seat.command.get() + (room - seat.load.get()) / self.gain_high,
            None => (room - self.resting) / self.gain_high,
        };
        Fraction::new(math::hold(bound, 0.0, 1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Sample machine: 60 N at rest, 825 N to a full command, at the worst edge 5 % more, 12 N of friction.
    fn governor() -> Governor {
        Governor::new(&crate::params::tests::sample().check().expect("valid"))
    }

    /// The worst line of the envelope, `(load, command)` being a point of it, with the friction on top, ends at the limit and not under it.
    fn ends_at(load: f32, command: f32, limit: f32, seat: Option<Seat>) {
        let bound = governor().bound(Newtons::new(limit), seat).get();
        let settles = load + 825.0 * 1.05 * (bound - command) + 12.0;
        assert!(
            (settles - limit).abs() < 1e-3,
            "{settles} N under {limit} N"
        );
    }

    #[test]
    fn at_the_bound_the_worst_machine_settles_at_the_limit() {
        for limit in [100.0, 350.0, 900.0] {
            ends_at(60.0, 0.0, limit, None);
        }
        // Seated, the line goes through what was measured: another weight, another offset of the regulator.
        for (load, command) in [(150.0, 0.109), (150.0, 0.05), (138.0, 0.2)] {
            let seat = Seat {
                load: Newtons::new(load),
                command: Fraction::new(command),
            };
            for limit in [200.0, 350.0, 800.0] {
                ends_at(load, command, limit, Some(seat));
            }
        }
    }

    #[test]
    fn a_bound_is_a_share_of_the_full_command() {
        for (limit, share) in [(-100.0, 0.0), (60.0, 0.0), (5_000.0, 1.0)] {
            let bound = governor().bound(Newtons::new(limit), None).get();
            assert!((bound - share).abs() < f32::EPSILON, "{limit} N: {bound}");
        }
    }
}

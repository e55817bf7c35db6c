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
#[derive(Clone, Copy, Debug)]
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

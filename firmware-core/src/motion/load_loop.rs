//! The load loop: holds the contact load from the load cell through the cap-side pressure.
//!
//! Reference → ramp → (delayed and lagged as the declared actuator and filter would) → PI against the filtered load, plus
//! the inverse of the static line, anchored at the seat; then slew, governor and absolute clamp. Glossary: *seat*, the
//! measured point at initial load; *line*, newtons per full command; *command*, share of the regulator's full scale.

use super::governor::{Governor, Seat};
use super::ramp::Ramp;
use crate::math;
use crate::params::{CheckedParams, MAX_DEAD_TICKS};
use crate::signal::Biquad;
use crate::units::{Fraction, Newtons, NewtonsPerSecond, PerNewton, Ratio, Seconds, TICK_SECONDS};

/// A PI controller with setpoint weight and back-calculation: gains apart from state, states owned here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pi {
    kc: f32,
    ki_tick: f32,
    weight: f32,
    back: f32,
    integral: f32,
}

impl Pi {
    /// Gains as validated by [`crate::params`]; the tracking time is the integral time.
    #[must_use]
    pub fn new(kc: PerNewton, ti: Seconds, weight: Ratio) -> Self {
        let per_tick = TICK_SECONDS / ti.get();
        Self {
            kc: kc.get(),
            ki_tick: kc.get() * per_tick,
            weight: weight.get(),
            back: per_tick,
            integral: 0.0,
        }
    }

    /// Controller output before any limit: feedforward + proportional + integral.
    #[must_use]
    pub fn output(&self, reference: f32, measured: f32, feedforward: f32) -> f32 {
        feedforward + self.kc * (self.weight * reference - measured) + self.integral
    }

    /// Integrates one tick. `wanted` is what [`Pi::output`] gave, `given` what the limits let through: their difference is
    /// fed back, and the integral never moves further in the direction that a limit blocks.
    pub fn integrate(&mut self, reference: f32, measured: f32, wanted: f32, given: f32) {
        let push = self.ki_tick * (reference - measured);
        let blocked = (given < wanted && push > 0.0) || (given > wanted && push < 0.0);
        let drive = if blocked { 0.0 } else { push };
        self.integral += drive + self.back * (given - wanted);
    }

    /// Sets the integral so that the next output is `command`: bumpless.
    pub(crate) fn preset(&mut self, reference: f32, measured: f32, feedforward: f32, command: f32) {
        self.integral = 0.0;
        self.integral = command - self.output(reference, measured, feedforward);
    }
}

/// What the loop is to do this tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum LoopGoal {
    /// No command; the loop is at rest.
    Open,
    /// Hold or move to `target` at `rate`, never above `limit`.
    Closed {
        /// Load wanted in the end.
        target: Newtons,
        /// Ramp towards it.
        rate: NewtonsPerSecond,
        /// Load that must not be exceeded.
        limit: Newtons,
    },
}

/// Length of the delay line: a power of two above the longest dead time.
const DELAY: usize = 128;
const _: () = assert!(
    MAX_DEAD_TICKS as usize == DELAY - 1,
    "the delay line holds the longest dead time"
);

/// The declared actuator and filter, fed with the reference: what the load would do if everything were as declared.
#[derive(Clone, Debug, PartialEq)]
struct Model {
    delay: [f32; DELAY],
    head: usize,
    dead: usize,
    lagged: f32,
    share: f32,
    filter: Biquad,
}

impl Model {
    fn new(params: &CheckedParams) -> Self {
        let p = params.get();
        Self {
            delay: [0.0; DELAY],
            head: 0,
            // At most the longest, by the check; the mask sees to it anyway.
            dead: usize::try_from(p.dead_time.0).unwrap_or(usize::MAX),
            lagged: 0.0,
            // Exact for a reference held over the tick.
            share: 1.0 - libm::expf(-TICK_SECONDS / p.lag.get()),
            filter: Biquad::low_pass(p.filter),
        }
    }

    fn settle_at(&mut self, value: f32) {
        self.delay = [value; DELAY];
        self.lagged = value;
        self.filter.settle_at(value);
    }

    fn step(&mut self, reference: f32) -> f32 {
        const MASK: usize = DELAY - 1;
        self.head = self.head.wrapping_add(1) & MASK;
        if let Some(slot) = self.delay.get_mut(self.head) {
            *slot = reference;
        }
        let from = self.head.wrapping_sub(self.dead) & MASK;
        let delayed = self.delay.get(from).copied().unwrap_or(reference);
        self.lagged += (delayed - self.lagged) * self.share;
        self.filter.step(self.lagged)
    }
}

/// The loop with everything it remembers.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadLoop {
    pi: Pi,
    governor: Governor,
    model: Model,
    ramp: Ramp,
    resting: f32,
    line_gain: f32,
    slew_tick: f32,
    deadband: f32,
    command: f32,
    bound: f32,
    seat: Option<Seat>,
    /// Averages of load and command while seating.
    average: (f32, f32),
    closed: bool,
}

/// Initial load is taken over this many ticks from resting load.
pub const SEATING_TICKS: u32 = 2_000;
/// The same, seconds.
pub const SEATING_SECONDS: f32 = math::from_u32(SEATING_TICKS) * TICK_SECONDS;

/// Weight of one tick in the seat's averages: a quarter of a second.
const SEAT_SHARE: f32 = 1.0 / 256.0;

impl LoadLoop {
    /// At rest.
    #[must_use]
    pub fn new(params: &CheckedParams) -> Self {
        let p = params.get();
        Self {
            pi: Pi::new(p.kc, p.ti, p.setpoint_weight),
            governor: Governor::new(params),
            model: Model::new(params),
            ramp: Ramp::at(0.0),
            resting: p.resting.get(),
            line_gain: p.line_gain.get(),
            slew_tick: p.slew.get() * TICK_SECONDS,
            deadband: p.deadband.get(),
            command: 0.0,
            bound: 0.0,
            seat: None,
            average: (0.0, 0.0),
            closed: false,
        }
    }

    /// One tick. `load` is the filtered load.
    #[inline(always)]
    pub fn step(&mut self, goal: LoopGoal, load: Newtons) -> Fraction {
        match goal {
            LoopGoal::Open => {
                self.closed = false;
                self.command = 0.0;
                self.bound = 0.0;
                self.ramp = Ramp::at(load.get());
            }
            LoopGoal::Closed {
                target,
                rate,
                limit,
            } => self.close(target.get(), rate.get(), limit, load.get()),
        }
        Fraction::new(self.command)
    }

    #[inline(always)]
    fn close(&mut self, target: f32, rate: f32, limit: Newtons, load: f32) {
        self.bound = self.governor.bound(limit, self.seat).get();
        if !self.closed {
            self.closed = true;
            // From the load that is there, but never from above the one that is wanted: a reading may lie, and the reference would
            // ask still plates for it.
            let start = math::hold(load, 0.0, math::max(target, 0.0));
            self.average = (start, self.command);
            self.ramp = Ramp::at(start);
            self.model.settle_at(start);
            let feedforward = self.feedforward(start);
            self.pi.preset(start, start, feedforward, self.command);
        }
        let reference = self.ramp.step(target, rate);
        let expected = self.model.step(reference);
        let feedforward = self.feedforward(reference);
        let wanted = self.pi.output(expected, load, feedforward);
        let slewed = math::hold(
            wanted,
            self.command - self.slew_tick,
            self.command + self.slew_tick,
        );
        let given = math::hold(slewed, 0.0, self.bound);
        // Half a jump of the regulator is as near as it can come: an integral that asked for more would hunt for ever.
        let near = (expected - load).abs() <= self.deadband;
        self.pi
            .integrate(if near { load } else { expected }, load, wanted, given);
        self.command = given;
        self.average.0 += (load - self.average.0) * SEAT_SHARE;
        self.average.1 += (given - self.average.1) * SEAT_SHARE;
    }

    /// Inverse of the static line, anchored at the seat once there is one.
    fn feedforward(&self, reference: f32) -> f32 {
        match self.seat {
            Some(seat) => seat.command.get() + (reference - seat.load.get()) / self.line_gain,
            None => (reference - self.resting) / self.line_gain,
        }
    }

    /// Anchors the line at the averages of load and command now. Bumpless: the integral takes up the difference.
    pub(crate) fn take_seat(&mut self) {
        let before = self.feedforward(self.ramp.value());
        self.seat = Some(Seat {
            load: Newtons::new(self.average.0),
            command: Fraction::new(self.average.1),
        });
        self.pi.integral += before - self.feedforward(self.ramp.value());
    }

    /// Forgets the seat: the plate is about to leave or seek the parts.
    pub(crate) const fn leave_seat(&mut self) {
        self.seat = None;
    }

    /// The seat, if anchored.
    #[must_use]
    pub const fn seat(&self) -> Option<Seat> {
        self.seat
    }

    /// The reference after its ramp.
    #[must_use]
    pub const fn reference(&self) -> Newtons {
        Newtons::new(self.ramp.value())
    }

    /// The governor's bound in force.
    #[must_use]
    pub const fn bound(&self) -> Fraction {
        Fraction::new(self.bound)
    }

    /// The command.
    #[must_use]
    pub const fn command(&self) -> Fraction {
        Fraction::new(self.command)
    }

    /// Everything the loop holds is a number.
    #[must_use]
    pub const fn is_finite(&self) -> bool {
        self.command.is_finite() && self.pi.integral.is_finite() && self.ramp.value().is_finite()
    }
}

#[cfg(test)]
mod tests;

//! Takes the measures of one run of a [`Trial`](super::trial::Trial), tick by tick, from true values.
//!
//! Load is the true load with the plates' runout taken out. What the controller thinks of itself counts nowhere, but for which
//! phase it is in and what reference it follows.

mod swing;

pub use swing::Hunting;

use super::trial::{HIGH_STEP, Plan, QUIET, QUIET_LEAD, QUIET_STEP};
use firmware_core::sequence::Phase;
use swing::{Spread, Swing};
use twinplate_sim::bench::{Recorder, TickView};
use twinplate_sim::compile::{self, OVERSHOOT_NEWTONS, OVERSHOOT_SHARE, ticks};
use twinplate_sim::math::{abs, max};
use twinplate_sim::model::Machine;

/// Ticks between two samples of a kept response.
pub const SAMPLE: u32 = 20;
/// Full scale of the command.
const FULL: f64 = 65_535.0;
/// The load counts as settled within this share of the disturbance of where it rests, but never within two jumps of the regulator.
const SETTLED: f64 = 0.2;

/// The largest overshoot with what its step allows, N.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Over {
    /// Overshoot over the reference, N; negative where the load stayed below.
    pub value: f64,
    /// Allowed: 2 % of the setpoint or 5 N, whichever is more.
    pub allowed: f64,
}

impl Over {
    /// Share of the allowance that is used.
    #[must_use]
    pub fn used(self) -> f64 {
        self.value / self.allowed
    }
}

/// Overshoot that a setpoint (N) allows, N.
fn allowance(setpoint: f64) -> f64 {
    max(OVERSHOOT_NEWTONS, OVERSHOOT_SHARE * setpoint)
}

/// Responses kept for a picture, one sample every [`SAMPLE`] ticks, N.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Responses {
    /// Load from the beginning of the ramp up to the end of its window.
    pub setpoint: Vec<f64>,
    /// Reference beside it.
    pub reference: Vec<f64>,
    /// Deviation from the setpoint from the setting of the disturbance to the end of its clearing.
    pub disturbance: Vec<f64>,
}

/// Watches one run.
#[derive(Clone, Debug)]
pub struct Watch {
    high: f64,
    low: f64,
    /// The load counts as settled within this of where it rests, N.
    settled: f64,
    window: u32,
    quiet: (u32, u32),
    newtons_per_count: f64,
    /// Smallest swing that is no answer to jumps, ripple and noise, N.
    still: f64,
    phase: Option<(Phase, u8)>,
    /// Ticks since the phase began.
    since: u32,
    keep: Option<Responses>,
    over: Option<Over>,
    largest_over: f64,
    /// Load less reference from the beginning of the ramp on, N, and where in it the reference arrived.
    ramp: Vec<f64>,
    arrival: Option<usize>,
    rest: f64,
    rest_count: f64,
    iae_disturbance: f64,
    peak: f64,
    recovery: u32,
    swing: Swing,
    travel: f64,
    command: Option<f64>,
    commands: Spread,
    counts: Option<f64>,
    count_steps: Spread,
}

/// What a run measured; a window that the run did not reach leaves its measures out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Measured {
    /// Largest overshoot, by share of its allowance.
    pub over: Option<Over>,
    /// Largest overshoot, N, whatever its load allows; zero where the load never passed its reference.
    pub largest_over: f64,
    /// From the arrival of the reference at the high load until the load stays within a fifth of the disturbance of where it rests, s.
    pub settling: f64,
    /// Integral of |reference - load| from the start of the ramp up to the end of its window, N·s; about where the load rests.
    pub iae_setpoint: f64,
    /// Integral of the deviation over the disturbance set and cleared, N·s, about where the load rested before.
    pub iae_disturbance: f64,
    /// Largest deviation under the disturbance, N.
    pub peak_deviation: f64,
    /// From the setting of the disturbance until the load stays within a fifth of it, or the same after its clearing, whichever is
    /// more, s.
    pub recovery: f64,
    /// In the quiet hold.
    pub hunting: Hunting,
    /// Sum of the command's movements in the quiet hold, full scales per s.
    pub travel: f64,
    /// Standard deviation of the command in the quiet hold, as load on the declared line, over that of the measured noise.
    pub noise_gain: f64,
    /// Standard deviation of the measured noise, N.
    pub noise: f64,
}

impl Watch {
    /// A watch for a trial on `machine`; `keep` keeps the responses.
    #[must_use]
    pub fn new(machine: &Machine, plan: &Plan, keep: bool) -> Self {
        // A jump of the regulator, the loop's answer to runout, and noise are not hunting.
        let jump = compile::deadband(machine) / 0.55;
        let ripple = machine.geometry.runout_ripple * plan.low;
        Self {
            high: plan.high,
            low: plan.low,
            settled: max(SETTLED * plan.disturbance, 2.0 * jump),
            window: ticks(plan.window).0,
            quiet: (ticks(QUIET_LEAD).0, ticks(QUIET).0),
            newtons_per_count: machine.cell.range / machine.cell.counts_at_range,
            still: jump + ripple + machine.cell.noise,
            phase: None,
            since: 0,
            keep: keep.then(Responses::default),
            over: None,
            largest_over: 0.0,
            ramp: Vec::new(),
            arrival: None,
            rest: 0.0,
            rest_count: 0.0,
            iae_disturbance: 0.0,
            peak: 0.0,
            recovery: 0,
            swing: Swing::default(),
            travel: 0.0,
            command: None,
            commands: Spread::default(),
            counts: None,
            count_steps: Spread::default(),
        }
    }

    /// Half-width of the load band at the quiet hold, N.
    #[must_use]
    pub(crate) fn quiet_band(machine: &Machine, plan: &Plan) -> f64 {
        max(
            machine.control.band_newtons,
            machine.control.band_share * plan.low,
        )
    }

    fn overshoot(&mut self, over: f64, setpoint: f64) {
        let now = Over {
            value: over,
            allowed: allowance(setpoint),
        };
        self.largest_over = max(self.largest_over, over);
        if self.over.is_none_or(|worst| now.used() > worst.used()) {
            self.over = Some(now);
        }
    }

    /// The high step: ramp, settling, disturbance set and cleared.
    fn high(&mut self, view: &TickView<'_>, dwelling: bool) {
        let load = view.truth.load_without_runout;
        let reference = f64::from(view.status.reference.get());
        let dwell = if dwelling { self.since } else { 0 };
        if dwell <= self.window {
            self.overshoot(load - reference, self.high);
            if self.arrival.is_none() && reference >= self.high * (1.0 - 1e-6) {
                self.arrival = Some(self.ramp.len());
            }
            self.ramp.push(load - reference);
            if 2 * dwell > self.window {
                self.rest += load;
                self.rest_count += 1.0;
            }
            self.sample(view.tick, |kept| {
                kept.setpoint.push(load);
                kept.reference.push(reference);
            });
        } else if dwell <= 3 * self.window {
            let off = load - self.rest_load();
            self.iae_disturbance += abs(off) * 1e-3;
            self.peak = max(self.peak, abs(off));
            if abs(off) > self.settled {
                let since = (dwell - self.window - 1) % self.window + 1;
                self.recovery = self.recovery.max(since);
            }
            self.sample(view.tick, |kept| kept.disturbance.push(off));
        }
    }

    /// Load at which the high step rests before the disturbance, N. What the cell's span and the tare make it differ from the
    /// setpoint is no gain's doing.
    fn rest_load(&self) -> f64 {
        if self.rest_count > 0.0 {
            self.rest / self.rest_count
        } else {
            self.high
        }
    }

    /// Integral of the error under ramp and window, N·s, and settling, s: about where the load comes to rest.
    fn ramped(&self) -> (f64, f64) {
        let shift = self.rest_load() - self.high;
        let arrival = self.arrival.unwrap_or(self.ramp.len());
        let (mut sum, mut last) = (0.0, arrival);
        for (n, error) in self.ramp.iter().enumerate() {
            // The difference in rest comes in as the reference does; before the ramp there is none.
            let share = if n < arrival {
                n as f64 / arrival as f64
            } else {
                1.0
            };
            let off = abs(error - share * shift);
            sum += off * 1e-3;
            if n >= arrival && off > self.settled {
                last = n + 1;
            }
        }
        (sum, (last - arrival) as f64 / 1e3)
    }

    fn sample(&mut self, tick: u32, push: impl FnOnce(&mut Responses)) {
        if let Some(kept) = &mut self.keep
            && tick.is_multiple_of(SAMPLE)
        {
            push(kept);
        }
    }

    fn quiet(&mut self, view: &TickView<'_>) {
        if self.since < self.quiet.0 || self.since >= self.quiet.1 {
            return;
        }
        let load = view.truth.load_without_runout;
        self.overshoot(load - self.low, self.low);
        self.swing.add(load);
        let command = f64::from(view.outputs.cap_command) / FULL;
        if let Some(before) = self.command {
            self.travel += abs(command - before);
        }
        self.command = Some(command);
        self.commands.add(command);
        // White noise from the steps between neighbours: what the load itself does in a millisecond is far below it.
        let reading = f64::from(view.inputs.cell_counts) * self.newtons_per_count;
        if let Some(before) = self.counts {
            self.count_steps.add(reading - before);
        }
        self.counts = Some(reading);
    }

    /// What was measured. `line_gain` is the declared line's, N for a full command.
    #[must_use]
    pub fn measured(&self, line_gain: f64) -> Measured {
        let seconds = |ticks: u32| f64::from(ticks) / 1e3;
        let noise = self.count_steps.sd() / std::f64::consts::SQRT_2;
        let quiet = seconds(self.quiet.1 - self.quiet.0);
        let (iae_setpoint, settling) = self.ramped();
        Measured {
            over: self.over,
            largest_over: self.largest_over,
            settling,
            iae_setpoint,
            iae_disturbance: self.iae_disturbance,
            peak_deviation: self.peak,
            recovery: seconds(self.recovery),
            hunting: self.swing.hunting(self.still),
            travel: self.travel / quiet,
            noise_gain: if noise > 0.0 {
                self.commands.sd() * line_gain / noise
            } else {
                0.0
            },
            noise,
        }
    }

    /// The responses, where they were kept.
    #[must_use]
    pub const fn responses(&self) -> Option<&Responses> {
        self.keep.as_ref()
    }
}

impl Recorder for Watch {
    fn record(&mut self, view: &TickView<'_>) {
        let place = (view.status.phase, view.status.step);
        if self.phase == Some(place) {
            self.since += 1;
        } else {
            self.phase = Some(place);
            self.since = 1;
        }
        match place {
            (Phase::LoadRamp, HIGH_STEP) => self.high(view, false),
            (Phase::Dwell, HIGH_STEP) => self.high(view, true),
            (Phase::Dwell, QUIET_STEP) => self.quiet(view),
            (Phase::LoadRamp | Phase::Dwell, 0) => {
                let reference = f64::from(view.status.reference.get());
                self.overshoot(view.truth.load_without_runout - reference, self.low);
            }
            _ => {}
        }
    }
}

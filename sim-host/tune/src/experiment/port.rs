//! The port between controller and machine: the controller's outputs pass, but for the command of the load while it is held.

use firmware_core::events::Event;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::{Command, Phase, Request, State};
use twinplate_linear::limit::Relay;
use twinplate_sim::bench::{Answer, ControllerPort, InProcess, PortError};
use twinplate_sim::compile::ticks;
use twinplate_sim::math::{abs, max, nearest_within};

/// Full scale of the command.
const FULL: f64 = 65_535.0;
/// Time over which the loop's command is averaged to freeze it, s.
const FREEZE: f64 = 0.5;
/// Cycles of the relay: the first are left out.
pub(super) const CYCLES: usize = 12;

/// What the command does, from the beginning of the recording.
#[derive(Clone, Debug)]
pub(super) enum Schedule {
    /// Shares of full scale over the frozen command from given times (ticks) on; ends at the last time.
    Steps(Vec<(u32, f64)>, u32),
    /// Relay: height, hysteresis (N), setpoint (N), turns to make.
    Relay { relay: Relay, setpoint: f64 },
}

impl Schedule {
    /// Largest distance from the frozen command, share of full scale.
    pub(super) fn reach(&self) -> f64 {
        match self {
            Self::Steps(steps, _) => steps.iter().fold(0.0, |most, (_, by)| max(most, abs(*by))),
            Self::Relay { relay, .. } => relay.height,
        }
    }

    /// Its longest time, s, where the trial has windows of `window` s.
    pub(super) fn longest(&self, window: f64) -> f64 {
        match self {
            Self::Steps(_, end) => f64::from(*end) / 1e3,
            // A cycle of a lag with dead time lasts about four dead times and never as long as a window.
            Self::Relay { .. } => window * CYCLES as f64,
        }
    }
}

/// The controller with the experiment between it and the machine.
#[derive(Clone, Debug)]
pub(super) struct Experimenter {
    inner: InProcess,
    outputs: Outputs,
    schedule: Schedule,
    lead: u32,
    freeze: u32,
    /// Ticks in the dwell.
    held: u32,
    /// Sum of commands to freeze.
    sum: f64,
    frozen: f64,
    /// Side of the relay.
    up: bool,
    /// Ticks at which the relay turned up, of the recording.
    pub(super) turns: Vec<u32>,
    pub(super) command: Vec<f64>,
    pub(super) output: Vec<f64>,
    pub(super) done: bool,
}

impl Experimenter {
    pub(super) fn new(inner: InProcess, schedule: Schedule, lead: f64) -> Self {
        Self {
            inner,
            outputs: Outputs::default(),
            schedule,
            lead: ticks(lead).0,
            freeze: ticks(FREEZE).0,
            held: 0,
            sum: 0.0,
            frozen: 0.0,
            up: true,
            turns: Vec::new(),
            command: Vec::new(),
            output: Vec::new(),
            done: false,
        }
    }

    /// Puts the experiment's command in place of the loop's, while the load is held.
    fn act(&mut self) {
        let Some(answer) = self.inner.answer() else {
            return;
        };
        self.outputs = *answer.outputs;
        let status = answer.status;
        if status.state != State::Running || status.phase != Phase::Dwell || self.done {
            return;
        }
        let (raw, seen) = (
            f64::from(status.load_raw.get()),
            f64::from(status.load.get()),
        );
        self.held += 1;
        if self.held <= self.lead {
            if self.held > self.lead - self.freeze {
                self.sum += f64::from(self.outputs.cap_command) / FULL;
                self.frozen = self.sum / f64::from(self.freeze);
            }
            return;
        }
        let now = self.held - self.lead - 1;
        let (wanted, output) = match &self.schedule {
            Schedule::Steps(steps, end) => {
                self.done = now + 1 >= *end;
                let by = steps.iter().rev().find(|(from, _)| now >= *from);
                (self.frozen + by.map_or(0.0, |(_, by)| *by), raw)
            }
            Schedule::Relay { relay, setpoint } => {
                let off = seen - setpoint;
                if self.up && off > relay.hysteresis {
                    self.up = false;
                } else if !self.up && off < -relay.hysteresis {
                    self.up = true;
                    self.turns.push(now);
                    self.done = self.turns.len() > CYCLES;
                }
                let side = if self.up { relay.height } else { -relay.height };
                (self.frozen + side, seen)
            }
        };
        let counts = nearest_within(wanted * FULL, 0.0, FULL);
        // Held within the range of the type.
        self.outputs.cap_command = u16::try_from(counts).unwrap_or(0);
        self.command
            .push(f64::from(self.outputs.cap_command) / FULL);
        self.output.push(output);
    }
}

impl ControllerPort for Experimenter {
    fn exchange(
        &mut self,
        inputs: &Inputs,
        command: Option<Command>,
        request: Option<&Request>,
    ) -> Result<Answer<'_>, PortError> {
        self.inner.exchange(inputs, command, request)?;
        self.act();
        // There is one right after an exchange.
        (*self).answer().ok_or_else(|| PortError::Lost {
            at: "this process".to_owned(),
        })
    }

    fn answer(&self) -> Option<Answer<'_>> {
        self.inner.answer().map(|answer| Answer {
            outputs: &self.outputs,
            ..answer
        })
    }

    fn events(&mut self, take: &mut dyn FnMut(&Event)) -> Result<u32, PortError> {
        self.inner.events(take)
    }
}

//! Experiments with the load line of the simulated machine: step, double step, relay.
//!
//! The real sequencer brings the plate down, wets it, turns it and loads it. Once the load is held, a port between controller and
//! machine puts the experiment's command in place of the loop's; everything else the controller says still holds, so that every
//! interlock stays alive and ends the experiment. For the experiment's time the load band is widened to what it moves, or the
//! out-of-band row would do just that. On a real machine such a test is made under its maker's rules by licensed practice.

use super::linear::limit::{Cycle, Relay, Ultimate};
use super::model::ProcessModel;
use super::rules;
use super::trial::{NoTrial, drive, one_step, trip_of};
use crate::bench::{Answer, ControllerPort, InProcess, NoRecorder, Player, PortError};
use crate::compile::ticks;
use crate::math::{abs, max, min, nearest_within};
use crate::model::{Batch, Machine, Scenario};
use crate::plant::seed::substream;
use firmware_core::events::Event;
use firmware_core::process_image::{Inputs, Outputs};
use firmware_core::sequence::{Command, Phase, Request, State};

/// Full scale of the command.
const FULL: f64 = 65_535.0;
/// Size of a step, and height of the relay, share of full scale: ten jumps of the regulator and more, far from any limit.
const SIZE: f64 = 0.05;
/// Time for which the loop holds the load before the command is frozen, in windows of the trial.
const LEAD: f64 = 1.0;
/// Time over which the loop's command is averaged to freeze it, s.
const FREEZE: f64 = 0.5;
/// Recorded at the frozen command before the first step, s.
const BEFORE: f64 = 0.5;
/// Hysteresis of the relay, standard deviations of the measured noise before the filter: what passes the filter never turns it.
const RELAY_SIGMAS: f64 = 3.0;
/// Cycles of the relay: the first are left out.
const CYCLES: usize = 12;
/// Cycles left out until the swing is steady.
const SETTLING_CYCLES: usize = 4;

/// Which experiment.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One step up.
    Step,
    /// A step up, down past the start, and back.
    DoubleStep,
    /// A relay with hysteresis in place of the loop.
    Relay,
}

impl Kind {
    /// The word for it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Step => "step",
            Self::DoubleStep => "double-step",
            Self::Relay => "relay",
        }
    }
}

/// What an experiment recorded, once a tick.
#[derive(Clone, Debug, PartialEq)]
pub struct Recording {
    /// Which.
    pub kind: Kind,
    /// Time from the beginning of the recording, s.
    pub time_s: Vec<f64>,
    /// Command, share of full scale.
    pub command: Vec<f64>,
    /// Load, N: by the tared cell, unfiltered; of a relay experiment as the loop sees it, behind its filter.
    pub output: Vec<f64>,
    /// Load at which it was made, N.
    pub load: f64,
    /// Step or relay height, share of full scale.
    pub size: f64,
    /// The steady cycle and what is read from it, of a relay experiment.
    pub relay: Option<RelayReading>,
}

/// A relay's cycle, read in two ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RelayReading {
    /// The relay: height as a share, hysteresis in N.
    pub relay: Relay,
    /// Measured cycle, mean of the steady ones.
    pub cycle: Cycle,
    /// Cycles in that mean.
    pub cycles: usize,
    /// Ultimate gain and frequency as the describing function reads them.
    pub describing: Ultimate,
    /// The lag with dead time that has exactly this cycle with the declared static gain.
    pub exact: ProcessModel,
    /// Its ultimate gain and frequency.
    pub exact_ultimate: Ultimate,
}

/// Why there is no recording.
#[derive(Clone, Debug, PartialEq)]
pub enum NoRecording {
    /// The machine cannot be brought to the experiment.
    Trial(NoTrial),
    /// The controller did not answer.
    Port(PortError),
    /// An interlock ended it.
    Tripped(String),
    /// The relay found no steady cycle.
    NoCycle(String),
}

impl std::fmt::Display for NoRecording {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Trial(error) => error.fmt(f),
            Self::Port(error) => error.fmt(f),
            Self::Tripped(why) => write!(f, "the experiment was ended by the controller: {why}"),
            Self::NoCycle(why) => write!(f, "the relay brought no steady cycle: {why}"),
        }
    }
}

impl std::error::Error for NoRecording {}

/// What the command does, from the beginning of the recording.
#[derive(Clone, Debug)]
enum Schedule {
    /// Shares of full scale over the frozen command from given times (ticks) on; ends at the last time.
    Steps(Vec<(u32, f64)>, u32),
    /// Relay: height, hysteresis (N), setpoint (N), turns to make.
    Relay { relay: Relay, setpoint: f64 },
}

/// The controller with the experiment between it and the machine.
#[derive(Debug)]
struct Experimenter {
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
    turns: Vec<u32>,
    command: Vec<f64>,
    output: Vec<f64>,
    done: bool,
}

impl Experimenter {
    fn new(inner: InProcess, schedule: Schedule, lead: f64) -> Self {
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
        self.answer().ok_or_else(|| PortError::Lost {
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

/// Makes an experiment on the nominal machine.
///
/// # Errors
/// A machine that cannot be brought to it, an interlock that ended it, a relay without a cycle.
pub fn experiment(
    kind: Kind,
    machine: &Machine,
    batch: Option<&Batch>,
    seed: u64,
) -> Result<Recording, NoRecording> {
    perform(kind, machine, batch, seed, None)
}

fn perform(
    kind: Kind,
    machine: &Machine,
    batch: Option<&Batch>,
    seed: u64,
    scenario: Option<&Scenario>,
) -> Result<Recording, NoRecording> {
    let mut machine = machine.clone();
    // Twice what the command moves, both ways.
    machine.control.band_newtons = max(
        machine.control.band_newtons,
        4.0 * SIZE * machine.actuator.line_gain(),
    );
    let probe = one_step(&machine, batch, 1.0)
        .map_err(NoRecording::Trial)?
        .1;
    let window = probe.window;
    let load = 0.5 * (probe.low + probe.high);
    let (schedule, length) = schedule(kind, &machine, window, load);
    let (job, _) =
        one_step(&machine, batch, LEAD * window + length + 1.0).map_err(NoRecording::Trial)?;
    let setup = job.nominal(substream(seed, "tune", "experiment", kind as u64));
    let port = Experimenter::new(setup.controller(), schedule.clone(), LEAD * window);
    let mut bench = setup.bench(port, NoRecorder);
    bench.play(Player::new(scenario, job.compiled.pieces));
    let ended = drive(&mut bench, setup.longest(None), |phase, bench| {
        bench.port().done || phase == Phase::LoadRelease
    })
    .map_err(NoRecording::Port)?;
    let ended = match trip_of(ended, &bench) {
        None if !bench.port().done => Some("the step ended first".to_owned()),
        trip => trip,
    };
    let port = bench.port();
    if let Some(why) = ended {
        return Err(if port.command.is_empty() || kind != Kind::Relay {
            NoRecording::Tripped(why)
        } else {
            NoRecording::NoCycle(format!("{} turns, then {why}", port.turns.len()))
        });
    }
    let relay = match schedule {
        Schedule::Steps(..) => None,
        Schedule::Relay { relay, .. } => {
            Some(read_relay(port, relay, machine.actuator.line_gain())?)
        }
    };
    Ok(Recording {
        kind,
        time_s: (0..port.command.len()).map(|n| n as f64 * 1e-3).collect(),
        command: port.command.clone(),
        output: port.output.clone(),
        load,
        size: SIZE,
        relay,
    })
}

/// Schedule and its length, s.
fn schedule(kind: Kind, machine: &Machine, window: f64, load: f64) -> (Schedule, f64) {
    let at = |seconds: f64| ticks(seconds).0;
    let steps = |list: &[(f64, f64)], end: f64| {
        let list = list.iter().map(|(from, by)| (at(*from), *by)).collect();
        (Schedule::Steps(list, at(end)), end)
    };
    let one = BEFORE + window;
    match kind {
        Kind::Step => steps(&[(BEFORE, SIZE)], one),
        Kind::DoubleStep => steps(
            &[(BEFORE, SIZE), (one, -SIZE), (one + window, 0.0)],
            one + 2.0 * window,
        ),
        Kind::Relay => {
            let relay = Relay {
                height: SIZE,
                hysteresis: RELAY_SIGMAS * machine.cell.noise,
            };
            // A cycle of a lag with dead time lasts about four dead times and never as long as a window.
            (
                Schedule::Relay {
                    relay,
                    setpoint: load,
                },
                window * CYCLES as f64,
            )
        }
    }
}

/// Means over the steady cycles, and the two readings.
fn read_relay(port: &Experimenter, relay: Relay, gain: f64) -> Result<RelayReading, NoRecording> {
    let none = |why: String| NoRecording::NoCycle(why);
    let turns: Vec<usize> = port.turns.iter().map(|turn| *turn as usize).collect();
    let Some(steady) = turns.get(SETTLING_CYCLES..).filter(|turns| turns.len() > 2) else {
        return Err(none(format!("{} turns", turns.len())));
    };
    let mut amplitude = 0.0;
    for pair in steady.windows(2) {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for output in &port.output[pair[0]..pair[1]] {
            low = min(low, *output);
            high = max(high, *output);
        }
        amplitude += 0.5 * (high - low);
    }
    let cycles = steady.len() - 1;
    let cycle = Cycle {
        period: (steady[cycles] - steady[0]) as f64 * 1e-3 / cycles as f64,
        amplitude: amplitude / cycles as f64,
    };
    let describing = rules::relay_reading(&relay, &cycle).map_err(|e| none(e.to_string()))?;
    let exact = rules::relay_exact(&relay, &cycle, gain).map_err(|e| none(e.to_string()))?;
    let line = super::linear::Line::plain(exact);
    let exact_ultimate = super::linear::ultimate(&line)
        .map_err(|e| none(e.to_string()))?
        .ok_or_else(|| none("no gain makes the model swing".to_owned()))?;
    debug_assert!(abs(exact.gain - gain) < 1e-9 * abs(gain));
    Ok(RelayReading {
        relay,
        cycle,
        cycles,
        describing,
        exact,
        exact_ultimate,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo;
    use crate::model::{ScenarioEvent, StationAct, What, When};

    #[test]
    fn a_step_moves_the_load_by_the_declared_line() {
        let machine = demo::machine("machine-a");
        let found = experiment(Kind::Step, &machine, None, 1).expect("recorded");
        let mean = |range: std::ops::Range<usize>| {
            let count = range.len() as f64;
            found.output[range].iter().sum::<f64>() / count
        };
        let end = found.output.len();
        let moved = mean(end - 300..end) - mean(0..450);
        // Seal friction may hold back up to twice its level, the regulator half a jump.
        let slack = 2.0 * machine.actuator.seal_friction
            + machine.actuator.resolution * machine.actuator.line_gain();
        let declared = SIZE * machine.actuator.line_gain();
        assert!(
            (moved - declared).abs() < slack,
            "{moved} N moved, {declared} N declared"
        );
    }

    #[test]
    fn a_double_step_ends_where_it_began() {
        let machine = demo::machine("machine-b");
        let found = experiment(Kind::DoubleStep, &machine, None, 1).expect("recorded");
        let commands = &found.command;
        assert_eq!(commands.first(), commands.last());
        let (low, high) = commands
            .iter()
            .fold((1.0_f64, 0.0_f64), |(l, h), c| (l.min(*c), h.max(*c)));
        assert!((high - low - 2.0 * SIZE).abs() < 1e-4);
    }

    #[test]
    fn a_relay_reads_about_the_declared_ultimate_point() {
        use crate::study::tune::linear::{declared, ultimate};
        let machine = demo::machine("machine-a");
        let found = experiment(Kind::Relay, &machine, None, 1).expect("recorded");
        let reading = found.relay.expect("a relay");
        let line = declared::declared(&machine, declared::NOMINAL);
        let truth = ultimate(&line).expect("line").expect("swings");
        // Play, resolution and seals are in the cycle and not in the line: a reading, not a measurement.
        for read in [reading.describing, reading.exact_ultimate] {
            assert!((read.kc / truth.kc - 1.0).abs() < 0.3, "{read:?} {truth:?}");
            assert!((read.w / truth.w - 1.0).abs() < 0.3, "{read:?} {truth:?}");
        }
    }

    #[test]
    fn an_interlock_ends_the_experiment() {
        let press = Scenario {
            id: "press".into(),
            title: "invented for a test".into(),
            operator: true,
            longest: 600.0,
            events: vec![ScenarioEvent {
                when: When::After {
                    phase: Phase::Dwell,
                    step: None,
                    delay: 3.0,
                },
                what: What::Station(StationAct::PressEstop),
            }],
        };
        let machine = demo::machine("machine-a");
        let ended = perform(Kind::DoubleStep, &machine, None, 1, Some(&press));
        assert!(
            matches!(&ended, Err(NoRecording::Tripped(why)) if why.contains("emergency")),
            "{ended:?}"
        );
    }
}

//! Experiments with the load line of the simulated machine: step, double step, relay.
//!
//! The real sequencer brings the plate down, wets it, turns it and loads it. Once the load is held, a port between controller and
//! machine puts the experiment's command in place of the loop's; everything else the controller says still holds, so that every
//! interlock stays alive and ends the experiment. For the experiment's time the load band is widened to what it moves, or the
//! out-of-band row would do just that. On a real machine such a test is made under its maker's rules by licensed practice.

mod port;
mod relay;

use super::trial::{NoTrial, drive, one_step, trip_of};
use firmware_core::sequence::Phase;
use port::{Experimenter, Schedule};
use twinplate_linear::model::ProcessModel;
use twinplate_linear::{Cycle, Relay, Ultimate};
use twinplate_sim::bench::{NoRecorder, Player, PortError};
use twinplate_sim::compile::ticks;
use twinplate_sim::math::max;
use twinplate_sim::model::{Batch, Machine, Scenario};
use twinplate_sim::plant::seed::substream;

/// Size of a step, and height of the relay, share of full scale: ten jumps of the regulator and more, far from any limit.
const SIZE: f64 = 0.05;
/// Time for which the loop holds the load before the command is frozen, in windows of the trial.
const LEAD: f64 = 1.0;
/// Recorded at the frozen command before the first step, s.
const BEFORE: f64 = 0.5;
/// Hysteresis of the relay, standard deviations of the measured noise before the filter: what passes the filter never turns it.
const RELAY_SIGMAS: f64 = 3.0;

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
    let place = Place::of(machine, batch)?;
    let schedule = schedule(kind, machine, &place);
    let noise = substream(seed, "tune", "experiment", kind as u64);
    let port = play(&place, machine, batch, &schedule, noise, scenario)?;
    let relay = match schedule {
        Schedule::Steps(..) => None,
        Schedule::Relay { relay, .. } => {
            Some(relay::read(&port, relay, machine.actuator.line_gain())?)
        }
    };
    Ok(Recording {
        kind,
        time_s: (0..port.command.len()).map(|n| n as f64 * 1e-3).collect(),
        command: port.command,
        output: port.output,
        load: place.load,
        size: SIZE,
        relay,
    })
}

/// Where an experiment stands on a machine.
struct Place {
    /// The trial's window, s.
    window: f64,
    /// Load, N.
    load: f64,
}

impl Place {
    fn of(machine: &Machine, batch: Option<&Batch>) -> Result<Self, NoRecording> {
        let (_, plan) = one_step(machine, batch, 1.0).map_err(NoRecording::Trial)?;
        Ok(Self {
            window: plan.window,
            load: 0.5 * (plan.low + plan.high),
        })
    }
}

/// Brings the machine to its place, plays the schedule there; gives the port with what it recorded.
fn play(
    place: &Place,
    machine: &Machine,
    batch: Option<&Batch>,
    schedule: &Schedule,
    noise: u64,
    scenario: Option<&Scenario>,
) -> Result<Experimenter, NoRecording> {
    let mut machine = machine.clone();
    // Twice what the command moves, both ways.
    machine.control.band_newtons = max(
        machine.control.band_newtons,
        4.0 * schedule.reach() * machine.actuator.line_gain(),
    );
    let lead = LEAD * place.window;
    let seconds = lead + schedule.longest(place.window) + 1.0;
    let (job, _) = one_step(&machine, batch, seconds).map_err(NoRecording::Trial)?;
    let setup = job.nominal(noise);
    let port = Experimenter::new(setup.controller(), schedule.clone(), lead);
    let mut bench = setup.bench(port, NoRecorder);
    bench.play(Player::new(scenario, job.compiled.pieces));
    let ended = drive(&mut bench, setup.longest(None), |phase, bench| {
        bench.port().done || phase == Phase::LoadRelease
    })
    .map_err(NoRecording::Port)?;
    let why = match trip_of(ended, &bench) {
        None if !bench.port().done => "the step ended first".to_owned(),
        None => return Ok(bench.port().clone()),
        Some(trip) => trip,
    };
    let port = bench.port();
    let swung = matches!(schedule, Schedule::Relay { .. }) && !port.command.is_empty();
    Err(if swung {
        NoRecording::NoCycle(format!("{} turns, then {why}", port.turns.len()))
    } else {
        NoRecording::Tripped(why)
    })
}

/// What an experiment's command does at its place.
fn schedule(kind: Kind, machine: &Machine, place: &Place) -> Schedule {
    let at = |seconds: f64| ticks(seconds).0;
    let (one, two) = (BEFORE + place.window, BEFORE + 2.0 * place.window);
    match kind {
        Kind::Step => Schedule::Steps(vec![(at(BEFORE), SIZE)], at(one)),
        Kind::DoubleStep => Schedule::Steps(
            vec![(at(BEFORE), SIZE), (at(one), -SIZE), (at(two), 0.0)],
            at(two + place.window),
        ),
        Kind::Relay => Schedule::Relay {
            relay: Relay {
                height: SIZE,
                hysteresis: RELAY_SIGMAS * machine.cell.noise,
            },
            setpoint: place.load,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use twinplate_sim::demo;
    use twinplate_sim::model::{ScenarioEvent, StationAct, What, When};

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
        use twinplate_linear::{declared, ultimate};
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
            training: None,
            assessment: None,
        };
        let machine = demo::machine("machine-a");
        let ended = perform(Kind::DoubleStep, &machine, None, 1, Some(&press));
        assert!(
            matches!(&ended, Err(NoRecording::Tripped(why)) if why.contains("emergency")),
            "{ended:?}"
        );
    }
}

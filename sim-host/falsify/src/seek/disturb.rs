//! What may happen to a run beside the machine's own deviations: one operator action or one fault that the requirement bears.
//!
//! Which ones a requirement bears is stated here, before any result is seen. A fault that breaks a requirement by its nature (a gauge
//! that reads wrong, for the size) is no case against the recipe and is not searched.

use super::Target;
use firmware_core::sequence::{Command, Phase};
use twinplate_sim::model::{
    Batch, Component, Fault, FaultMode, Machine, Recipe, ScenarioEvent, StationAct, What, When,
};
use twinplate_sim::plant::LONGEST_FAULT;

/// A kind of disturbance.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Nothing happens.
    Nothing,
    /// The operator holds and restarts.
    Hold,
    /// The operator stops.
    Stop,
    /// The emergency stop is pressed.
    EmergencyStop,
    /// The load cell follows late, first-order.
    CellSlow,
    /// The load cell is late.
    CellDelayed,
    /// The load cell's span drifts.
    CellDrift,
    /// Cell and cap-pressure signal keep what they show, noise and all: nothing can notice, the governor alone keeps the limit.
    SignalsFrozen,
    /// The height reading is shifted within the contact tolerance.
    HeightShifted,
    /// The pump delivers a share.
    PumpWeak,
    /// The slurry line is blocked.
    LineBlocked,
    /// The rinse water delivers a share.
    RinseWeak,
    /// The upper plate's drive trips.
    DriveTrips,
}

/// What each requirement bears, in the order in which the search numbers them.
#[must_use]
pub(crate) const fn borne_by(target: Target) -> &'static [Kind] {
    match target {
        Target::LoadLimit => &[
            Kind::Nothing,
            Kind::Hold,
            Kind::Stop,
            Kind::CellSlow,
            Kind::CellDelayed,
            Kind::CellDrift,
            Kind::SignalsFrozen,
        ],
        Target::FirstContact | Target::PartContact => &[
            Kind::Nothing,
            Kind::Hold,
            Kind::CellDelayed,
            Kind::HeightShifted,
        ],
        Target::Film => &[
            Kind::Nothing,
            Kind::Hold,
            Kind::Stop,
            Kind::EmergencyStop,
            Kind::PumpWeak,
            Kind::LineBlocked,
            Kind::RinseWeak,
            Kind::DriveTrips,
        ],
        Target::Size | Target::Spread => &[Kind::Nothing, Kind::Hold],
    }
}

/// A disturbance: what, when, how much.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Disturbance {
    /// What.
    pub kind: Kind,
    /// From when on.
    pub when: When,
    /// How much, in the unit of the kind: s, factor, share or m; nothing where the kind has no size.
    pub size: f64,
}

impl Disturbance {
    /// A disturbance at a place of the search: `moment` and `size` in 0..=1.
    #[must_use]
    pub fn at(target: Target, kind: Kind, windows: &[Window], moment: f64, size: f64) -> Self {
        let spread = |low: f64, high: f64| low + (high - low) * size;
        let size = match kind {
            Kind::Hold => match target {
                // Held in the air at once; in the turning phases only after the run-down.
                Target::FirstContact | Target::PartContact => spread(2.0, 5.0),
                _ => spread(25.0, 45.0),
            },
            Kind::CellSlow => spread(0.02, 2.0),
            Kind::CellDelayed => spread(0.005, 0.2),
            Kind::CellDrift => spread(0.9, 1.1),
            Kind::HeightShifted => spread(-1.0, 1.0),
            Kind::PumpWeak | Kind::RinseWeak => size,
            Kind::Nothing
            | Kind::Stop
            | Kind::EmergencyStop
            | Kind::SignalsFrozen
            | Kind::LineBlocked
            | Kind::DriveTrips => 0.0,
        };
        Self {
            kind,
            when: when(windows, moment),
            size,
        }
    }

    /// As events of a scenario.
    #[must_use]
    pub fn events(&self, machine: &Machine) -> Vec<ScenarioEvent> {
        let event = |what| ScenarioEvent {
            when: self.when,
            what,
        };
        let fault = |component, mode, magnitude| {
            event(What::Fault(Fault {
                component,
                mode,
                magnitude,
            }))
        };
        use Component as C;
        use FaultMode as M;
        match self.kind {
            Kind::Nothing => Vec::new(),
            Kind::Hold => vec![
                event(What::Command(Command::Hold)),
                ScenarioEvent {
                    when: later(self.when, self.size),
                    what: What::Command(Command::Restart),
                },
            ],
            Kind::Stop => vec![event(What::Command(Command::Stop))],
            Kind::EmergencyStop => vec![event(What::Station(StationAct::PressEstop))],
            Kind::CellSlow => vec![fault(C::LoadCell, M::Slow, Some(self.size))],
            Kind::CellDelayed => vec![fault(C::LoadCell, M::Delayed, Some(self.size))],
            Kind::CellDrift => vec![fault(C::LoadCell, M::Wrong, Some(self.size))],
            // The longest lag there is: what is left of the noise keeps the reading from looking stuck.
            Kind::SignalsFrozen => vec![
                fault(C::LoadCell, M::Slow, Some(LONGEST_FAULT)),
                fault(C::CapTransmitter, M::Slow, Some(LONGEST_FAULT)),
            ],
            Kind::HeightShifted => {
                let shift = self.size * machine.control.contact_tolerance;
                vec![fault(C::HeightTransmitter, M::Wrong, Some(shift))]
            }
            Kind::PumpWeak => vec![fault(C::Pump, M::Wrong, Some(self.size))],
            Kind::LineBlocked => vec![fault(C::SlurryLine, M::Off, None)],
            Kind::RinseWeak => vec![fault(C::RinseWater, M::Wrong, Some(self.size))],
            Kind::DriveTrips => vec![fault(C::DriveUpper, M::Off, None)],
        }
    }

    /// In words.
    #[must_use]
    pub fn text(&self, machine: &Machine) -> String {
        let size = self.size;
        let what = match self.kind {
            Kind::Nothing => return "no disturbance".to_owned(),
            Kind::Hold => format!("hold, restart after {size:.1} s"),
            Kind::Stop => "stop".to_owned(),
            Kind::EmergencyStop => "emergency stop".to_owned(),
            Kind::CellSlow => format!("load cell with a lag of {size:.2} s"),
            Kind::CellDelayed => format!("load cell {:.0} ms late", size * 1e3),
            Kind::CellDrift => format!("load cell drifting to {size:.3} of its reading"),
            Kind::SignalsFrozen => "load cell and cap pressure frozen".to_owned(),
            Kind::HeightShifted => format!(
                "height shifted by {:.3} mm",
                size * machine.control.contact_tolerance * 1e3
            ),
            Kind::PumpWeak => format!("pump at {:.0} %", size * 100.0),
            Kind::LineBlocked => "slurry line blocked".to_owned(),
            Kind::RinseWeak => format!("rinse water at {:.0} %", size * 100.0),
            Kind::DriveTrips => "upper drive trips".to_owned(),
        };
        match self.when {
            When::At(seconds) => format!("{what} at {seconds:.2} s"),
            When::After { phase, step, delay } => {
                let step = step.map_or(String::new(), |step| format!(" {}", u16::from(step) + 1));
                format!("{what}, {delay:.2} s into {}{step}", phase.word())
            }
        }
    }
}

/// A stretch of the cycle in which a disturbance may come.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Window {
    phase: Phase,
    step: Option<u8>,
    /// s
    length: f64,
}

/// The stretches in which a requirement can be disturbed, in the order of the cycle. `recipe` is the one that is run.
#[must_use]
pub fn windows(target: Target, machine: &Machine, batch: &Batch, recipe: &Recipe) -> Vec<Window> {
    let (a, c) = (&machine.actuator, &machine.control);
    let window = |phase, length| Window {
        phase,
        step: None,
        length,
    };
    let drives = recipe
        .steps
        .iter()
        .flat_map(|step| step.speeds)
        .fold(0.0, |top, speed| {
            twinplate_sim::math::max(top, twinplate_sim::math::abs(speed))
        })
        / c.drive_ramp;
    let mut before = c.initial_load;
    let mut steps = Vec::new();
    for (index, step) in (0_u8..).zip(&recipe.steps) {
        let load = step.pressure * batch.area();
        for (phase, length) in [
            // Its rest in band included.
            (
                Phase::LoadRamp,
                twinplate_sim::math::abs(load - before) / step.ramp + 1.0,
            ),
            (Phase::Dwell, dwell(step)),
        ] {
            steps.push(Window {
                phase,
                step: Some(index),
                length,
            });
        }
        before = load;
    }
    match target {
        Target::FirstContact | Target::PartContact => vec![window(
            Phase::Lower,
            a.height_raised / a.speed_fast + a.approach / a.speed_creep,
        )],
        Target::LoadLimit | Target::Size | Target::Spread => steps,
        Target::Film => {
            let mut all = vec![window(Phase::RunUp, drives)];
            all.append(&mut steps);
            all.push(window(Phase::LoadRelease, 3.0));
            if recipe.rinse > 0.0 {
                all.push(window(Phase::Rinse, recipe.rinse));
            }
            all.push(window(Phase::RunDown, drives));
            all
        }
    }
}

/// About how long a step dwells, s.
fn dwell(step: &twinplate_sim::model::Step) -> f64 {
    match step.end {
        twinplate_sim::model::End::Time { seconds } => seconds,
        twinplate_sim::model::End::Stock { .. } | twinplate_sim::model::End::Size { .. } => {
            step.longest / 3.0
        }
    }
}

/// The moment at `share` (0..=1) of all windows, each counting the same.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    clippy::cast_precision_loss
)] // a few windows
fn when(windows: &[Window], share: f64) -> When {
    let place = twinplate_sim::math::limit(share, 0.0, 1.0) * windows.len() as f64;
    let index = (place as usize).min(windows.len().saturating_sub(1));
    match windows.get(index) {
        Some(window) => When::After {
            phase: window.phase,
            step: window.step,
            delay: (place - index as f64) * window.length,
        },
        None => When::At(0.0),
    }
}

fn later(when: When, seconds: f64) -> When {
    match when {
        When::At(at) => When::At(at + seconds),
        When::After { phase, step, delay } => When::After {
            phase,
            step,
            delay: delay + seconds,
        },
    }
}

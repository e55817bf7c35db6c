//! Runs by name: whole cycles of the demonstration recipes, and short ones in which something fails.

use crate::twin::Twin;
use crate::{SEED, short};
use firmware_core::sequence::{Phase, State};
use firmware_core::units::Ticks;
use std::path::Path;
use twinplate_board::OnBoardError;
use twinplate_sim::bench::{Bench, Job, NoRecorder, Player, PortError};
use twinplate_sim::demo;
use twinplate_sim::model::{Component, Fault, FaultMode, Scenario, ScenarioEvent, What, When};

/// The recipe of the runs in which something fails.
const RECIPE: &str = "glass-f800";

/// Longest run in which something fails, ticks: the short cycle is over, and what fails has had its time.
const LONGEST: u32 = 120_000;

/// One thing of a run: so long after a phase began, s.
fn after(phase: Phase, delay: f64, what: What) -> ScenarioEvent {
    let when = When::After {
        phase,
        step: None,
        delay,
    };
    ScenarioEvent { when, what }
}

fn fails(component: Component, mode: FaultMode, magnitude: Option<f64>) -> What {
    What::Fault(Fault {
        component,
        mode,
        magnitude,
    })
}

/// What happens in a run of this name, if it is one in which something fails.
fn events(name: &str) -> Option<Vec<ScenarioEvent>> {
    use Component as C;
    use FaultMode as M;
    Some(match name {
        "agitator stops and turns again" => vec![
            after(Phase::RunUp, 0.0, fails(C::Agitator, M::Off, None)),
            after(Phase::RunUp, 7.0, What::Clear(C::Agitator)),
        ],
        "cell without signal in dwell" => {
            vec![after(Phase::Dwell, 1.0, fails(C::LoadCell, M::Off, None))]
        }
        "drive turns the wrong way" => vec![after(
            Phase::SlurryPrestart,
            1.0,
            fails(C::DriveLower, M::Wrong, Some(-1.0)),
        )],
        "height freezes in the descent" => vec![after(
            Phase::Lower,
            4.5,
            fails(C::HeightTransmitter, M::Stuck, None),
        )],
        "line blocks in dwell" => {
            vec![after(Phase::Dwell, 0.5, fails(C::SlurryLine, M::Off, None))]
        }
        "no pressure at touch-down" => {
            vec![after(
                Phase::TouchDown,
                0.0,
                fails(C::Regulator, M::Off, None),
            )]
        }
        "regulator sticks in the load ramp" => vec![after(
            Phase::LoadRamp,
            0.5,
            fails(C::Regulator, M::Stuck, None),
        )],
        "tank at 15.5 %" => vec![after(
            Phase::RunUp,
            0.0,
            fails(C::TankLevel, M::Wrong, Some(0.155)),
        )],
        "recipe at its edges" => Vec::new(),
        _ => return None,
    })
}

/// The job of a run in which something fails. A recipe at its edges may last a day, and has the lowest limit that its load allows.
fn failing(name: &str) -> Job {
    let mut job = short(RECIPE);
    if name == "recipe at its edges" {
        let params = job.params.get().clone();
        for step in &mut job.compiled.steps {
            step.longest = Ticks(24 * 3_600_000);
            let least = params.least_limit(step.load);
            // Rounding may leave the lowest limit a trifle too low.
            step.load_limit = least * (1.0 + 1e-6);
        }
    }
    job
}

fn play(name: &str, job: &Job, image: &Path) -> Result<Played, OnBoardError> {
    let events = events(name);
    let scenario = events.clone().map(|events| Scenario {
        id: name.into(),
        title: name.into(),
        operator: true,
        longest: f64::from(LONGEST) / 1000.0,
        events,
        training: None,
        assessment: None,
    });
    let setup = job.nominal(SEED);
    let twin = Twin::new(&setup, image)?;
    let mut bench = setup.bench(twin, NoRecorder);
    bench.play(Player::new(scenario.as_ref(), job.compiled.pieces));
    let ended = match events {
        None => cycle(&mut bench, setup.longest(None)),
        Some(_) => bench.advance(LONGEST),
    };
    Ok(Played { bench, ended })
}

/// A run as far as it went.
pub struct Played {
    pub bench: Bench<Twin, NoRecorder>,
    pub ended: Result<(), PortError>,
}

/// From power-up to a second after completion.
fn cycle(bench: &mut Bench<Twin, NoRecorder>, longest: u32) -> Result<(), PortError> {
    while bench.status().is_none_or(|s| s.state != State::Complete) && bench.tick() < longest {
        bench.step()?;
    }
    bench.advance(1000)
}

/// Plays the run of this name on both, as far as they agree.
///
/// # Errors
/// No board, or one that does not take the parameters.
pub fn play_named(name: &str, image: &Path) -> Result<Played, OnBoardError> {
    let job = if events(name).is_some() {
        failing(name)
    } else {
        demo::job(name)
    };
    play(name, &job, image)
}
